#include "passage/findings.hpp"

#include <algorithm>
#include <cmath>
#include <limits>
#include <tuple>

#include <fmt/format.h>

#include "dangerline/base/words.hpp"

namespace dangerline::passage {

namespace {

using hazard::Cause;
using hazard::Grade;
using hazard::Hazard;
using hazard::InForce;

bool worse(const Hazard& h, const Grading& a, const Grading& b) {
    const auto spare = [&h](const Grading& g) {
        return g.tide ? h.steps[g.step].depth.metres() + g.tide->metres
                      : -std::numeric_limits<double>::infinity();
    };
    return std::make_tuple(-static_cast<int>(a.grade), static_cast<int>(a.cause), spare(a)) <
           std::make_tuple(-static_cast<int>(b.grade), static_cast<int>(b.cause), spare(b));
}

std::string title(const Hazard& h) {
    const std::string text = capitalised(h.what);
    return h.object.name.empty() ? text : fmt::format("{} \"{}\"", text, h.object.name);
}

/// "1.2 m of water, -0.2 ± 0.4 m to spare" and the like; `when` is put behind the water.
std::string water_words(const Finding& f, bool at_worst, const std::string& when) {
    if (!f.water_m)
        return {};
    const char* lead = at_worst ? "at worst " : "";
    constexpr double shown_as_zero = 0.05;
    if (*f.water_m <= -shown_as_zero)
        return fmt::format("{}{:.1f} m out of the water{} where {:.1f} m is required", lead, -*f.water_m,
                           when, *f.required_water_m);
    const std::string water =
        *f.water_m < shown_as_zero ? "no water" : fmt::format("{:.1f} m of water", *f.water_m);
    return fmt::format("{}{}{}, {} ± {:.1f} m to spare", lead, water, when, spare_tenths(*f.spare_m),
                       *f.spare_doubt_m);
}

/// "0.3 NM", below a tenth of a mile "90 m".
std::string length_words(double metres) {
    const double miles = metres / metres_per_nautical_mile;
    if (metres < 10.0)
        return "less than 10 m";
    return miles < 0.1 ? fmt::format("{:.0f} m", metres) : fmt::format("{:.1f} NM", miles);
}

/// "rock \"A\", wreck and 3 more": what of all objects a skipper knows by name.
std::string objects_words(const std::vector<std::uint32_t>& features, const hazard::Hazards& hazards) {
    constexpr std::size_t named = 3;
    std::vector<std::string> names;
    for (const auto number : features) {
        const auto& h = hazards.all[number];
        std::string name = h.object.name.empty() ? h.what : fmt::format("{} \"{}\"", h.what, h.object.name);
        if (std::find(names.begin(), names.end(), name) == names.end())
            names.push_back(std::move(name));
    }
    std::string words;
    for (std::size_t i = 0; i < std::min(named, names.size()); ++i)
        words += (i == 0 ? "" : ", ") + names[i];
    return names.size() > named ? fmt::format("{} and {} more", words, names.size() - named) : words;
}

std::string position_words(const Hazard& h) {
    return fmt::format("its place may be {:.0f} m out", h.allowance.position_m);
}

std::string cause_words(const Finding& f, const Hazard& h, const hazard::Step& step, double half_width_m) {
    switch (f.cause) {
    case Cause::margin:
        return h.mark ? "" : "within the doubt of tide and time";
    case Cause::assumed:
        return f.distance_m > half_width_m ? position_words(h) : "";
    case Cause::position:
        return position_words(h);
    case Cause::survey:
        // What is a caution whatever its depth says so by its basis.
        return h.kind == hazard::Kind::survey || step.decides == Grade::caution
                   ? ""
                   : fmt::format("within the doubt of its survey ({}±{:.1f} m)",
                                 h.allowance.at_least ? "at least " : "",
                                 h.allowance.depth_doubt(f.depth_m.value_or(0.0)));
    default:
        return "";
    }
}

std::string rough_words(const Finding& f, const Conditions& c) {
    if (!c.sea.rate_mps)
        return "the stream is not known; taken as in force";
    const double kn = *c.sea.rate_mps / mps_per_knot;
    return f.grade == Grade::note ? fmt::format("stream at most {:.1f} kn", kn)
                                  : fmt::format("in force at streams up to {:.1f} kn", kn);
}

std::string overhead_words(const Finding& f, const Hazard& h, const Grading& g, const Judge& judge) {
    const Conditions& c = judge.conditions();
    if (!g.tide)
        return !c.boat.air_draught_m                     ? "the boat's air draught is not given"
               : judge.tides().unlinked(g.span, h.datum) ? "its high-water datum is not linked to the tide"
                                                         : "no tide is known for this time";
    if (!f.water_m)
        return {};
    return fmt::format("{:.1f} m under it, {:.1f} m needed", *f.water_m,
                       *c.boat.air_draught_m + c.boat.overhead_margin_m);
}

/// "about 1.3 m, by the sounding of 1.2 m 40 m off": what the surface at the finding's place rests on.
std::string surface_words(const Finding& f, const Hazard& h, const hazard::Step& step) {
    const bool by_surface = h.surface && step.in_force == InForce::below && step.decides == Grade::danger;
    if (!by_surface || step.depth.metres() >= h.surface->deepest())
        return {};
    const auto words = [](double depth_m) {
        return depth_m < 0.0 ? fmt::format("drying {:.1f} m", -depth_m) : fmt::format("{:.1f} m", depth_m);
    };
    const auto& corner = h.surface->nearest_corner(f.place);
    const std::string about = "about " + words(step.depth.metres());
    switch (corner.source) {
    case seabed::Source::sounding:
        return fmt::format("{}, by the sounding of {} {:.0f} m off ({})", about, words(corner.depth_m),
                           std::hypot(corner.at.x - f.place.x, corner.at.y - f.place.y), corner.lnam);
    case seabed::Source::contour:
    case seabed::Source::edge:
        return fmt::format("{}, towards the contour of {}", about, words(corner.depth_m));
    case seabed::Source::shoal_end:
        return about + ", towards the shoal end of its range";
    }
    return {};
}

std::string sentence(const Finding& f, const Hazard& h, const Grading& g, const Judge& judge,
                     double half_width_m) {
    const Conditions& c = judge.conditions();
    const auto& step = h.steps[g.step];
    std::string detail = step.basis == h.what ? "" : step.basis;
    if (step.in_force == InForce::by_stream)
        detail = rough_words(f, c);
    if (auto words = surface_words(f, h, step); !words.empty())
        detail = std::move(words);
    const auto add = [&detail](const std::string& more) {
        if (!more.empty())
            detail += (detail.empty() ? "" : "; ") + more;
    };
    if (step.in_force == InForce::above)
        add(overhead_words(f, h, g, judge));
    else
        add(water_words(f, step.in_force == InForce::below && step.decides == Grade::caution,
                        f.grade == Grade::caution && g.tide && !g.tide->fixed
                            ? fmt::format(" if {:.0f} min early or late", c.doubts.time_margin_s / 60.0)
                            : ""));
    add(cause_words(f, h, step, half_width_m));
    if (g.tide && !f.tide_m && f.span.to > judge.timetable().held_to())
        add(f.critical_tide_m && std::isfinite(*f.critical_tide_m)
                ? fmt::format(
                      "when it is met is not known, so neither is the water; it takes {:.1f} m of tide",
                      *f.critical_tide_m)
                : "when it is met is not known");
    add(g.why);
    return detail.empty() ? title(h) + "." : fmt::format("{}: {}.", title(h), detail);
}

void set_water(Finding& f, const Hazard& h, const Grading& g, const Judge& judge) {
    const auto& step = h.steps[g.step];
    const double required = judge.conditions().required.metres();
    if (step.in_force == InForce::above) {
        if (!g.tide || f.span.to > judge.timetable().held_to())
            return;
        f.tide_m = g.tide->metres;
        f.water_m = step.clearance_m - g.tide->metres;
        return;
    }
    if (step.in_force == InForce::by_stream || h.kind != hazard::Kind::depth)
        return;
    const double depth = step.depth.metres();
    f.required_water_m = required;
    f.depth_known = step.depth_known;
    if (step.in_force == InForce::below)
        f.critical_tide_m = critical_tide(judge.conditions().required, step.depth).metres();
    if (!std::isfinite(depth))
        return;
    f.depth_m = depth;
    if (!f.critical_tide_m)
        f.critical_tide_m = required - depth;
    // Behind an unknown time a tide would be one of many.
    if (!g.tide || f.span.to > judge.timetable().held_to())
        return;
    f.tide_m = g.tide->metres;
    f.water_m = depth + g.tide->metres;
    f.spare_m = *f.water_m - required;
    f.spare_doubt_m = judge.doubt(*g.tide, h.allowance.depth_doubt(depth), h.datum);
}

void set_nearest(Finding& f, const Track& track, const geo::Shape& shape, const geo::Span& span) {
    f.distance_m = std::numeric_limits<double>::infinity();
    for (const auto& chord : track.chords()) {
        if (chord.to < span.from || chord.from > span.to)
            continue;
        const double length = chord.to - chord.from;
        const auto at = [&](double s) {
            return chord.leg.at(length > 0.0 ? (s - chord.from) / length * chord.leg.length() : 0.0);
        };
        const double from = std::max(span.from, chord.from), to = std::min(span.to, chord.to);
        const geo::Leg part{at(from), at(to)};
        const auto near = geo::nearest(part, shape);
        if (near.metres < f.distance_m) {
            f.distance_m = near.metres;
            f.place = near.on_shape;
            f.on_route = part.at(near.along);
            const double whole = part.length();
            f.nearest_at = from + (whole > 0.0 ? (to - from) * near.along / whole : 0.0);
        }
    }
}

void set_span(Finding& f, const geo::Span& span, double length, const Judge& judge) {
    f.span = span;
    f.length_m = length;
    f.enter = judge.timetable().at(span.from);
    f.leave = judge.timetable().leave(span.to);
}

} // namespace

hazard::ObjectRef quality_object(const survey::QualityZone& zone) {
    return {zone.lnam, zone.lnam.empty() ? "" : "M_QUAL", "", zone.cell};
}

std::vector<Finding> findings_of(const HazardContact& contact, const std::vector<Grading>& gradings,
                                 const Track& track, const hazard::Hazards& hazards, const Judge& judge) {
    const Hazard& h = hazards.all[contact.hazard];
    Spans runs;
    for (const auto& g : gradings)
        runs.push_back(g.span);
    geo::join(runs, 1e-6);
    std::vector<Finding> findings;
    for (const auto& run : runs) {
        const Grading* worst = nullptr;
        for (const auto& g : gradings)
            if (g.span.from >= run.from - 1e-6 && g.span.to <= run.to + 1e-6 &&
                (!worst || worse(h, g, *worst)))
                worst = &g;
        Spans same; // all pieces of the run that have the worst grade
        for (const auto& g : gradings)
            if (g.grade == worst->grade && g.cause == worst->cause && g.span.from >= run.from - 1e-6 &&
                g.span.to <= run.to + 1e-6)
                same.push_back(g.span);
        geo::join(same);
        Finding f;
        f.grade = worst->grade;
        f.cause = worst->cause;
        f.kind = h.kind;
        f.object = h.object;
        f.what = h.what;
        f.remark = h.remark;
        set_span(f, {same.front().from, same.back().to}, length_of(same), judge);
        set_water(f, h, *worst, judge);
        set_nearest(f, track, *h.steps[worst->step].extent, f.span);
        f.reason = sentence(f, h, *worst, judge, track.route().half_widths_m[track.leg_at(f.nearest_at)]);
        findings.push_back(std::move(f));
    }
    return findings;
}

Finding finding_of(const SurveyLine& line, const TriedAlong::Proven& proven, const Track& track,
                   const hazard::Hazards& hazards, const Judge& judge) {
    const auto& zone = hazards.zones[line.zone];
    const Hazard& h = hazards.all[line.hazard];
    const auto& row = survey::zone_of_confidence(zone.figures());
    const bool at_least = row.at_least || zone.figures() != zone.catzoc;
    Finding f;
    const Spans left = without(line.spans, proven.spans);
    const Spans& spans = left.empty() ? line.spans : left;
    f.grade = left.empty() ? Grade::note : Grade::caution;
    f.cause = left.empty() ? Cause::none : Cause::survey;
    f.kind = hazard::Kind::survey;
    f.object = quality_object(zone);
    f.what = survey::describe(zone);
    set_span(f, {spans.front().from, spans.back().to}, length_of(spans), judge);
    set_nearest(f, track, *h.steps[line.step].extent, f.span);
    f.required_water_m = judge.conditions().required.metres();
    const bool timed = f.span.to <= judge.timetable().held_to();
    if (std::isfinite(line.water_m)) {
        f.depth_m = h.steps[line.step].depth.metres();
        f.depth_known = h.steps[line.step].depth_known;
        f.critical_tide_m = *f.required_water_m - *f.depth_m;
    }
    if (std::isfinite(line.water_m) && timed) {
        f.tide_m = line.tide.metres;
        f.water_m = line.water_m;
        f.spare_m = line.water_m - *f.required_water_m;
        f.spare_doubt_m = line.doubt_m;
    }
    const std::string objects = objects_words(line.features, hazards);
    f.reason = fmt::format(
        "{} of {} may be affected by the doubt of {}: places may be {}{:.0f} m out{} and depths {}{:.1f} m; "
        "least over {}{}{}{}.",
        length_words(f.length_m), length_words(track.length()), f.what, at_least ? "at least " : "",
        survey::position_doubt(row, *f.required_water_m),
        line.moved_m > 0.0
            ? fmt::format(", and {:.0f} m more where the bottom has moved since its survey,", line.moved_m)
            : "",
        at_least ? "at least " : "", row.depth.at(f.depth_m.value_or(0.0)), h.what,
        f.spare_m ? fmt::format(", {} ± {:.1f} m to spare", spare_tenths(*f.spare_m), *f.spare_doubt_m)
        : timed   ? std::string(", height not known")
                  : std::string(", when it is met is not known"),
        objects.empty() ? "" : "; among them " + objects,
        proven.words.empty() ? ""
        : left.empty()       ? "; " + proven.words
                       : fmt::format("; {} more {}", length_words(length_of(proven.spans)), proven.words));
    return f;
}

Finding finding_of(const Landing& landing, const Track& track, const Judge& judge) {
    Finding f;
    f.grade = Grade::caution;
    f.cause = Cause::assumed;
    f.kind = hazard::Kind::shore;
    f.what = landing.at_start ? "shore stretch at the start" : "shore stretch at the end";
    const double length = landing.stretch.to - landing.stretch.from;
    set_span(f, landing.stretch, length, judge);
    f.place = f.on_route = track.point_at(landing.at_start ? 0.0 : track.length());
    f.nearest_at = landing.at_start ? 0.0 : track.length();
    const double required = judge.conditions().required.metres();
    const std::string how_long =
        !landing.deep_m ? fmt::format("length not known, at most {:.0f} m ({})", length, landing.why_it_ends)
        : *landing.deep_m > length
            ? fmt::format(
                  "about {:.0f} m to wade at this tide before there is {:.1f} m of water; {:.0f} m are "
                  "taken as the shore stretch ({})",
                  *landing.deep_m - landing.waterline_m.value_or(0.0), required, length, landing.why_it_ends)
            : fmt::format("about {:.0f} m from the waterline to {:.1f} m of water",
                          *landing.deep_m - landing.waterline_m.value_or(0.0), required);
    f.reason = fmt::format(
        "{}: {}. Along it only rocks, wrecks and other objects are tested; ground and stream across "
        "it are for the crew to judge.",
        landing.at_start ? "Shore stretch at the start" : "Shore stretch at the end", how_long);
    return f;
}

void rank(std::vector<Finding>& findings) {
    const auto key = [](const Finding& f) {
        // Spare water nobody knows comes first; a beach launch, which has none by its nature, last.
        const double infinite = std::numeric_limits<double>::infinity();
        const bool launch = f.kind == hazard::Kind::shore && f.object.cls.empty();
        return std::make_tuple(-static_cast<int>(f.grade), static_cast<int>(f.cause),
                               f.spare_m.value_or(launch ? infinite : -infinite), f.enter.unix_seconds(),
                               f.distance_m, f.object.lnam, f.span.from);
    };
    std::stable_sort(findings.begin(), findings.end(),
                     [&](const Finding& a, const Finding& b) { return key(a) < key(b); });
}

} // namespace dangerline::passage
