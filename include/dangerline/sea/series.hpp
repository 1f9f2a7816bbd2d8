// A stream against time at one place.
#pragma once

#include <functional>
#include <optional>
#include <vector>

#include "dangerline/base/time.hpp"
#include "dangerline/sea/stream.hpp"

namespace dangerline::sea {

/// Seconds between the nodes of every series; node times are whole multiples of it.
inline constexpr double series_step_s = 600.0;

/// Streams at equally spaced instants, linear between them; nothing beside a node that is not known and
/// outside all nodes. Immutable.
class Series {
  public:
    Series() = default;
    /// Asks for every node from the last at or before `from` to the first at or after `to`.
    Series(Instant from, Instant to, const std::function<std::optional<Stream>(Instant)>& at);
    std::optional<Stream> value(Instant t) const;

  private:
    Instant start_ = Instant::from_unix_seconds(0.0);
    std::vector<float> east_, north_; // NaN: not known
};

} // namespace dangerline::sea
