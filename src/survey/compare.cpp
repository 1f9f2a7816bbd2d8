#include "dangerline/survey/compare.hpp"

#include "dangerline/geo/index.hpp"
#include "dangerline/geo/reach.hpp"
#include "dangerline/survey/assignment.hpp"

#include <algorithm>
#include <cmath>
#include <map>
#include <numeric>
#include <stdexcept>

namespace dangerline::survey {

namespace {

using Order = std::vector<std::size_t>;

void require_whole(const Comparable& object) {
    const auto bad = [](double doubt) { return !std::isfinite(doubt) || doubt < 0.0; };
    const bool shapeless =
        object.shapes.empty() || std::any_of(object.shapes.begin(), object.shapes.end(),
                                             [](const auto& shape) { return !shape || shape->empty(); });
    if (shapeless || bad(object.position_m) || bad(object.depth_doubt_m))
        throw std::invalid_argument("an object to be compared lacks its place, or its doubt is no number");
}

int compare_shapes(const Comparable& a, const Comparable& b) {
    const auto less = [](const geo::Point& p, const geo::Point& q) {
        return p.x != q.x ? p.x < q.x : p.y < q.y;
    };
    for (std::size_t i = 0; i < std::min(a.shapes.size(), b.shapes.size()); ++i) {
        const auto p = a.shapes[i]->points(), q = b.shapes[i]->points();
        if (std::lexicographical_compare(p.begin(), p.end(), q.begin(), q.end(), less))
            return -1;
        if (std::lexicographical_compare(q.begin(), q.end(), p.begin(), p.end(), less))
            return 1;
    }
    return a.shapes.size() < b.shapes.size() ? -1 : a.shapes.size() > b.shapes.size() ? 1 : 0;
}

/// An order of the objects that only depends on what they are.
Order canonical(const std::vector<Comparable>& objects) {
    Order order(objects.size());
    std::iota(order.begin(), order.end(), 0U);
    const auto rest = [](const Comparable& c) {
        return std::make_tuple(c.depth_m.value_or(1e9), c.position_m, c.depth_doubt_m, c.name, c.identity);
    };
    std::stable_sort(order.begin(), order.end(), [&](std::size_t i, std::size_t k) {
        const Comparable &a = objects[i], &b = objects[k];
        if (a.cls != b.cls)
            return a.cls < b.cls;
        const int shapes = compare_shapes(a, b);
        return shapes != 0 ? shapes < 0 : rest(a) < rest(b);
    });
    return order;
}

geo::Box box_of(const Comparable& object) {
    geo::Box box = object.shapes.front()->box();
    for (const auto& shape : object.shapes) {
        const auto& b = shape->box();
        box = {std::min(box.min_x, b.min_x), std::min(box.min_y, b.min_y), std::max(box.max_x, b.max_x),
               std::max(box.max_y, b.max_y)};
    }
    return box;
}

std::int64_t millimetres(double metres) {
    return std::llround(metres * 1000.0);
}

Comparable edge_of(const geo::Shape& area) {
    std::vector<std::vector<geo::Point>> rings;
    for (std::size_t i = 0; i < area.part_count(); ++i)
        rings.emplace_back(area.part(i).begin(), area.part(i).end());
    Comparable edge;
    edge.shapes.push_back(std::make_shared<const geo::Shape>(geo::Shape::of_lines(rings)));
    return edge;
}

class Comparison {
  public:
    Comparison(const std::vector<Comparable>& newer, const std::vector<Comparable>& charted,
               const CompareSettings& settings)
        : newer_(newer), charted_(charted), settings_(settings), newer_order_(canonical(newer)),
          charted_order_(canonical(charted)), partner_(newer.size()), taken_(charted.size(), false) {
        if (settings.covered)
            edge_ = edge_of(*settings.covered);
    }

    std::vector<Difference> run() {
        pair_by_identity();
        pair_by_place();
        std::vector<Difference> out;
        for (const std::size_t n : newer_order_)
            if (!partner_[n])
                out.push_back({Change::missing, n, {}, {}, newer_[n].position_m, true});
            else
                add_pair(n, *partner_[n], out);
        for (const std::size_t c : charted_order_)
            if (!taken_[c] && settings_.classes.contains(charted_[c].cls) && is_covered(charted_[c]))
                out.push_back({Change::gone, {}, c, {}, charted_[c].position_m, false});
        return out;
    }

  private:
    void pair(std::size_t n, std::size_t c) {
        partner_[n] = c;
        taken_[c] = true;
    }

    void pair_by_identity() {
        std::map<std::pair<std::string, std::string>, std::size_t> known;
        for (const std::size_t c : charted_order_)
            if (!charted_[c].identity.empty())
                known.emplace(std::pair(charted_[c].cls, charted_[c].identity), c);
        for (const std::size_t n : newer_order_) {
            if (newer_[n].identity.empty())
                continue;
            const auto found = known.find({newer_[n].cls, newer_[n].identity});
            if (found != known.end() && !taken_[found->second])
                pair(n, found->second);
        }
    }

    double tolerance(const Comparable& a, const Comparable& b) const {
        return a.position_m + b.position_m + settings_.moved_within_m;
    }

    void pair_by_place() {
        std::vector<geo::Box> boxes;
        double widest = 0.0;
        for (const std::size_t c : charted_order_) {
            boxes.push_back(box_of(charted_[c]));
            widest = std::max(widest, charted_[c].position_m);
        }
        const geo::BoxIndex index(boxes);
        std::vector<PairChoice> choices;
        for (std::size_t row = 0; row < newer_order_.size(); ++row) {
            const std::size_t n = newer_order_[row];
            if (partner_[n])
                continue;
            const double reach = newer_[n].position_m + widest + settings_.moved_within_m;
            for (const auto column : index.meeting(box_of(newer_[n]).grown(reach)))
                if (const auto saving = saving_of(n, charted_order_[column]))
                    choices.push_back({row, column, *saving});
        }
        const auto pairs = best_pairs(newer_order_.size(), charted_order_.size(), choices);
        for (std::size_t row = 0; row < pairs.size(); ++row)
            if (pairs[row])
                pair(newer_order_[row], charted_order_[*pairs[row]]);
    }

    /// Millimetres that a pair saves against leaving both alone; nothing where it can't be one.
    std::optional<std::int64_t> saving_of(std::size_t n, std::size_t c) const {
        const Comparable &a = newer_[n], &b = charted_[c];
        if (taken_[c] || a.cls != b.cls)
            return std::nullopt;
        const double limit = tolerance(a, b);
        const double gap = gap_between(a, b, limit);
        if (!(millimetres(gap <= limit ? gap : limit + 1.0) <= millimetres(limit)))
            return std::nullopt;
        const double unlike = std::max(reach_beyond(a, b), reach_beyond(b, a));
        constexpr double half_at_m = 100.0;
        return millimetres(limit) + 1000 - millimetres(gap) - millimetres(unlike / (unlike + half_at_m));
    }

    void add_pair(std::size_t n, std::size_t c, std::vector<Difference>& out) const {
        const Comparable &a = newer_[n], &b = charted_[c];
        const double doubt = a.position_m + b.position_m;
        const double gap = gap_between(a, b, std::numeric_limits<double>::infinity());
        if (gap > doubt) {
            out.push_back({Change::moved, n, c, gap, doubt, true});
        } else if (const double beyond = reach_beyond(a, b); beyond > doubt) {
            out.push_back({Change::larger, n, c, beyond, doubt, true});
        }
        if (!a.depth_m)
            return;
        const double depth_doubt = std::hypot(a.depth_doubt_m, b.depth_doubt_m);
        if (!b.depth_m)
            out.push_back({Change::depth_differs, n, c, {}, depth_doubt, true});
        else if (const double by = *a.depth_m - *b.depth_m; std::abs(by) >= same_depth_m)
            out.push_back({Change::depth_differs, n, c, by, depth_doubt, by < 0.0});
    }

    /// On all sides by its own doubt: nearer to the edge the newer data may have it outside.
    bool is_covered(const Comparable& object) const {
        if (!settings_.covered)
            return false;
        const auto& area = *settings_.covered;
        if (gap_between(object, edge_, object.position_m) <= object.position_m)
            return false;
        return std::all_of(object.shapes.begin(), object.shapes.end(), [&](const auto& shape) {
            return std::all_of(shape->points().begin(), shape->points().end(),
                               [&](const geo::Point& p) { return area.contains(p); });
        });
    }

    const std::vector<Comparable>&newer_, &charted_;
    const CompareSettings& settings_;
    Order newer_order_, charted_order_;
    std::vector<std::optional<std::size_t>> partner_; ///< of each newer object
    std::vector<bool> taken_;                         ///< charted objects with a partner
    Comparable edge_{};                               ///< of what the newer data cover
};

} // namespace

const char* to_text(Change change) {
    switch (change) {
    case Change::missing:
        return "missing";
    case Change::moved:
        return "moved";
    case Change::larger:
        return "larger";
    case Change::depth_differs:
        return "depth_differs";
    case Change::gone:
        return "gone";
    }
    return "";
}

std::vector<Difference> compare(const std::vector<Comparable>& newer, const std::vector<Comparable>& charted,
                                const CompareSettings& settings) {
    std::for_each(newer.begin(), newer.end(), require_whole);
    std::for_each(charted.begin(), charted.end(), require_whole);
    return Comparison(newer, charted, settings).run();
}

} // namespace dangerline::survey
