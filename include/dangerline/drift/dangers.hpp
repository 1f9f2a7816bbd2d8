// What a boat that drifts can come to grief on, and how far away it is.
#pragma once

#include <cstdint>
#include <functional>
#include <limits>
#include <map>
#include <memory>
#include <optional>
#include <vector>

#include "dangerline/base/quantities.hpp"
#include "dangerline/drift/anchor.hpp"
#include "dangerline/geo/index.hpp"
#include "dangerline/geo/reach.hpp"
#include "dangerline/hazard/hazard.hpp"
#include "dangerline/hazard/rough_water.hpp"

namespace dangerline::drift {

/// One step of a hazard as a drifting boat meets it. Two events: the boat *enters its danger zone* (the
/// extent grown by the doubt of its position, over less water than required) and *touches* it (within half a
/// boat's length of the extent, over less than the draught with the leg down and half a wave). A zone is
/// never smaller than what the boat touches. Over a bottom that moves the zone is wider by as much as it may
/// have moved since its survey; what is touched stays where it is charted.
struct Obstacle {
    /// Of what is unknown (no chart, no survey) the touch is its edge; rough water is never touched.
    enum class Says : std::uint8_t { danger, unknown, rough };
    std::size_t hazard = 0; ///< number in Hazards::all
    std::size_t step = 0;
    /// 0: the step as charted; else which moving part of its hazard (from 1) `extent` is cut from.
    std::size_t moving = 0;
    std::shared_ptr<const geo::Shape> extent{};
    Says says = Says::danger;
    int category = 0; ///< CATWAT of rough water
    double zone_m = 0.0, touch_m = 0.0;
    double moved_m = 0.0; ///< of zone_m: as far as the bottom may have moved there since its survey
    /// In force while the tide (above the reference datum) is lower: +infinity always, -infinity never.
    double zone_below_m = std::numeric_limits<double>::infinity();
    double touch_below_m = -std::numeric_limits<double>::infinity();
    std::optional<double> above_m{}; ///< overhead: while the tide is higher than this
};

struct DangerSettings {
    Water required = Water::from_metres(0.0); ///< as for a passage
    Water touching = Water::from_metres(0.0); ///< draught with the leg down and half the wave height
    double half_length_m = 0.5 * default_boat_length_m; ///< of the boat
    std::optional<double> air_height_m{}; ///< air draught and margin; nothing: what is overhead is unknown
    /// Metres by which a hazard's own datum lies below the reference one, so that a tide h above the
    /// reference is h + this above the hazard's. For every datum of the hazards; nothing: not linked, such a
    /// hazard is unknown.
    std::function<std::optional<double>(int datum)> below_reference{};
    /// The tide is the lowest of several stations: what is overhead can't be judged by it and is unknown.
    bool tide_is_lowest = false;
    geo::Box box{}; ///< what lies outside is not looked at
};

/// What the water is like on a step.
struct StepWater {
    double tide_from_m = 0.0, tide_to_m = 0.0; ///< above the reference datum, straight between
    hazard::WaterState state{};                ///< for rough water
};

struct Hit {
    double share = 0.0; ///< of the step, 0 to 1
    std::uint32_t obstacle = 0;
};
struct Hits {
    std::optional<Hit> zone{}, touch{};
};

/// For each cell of a raster how far from its middle the nearest zone is at least, and the nearest place of
/// touching, at the lowest tide of a band. At first only roughly; exactly once a boat came near
/// (Dangers::measure). A square of cells is a cache line: a boat that drifts stays on it for a while.
struct DistanceBounds {
    static constexpr std::int32_t side = 8; ///< cells of a square
    /// A byte b says 2 b - 2 metres; it is odd where they were measured.
    static constexpr std::int32_t unit_m = 2, least_m = -2;
    struct alignas(64) Square {
        std::uint8_t cells[side * side];
    };
    double tide_m = 0.0;
    std::int32_t columns = 0, rows = 0;
    std::int32_t squares_in_row = 0;
    /// Row from the south, column; first those of zones, then those of touches. Bytes are replaced by greater
    /// ones while others read them: atomically.
    mutable std::vector<Square> squares{};

    std::size_t index(std::int32_t column, std::int32_t row) const;
    std::uint8_t* zones() const { return squares.data()->cells; }
    std::uint8_t* touches() const { return zones() + squares.size() / 2 * sizeof(Square); }
    /// From anywhere in the cell to the nearest zone.
    double zone_m(std::int32_t column, std::int32_t row) const;
};

/// Immutable but for distance bounds, which prepare() adds and measure() makes exact; queries may run on many
/// threads.
class Dangers {
  public:
    Dangers(const hazard::Hazards& hazards, const DangerSettings& settings);
    ~Dangers();
    Dangers(Dangers&&) noexcept;
    Dangers& operator=(Dangers&&) noexcept;

    const std::vector<Obstacle>& all() const;
    const DangerSettings& settings() const;
    bool any_rough() const; ///< whether any of them asks for stream, wind and swell

    /// The first instant of a straight step at which the boat is in a danger zone, and that at which it
    /// touches; exact. The boat was in no zone (with `zones` false: touched nothing) before the step, unless
    /// the step has no length. Of several hazards at the same instant the lower number counts.
    Hits first(geo::Point from, geo::Point to, const StepWater& water, bool zones = true) const;
    /// The same as first() by testing every obstacle whole, whatever was before.
    Hits first_by_all(geo::Point from, geo::Point to, const StepWater& water, bool zones = true) const;
    /// Metres to the nearest danger zone that may be in force at that tide, 0 inside; infinity where none is
    /// in the box. Rough water, what is unknown and whatever is overhead count.
    double nearest_zone(geo::Point place, double tide_m) const;

    /// Side of the cells of distance bounds and height of their tide bands, metres.
    static constexpr double cell_m = 50.0;
    static constexpr double band_m = 0.5;
    /// Bounds for tides from `lowest_m` to `highest_m`. Call before bounds_at(), from one thread.
    void prepare(double lowest_m, double highest_m);
    /// Hold for every tide from `tide_m`'s band to the highest prepared for, for boats that are in no zone
    /// (touch nothing).
    const DistanceBounds& bounds_at(double tide_m) const;
    /// Makes the bound of the cell around a place exact. Metres a boat can go from there, whichever way,
    /// without meeting anything; nothing where the cell was measured before or can't be.
    std::optional<double> measure(const DistanceBounds& bounds, geo::Point place, bool zones) const;
    /// Whether anything reaches into the cell of a place, as a mask would tell. Not where cells were
    /// measured.
    bool reached(const DistanceBounds& bounds, geo::Point place, bool zones) const;
    /// Whether first() need be asked at all about a step, at any tide the bounds are for.
    bool any_near(const DistanceBounds& bounds, geo::Point from, geo::Point to, bool zones) const;
    std::int32_t columns() const;
    std::int32_t rows() const;

  private:
    struct Implementation;
    std::unique_ptr<Implementation> self_;
};

} // namespace dangerline::drift
