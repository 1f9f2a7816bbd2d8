// The one table of what makes a chart hard to believe, and the one of bottoms that move.
#pragma once

#include <cstdint>
#include <optional>
#include <span>
#include <string_view>
#include <vector>

#include "dangerline/base/time.hpp"

namespace dangerline::survey {

/// In the order of the table, the gravest first.
enum class Flag : std::uint8_t {
    no_coverage,
    unsurveyed,
    old_bar,
    moved_channel,
    old_moving,
    lead_line,
    undated,
    before_1970,
    zone_d,
    zone_u,
    zone_c,
    chart_not_updated
};

/// One row: when an area is flagged, and where that rule comes from.
struct FlagRule {
    Flag flag;
    std::string_view name;   ///< in outputs
    std::string_view when;   ///< in words
    std::string_view source; ///< a publication, "common practice" or "assumption of this project"
};
std::span<const FlagRule> flag_rules();
const char* to_text(Flag flag);

/// What kind of bottom moves, the calmest first.
enum class Moving : std::uint8_t { no, soft, sand_waves, bank, river_mouth, channel, bar };
const char* to_text(Moving kind);

/// How fast such a bottom moves and how long a survey of it is believed; defaults of the plan's [survey].
struct MovingRule {
    Moving kind = Moving::no;
    double metres_per_year = 0.0;
    double years = 0.0;      ///< older surveys are flagged
    std::string_view source; ///< of the rate; the years are assumptions of this project, none are published
};
inline constexpr std::string_view by_the_plan = "as the plan says"; ///< source of what a plan sets
std::span<const MovingRule> moving_rules();
const MovingRule& moving_rule(Moving kind);

/// How surveys are judged. All defaults that no publication gives are assumptions of this project.
struct TrustSettings {
    std::optional<CalendarDay> as_of{}; ///< without it no age is known, and everything is undated
    std::vector<MovingRule> moving{moving_rules().begin(), moving_rules().end()};
    double bar_years = 1.0; ///< a bar surveyed longer ago is unknown, where the plan says no other of it
    double undated_years = 100.0; ///< moving bottom of unknown age is taken to have moved so long
    int b_since_year = 1950;      ///< CATZOC B counts as C where it is not known to be surveyed since then
    double bar_depth_m = 10.0;    ///< sand waves are a bar where the chart shows less
    double mouth_depth_m = 5.0;   ///< ground of a river mouth moves where the chart shows less
    const MovingRule& rule(Moving kind) const;
};

/// Sand waves charted as a point or a line reach so far: about one crest spacing, 500 m in the North Sea
/// (Németh et al. 2002).
inline constexpr double crest_spacing_m = 500.0;

/// A chart whose last update is older is flagged (assumption of this project).
inline constexpr long chart_days = 365;

} // namespace dangerline::survey
