#include "chart/object_layer.hpp"

#include "dangerline/chart/extent.hpp"
#include "dangerline/geo/regions.hpp"

#include <algorithm>
#include <array>
#include <cmath>
#include <utility>

namespace dangerline::chart {

namespace {

using geo::Point;
using geo::Position;

/// No edge shorter than this (degrees either way) bends by more than 0.1 m in the plane, up to 75 degrees of
/// latitude: 1.1 km squared times tan 75 degrees over 8 earth radii is 0.09 m.
constexpr double straight_edge_deg = 0.01;
constexpr double max_sagitta_m = 0.1;

bool is_short(Position a, Position b) {
    return std::abs(a.lon_deg - b.lon_deg) <= straight_edge_deg &&
           std::abs(a.lat_deg - b.lat_deg) <= straight_edge_deg;
}

} // namespace

std::vector<Point> Projector::chain(const std::vector<Position>& places) const {
    std::vector<Point> ends;
    ends.reserve(places.size());
    plane_.to_plane(places, ends);
    bool all_short = true;
    for (std::size_t i = 1; i < places.size() && all_short; ++i)
        all_short = is_short(places[i - 1], places[i]);
    if (all_short)
        return ends;
    std::vector<Point> out;
    out.reserve(2 * ends.size());
    for (std::size_t i = 0; i < places.size(); ++i) {
        if (i > 0 && !is_short(places[i - 1], places[i]))
            append_cut(places[i - 1], places[i], out);
        out.push_back(ends[i]);
    }
    return out;
}

void Projector::append_cut(Position a, Position b, std::vector<Point>& out) const {
    const bool forward = a.lon_deg < b.lon_deg || (a.lon_deg == b.lon_deg && a.lat_deg < b.lat_deg);
    const std::array<Position, 2> pair{forward ? a : b, forward ? b : a};
    const auto cut = plane_.rhumb_chain(pair, max_sagitta_m);
    if (cut.size() < 3)
        return;
    if (forward)
        out.insert(out.end(), cut.begin() + 1, cut.end() - 1);
    else
        out.insert(out.end(), cut.rbegin() + 1, cut.rend() - 1);
}

std::vector<geo::PolygonRings> Projector::polygons(const Geometry& geometry) const {
    std::vector<geo::PolygonRings> polygons;
    for (const auto& rings : geometry.polygons) {
        auto& polygon = polygons.emplace_back();
        for (const auto& ring : rings)
            polygon.push_back(chain(ring));
    }
    return polygons;
}

ObjectLayer::ObjectLayer(const Laying& laying, std::string file, std::function<void(std::size_t)> fill)
    : laying_(laying), projector_(laying.plane), file_(std::move(file)), fill_(std::move(fill)) {
    // Who reads takes a processor too, and helps in the end.
    const unsigned others = std::max(2U, std::thread::hardware_concurrency()) - 1;
    for (unsigned i = 0; i < others; ++i)
        threads_.emplace_back([this] { work(); });
}

ObjectLayer::~ObjectLayer() {
    const std::lock_guard lock(mutex_);
    complete_ = true;
    next_ = count_; // nobody waits for the rest any more
    more_.notify_all();
}

void ObjectLayer::take(std::span<Feature> features) {
    const std::lock_guard lock(mutex_);
    features_ = features.data();
    count_ = features.size();
    said_.resize(count_);
    more_.notify_all();
}

void ObjectLayer::let_go() {
    std::unique_lock lock(mutex_);
    idle_.wait(lock, [this] { return next_ == count_ && busy_ == 0; });
}

Diagnostics ObjectLayer::finish() {
    std::unique_lock lock(mutex_);
    complete_ = true;
    more_.notify_all();
    while (lay_some(lock)) {
    }
    idle_.wait(lock, [this] { return busy_ == 0; });
    if (failure_)
        std::rethrow_exception(failure_);
    Diagnostics all;
    for (auto& one : said_)
        all.insert(all.end(), one.begin(), one.end());
    return all;
}

void ObjectLayer::work() {
    std::unique_lock lock(mutex_);
    for (;;) {
        more_.wait(lock, [this] { return next_ < count_ || complete_; });
        if (!lay_some(lock) && complete_)
            return;
    }
}

/// A few of those that nobody has begun; false where there is none.
bool ObjectLayer::lay_some(std::unique_lock<std::mutex>& lock) {
    constexpr std::size_t some = 8;
    if (next_ == count_)
        return false;
    const std::size_t from = next_, to = std::min(count_, from + some);
    Feature* const features = features_;
    std::array<Diagnostics*, some> said{};
    for (std::size_t i = from; i < to; ++i)
        said[i - from] = &said_[i];
    next_ = to;
    ++busy_;
    lock.unlock();
    std::exception_ptr failure;
    std::size_t at = from;
    try {
        for (; at < to; ++at) {
            if (fill_)
                fill_(at);
            lay_out(features[at], *said[at - from]);
        }
    } catch (...) {
        failure = std::current_exception();
    }
    lock.lock();
    if (failure && (!failure_ || at < failed_)) {
        failure_ = failure;
        failed_ = at;
    }
    --busy_;
    idle_.notify_all();
    return true;
}

void ObjectLayer::lay_out_area(Feature& f, Diagnostics& said) const {
    auto polygons = projector_.polygons(f.geometry);
    if (!f.broken_geometry && !laying_.near.empty() && !comes_near(f.geometry, laying_.near)) {
        f.shape = std::make_shared<const geo::Shape>(geo::to_shape(polygons));
        return;
    }
    const geo::Mended check = geo::mend(polygons);
    if (check.valid && !f.broken_geometry) {
        f.shape = std::make_shared<const geo::Shape>(geo::to_shape(polygons));
        return;
    }
    f.broken_geometry = true;
    // As a hazard: whatever any reading of the rings covers, and the rings themselves.
    f.shape = std::make_shared<const geo::Shape>(geo::to_shape(check.valid ? polygons : check.mended));
    auto doubt = check.doubt;
    doubt.insert(doubt.end(), polygons.begin(), polygons.end());
    f.doubtful_shape = std::make_shared<const geo::Shape>(geo::to_shape(doubt));
    if (!check.valid)
        said.push_back({Severity::broken, file_, f.cls + " " + to_text(f.id),
                        "area is not valid (" + check.why + "); mended, the difference is unknown"});
}

void ObjectLayer::lay_out(Feature& f, Diagnostics& said) const {
    switch (f.geometry.primitive) {
    case Primitive::none:
        return;
    case Primitive::point: {
        std::vector<Point> points;
        laying_.plane.to_plane(f.geometry.points, points);
        f.shape = std::make_shared<const geo::Shape>(geo::Shape::of_points(std::move(points)));
        return;
    }
    case Primitive::line: {
        std::vector<std::vector<Point>> chains;
        for (const auto& line : f.geometry.lines)
            chains.push_back(projector_.chain(line));
        f.shape = std::make_shared<const geo::Shape>(geo::Shape::of_lines(chains));
        return;
    }
    case Primitive::area:
        lay_out_area(f, said);
        return;
    }
}

} // namespace dangerline::chart
