#include "dangerline/survey/assignment.hpp"

#include <algorithm>
#include <limits>
#include <queue>
#include <stdexcept>
#include <tuple>

namespace dangerline::survey {

namespace {

constexpr std::int64_t never = std::numeric_limits<std::int64_t>::max();
constexpr std::size_t none = std::numeric_limits<std::size_t>::max();

struct Way {
    std::size_t column = 0;
    std::int64_t cost = 0;
};

/// Rows are put in one after the other, each along the cheapest path that frees a column for it. Besides the
/// real columns every row has one of its own that stands for "alone"; so a path always exists.
class Assignment {
  public:
    Assignment(std::size_t rows, std::size_t columns, std::span<const PairChoice> choices)
        : columns_(columns), ways_(rows), column_of_(rows, none), row_of_(columns + rows, none),
          price_(columns + rows, 0), reached_(columns + rows, never), from_(columns + rows, none),
          settled_(columns + rows, false) {
        for (const auto& choice : choices) {
            if (choice.row >= rows || choice.column >= columns)
                throw std::invalid_argument("a choice for a row or column that is not there");
            if (choice.saving > 0)
                ways_[choice.row].push_back({choice.column, -choice.saving});
        }
        for (std::size_t row = 0; row < rows; ++row) {
            ways_[row].push_back({columns + row, 0});
            std::sort(ways_[row].begin(), ways_[row].end(), [](const Way& a, const Way& b) {
                return std::tie(a.column, a.cost) < std::tie(b.column, b.cost);
            });
        }
    }

    std::vector<std::optional<std::size_t>> run() {
        for (std::size_t row = 0; row < ways_.size(); ++row)
            put_in(row);
        std::vector<std::optional<std::size_t>> pairs(ways_.size());
        for (std::size_t row = 0; row < pairs.size(); ++row)
            if (column_of_[row] < columns_)
                pairs[row] = column_of_[row];
        return pairs;
    }

  private:
    /// What the row pays for its cheapest column at today's prices: its own, where it has one.
    std::int64_t rent(std::size_t row) const {
        std::int64_t least = never;
        for (const auto& way : ways_[row])
            if (column_of_[row] == none || way.column == column_of_[row])
                least = std::min(least, way.cost - price_[way.column]);
        return least;
    }

    void put_in(std::size_t row) {
        using Entry = std::pair<std::int64_t, std::size_t>;
        std::priority_queue<Entry, std::vector<Entry>, std::greater<>> open;
        touched_.clear();
        look_from(row, 0, open);
        std::size_t last = none;
        std::int64_t length = 0;
        while (last == none) {
            const auto [distance, column] = open.top();
            open.pop();
            if (settled_[column])
                continue;
            settled_[column] = true;
            if (row_of_[column] == none) {
                last = column;
                length = distance;
            } else {
                look_from(row_of_[column], distance, open);
            }
        }
        for (const std::size_t column : touched_)
            if (settled_[column])
                price_[column] += reached_[column] - length;
        for (std::size_t column = last; column != none;) {
            const std::size_t holder = from_[column];
            const std::size_t before = column_of_[holder];
            column_of_[holder] = column;
            row_of_[column] = holder;
            column = holder == row ? none : before;
        }
        for (const std::size_t column : touched_) {
            reached_[column] = never;
            settled_[column] = false;
        }
    }

    template <typename Queue>
    void look_from(std::size_t row, std::int64_t distance, Queue& open) {
        const std::int64_t base = rent(row);
        for (const auto& way : ways_[row]) {
            const std::int64_t there = distance + way.cost - price_[way.column] - base;
            if (settled_[way.column] || there >= reached_[way.column])
                continue;
            if (reached_[way.column] == never)
                touched_.push_back(way.column);
            reached_[way.column] = there;
            from_[way.column] = row;
            open.push({there, way.column});
        }
    }

    std::size_t columns_;
    std::vector<std::vector<Way>> ways_;
    std::vector<std::size_t> column_of_, row_of_;
    std::vector<std::int64_t> price_, reached_;
    std::vector<std::size_t> from_;
    std::vector<bool> settled_;
    std::vector<std::size_t> touched_;
};

} // namespace

std::vector<std::optional<std::size_t>> best_pairs(std::size_t rows, std::size_t columns,
                                                   std::span<const PairChoice> choices) {
    return Assignment(rows, columns, choices).run();
}

} // namespace dangerline::survey
