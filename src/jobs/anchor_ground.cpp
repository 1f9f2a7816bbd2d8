#include "jobs/anchor_ground.hpp"

#include <algorithm>
#include <cmath>
#include <limits>

#include <fmt/format.h>

#include "dangerline/geo/reach.hpp"
#include "dangerline/hazard/moved.hpp"

namespace dangerline::jobs {

namespace {

using hazard::Grade;
using hazard::Hazard;
using hazard::InForce;
using hazard::Step;

/// No doubt of a place is larger.
constexpr double widest_doubt_m = 500.0;

std::vector<const Hazard*> hazards_near(const hazard::Hazards& hazards, geo::Point place, double metres) {
    std::vector<const Hazard*> out;
    double moved = 0.0;
    for (const auto& h : hazards.all)
        moved = std::max(moved, hazard::moved_m(h));
    for (const auto i : hazards.index->meeting(square_around(place, metres + widest_doubt_m + moved)))
        out.push_back(&hazards.all[i]);
    return out;
}

bool can_be_touched(const Hazard& h) {
    using hazard::Kind;
    return h.kind == Kind::depth || h.kind == Kind::obstacle || h.kind == Kind::shore;
}

/// What one step makes of a boat in the circle; nothing where it can't reach her.
std::optional<TouchNote> touched(const Hazard& h, const Step& step, geo::Point place, double swing_m,
                                 std::optional<double> low_m, double doubt_m, Water touching) {
    if (step.in_force != InForce::below && step.in_force != InForce::always)
        return std::nullopt;
    const double distance = step.extent->distance(place);
    if (distance > swing_m + h.allowance.position_m + step.moved_m)
        return std::nullopt;
    TouchNote note{Grade::danger, h.object, h.what, step.basis, distance, {}, place, {}, false};
    if (step.moved_m > 0.0 && step.decides == Grade::danger && distance > swing_m)
        note.basis += fmt::format("; the bottom moves, by {:.0f} m perhaps since it was surveyed",
                                  std::ceil(step.moved_m));
    if (distance > 0.0)
        note.nearest = geo::nearest({place, place}, *step.extent).on_shape;
    if (distance > swing_m || (step.decides != Grade::danger && step.decides != Grade::unknown))
        note.grade = Grade::caution;
    if (step.decides == Grade::note || step.decides == Grade::none_found)
        return std::nullopt;
    if (step.in_force == InForce::always || !std::isfinite(step.depth.metres()))
        return step.in_force == InForce::always && step.decides == Grade::caution && !h.mark
                   ? std::nullopt // kelp and the like do not hurt a hull that lies still
                   : std::optional(note);
    if (!low_m) {
        note.grade = Grade::caution;
        return note;
    }
    note.water_m = step.depth.metres() + *low_m;
    if (*note.water_m >= touching.metres()) {
        const double doubt = std::hypot(doubt_m, h.allowance.depth_doubt(step.depth.metres()));
        if (*note.water_m - doubt >= touching.metres())
            return std::nullopt;
        note.grade = Grade::caution;
    }
    return note;
}

bool graver(const TouchNote& a, const TouchNote& b) {
    if (a.grade != b.grade)
        return a.grade > b.grade;
    const double least = -std::numeric_limits<double>::infinity();
    if (a.water_m.value_or(least) != b.water_m.value_or(least))
        return a.water_m.value_or(least) < b.water_m.value_or(least);
    return a.distance_m < b.distance_m;
}

/// What the full doubt of place and depth of a survey leaves possible; nothing where that is water enough, or
/// nothing is known.
std::optional<TouchNote> by_survey_doubt(const hazard::DepthBounds& in_circle, geo::Point place,
                                         double swing_m, std::optional<double> low_m, double doubt_m,
                                         Water touching) {
    const auto shoal = in_circle.no_shoaler_than();
    if (!shoal || !low_m || shoal->metres() + *low_m - doubt_m >= touching.metres())
        return std::nullopt;
    TouchNote note{Grade::caution,
                   {in_circle.shoalest.lnam, "", "", in_circle.shoalest.cell},
                   "the bottom, by the full doubt of its survey",
                   in_circle.shoalest.rests_on,
                   std::max(0.0, in_circle.reach_m - swing_m),
                   {},
                   place,
                   {},
                   false};
    note.by_survey = true;
    if (std::isfinite(shoal->metres()))
        note.water_m = shoal->metres() + *low_m;
    return note;
}

/// The worst of all grounds a nature names.
void judge(NatureNote& note, drift::Pattern pattern) {
    note.holding = drift::Holding::suits;
    bool first = true;
    for (const auto ground : drift::grounds_of(note.nature.natsur, note.nature.natqua)) {
        const auto row = drift::holding_of(pattern, ground);
        const auto holding = row ? row->holding : drift::Holding::unknown;
        if (!first && holding <= note.holding)
            continue;
        first = false;
        note.holding = holding;
        note.why = row ? std::string(row->why) : "nothing is known of such a bottom";
        note.source = row ? std::string(row->source) : "";
    }
}

} // namespace

std::string named(const std::string& what, const hazard::ObjectRef& object) {
    return object.name.empty() ? what : fmt::format("{} \"{}\"", what, object.name);
}

std::vector<FoulNote> fouls_around(const hazard::AnchoringGround& ground, geo::Point place, double swing_m) {
    std::vector<FoulNote> in, beside;
    for (auto& foul : ground.foul_near(place, swing_m + beside_m)) {
        FoulNote note;
        note.outside_m = std::max(0.0, foul.distance_m - foul.position_m - swing_m);
        note.lies = foul.distance_m <= swing_m ? Lies::in_circle
                    : note.outside_m > 0.0     ? Lies::beside
                                               : Lies::by_doubt;
        note.foul = std::move(foul);
        (note.lies == Lies::beside ? beside : in).push_back(std::move(note));
    }
    std::stable_sort(in.begin(), in.end(), [](const auto& a, const auto& b) { return a.lies < b.lies; });
    const auto nearest = std::min_element(
        beside.begin(), beside.end(), [](const auto& a, const auto& b) { return a.outside_m < b.outside_m; });
    if (nearest != beside.end())
        in.push_back(std::move(*nearest));
    return in;
}

std::vector<std::string> unknown_around(const hazard::Hazards& hazards, const hazard::AnchoringGround& ground,
                                        geo::Point place, double swing_m) {
    std::vector<std::string> out;
    const auto add = [&](std::string words) {
        if (!words.empty() && std::find(out.begin(), out.end(), words) == out.end())
            out.push_back(std::move(words));
    };
    add(ground.placeless_at(place));
    for (const Hazard* h : hazards_near(hazards, place, swing_m))
        for (const auto& step : h->steps)
            if (step.decides == Grade::unknown &&
                step.extent->distance(place) <= swing_m + h->allowance.position_m)
                add(named(h->what, h->object));
    return out;
}

std::vector<TouchNote> touches_around(const hazard::Hazards& hazards, const hazard::DepthBounds& in_circle,
                                      geo::Point place, double swing_m, const LowAt& low, double doubt_m,
                                      Water touching) {
    std::vector<TouchNote> out;
    std::optional<TouchNote> bottom; // of all depth areas and soundings only the worst
    for (const Hazard* h : hazards_near(hazards, place, swing_m)) {
        if (!can_be_touched(*h))
            continue;
        std::optional<TouchNote> worst;
        const auto low_m = low(h->datum);
        for (const auto& step : h->steps)
            if (auto note = touched(*h, step, place, swing_m, low_m, doubt_m, touching);
                note && (!worst || graver(*note, *worst)))
                worst = std::move(note);
        if (worst && h->between) {
            if (!bottom || graver(*worst, *bottom))
                bottom = std::move(worst);
        } else if (worst) {
            out.push_back(std::move(*worst));
        }
    }
    if (!bottom)
        bottom = by_survey_doubt(in_circle, place, swing_m, low(in_circle.datum), doubt_m, touching);
    if (bottom)
        out.push_back(std::move(*bottom));
    std::stable_sort(out.begin(), out.end(), graver);
    return out;
}

std::vector<NatureNote> natures_around(const hazard::AnchoringGround& ground, geo::Point place,
                                       drift::Pattern pattern) {
    std::vector<NatureNote> out;
    for (auto& nature : ground.natures_near(place, nature_reach_m)) {
        NatureNote note;
        note.here = nature.distance_m <= nature.position_m + drift::own_position_doubt_m;
        note.words = drift::bottom_words(nature.natsur, nature.natqua);
        note.nature = std::move(nature);
        judge(note, pattern);
        out.push_back(std::move(note));
    }
    // What holds at the mark leaves no say to what lies farther off.
    if (std::any_of(out.begin(), out.end(), [](const auto& n) { return n.here; }))
        std::erase_if(out, [](const auto& n) { return !n.here; });
    return out;
}

double moved_at(const hazard::Hazards& hazards, geo::Point place) {
    double moved = 0.0;
    for (const Hazard* h : hazards_near(hazards, place, 0.0))
        for (const auto& step : h->steps)
            if (step.moved_m > moved &&
                step.extent->distance(place) <= step.moved_m + h->allowance.position_m)
                moved = step.moved_m;
    return moved;
}

double danger_reach(const hazard::Hazards& hazards, geo::Point place, double within_m) {
    double reach = within_m;
    for (const Hazard* h : hazards_near(hazards, place, within_m))
        for (const auto& step : h->steps)
            if (const double doubt = step.moved_m + h->allowance.position_m;
                within_m + doubt > reach && step.extent->distance(place) <= within_m + doubt)
                reach = within_m + doubt;
    return reach;
}

double danger_reach(const std::vector<survey::DrawnMoving>& drawn, const survey::TrustSettings& trust,
                    geo::Point place, double within_m) {
    double reach = within_m;
    for (const auto& area : drawn) {
        survey::Facts stated;
        stated.begun = area.surveyed;
        const double years = survey::age_of(stated, trust.as_of).years.value_or(trust.undated_years);
        const double rate = area.metres_per_year.value_or(trust.rule(area.kind).metres_per_year);
        const auto& box = area.where->box();
        const double moved = std::min(rate * years, std::hypot(box.max_x - box.min_x, box.max_y - box.min_y));
        if (area.where->distance(place) <= within_m + widest_doubt_m + moved)
            reach = std::max(reach, within_m + widest_doubt_m + moved);
    }
    return reach;
}

std::optional<NearestDanger> nearest_danger(const hazard::Hazards& hazards, geo::Point place, double within_m,
                                            const LowAt& low, Water required) {
    std::optional<NearestDanger> nearest;
    const auto take = [&](const Hazard& h, const geo::Shape& extent, double moved_m) {
        const double distance = std::max(0.0, extent.distance(place) - h.allowance.position_m - moved_m);
        if (distance <= within_m && (!nearest || distance < nearest->distance_m))
            nearest = NearestDanger{named(h.what, h.object), distance};
    };
    for (const Hazard* h : hazards_near(hazards, place, within_m)) {
        if (!can_be_touched(*h) && h->kind != hazard::Kind::rough_water && h->kind != hazard::Kind::no_data)
            continue;
        const auto low_m = low(h->datum);
        const auto covered = [&](const Step& step) {
            return step.in_force == InForce::below && low_m &&
                   step.depth.metres() + *low_m >= required.metres();
        };
        for (const auto& step : h->steps) {
            const bool counts = step.decides == Grade::danger || step.decides == Grade::unknown;
            // Marks hurt a boat adrift wherever she meets them.
            if ((!counts && !h->mark) || covered(step) || step.in_force == InForce::above)
                continue;
            take(*h, *step.extent, step.moved_m);
        }
        if (hazard::moved_m(*h) > 0.0)
            for (const auto& moved : hazard::moved_steps(*h))
                if (!covered(h->steps[moved.step]))
                    take(*h, *moved.extent, moved.moved_m);
    }
    return nearest;
}

} // namespace dangerline::jobs
