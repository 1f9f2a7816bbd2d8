// Objects into the working plane, while others are still being read. Private to the room.
#pragma once

#include <condition_variable>
#include <cstddef>
#include <deque>
#include <exception>
#include <functional>
#include <mutex>
#include <span>
#include <string>
#include <thread>
#include <vector>

#include "dangerline/base/diagnostics.hpp"
#include "dangerline/chart/cell.hpp"

namespace dangerline::chart {

/// Chart lines are rhumb lines; long ones are cut. Cut points are made from the lesser end, so that two areas
/// which share an edge get the same ones.
class Projector {
  public:
    explicit Projector(const geo::Plane& plane) : plane_(plane) {}
    std::vector<geo::Point> chain(const std::vector<geo::Position>& places) const;
    std::vector<geo::PolygonRings> polygons(const Geometry& geometry) const;

  private:
    void append_cut(geo::Position a, geo::Position b, std::vector<geo::Point>& out) const;
    const geo::Plane& plane_;
};

/// Lays out a growing list of objects on threads of its own, from the first to the last.
class ObjectLayer {
  public:
    /// `fill`, where given, puts into an object what it holds before it is laid out.
    ObjectLayer(const Laying& laying, std::string file, std::function<void(std::size_t)> fill = {});
    ~ObjectLayer();
    ObjectLayer(const ObjectLayer&) = delete;
    ObjectLayer& operator=(const ObjectLayer&) = delete;

    /// All objects of the list may be worked on: it may grow from here, but not move.
    void take(std::span<Feature> features);
    /// Returns when no thread touches the list: it may move then, until it is taken again.
    void let_go();
    /// Lays out what is left, on this thread too. What was said, in the order of the objects. Throws what
    /// the first of them threw.
    Diagnostics finish();

  private:
    void work();
    bool lay_some(std::unique_lock<std::mutex>& lock);
    void lay_out(Feature& f, Diagnostics& said) const;
    void lay_out_area(Feature& f, Diagnostics& said) const;

    Laying laying_;
    Projector projector_;
    std::string file_;
    std::function<void(std::size_t)> fill_;
    std::mutex mutex_;
    std::condition_variable more_, idle_;
    Feature* features_ = nullptr;
    std::size_t count_ = 0, next_ = 0, busy_ = 0;
    bool complete_ = false;
    std::deque<Diagnostics> said_; ///< of each object; places in it stay where they are
    std::exception_ptr failure_;
    std::size_t failed_ = 0;
    std::vector<std::jthread> threads_; ///< the last: they use the others
};

} // namespace dangerline::chart
