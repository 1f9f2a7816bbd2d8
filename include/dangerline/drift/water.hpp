// Streams of an area on a grid, as drift asks for them millions of times.
#pragma once

#include <cstdint>
#include <optional>
#include <vector>

#include "dangerline/base/time.hpp"
#include "dangerline/geo/plane.hpp"
#include "dangerline/geo/shape.hpp"
#include "dangerline/sea/stream.hpp"

namespace dangerline::drift {

/// Metres between nodes (assumption of this project): a quarter of a nautical mile.
inline constexpr double stream_spacing_m = 463.0;
/// Seconds between slices; the step of every stream series.
inline constexpr double stream_slice_s = 600.0;

/// Streams at the four corners of a cell at one time, mm/s: south-west, south-east, north-west, north-east.
/// They lie together since a step of drift asks for all of them at two times.
struct alignas(16) StreamCell {
    std::int16_t east[4];
    std::int16_t north[4];
    /// In `north` of a corner that is not known.
    static constexpr std::int16_t unknown = -32768;
};

/// Streams at the nodes of a square grid in the working plane, turned from true north to the plane's axes and
/// rounded to 1 mm/s; linear in place and time between them. Not known within a cell and slice of any node
/// that is not known, and outside the box and the times. Immutable.
class StreamGrid {
  public:
    /// `field` is asked at every node. The box is made a whole number of cells, at least one.
    StreamGrid(const sea::StreamField& field, const geo::Plane& plane, const geo::Box& box, Instant from,
               Instant to, double spacing_m = stream_spacing_m);
    /// The same stream everywhere and always.
    StreamGrid(const sea::Stream& stream, const geo::Plane& plane, const geo::Box& box, Instant from,
               Instant to);

    /// Towards the plane's x and y, metres a second.
    std::optional<sea::Stream> at(geo::Point place, Instant t) const;
    /// The largest rate at any node.
    double largest_mps() const { return largest_; }

    geo::Point corner() const { return corner_; } ///< south-west
    geo::Box box() const;
    Instant from() const { return from_; }
    double slice_s() const { return slice_s_; }
    double spacing_m() const { return spacing_; }
    std::int32_t columns() const { return columns_; }
    std::int32_t rows() const { return rows_; }
    std::int32_t slices() const { return slices_; }
    /// By row from the south, column (one fewer of each than of nodes), time.
    const std::vector<StreamCell>& cells() const { return cells_; }

  private:
    void lay(const geo::Box& box, Instant from, Instant to, double spacing_m);
    StreamCell& cell(std::int32_t column, std::int32_t row, std::int32_t slice);
    /// As a corner of every cell it is one of.
    void put(std::int32_t column, std::int32_t row, std::int32_t slice, const sea::Stream& stream);
    geo::Point corner_{};
    Instant from_ = Instant::from_unix_seconds(0.0);
    double spacing_ = 0.0, slice_s_ = stream_slice_s, largest_ = 0.0;
    std::int32_t columns_ = 0, rows_ = 0, slices_ = 0;
    std::vector<StreamCell> cells_{};
};

} // namespace dangerline::drift
