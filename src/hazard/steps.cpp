#include "hazard/steps.hpp"

#include <algorithm>
#include <cmath>
#include <initializer_list>

#include <fmt/format.h>

namespace dangerline::hazard {

namespace {

using chart::Feature;

/// Whether a list attribute holds one of the codes.
bool has_any(const Feature& f, std::string_view acronym, std::initializer_list<int> codes) {
    return std::any_of(codes.begin(), codes.end(), [&](int c) { return f.attributes.has_code(acronym, c); });
}

Step below(const Feature& f, Depth depth, bool known, std::string basis) {
    Step s;
    s.depth = depth;
    s.depth_known = known;
    s.extent = f.shape;
    s.basis = std::move(basis);
    return s;
}

Step always(const Feature& f, Grade decides, Cause cause, std::string basis) {
    Step s = unknown_step(f.shape, std::move(basis));
    s.decides = decides;
    s.cause = cause;
    return s;
}

/// The step that keeps an object whose depth is not sure from ever being better than a caution.
Step never_better_than_caution(const Feature& f, Depth shown, std::string basis) {
    Step s = always(f, Grade::caution, Cause::assumed, std::move(basis));
    s.depth = shown;
    return s;
}

std::string depth_words(double depth_m) {
    return depth_m < 0.0 ? fmt::format("dries {:.1f} m", -depth_m) : fmt::format("depth {:.1f} m", depth_m);
}

/// A value that its own water level contradicts: the shoaler of the two is used.
std::optional<std::string> contradiction(double value, int watlev) {
    const bool dries_but_deep = watlev == 4 && value > 0.0;
    const bool deep_but_dries = watlev == 3 && value < 0.0;
    // What stands out of the water or floats has no sounding over it.
    if (!dries_but_deep && !deep_but_dries && !assumed_depth(watlev).surface)
        return std::nullopt;
    return fmt::format("{} against WATLEV {} ({}); the shoaler is used", depth_words(value), watlev,
                       assumed_depth(watlev).words);
}

void add_valued(const Feature& f, double value, int watlev, StepList& out) {
    out.contradiction = contradiction(value, watlev);
    const AssumedDepth assumed = assumed_depth(watlev);
    if (assumed.surface) {
        out.steps.push_back(always(f, Grade::danger, Cause::none, std::string(assumed.words)));
        return;
    }
    if (out.contradiction && watlev == 4) {
        out.steps.push_back(below(f, Depth::never_covered(), false, std::string(assumed.words)));
        return;
    }
    // Awash with a value below the datum: 0.0 is the shoaler.
    const double depth = watlev == 5 ? std::min(value, 0.0) : value;
    // Without a water level it may as well be afloat or dry: the value alone is not to be relied on.
    const bool water_level_known = watlev >= 1 && watlev <= 7;
    const bool doubtful = has_any(f, "QUASOU", {2, 3, 4, 8, 9}) || !water_level_known;
    const std::string basis = "charted " + depth_words(value) +
                              (!water_level_known ? ", water level not stated"
                               : doubtful         ? ", doubtful or only reported"
                                                  : "");
    out.steps.push_back(below(f, Depth::from_metres(depth), !doubtful, basis));
    if (doubtful)
        out.steps.push_back(never_better_than_caution(f, Depth::from_metres(depth), basis));
}

void add_assumed(const Feature& f, int watlev, StepList& out) {
    const AssumedDepth assumed = assumed_depth(watlev);
    const std::string basis(assumed.words);
    if (assumed.surface) {
        out.steps.push_back(always(f, Grade::danger, Cause::none, basis));
        return;
    }
    out.steps.push_back(below(f, assumed.decides, false, basis));
    out.steps.push_back(never_better_than_caution(f, assumed.shown, basis));
}

StepList submerged(const Feature& f, const Rule& rule) {
    StepList out;
    constexpr int foul_ground = 7;
    const int watlev = f.attributes.code("WATLEV").value_or(0);
    const auto value = f.attributes.number("VALSOU");
    if (rule.cls == "OBSTRN" && f.attributes.code("CATOBS") == foul_ground)
        out.what = "foul ground";
    if (value)
        add_valued(f, *value, watlev, out);
    else
        add_assumed(f, watlev, out);
    return out;
}

StepList bottom(const Feature& f, bool maintained_depth) {
    StepList out;
    auto shoalest = f.attributes.number("DRVAL1");
    auto deepest = f.attributes.number("DRVAL2");
    if (shoalest && deepest && *deepest < *shoalest) {
        out.contradiction = fmt::format("DRVAL2 {} is shoaler than DRVAL1 {}; taken the other way round",
                                        *deepest, *shoalest);
        std::swap(shoalest, deepest);
    }
    if (shoalest)
        out.what = deepest && *deepest != *shoalest
                       ? fmt::format("depth area {:.1f} to {:.1f} m", *shoalest, *deepest)
                       : fmt::format("depth area {:.1f} m", *shoalest);
    if (!shoalest) {
        // A range whose shoal end nobody knows may hold anything.
        if (deepest)
            out.steps.push_back(below(f, Depth::from_metres(*deepest), true,
                                      fmt::format("nowhere deeper than {:.1f} m", *deepest)));
        out.steps.push_back(always(f, Grade::unknown, Cause::none, "depth range not stated"));
        return out;
    }
    const bool ranged = deepest && *deepest > *shoalest && !maintained_depth;
    if (ranged) {
        out.steps.push_back(below(f, Depth::from_metres(*deepest), true,
                                  fmt::format("nowhere deeper than {:.1f} m", *deepest)));
        Step s = below(f, Depth::from_metres(*shoalest), false,
                       fmt::format("somewhere in {:.1f} to {:.1f} m", *shoalest, *deepest));
        s.decides = Grade::caution;
        s.cause = Cause::assumed;
        out.steps.push_back(std::move(s));
    } else {
        out.steps.push_back(
            below(f, Depth::from_metres(*shoalest), true, "charted " + depth_words(*shoalest)));
    }
    if (has_any(f, "QUASOU", {2, 3, 4, 8, 9, 11}))
        out.steps.push_back(never_better_than_caution(f, Depth::from_metres(*shoalest),
                                                      "depth doubtful, reported or not maintained"));
    return out;
}

StepList swept(const Feature& f) {
    StepList out;
    if (const auto depth = f.attributes.number("DRVAL1"))
        out.steps.push_back(
            below(f, Depth::from_metres(*depth), true, fmt::format("swept to {:.1f} m", *depth)));
    else
        add_assumed(f, 3, out);
    return out;
}

Step mark_step(const Feature& f) {
    Step s = always(f, Grade::danger, Cause::none, "stands in the way");
    s.within_m = mark_clearance_m;
    return s;
}

StepList mark(const Feature& f) {
    StepList out;
    out.mark = true;
    out.steps.push_back(mark_step(f));
    out.steps.push_back(always(f, Grade::caution, Cause::margin, "inside the corridor"));
    return out;
}

/// CATSLC in words (S-57 attribute 60); empty for kinds that need none.
std::string construction_words(const Feature& f) {
    static constexpr const char* words[] = {"",        "breakwater",     "groyne",   "mole",
                                            "pier",    "promenade pier", "wharf",    "training wall",
                                            "rip rap", "revetment",      "sea wall", "landing steps",
                                            "ramp",    "slipway"};
    const int code = f.attributes.code("CATSLC").value_or(0);
    return code >= 1 && code <= 13 ? words[code] : "";
}

/// A mark; where its water level should be stated and is not, it may as well be under water.
StepList seen_mark(const Feature& f, bool may_be_covered) {
    StepList out = mark(f);
    if (may_be_covered)
        out.steps.push_back(never_better_than_caution(f, Depth::never_covered(), "water level not stated"));
    return out;
}

StepList fixture_steps(const Feature& f, const Rule& rule) {
    constexpr int ruined = 2, always_dry = 2;
    const auto watlev = f.attributes.code("WATLEV");
    // Piles and moorings carry no water level as a rule; they are built to be seen.
    const bool seen_as_a_rule = rule.cls == "PILPNT" || rule.cls == "MORFAC";
    if (f.attributes.code("CONDTN") != ruined && (watlev == always_dry || (!watlev && seen_as_a_rule)))
        return seen_mark(f, !watlev && rule.cls == "MORFAC");
    if (f.attributes.code("CONDTN") == ruined && watlev != 3) {
        StepList out;
        add_assumed(f, watlev.value_or(0) == always_dry ? 0 : watlev.value_or(0), out);
        out.what = fmt::format("ruined {}", rule.what);
        return out;
    }
    return submerged(f, rule);
}

StepList fixture(const Feature& f, const Rule& rule) {
    StepList out = fixture_steps(f, rule);
    if (const std::string words = rule.cls == "SLCONS" ? construction_words(f) : ""; !words.empty())
        out.what = out.what.starts_with("ruined") ? "ruined " + words : words;
    return out;
}

StepList overhead(const Feature& f) {
    StepList out;
    std::optional<double> least;
    // An opening bridge counts closed; a cable by its safe clearance where that is given.
    for (const auto* acronym : {"VERCLR", "VERCCL", "VERCSA"})
        if (const auto value = f.attributes.number(acronym))
            least = std::min(least.value_or(*value), *value);
    if (!least) {
        out.steps.push_back(always(f, Grade::unknown, Cause::none, "clearance not stated"));
        return out;
    }
    Step s = always(f, Grade::danger, Cause::none, fmt::format("clearance {:.1f} m", *least));
    s.in_force = InForce::above;
    s.clearance_m = *least;
    s.depth_known = true;
    out.steps.push_back(std::move(s));
    return out;
}

StepList regulated(const Feature& f, bool caution) {
    StepList out;
    const auto restrictions = f.attributes.codes("RESTRN");
    const auto categories = f.attributes.codes("CATREA");
    caution = caution || std::any_of(restrictions.begin(), restrictions.end(), restriction_is_caution) ||
              std::any_of(categories.begin(), categories.end(), area_category_is_caution);
    std::string basis = "rules may apply";
    if (has_any(f, "RESTRN", {7}))
        basis = "entry prohibited";
    else if (has_any(f, "RESTRN", {8}))
        basis = "entry restricted";
    else if (has_any(f, "RESTRN", {14}))
        basis = "area to be avoided";
    out.steps.push_back(
        always(f, caution ? Grade::caution : Grade::note, caution ? Cause::rule : Cause::none, basis));
    return out;
}

/// CATCOA in words (S-57 attribute 15): what a boat that drifts ashore meets; empty for kinds that tell
/// nothing.
std::string coast_words(const Feature& f) {
    static constexpr const char* words[] = {"",
                                            "steep coast",
                                            "flat coast",
                                            "sandy shore",
                                            "stony shore",
                                            "shingly shore",
                                            "glacier coast",
                                            "mangrove coast",
                                            "marshy shore",
                                            "coral reef coast"};
    const int code = f.attributes.code("CATCOA").value_or(0);
    return code >= 1 && code <= 9 ? words[code] : "";
}

StepList land(const Feature& f, const Rule& rule) {
    StepList out;
    out.steps.push_back(always(f, Grade::danger, Cause::none, "never passable"));
    if (rule.cls == "COALNE")
        out.what = coast_words(f);
    return out;
}

StepList one(Step step) {
    StepList out;
    out.steps.push_back(std::move(step));
    return out;
}

StepList rough(const Feature& f) {
    static constexpr const char* words[] = {
        "rough water of unstated kind", "breakers", "eddies", "overfalls", "tide rips", "bombora"};
    Step s = always(f, Grade::danger, Cause::none, "");
    s.in_force = InForce::by_stream;
    StepList out = one(std::move(s));
    const int category = f.attributes.code("CATWAT").value_or(0);
    out.what = words[category >= 1 && category <= 5 ? category : 0];
    return out;
}

} // namespace

Step unknown_step(std::shared_ptr<const geo::Shape> extent, std::string basis) {
    Step s;
    s.in_force = InForce::always;
    s.decides = Grade::unknown;
    s.depth = Depth::never_covered();
    s.depth_known = false;
    s.extent = std::move(extent);
    s.basis = std::move(basis);
    return s;
}

StepList steps_for(const Feature& f, const Rule& rule) {
    switch (rule.treatment) {
    case Treatment::submerged:
        return submerged(f, rule);
    case Treatment::bottom:
        return bottom(f, false);
    case Treatment::dredged:
        return bottom(f, true);
    case Treatment::swept:
        return swept(f);
    case Treatment::soundings:
        return {};
    case Treatment::land:
        return land(f, rule);
    case Treatment::obstacle:
        return one(always(f, Grade::danger, Cause::none, "never passable"));
    case Treatment::fixture:
        return fixture(f, rule);
    case Treatment::mark:
        return mark(f);
    case Treatment::turbine:
        return may_be_turbine(f) ? mark(f) : StepList{};
    case Treatment::may_shoal:
        return one(
            always(f, Grade::caution, Cause::assumed, "the bottom may have risen since it was charted"));
    case Treatment::weed:
        return one(
            always(f, Grade::caution, Cause::assumed, "fouls propellers and hides what lies under it"));
    case Treatment::rough:
        return rough(f);
    case Treatment::overhead:
        return overhead(f);
    case Treatment::unsurveyed:
        return one(always(f, Grade::unknown, Cause::none, "nobody has sounded it"));
    case Treatment::moving:
        return one(always(f, Grade::caution, Cause::survey, "the bottom moves"));
    case Treatment::regulated:
        return regulated(f, false);
    case Treatment::regulated_caution:
        return regulated(f, true);
    }
    return {};
}

StepList sounding_steps(const Feature& group, double depth_m, std::shared_ptr<const geo::Shape> place) {
    StepList out;
    const bool known = std::isfinite(depth_m);
    Step s;
    s.extent = std::move(place);
    s.depth = known ? Depth::from_metres(depth_m) : Depth::never_covered();
    s.depth_known = known && !has_any(group, "QUASOU", {2, 3, 4, 8, 9});
    s.basis = known ? depth_words(depth_m) : "depth not known";
    if (known && !s.depth_known)
        s.basis += ", doubtful or only reported";
    out.what = "sounding";
    out.steps.push_back(s);
    if (!s.depth_known) {
        s.in_force = InForce::always;
        s.decides = Grade::caution;
        s.cause = Cause::assumed;
        out.steps.push_back(std::move(s));
    }
    return out;
}

} // namespace dangerline::hazard
