#include "cellwriter/topology.hpp"

#include <algorithm>
#include <cmath>
#include <stdexcept>

namespace cellwriter {

namespace {

std::pair<GridPoint, GridPoint> segment(const GridPoint& a, const GridPoint& b) {
    return a < b ? std::pair{a, b} : std::pair{b, a};
}

/// Twice the signed area; positive where the ring runs anticlockwise.
double signed_area(const std::vector<GridPoint>& ring) {
    double sum = 0;
    for (std::size_t i = 0; i < ring.size(); ++i) {
        const GridPoint& a = ring[i];
        const GridPoint& b = ring[(i + 1) % ring.size()];
        sum += (static_cast<double>(b.x) - a.x) * (static_cast<double>(b.y) + a.y);
    }
    return -sum;
}

} // namespace

GridPoint to_grid(const Place& place) {
    return {static_cast<std::int32_t>(std::lround(place.lon_deg * 1e7)),
            static_cast<std::int32_t>(std::lround(place.lat_deg * 1e7))};
}

Place to_place(const GridPoint& point) {
    return {point.x / 1e7, point.y / 1e7};
}

std::size_t Topology::add(const Ring& chain, bool closed, const Quality& quality) {
    Chain made{{}, closed};
    for (const Place& place : chain)
        if (const GridPoint point = to_grid(place); made.points.empty() || made.points.back() != point)
            made.points.push_back(point);
    if (closed && made.points.size() > 1 && made.points.front() == made.points.back())
        made.points.pop_back();
    if (made.points.size() < (closed ? 3U : 2U))
        throw std::invalid_argument(closed ? "a ring needs three vertices" : "a line needs two vertices");
    const std::size_t count = made.points.size();
    for (std::size_t i = 0; i + (closed ? 0 : 1) < count; ++i) {
        Quality& known = segments_[segment(made.points[i], made.points[(i + 1) % count])];
        if (known == Quality{})
            known = quality;
    }
    chains_.push_back(std::move(made));
    return chains_.size() - 1;
}

const Quality& Topology::quality_of(const GridPoint& a, const GridPoint& b) const {
    return segments_.at(segment(a, b));
}

void Topology::find_nodes() {
    std::map<GridPoint, std::vector<GridPoint>> neighbours;
    for (const auto& [ends, quality] : segments_) {
        neighbours[ends.first].push_back(ends.second);
        neighbours[ends.second].push_back(ends.first);
    }
    for (const auto& [point, others] : neighbours)
        if (others.size() != 2 || !(quality_of(point, others[0]) == quality_of(point, others[1])))
            nodes_.insert(point);
    for (const Chain& chain : chains_)
        if (!chain.closed) {
            nodes_.insert(chain.points.front());
            nodes_.insert(chain.points.back());
        }
    for (const Chain& chain : chains_)
        if (std::none_of(chain.points.begin(), chain.points.end(),
                         [&](const GridPoint& p) { return nodes_.contains(p); }))
            nodes_.insert(chain.points.front());
}

void Topology::build() {
    find_nodes();
    for (const Chain& chain : chains_)
        cut(chain);
}

void Topology::cut(const Chain& chain) {
    std::vector<GridPoint> points = chain.points;
    if (chain.closed) {
        const auto start = std::find_if(points.begin(), points.end(),
                                        [&](const GridPoint& p) { return nodes_.contains(p); });
        std::rotate(points.begin(), start, points.end());
        points.push_back(points.front());
    }
    std::vector<EdgeUse> path;
    std::vector<GridPoint> piece{points.front()};
    for (std::size_t i = 1; i < points.size(); ++i) {
        piece.push_back(points[i]);
        if (nodes_.contains(points[i])) {
            path.push_back(use(std::move(piece)));
            piece = {points[i]};
        }
    }
    paths_.push_back(std::move(path));
}

EdgeUse Topology::use(std::vector<GridPoint> piece) {
    std::vector<GridPoint> reverse(piece.rbegin(), piece.rend());
    if (const auto it = known_.find(piece); it != known_.end())
        return {it->second, true};
    if (const auto it = known_.find(reverse); it != known_.end())
        return {it->second, false};
    known_.emplace(piece, edges_.size());
    const Quality quality = quality_of(piece[0], piece[1]);
    edges_.push_back({std::move(piece), quality});
    return {edges_.size() - 1, true};
}

Ring turned(const Ring& ring, bool clockwise) {
    std::vector<GridPoint> points;
    for (const Place& place : ring)
        points.push_back(to_grid(place));
    const bool is_clockwise = signed_area(points) < 0;
    return is_clockwise == clockwise ? ring : Ring(ring.rbegin(), ring.rend());
}

} // namespace cellwriter
