// Buoys, beacons and piles beside a line: notes by day, cautions in the dark, and so for every departure.
#include <gtest/gtest.h>

#include <cmath>

#include "dangerline/passage/check.hpp"
#include "dangerline/passage/windows.hpp"
#include "dangerline/sea/sun.hpp"
#include "passage/made_hazards.hpp"

using namespace dangerline;
using namespace dangerline::passage;
using hazard::Cause;
using hazard::Grade;

namespace {

using made_hazards::plane;
using made_hazards::world;

constexpr double mile = metres_per_nautical_mile;

/// Due north, 6 NM at 6 kn, through a place half way.
Track north() {
    Route r;
    r.name = "test";
    for (const double y : {0.0, 3.0 * mile, 6.0 * mile})
        r.places.push_back(plane().to_position({0.0, y}));
    r.half_widths_m.assign(2, 50.0);
    r.speeds_mps.assign(2, 6.0 * mps_per_knot);
    r.shore_start_m = r.shore_end_m = 0.0;
    return Track(r, plane());
}

/// As the rules make a visible mark: in the way within 15 m, beside that a caution.
hazard::Hazard mark(double x, double y) {
    hazard::Hazard h;
    h.kind = hazard::Kind::obstacle;
    h.object = {"ONE", "BOYLAT", "", "TEST"};
    h.what = "buoy";
    h.mark = true;
    hazard::Step near;
    near.in_force = hazard::InForce::always;
    near.depth = Depth::never_covered();
    near.extent = std::make_shared<const geo::Shape>(geo::Shape::of_points({{x, y}}));
    hazard::Step beside = near;
    near.within_m = 15.0;
    beside.decides = Grade::caution;
    beside.cause = Cause::margin;
    h.steps = {near, beside};
    h.box = near.extent->box();
    return h;
}

Conditions high_tide() {
    Conditions c;
    c.required = Water::from_metres(1.4);
    c.tides = Tides::one(tide::Curve::fixed(TideHeight::from_metres(9.0), ""), {23, {}});
    return c;
}

/// The stream is known for the first hours only.
class Ending : public sea::StreamField {
  public:
    explicit Ending(Instant to) : to_(to) {}
    sea::StreamThere at(geo::Point place, Instant when) const override {
        return {fix(place)(when), {}, "test", ""};
    }
    sea::PlaceStream fix(geo::Point) const override {
        return [to = to_](Instant t) { return t < to ? std::optional(sea::Stream{}) : std::nullopt; };
    }

  private:
    Instant to_;
};

const Finding& buoy(const Check& c) {
    for (const auto& f : c.findings)
        if (f.object.cls == "BOYLAT")
            return f;
    throw std::runtime_error("no buoy among the findings");
}

/// When twilight ends on 16 June 2026, 3 NM up the line.
Instant dusk() {
    const Instant noon = start_of({2026, 6, 16}) + 14.0 * 3600.0;
    return sea::sun_above(plane().to_position({0.0, 3.0 * mile}), sea::civil_twilight_altitude_deg, noon,
                          noon + 43200.0)
        .intervals()
        .front()
        .to;
}

Finding met_at(Instant t, double x = 30.0) {
    // 30 minutes and 50 m before it.
    const Track track = north();
    return buoy(check(track, Timetable(track, t - 1800.0), world({mark(x, 3.0 * mile)}), high_tide()));
}

} // namespace

TEST(Marks, AreNotesByDayAndCautionsInTheDark) {
    const Finding day = met_at(dusk() - 6.0 * 3600.0);
    EXPECT_EQ(day.grade, Grade::note);
    EXPECT_EQ(day.cause, Cause::none);
    EXPECT_NE(day.reason.find("by day it is seen"), std::string::npos) << day.reason;
    const Finding night = met_at(dusk() + 2.0 * 3600.0);
    EXPECT_EQ(night.grade, Grade::caution);
    EXPECT_EQ(night.cause, Cause::margin);
    EXPECT_NE(night.reason.find("it may be dark then"), std::string::npos) << night.reason;
    for (const double hours : {-6.0, 2.0})
        EXPECT_EQ(met_at(dusk() + hours * 3600.0, 14.0).grade, Grade::danger);
}

// The corridor is left 40 m (13 s) after the buoy is abeam, and the boat may be 15 minutes late.
TEST(Marks, AreSeenOnlyIfTheWholeOfTheTimeIsLight) {
    EXPECT_EQ(met_at(dusk() - 900.0 - 40.0).grade, Grade::note);
    EXPECT_EQ(met_at(dusk() - 900.0 + 20.0).grade, Grade::caution);
}

TEST(Marks, AreCautionsWhereNobodyKnowsWhenTheyAreMet) {
    const Track track = north();
    const Instant noon = dusk() - 6.0 * 3600.0;
    const auto at = [&](Instant known_to) {
        const Ending field(known_to);
        Voyage::Settings settings;
        settings.streams = &field;
        settings.from = noon - 3600.0;
        settings.to = noon + 6.0 * 3600.0;
        return buoy(check(track, Timetable(Voyage(track, settings), noon), world({mark(30.0, 4.0 * mile)}),
                          high_tide()));
    };
    EXPECT_EQ(at(noon + 3.0 * 3600.0).grade, Grade::note);
    const Finding lost = at(noon + 1800.0);
    EXPECT_EQ(lost.grade, Grade::caution);
    EXPECT_NE(lost.reason.find("when it is met is not known"), std::string::npos) << lost.reason;
}

// Without early, late and slow boats the season closes to margins exactly what the check finds a caution.
TEST(Marks, CloseTheSeasonAsTheCheckFindsThem) {
    const Track track = north();
    const auto w = world({mark(30.0, 1.2 * mile), mark(-20.0, 3.0 * mile), mark(40.0, 5.9 * mile)});
    const Conditions c = high_tide();
    const VoyageMaker voyages = [](const Track& t, double share, const Interval&) {
        Voyage::Settings s;
        s.speed_factor = share;
        s.waits = {{1, 2.0 * 3600.0, {}}};
        return Voyage(t, s);
    };
    const Instant from = start_of({2026, 6, 16});
    SeasonAsk ask{.departures = {from, from + 2.0 * 86400.0}};
    ask.robustness.early_s = ask.robustness.late_s = ask.robustness.slower = 0.0;
    const Season s = season(track, voyages, w, c, ask);
    EXPECT_TRUE(s.closed.empty()) << "marks close no calculated window";
    std::vector<Interval> closed;
    for (const auto& one : s.not_offered)
        closed.push_back(one.when);
    const TimeSet not_offered = TimeSet::of_any(std::move(closed));
    const TimeSet sure =
        not_offered.shrunk(0.5, 0.5).united(not_offered.complement(ask.departures).shrunk(0.5, 0.5));
    int day = 0, night = 0;
    const Voyage voyage = voyages(track, 1.0, ask.departures);
    for (Instant d = from + 1.0; d < ask.departures.to; d = d + 97.0) {
        if (!sure.contains(d))
            continue;
        const bool dark = check(track, Timetable(voyage, d), w, c).worst == Grade::caution;
        ASSERT_EQ(not_offered.contains(d), dark) << d - from;
        ++(dark ? night : day);
    }
    EXPECT_GT(day, 300);
    EXPECT_GT(night, 300);
}

// 40 m off by a source that may be 30 m out: no chart shows it, so it may stand within 15 m of the line.
TEST(Marks, ThatNoChartShowsMayStandElsewhere) {
    const Track track = north();
    auto turbine = mark(40.0, 3.0 * mile);
    turbine.allowance.position_m = 30.0;
    const Instant noon = dusk() - 6.0 * 3600.0;
    const auto grade = [&] {
        return buoy(check(track, Timetable(track, noon), world({turbine}), high_tide()));
    };
    EXPECT_EQ(grade().grade, Grade::note);
    turbine.object.uncharted = true;
    EXPECT_EQ(grade().grade, Grade::caution);
    EXPECT_EQ(grade().cause, hazard::Cause::position);
}
