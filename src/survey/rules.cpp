#include "dangerline/survey/rules.hpp"

#include <algorithm>
#include <array>

namespace dangerline::survey {

namespace {

constexpr std::string_view own = "assumption of this project";
constexpr std::string_view catzoc_source = "IHO S-68 Ed 1.0.0 Annex A Table A-1";

constexpr std::array<FlagRule, 12> flags{{
    {Flag::no_coverage, "no_coverage", "no chart covers it", "IHO S-57 Ed 3.1, M_COVR with CATCOV 2"},
    {Flag::unsurveyed, "unsurveyed", "charted as unsurveyed", "IHO S-57 Ed 3.1, UNSARE"},
    {Flag::old_bar, "old_bar", "a bar surveyed more than a year ago, or at an unknown date", own},
    {Flag::moved_channel, "moved_channel",
     "a channel over a moving bottom that may have moved by more than half its width",
     "rates as below; the comparison is an assumption of this project"},
    {Flag::old_moving, "old_moving", "a moving bottom surveyed longer ago than its kind allows, or undated",
     own},
    {Flag::lead_line, "lead_line", "surveyed by lead line",
     "IHO S-68 Ed 1.0.0 Annex B Table B-1: C for lead line (United Kingdom)"},
    {Flag::undated, "undated", "the begin of its survey is not dated", "common practice"},
    {Flag::before_1970, "before_1970", "surveyed, wholly or in part, before 1970",
     "IHO S-68 Ed 1.0.0 Annex B Table B-1: B since 1970 (France), D before 1966 (Japan)"},
    {Flag::zone_d, "catzoc_d", "CATZOC D: large depth anomalies may be expected", catzoc_source},
    {Flag::zone_u, "catzoc_u", "CATZOC U, or none: quality not assessed", catzoc_source},
    {Flag::zone_c, "catzoc_c", "CATZOC C: depth anomalies may be expected", catzoc_source},
    {Flag::chart_not_updated, "chart_not_updated",
     "the chart's last update is more than 365 days old, or of unknown age", own},
}};

constexpr std::string_view no_rate = "no rate published";
constexpr std::string_view inlet =
    "Marsdiep inlet 1998-2005, up to 90 m a year (Buijsman and Ridderinkhof 2008)";

constexpr std::array<MovingRule, 6> movings{{
    {Moving::soft, 0.0, 25.0, no_rate},
    {Moving::sand_waves, 5.0, 10.0, "southern North Sea, 0 to 5 m a year on average (van Dijk et al. 2011)"},
    {Moving::bank, 19.0, 10.0, "near Texel, up to 19 m a year (van Dijk et al. 2011)"},
    {Moving::river_mouth, 90.0, 5.0, inlet},
    {Moving::channel, 90.0, 5.0, inlet},
    {Moving::bar, 90.0, 1.0, inlet},
}};

} // namespace

std::span<const FlagRule> flag_rules() {
    return flags;
}

const char* to_text(Flag flag) {
    return flags[static_cast<std::size_t>(flag)].name.data();
}

const char* to_text(Moving kind) {
    switch (kind) {
    case Moving::no:
        return "";
    case Moving::soft:
        return "soft ground";
    case Moving::sand_waves:
        return "sand waves";
    case Moving::bank:
        return "bank";
    case Moving::river_mouth:
        return "river mouth";
    case Moving::channel:
        return "channel";
    case Moving::bar:
        return "bar";
    }
    return "";
}

std::span<const MovingRule> moving_rules() {
    return movings;
}

const MovingRule& moving_rule(Moving kind) {
    static constexpr MovingRule still{};
    const auto at =
        std::find_if(movings.begin(), movings.end(), [&](const auto& r) { return r.kind == kind; });
    return at == movings.end() ? still : *at;
}

const MovingRule& TrustSettings::rule(Moving kind) const {
    const auto at = std::find_if(moving.begin(), moving.end(), [&](const auto& r) { return r.kind == kind; });
    return at == moving.end() ? moving_rule(kind) : *at;
}

} // namespace dangerline::survey
