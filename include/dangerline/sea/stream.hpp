// The water's movement: what is known of it at a place and time.
#pragma once

#include <functional>
#include <optional>
#include <string>

#include "dangerline/base/time.hpp"
#include "dangerline/geo/shape.hpp"

namespace dangerline::sea {

/// Where the water moves to, metres a second towards true east and north.
struct Stream {
    double east_mps = 0.0;
    double north_mps = 0.0;
    /// Metres a second, 0 or more.
    double rate_mps() const;
    /// Degrees true, [0, 360); 0 for no stream.
    double set_deg() const;
    bool operator==(const Stream&) const = default;
};
/// `set_deg`: true, towards.
Stream stream_of(double set_deg, double rate_mps);
/// Degrees between two sets, 0 to 180; 0 where either is none.
double angle_between_deg(const Stream& a, const Stream& b);

struct StreamThere {
    std::optional<Stream> stream{}; ///< nothing: not known
    /// The largest rate it can have; nothing: no bound is known. Of a known stream its rate or more.
    std::optional<double> bound_mps{};
    std::string source{}; ///< where the value comes from; empty where not known
    std::string reason{}; ///< why it is not known; empty where it is
};

/// The stream at one place against time; nothing = not known then. Cheap to call, on many threads.
using PlaceStream = std::function<std::optional<Stream>(Instant)>;

/// Streams of an area. Immutable; queries may run on many threads. A PlaceStream must not outlive its field.
class StreamField {
  public:
    virtual ~StreamField() = default;
    virtual StreamThere at(geo::Point place, Instant when) const = 0;
    /// at(place, t).stream, with all that does not change with time settled once.
    virtual PlaceStream fix(geo::Point place) const = 0;
};

} // namespace dangerline::sea
