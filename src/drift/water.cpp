#include "dangerline/drift/water.hpp"

#include <algorithm>
#include <cmath>

#include "dangerline/base/parallel.hpp"

namespace dangerline::drift {

namespace {

constexpr double mm_per_m = 1000.0;
constexpr double fastest_mps = 32.0; // what 16 bits hold

std::int16_t rounded(double mps) {
    return static_cast<std::int16_t>(std::lround(std::clamp(mps, -fastest_mps, fastest_mps) * mm_per_m));
}

/// Unit vector of true north in the plane.
geo::Point north_at(const geo::Plane& plane, geo::Point place) {
    const auto position = plane.to_position(place);
    const geo::Point up = plane.to_plane({position.lon_deg, position.lat_deg + 1e-3});
    const double length = std::hypot(up.x - place.x, up.y - place.y);
    return {(up.x - place.x) / length, (up.y - place.y) / length};
}

sea::Stream turned(const sea::Stream& s, geo::Point north) {
    return {s.east_mps * north.y + s.north_mps * north.x, s.north_mps * north.y - s.east_mps * north.x};
}

} // namespace

void StreamGrid::lay(const geo::Box& box, Instant from, Instant to, double spacing_m) {
    spacing_ = spacing_m;
    corner_ = {box.min_x, box.min_y};
    const auto nodes = [&](double metres) {
        return static_cast<std::int32_t>(std::max(1.0, std::ceil(metres / spacing_m - 1e-9))) + 1;
    };
    columns_ = nodes(box.max_x - box.min_x);
    rows_ = nodes(box.max_y - box.min_y);
    from_ = Instant::from_unix_seconds(std::floor(from.unix_seconds() / slice_s_) * slice_s_);
    slices_ = static_cast<std::int32_t>(std::max(1.0, std::ceil((to - from_) / slice_s_ - 1e-9))) + 1;
    constexpr auto none = StreamCell::unknown;
    cells_.assign(static_cast<std::size_t>(slices_) * static_cast<std::size_t>(rows_ - 1) *
                      static_cast<std::size_t>(columns_ - 1),
                  {{0, 0, 0, 0}, {none, none, none, none}});
}

StreamCell& StreamGrid::cell(std::int32_t column, std::int32_t row, std::int32_t slice) {
    return cells_[(static_cast<std::size_t>(row) * static_cast<std::size_t>(columns_ - 1) +
                   static_cast<std::size_t>(column)) *
                      static_cast<std::size_t>(slices_) +
                  static_cast<std::size_t>(slice)];
}

void StreamGrid::put(std::int32_t column, std::int32_t row, std::int32_t slice, const sea::Stream& stream) {
    const std::int16_t east = rounded(stream.east_mps), north = rounded(stream.north_mps);
    for (int corner = 0; corner < 4; ++corner) {
        const std::int32_t x = column - (corner & 1), y = row - (corner >> 1);
        if (x < 0 || y < 0 || x > columns_ - 2 || y > rows_ - 2)
            continue;
        StreamCell& there = cell(x, y, slice);
        there.east[corner] = east;
        there.north[corner] = north;
    }
}

StreamGrid::StreamGrid(const sea::StreamField& field, const geo::Plane& plane, const geo::Box& box,
                       Instant from, Instant to, double spacing_m) {
    lay(box, from, to, spacing_m);
    const auto nodes = static_cast<std::size_t>(rows_) * static_cast<std::size_t>(columns_);
    std::vector<double> largest(nodes, 0.0);
    parallel_for(nodes, [&](std::size_t node) {
        const auto column = static_cast<std::int32_t>(node % static_cast<std::size_t>(columns_));
        const auto row = static_cast<std::int32_t>(node / static_cast<std::size_t>(columns_));
        const geo::Point place{corner_.x + column * spacing_, corner_.y + row * spacing_};
        const auto north = north_at(plane, place);
        const auto there = field.fix(place);
        for (std::int32_t k = 0; k < slices_; ++k)
            if (const auto stream = there(from_ + slice_s_ * k)) {
                put(column, row, k, turned(*stream, north));
                largest[node] = std::max(largest[node], stream->rate_mps());
            }
    });
    largest_ = *std::max_element(largest.begin(), largest.end());
}

StreamGrid::StreamGrid(const sea::Stream& stream, const geo::Plane& plane, const geo::Box& box, Instant from,
                       Instant to) {
    // One cell in each direction; two slices.
    const double spacing = std::max(box.max_x - box.min_x, box.max_y - box.min_y);
    slice_s_ = std::max(stream_slice_s, to - from + stream_slice_s);
    lay(box, from, to, spacing);
    const auto there =
        turned(stream, north_at(plane, {(box.min_x + box.max_x) / 2.0, (box.min_y + box.max_y) / 2.0}));
    for (std::int32_t k = 0; k < slices_; ++k)
        for (std::int32_t node = 0; node < rows_ * columns_; ++node)
            put(node % columns_, node / columns_, k, there);
    largest_ = stream.rate_mps();
}

geo::Box StreamGrid::box() const {
    return {corner_.x, corner_.y, corner_.x + spacing_ * (columns_ - 1), corner_.y + spacing_ * (rows_ - 1)};
}

std::optional<sea::Stream> StreamGrid::at(geo::Point place, Instant t) const {
    const double gx = (place.x - corner_.x) / spacing_, gy = (place.y - corner_.y) / spacing_;
    const double gt = (t - from_) / slice_s_;
    if (!(gx >= 0.0 && gy >= 0.0 && gt >= 0.0 && gx <= columns_ - 1 && gy <= rows_ - 1 && gt <= slices_ - 1))
        return std::nullopt;
    const auto ix = std::min(static_cast<std::int32_t>(gx), columns_ - 2);
    const auto iy = std::min(static_cast<std::int32_t>(gy), rows_ - 2);
    const auto it = std::min(static_cast<std::int32_t>(gt), slices_ - 2);
    const StreamCell* const cells =
        &cells_[(static_cast<std::size_t>(iy) * static_cast<std::size_t>(columns_ - 1) +
                 static_cast<std::size_t>(ix)) *
                    static_cast<std::size_t>(slices_) +
                static_cast<std::size_t>(it)];
    sea::Stream sum;
    for (int corner = 0; corner < 8; ++corner) {
        const int x = corner & 1, y = (corner >> 1) & 1, k = corner >> 2;
        const auto share = [](double g, std::int32_t i, int up) { return up ? g - i : 1.0 - (g - i); };
        const double weight = share(gx, ix, x) * share(gy, iy, y) * share(gt, it, k);
        const std::int16_t north = cells[k].north[corner & 3];
        if (north == StreamCell::unknown)
            return std::nullopt;
        sum.east_mps += weight * cells[k].east[corner & 3] / mm_per_m;
        sum.north_mps += weight * north / mm_per_m;
    }
    return sum;
}

} // namespace dangerline::drift
