// Sea level against time: the one thing the rest of the program asks about the tide.
#pragma once

#include <limits>
#include <memory>
#include <optional>
#include <string>
#include <vector>

#include "dangerline/base/quantities.hpp"
#include "dangerline/base/time.hpp"
#include "dangerline/tide/harmonic.hpp"

namespace dangerline::tide {

struct TimeSpan {
    Instant from = Instant::from_unix_seconds(0.0);
    Instant to = Instant::from_unix_seconds(0.0);
    bool operator==(const TimeSpan&) const = default;
};

struct Extreme {
    Instant at = Instant::from_unix_seconds(0.0);
    TideHeight height = TideHeight::from_metres(0.0);
};

struct HighOrLow {
    Instant at = Instant::from_unix_seconds(0.0);
    TideHeight height = TideHeight::from_metres(0.0);
    bool is_high = false;
};

/// Ascending, apart from each other (touching spans are joined).
struct Below {
    std::vector<TimeSpan> spans{};   ///< height < level
    std::vector<TimeSpan> unknown{}; ///< parts of the question outside the data: never to be read as "above"
};

/// Equally spaced nodes; between them the cubic that has these heights and rates (Hermite).
/// Node i stands at start + i·step_s; at least two nodes, heights and rates of equal number.
struct Piece {
    Instant start = Instant::from_unix_seconds(0.0);
    double step_s = 600.0;
    std::vector<double> height_m{};
    std::vector<double> rate_mps{};
    Instant end() const { return start + step_s * static_cast<double>(height_m.size() - 1); }
};

/// Height of the tide against time above the datum of its source (see datum.hpp for the way to a chart's
/// datum). An immutable value; copies share their data, queries may run on many threads.
///
/// Outside [valid_from, valid_to] and in gaps between pieces everything is unknown: the last value is never
/// held. Where two pieces meet at different heights (New Year: f and u change) the curve jumps; height() and
/// rate() there are the later piece's, lowest(), highest() and below() see both sides.
class Curve {
  public:
    /// The same height always. `note` says where it comes from ("chosen by the skipper").
    static Curve fixed(TideHeight height, const std::string& note);
    /// Harmonic prediction for [from, to], mean level `z0_m` metres above the datum of the heights. Nodes
    /// every 600 s: within 2e-6 m of direct_height(), under 2 ms for 180
    /// days. Throws Failure(Fault::plan) where from > to or the years leave 1900 to 2100.
    static Curve harmonic(const Constants& constants, double z0_m, Instant from, Instant to);
    /// Any other source. Pieces ascending and not overlapping; throws std::invalid_argument otherwise. Data
    /// hold for the part of [from, to] that pieces cover.
    static Curve from_pieces(std::vector<Piece> pieces, Instant from, Instant to, const std::string& note);
    static Curve from_pieces(std::vector<Piece> pieces, const std::string& note);

    bool is_fixed() const;
    const std::string& note() const;
    /// ∓infinity for a fixed height.
    Instant valid_from() const;
    Instant valid_to() const;
    const std::vector<Piece>& pieces() const;

    /// Nothing outside the data.
    std::optional<TideHeight> height(Instant t) const;
    /// Metres a second, rising positive.
    std::optional<double> rate(Instant t) const;

    /// Exact over the closed span: ends, extremes between nodes, both sides of a jump. The first where
    /// several are equal. Nothing where any part of the span is outside the data, or from > to.
    std::optional<Extreme> lowest(Instant from, Instant to) const;
    std::optional<Extreme> highest(Instant from, Instant to) const;

    /// High and low waters inside the open span, as far as the data go. A level stretch between rise and fall
    /// is one extreme at its middle; ends of data and jumps alone are none.
    std::vector<HighOrLow> extremes(Instant from, Instant to) const;

    /// When the height is below `level` in [from, to]; crossings good to 0.1 s of the curve, a jump through
    /// the level is a crossing. A touch from above is no span.
    Below below(TideHeight level, Instant from, Instant to) const;

    /// The parts of [from, to] where the height is unknown.
    std::vector<TimeSpan> unknown(Instant from, Instant to) const;

  private:
    struct Data;
    explicit Curve(std::shared_ptr<const Data> data);
    std::shared_ptr<const Data> data_;
};

} // namespace dangerline::tide
