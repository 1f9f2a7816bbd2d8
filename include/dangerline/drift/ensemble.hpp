// Many boats of one kind adrift from one place: where each goes and what it meets.
#pragma once

#include <cstdint>
#include <functional>
#include <limits>
#include <optional>
#include <vector>

#include "dangerline/base/time.hpp"
#include "dangerline/drift/dangers.hpp"
#include "dangerline/drift/leeway.hpp"
#include "dangerline/drift/level.hpp"
#include "dangerline/drift/water.hpp"
#include "dangerline/sea/wind.hpp"

namespace dangerline::drift {

/// What is not known well. Each particle draws all of it once and keeps it: a forecast that is wrong stays
/// wrong. One standard deviation of a normal law each; all are assumptions of this project.
struct Errors {
    double stream_share = 0.25; ///< of the rate; factors are cut at least_drawn_factor
    double stream_turn_deg = 20.0;
    double wind_share = 0.25;
    double wind_turn_deg = 20.0;
    double tide_clock_s = 20.0 * 60.0;   ///< tide and stream come so much early or late
    double leeway_share = 0.10;          ///< of the leeway's slope
    double divergence_share = 1.0 / 3.0; ///< of the divergence; half of the particles fall off to either side
    double eddies_m2ps = 1.0;            ///< diffusion: a random walk of variance 2 K t in each direction
    static Errors none();
};
inline constexpr float least_drawn_factor = 0.1f;

/// Heights of the tide above the reference datum of the dangers every step_s, straight between.
class TideLine {
  public:
    static constexpr double step_s = 60.0;
    /// Asks for [from, to]; nothing = not known then.
    TideLine(const std::function<std::optional<double>(Instant)>& height_m, Instant from, Instant to);
    std::optional<double> at(Instant t) const;
    /// Lowest known height in the span; nothing where none is. `all_known`: whether all of it is.
    std::optional<double> lowest(Instant from, Instant to, bool& all_known) const;
    double lowest_m() const { return lowest_; } ///< of all known; 0 where none is
    double highest_m() const { return highest_; }

  private:
    Instant from_ = Instant::from_unix_seconds(0.0);
    std::vector<float> heights_{}; // NaN: not known
    double lowest_ = 0.0, highest_ = 0.0;
};

/// A boat without its engine at a place and time.
struct Adrift {
    geo::Point start{};
    Instant begin = Instant::from_unix_seconds(0.0);
    double lasts_s = 6.0 * 3600.0;
    Leeway leeway{};
    const StreamGrid* water = nullptr;
    const sea::Wind* wind = nullptr;
    const TideLine* tide = nullptr;
    /// The tide for longer, told by when what touched floats again; null: `tide`.
    const TideLine* later = nullptr;
    hazard::WaterState sea{}; ///< wind and swell for rough water; its rate counts nowhere
    geo::Point own_mps{};     ///< way made through the water (oars, a second engine), plane axes
    double own_s = 0.0;       ///< for so long
};

/// Errors are of second order in the step (Adams-Bashforth, the first step Euler's): under 0.5 m in 12 h at
/// this one in a tidal stream that turns (see the tests).
inline constexpr double drift_step_s = 60.0;
/// Seconds between kept places of a track.
inline constexpr double track_step_s = 600.0;

struct EnsembleSettings {
    std::uint32_t particles = 1000;
    std::uint64_t seed = 1;
    Errors errors{};
    double step_s = drift_step_s; ///< seconds a step takes
    std::uint32_t tracks = 0;     ///< of the first so many particles every track_step_s is kept
    bool hourly = false;          ///< positions at whole hours are kept
    Level level = levels().back();
    unsigned threads = 0;      ///< 0: as many as the machine has
    bool exact_by_all = false; ///< every obstacle is tested at every step: slow, for comparison
    bool by_mask = false;      ///< whatever reaches into the cell of a step's middle is met: for comparison
};
enum class End : std::uint8_t {
    afloat,         ///< time is over
    touched,        ///< aground or against something
    unknown_water,  ///< no chart, no survey, or what the chart says contradicts itself
    left_area,      ///< the edge of what was looked at
    stream_unknown, ///< no stream is known there or then
    wind_unknown,
    tide_unknown
};
const char* to_text(End end);

inline constexpr float not_reached = std::numeric_limits<float>::infinity();
inline constexpr std::uint32_t no_obstacle = std::numeric_limits<std::uint32_t>::max();

/// What became of one particle. Times in seconds since the begin.
struct Fate {
    float zone_s = not_reached;  ///< enters its first danger zone
    float touch_s = not_reached; ///< touches
    float end_s = 0.0f;
    float clock_s = 0.0f;                                  ///< tide and stream were so much ahead for it
    std::uint32_t zone = no_obstacle, touch = no_obstacle; ///< numbers in Dangers::all(); of an end in
                                                           ///< unknown water `touch` names it
    End end = End::afloat;
    geo::Point zone_at{}, end_at{};
    /// First danger, or the end of what is known where that comes first; not_reached for a boat afloat in
    /// known water.
    float trouble_s() const;
};

struct Ensemble {
    std::vector<Fate> fates{};                     ///< by particle
    std::vector<std::vector<geo::Point>> hourly{}; ///< [hour - 1][particle]; those that ended stay there
    std::vector<std::vector<geo::Point>> tracks{}; ///< [particle][step], from the start to its end
};

/// Runs all particles. Same input and seed: the same result, whatever threads and instructions. A boat that
/// touches stays there. `dangers` must be prepared for the heights of the tide line and laid over
/// StreamGrid::box(); throws std::invalid_argument for another box.
Ensemble run(const Adrift& adrift, const Dangers& dangers, const EnsembleSettings& settings);

} // namespace dangerline::drift
