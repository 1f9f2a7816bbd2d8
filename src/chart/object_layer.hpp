// Objects into the working plane, while others are still being read. Private to the room.
#pragma once

#include <condition_variable>
#include <cstddef>
#include <deque>
#include <exception>
#include <mutex>
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
    ObjectLayer(const Laying& laying, std::string file);
    ~ObjectLayer();
    ObjectLayer(const ObjectLayer&) = delete;
    ObjectLayer& operator=(const ObjectLayer&) = delete;

    /// Objects of other classes need not be read.
    bool wants(std::string_view cls) const { return !laying_.wanted || laying_.wanted(cls); }
    /// All objects of the list are read: it may grow from here, but not move.
    void take(std::vector<Feature>& features);
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
