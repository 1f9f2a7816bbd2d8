// What can be met near a place. Private to the room.
#pragma once

#include <atomic>
#include <mutex>
#include <vector>

#include "dangerline/drift/dangers.hpp"

namespace dangerline::drift {

/// What is near a square of the box.
struct Tile {
    struct Near {
        std::uint32_t obstacle = 0;
        double zone_below_m = 0.0, touch_below_m = 0.0;
        double zone_m = 0.0, touch_m = 0.0;
        geo::Box box; ///< of its whole extent, grown to its zone
        bool area = false;
        bool by_tide = false; ///< in force below a tide: neither overhead nor rough water
        bool rough = false;
        /// Whether it can be met at any tide from `tide_m` on; by a boat in no zone, or by one that touches
        /// nothing.
        bool counts(double tide_m, bool zones) const;
        /// Whether a boat can be within it without having met an edge.
        bool comes(double highest_m, bool zones) const;
    };
    /// Of one hazard (and one moving part of it), the outermost step first.
    struct Group {
        std::size_t begin = 0, end = 0;
        bool nested = false; ///< of a bank whose deeper steps hold its shoaler ones
    };
    std::vector<Near> near;
    /// Of each its lines and outlines that are near; corners are the obstacle's, bit for bit.
    std::vector<geo::Shape> edges;
    std::vector<Group> groups;
};

/// The squares of a box, each made when it is first asked for. Queries may run on many threads. What it is
/// made from must outlive it.
class Tiles {
  public:
    Tiles(const std::vector<Obstacle>& all, const geo::BoxIndex& index, std::vector<bool> nested,
          const geo::Box& box);
    /// Metres around a tile within which nothing is left out.
    static constexpr double reach_m = 200.0;
    /// Null outside the box.
    const Tile* at(geo::Point place) const;
    /// Null for a step from there, within that box, that is too long as well.
    const Tile* of_step(geo::Point from, const geo::Box& box) const {
        const bool short_step = box.max_x - box.min_x <= reach_m && box.max_y - box.min_y <= reach_m;
        return short_step ? at(from) : nullptr;
    }
    /// Metres a boat can go from there without meeting anything in force at `tide_m` or more: no more than
    /// there are. It is in no zone (with `zones` false: touches nothing) now. What is in force below a level
    /// above `highest_m` is always in force.
    double free_m(geo::Point place, double tide_m, double highest_m, bool zones) const;
    /// Whether a step from there within a box may meet anything at such a tide.
    bool any_near(geo::Point from, const geo::Box& box, double tide_m, double highest_m, bool zones) const;

  private:
    struct Square {
        std::once_flag once;
        std::atomic<bool> made = false;
        Tile tile;
    };
    void make(Tile& tile, std::size_t column, std::size_t row) const;
    const std::vector<Obstacle>& all_;
    const geo::BoxIndex& index_;
    std::vector<bool> nested_; // by obstacle
    geo::Point corner_;
    std::size_t columns_;
    mutable std::vector<Square> squares_;
};

} // namespace dangerline::drift
