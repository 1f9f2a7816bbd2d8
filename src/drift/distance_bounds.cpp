#include "drift/distance_bounds.hpp"

#include <algorithm>
#include <atomic>
#include <cmath>
#include <limits>
#include <numbers>

namespace dangerline::drift {

namespace {

constexpr float nothing = -std::numeric_limits<float>::infinity();

double distance_to_edge(geo::Point p, geo::Point a, geo::Point b) {
    const double dx = b.x - a.x, dy = b.y - a.y, length2 = dx * dx + dy * dy;
    const double along = length2 > 0.0 ? ((p.x - a.x) * dx + (p.y - a.y) * dy) / length2 : 0.0;
    const double share = std::clamp(along, 0.0, 1.0);
    return std::hypot(p.x - a.x - share * dx, p.y - a.y - share * dy);
}

/// Squared distances along one line of cells, exact: lower envelope of parabolas (Felzenszwalb and
/// Huttenlocher 2012, Theory of Computing 8, 415-428). In place; `stride` between neighbours.
class LineTransform {
  public:
    explicit LineTransform(std::size_t longest) : at_(longest), from_(longest + 1), value_(longest) {}
    void run(float* line, std::size_t count, std::size_t stride) {
        std::size_t top = 0;
        bool any = false;
        for (std::size_t i = 0; i < count; ++i) {
            value_[i] = line[i * stride];
            if (!std::isfinite(value_[i]))
                continue;
            if (!any) {
                at_[0] = i;
                from_[0] = -std::numeric_limits<float>::infinity();
                any = true;
                continue;
            }
            float meet = crossing(at_[top], i);
            while (top > 0 && meet <= from_[top])
                meet = crossing(at_[--top], i);
            at_[++top] = i;
            from_[top] = meet;
        }
        if (!any)
            return;
        std::size_t current = 0;
        for (std::size_t i = 0; i < count; ++i) {
            while (current < top && from_[current + 1] < static_cast<float>(i))
                ++current;
            const auto apart = static_cast<float>(i) - static_cast<float>(at_[current]);
            line[i * stride] = apart * apart + value_[at_[current]];
        }
    }

  private:
    float crossing(std::size_t a, std::size_t b) const {
        const auto x = static_cast<float>(a), y = static_cast<float>(b);
        return ((value_[b] + y * y) - (value_[a] + x * x)) / (2.0f * (y - x));
    }
    std::vector<std::size_t> at_;
    std::vector<float> from_, value_;
};

} // namespace

TideRaster::TideRaster(const geo::Box& box, double cell_m)
    : corner_{box.min_x, box.min_y}, cell_(cell_m),
      columns_(static_cast<std::int32_t>(std::floor((box.max_x - box.min_x) / cell_m)) + 1),
      rows_(static_cast<std::int32_t>(std::floor((box.max_y - box.min_y) / cell_m)) + 1),
      below_(static_cast<std::size_t>(columns_) * static_cast<std::size_t>(rows_), nothing) {}

void TideRaster::raise(std::int32_t column, std::int32_t row, float below_m) {
    if (column < 0 || row < 0 || column >= columns_ || row >= rows_)
        return;
    float& cell = below_[static_cast<std::size_t>(row) * static_cast<std::size_t>(columns_) +
                         static_cast<std::size_t>(column)];
    cell = std::max(cell, below_m);
}

void TideRaster::add_edge(geo::Point a, geo::Point b, double radius_m, float below_m) {
    // A cell meets the grown edge only where its middle is within the radius and half its diagonal.
    const double reach = radius_m + cell_ * (0.5 * std::numbers::sqrt2 + 1e-6);
    const auto cell_of = [&](double metres) { return static_cast<std::int32_t>(std::floor(metres / cell_)); };
    const double low = std::min(a.y, b.y) - reach - corner_.y, high = std::max(a.y, b.y) + reach - corner_.y;
    const std::int32_t last_row = std::min(cell_of(high), rows_ - 1);
    for (std::int32_t row = std::max(cell_of(low), 0); row <= last_row; ++row) {
        const double y = corner_.y + (row + 0.5) * cell_;
        // Of the edge only what lies within reach of this row counts.
        double from = a.x, to = b.x;
        if (a.y != b.y) {
            const auto x_at = [&](double at) {
                const double share = std::clamp((at - a.y) / (b.y - a.y), 0.0, 1.0);
                return a.x + share * (b.x - a.x);
            };
            from = x_at(y - reach);
            to = x_at(y + reach);
        }
        const double left = std::min(from, to) - reach - corner_.x,
                     right = std::max(from, to) + reach - corner_.x;
        const std::int32_t last = std::min(cell_of(right), columns_ - 1);
        for (std::int32_t column = std::max(cell_of(left), 0); column <= last; ++column)
            if (distance_to_edge({corner_.x + (column + 0.5) * cell_, y}, a, b) <= reach)
                raise(column, row, below_m);
    }
}

/// Cells whose middle lies inside; those the edge runs through are marked by add_edge().
void TideRaster::fill(const geo::Shape& area, float below_m) {
    std::vector<double> crossings;
    const auto& box = area.box();
    const auto first = static_cast<std::int32_t>(std::floor((box.min_y - corner_.y) / cell_));
    const auto last = static_cast<std::int32_t>(std::floor((box.max_y - corner_.y) / cell_));
    for (std::int32_t row = std::max(first, 0); row <= std::min(last, rows_ - 1); ++row) {
        const double y = corner_.y + (row + 0.5) * cell_;
        crossings.clear();
        for (const auto& run : area.runs()) {
            if (run.box.min_y > y || run.box.max_y < y)
                continue;
            for (std::uint32_t i = run.first; i < run.last; ++i) {
                const auto a = area.points()[i], b = area.points()[i + 1];
                if ((a.y <= y) != (b.y <= y))
                    crossings.push_back(a.x + (y - a.y) / (b.y - a.y) * (b.x - a.x));
            }
        }
        std::sort(crossings.begin(), crossings.end());
        for (std::size_t i = 0; i + 1 < crossings.size(); i += 2) {
            const double from = std::max(crossings[i] - corner_.x, 0.0);
            const double to = std::min(crossings[i + 1] - corner_.x, columns_ * cell_);
            for (auto column = static_cast<std::int32_t>(std::floor(from / cell_));
                 (column + 0.5) * cell_ < to; ++column)
                if ((column + 0.5) * cell_ >= from)
                    raise(column, row, below_m);
        }
    }
}

void TideRaster::add(const geo::Shape& shape, double radius_m, float below_m) {
    if (below_m == nothing)
        return;
    for (const auto& run : shape.runs()) {
        if (run.first == run.last)
            add_edge(shape.points()[run.first], shape.points()[run.first], radius_m, below_m);
        for (std::uint32_t i = run.first; i < run.last; ++i)
            add_edge(shape.points()[i], shape.points()[i + 1], radius_m, below_m);
    }
    if (shape.kind() == geo::ShapeKind::area)
        fill(shape, below_m);
}

std::vector<float> TideRaster::bounds(float tide_m) const {
    const auto columns = static_cast<std::size_t>(columns_), rows = static_cast<std::size_t>(rows_);
    std::vector<float> values(below_.size());
    for (std::size_t i = 0; i < below_.size(); ++i)
        values[i] = below_[i] > tide_m ? 0.0f : std::numeric_limits<float>::infinity();
    LineTransform transform(std::max(columns, rows));
    for (std::size_t column = 0; column < columns; ++column)
        transform.run(values.data() + column, rows, columns);
    for (std::size_t row = 0; row < rows; ++row)
        transform.run(values.data() + row * columns, columns, 1);
    // Between middles; the far end may be half a diagonal nearer. Floats of 24 bits hold squares of up to
    // 4,000 cells; a metre more makes up for what is beyond.
    const auto cell = static_cast<float>(cell_);
    const float nearer = 0.5f * cell * std::numbers::sqrt2_v<float> + 1.0f;
    for (float& value : values)
        value = std::sqrt(value) * cell - nearer;
    return values;
}

/// Rounded down to what an even byte says, as nothing was measured.
static std::uint8_t byte_of(float metres) {
    constexpr float unit = DistanceBounds::unit_m, least = DistanceBounds::least_m;
    const float steps = std::clamp((metres - least) / (2.0f * unit), 0.0f, 127.0f);
    return static_cast<std::uint8_t>(2 * static_cast<int>(steps));
}

DistanceBounds distance_bounds(const TideRaster& zones, const TideRaster& touches, float tide_m) {
    DistanceBounds out;
    out.tide_m = tide_m;
    out.columns = zones.columns();
    out.rows = zones.rows();
    const auto squares = [](std::int32_t cells) {
        return (cells + DistanceBounds::side - 1) / DistanceBounds::side;
    };
    out.squares_in_row = squares(out.columns);
    const auto half =
        static_cast<std::size_t>(out.squares_in_row) * static_cast<std::size_t>(squares(out.rows));
    out.squares.assign(2 * half, {});
    const TideRaster* const rasters[] = {&zones, &touches};
    for (std::size_t k = 0; k < 2; ++k) {
        std::uint8_t* const cells = out.squares[k * half].cells;
        const auto values = rasters[k]->bounds(tide_m);
        std::size_t i = 0;
        for (std::int32_t row = 0; row < out.rows; ++row)
            for (std::int32_t column = 0; column < out.columns; ++column)
                cells[out.index(column, row)] = byte_of(values[i++]);
    }
    return out;
}

double DistanceBounds::zone_m(std::int32_t column, std::int32_t row) const {
    const std::atomic_ref<std::uint8_t> byte(zones()[index(column, row)]); // others may be measuring it
    const double from_middle = unit_m * byte.load(std::memory_order_relaxed) + least_m;
    return std::max(0.0, from_middle - 0.5 * std::numbers::sqrt2 * Dangers::cell_m);
}

std::size_t DistanceBounds::index(std::int32_t column, std::int32_t row) const {
    return static_cast<std::size_t>(((row / side) * squares_in_row + column / side) * (side * side) +
                                    (row % side) * side + column % side);
}

} // namespace dangerline::drift
