// The check of a passage in the stream: later arrivals, legs that can't be held, rough water by what is met.
#include <gtest/gtest.h>

#include <cmath>

#include "dangerline/passage/check.hpp"
#include "passage/made_hazards.hpp"

using namespace dangerline;
using namespace dangerline::passage;
using hazard::Grade;

namespace {

using made_hazards::plane;
using made_hazards::world;

const Instant start = Instant::from_unix_seconds(1.78e9);
constexpr double mile = 1852.0;

class Steady : public sea::StreamField {
  public:
    explicit Steady(std::optional<sea::Stream> stream) : stream_(stream) {}
    sea::StreamThere at(geo::Point, Instant) const override { return {stream_, {}, "test", ""}; }
    sea::PlaceStream fix(geo::Point) const override {
        return [stream = stream_](Instant) { return stream; };
    }

  private:
    std::optional<sea::Stream> stream_;
};

/// Due north, so many miles, 6 kn.
Track north(double miles) {
    Route r;
    r.name = "test";
    r.places = {plane().to_position({0.0, 0.0}), plane().to_position({0.0, miles * mile})};
    r.half_widths_m = {50.0};
    r.speeds_mps = {6.0 * mps_per_knot};
    r.shore_start_m = r.shore_end_m = 0.0;
    return Track(r, plane());
}

hazard::Hazard at(double y, hazard::InForce in_force) {
    hazard::Hazard h;
    h.kind = in_force == hazard::InForce::by_stream ? hazard::Kind::rough_water : hazard::Kind::depth;
    h.object = {"ONE", h.kind == hazard::Kind::depth ? "UWTROC" : "WATTUR", "", "TEST"};
    h.what = "bar";
    h.datum = 23;
    h.category = 3;
    hazard::Step s;
    s.in_force = in_force;
    s.depth = Depth::from_metres(-0.6);
    s.extent = std::make_shared<const geo::Shape>(geo::Shape::of_points({{0.0, y}}));
    h.steps.push_back(s);
    h.box = s.extent->box();
    return h;
}

Check run(const Track& track, const std::optional<sea::Stream>& stream, const hazard::Hazard& h,
          Conditions c = {}) {
    const auto w = world({h});
    c.required = Water::from_metres(1.4);
    c.doubts = {0.3, 0.0, 0.0};
    if (c.tides.stations.empty())
        c.tides = Tides::one(tide::Curve::fixed(TideHeight::from_metres(9.0), ""), {23, {}});
    const Steady field(stream);
    Voyage::Settings settings;
    settings.streams = &field;
    settings.from = start - 3600.0;
    settings.to = start + 6.0 * 3600.0;
    return check(track, Timetable(Voyage(track, settings), start), w, c);
}

Grade worst_finding(const Check& c) {
    return c.findings.empty() ? Grade::none_found : c.findings.front().grade;
}

} // namespace

// 3.0 NM at 6 kn. The bar needs 2.0 m of tide; there are 2.4 m after 30 minutes and 1.9 m after 45. With 2 kn
// of foul stream 4 kn are made good and the boat comes after 45: danger. Without it nothing is found.
TEST(StreamsOfACheck, a_foul_stream_brings_the_boat_too_late) {
    const double fall = -0.5 / 900.0;
    tide::Piece piece{start, 7200.0, {}, {fall, fall}};
    for (const double t : {0.0, 7200.0})
        piece.height_m.push_back(2.4 + fall * (t - 1800.0));
    Conditions c;
    c.tides = Tides::one(tide::Curve::from_pieces({piece}, "falling"), {23, {}});
    const auto bar = at(3.0 * mile, hazard::InForce::below);
    const auto foul = run(north(3.0), sea::stream_of(180.0, 2.0 * mps_per_knot), bar, c);
    EXPECT_EQ(worst_finding(foul), Grade::danger);
    EXPECT_NEAR(*foul.findings.front().tide_m, 1.9, 0.01);
    EXPECT_EQ(worst_finding(run(north(3.0), sea::Stream{}, bar, c)), Grade::none_found);
}

// Leg 000 at 6 kn: across 2 kn is held; 6.5 kn and 5.8 kn (96.7 %) across, and 7 kn against, are not.
TEST(StreamsOfACheck, legs_that_cannot_be_held_or_stemmed_are_unknown_to_their_end) {
    const auto far = at(50.0 * mile, hazard::InForce::below);
    const std::tuple<double, double, Grade> rows[] = {{90.0, 2.0, Grade::none_found},
                                                      {90.0, 6.5, Grade::unknown},
                                                      {90.0, 5.8, Grade::unknown},
                                                      {180.0, 7.0, Grade::unknown}};
    for (const auto& [set, kn, grade] : rows) {
        const auto c = run(north(2.0), sea::stream_of(set, kn * mps_per_knot), far);
        EXPECT_EQ(c.worst, grade) << set << " " << kn;
        if (grade == Grade::unknown) {
            EXPECT_NEAR(c.findings.front().span.to, 2.0 * mile, 5.0);
        }
    }
    const auto none = run(north(2.0), std::nullopt, far);
    EXPECT_EQ(none.worst, Grade::unknown);
    EXPECT_NE(none.findings.front().reason.find("The stream is not known"), std::string::npos);
}

// 3 kn are held all the way, 6.5 kn across nowhere: no claim is made of what is met behind.
TEST(StreamsOfACheck, the_tightest_passing_is_one_at_a_known_time) {
    const auto bar = at(1.0 * mile, hazard::InForce::below);
    EXPECT_TRUE(run(north(2.0), sea::stream_of(90.0, 3.0 * mps_per_knot), bar).tightest);
    EXPECT_FALSE(run(north(2.0), sea::stream_of(90.0, 6.5 * mps_per_knot), bar).tightest);
}

// The tide of a nominal time is one of many where nobody knows when the boat comes.
TEST(StreamsOfACheck, no_water_is_told_at_an_unknown_time) {
    Conditions c;
    c.tides = Tides::one(tide::Curve::fixed(TideHeight::from_metres(2.1), ""), {23, {}});
    const auto rock = [&](double kn) -> Finding {
        const auto found = run(north(2.0), sea::stream_of(90.0, kn * mps_per_knot),
                               at(1.0 * mile, hazard::InForce::below), c);
        for (const auto& f : found.findings)
            if (f.object.cls == "UWTROC")
                return f;
        throw std::runtime_error("no rock among the findings");
    };
    EXPECT_TRUE(rock(3.0).tide_m && rock(3.0).spare_m);
    const Finding lost = rock(6.5);
    EXPECT_FALSE(lost.tide_m || lost.water_m || lost.spare_m);
    EXPECT_NE(
        lost.reason.find("when it is met is not known, so neither is the water; it takes 2.0 m of tide"),
        std::string::npos)
        << lost.reason;
}

// What is a caution at any tide counts too, by the depth it is assumed to have.
TEST(StreamsOfACheck, the_tightest_passing_may_be_over_an_assumed_depth) {
    auto assumed = at(1.0 * mile, hazard::InForce::always);
    assumed.steps[0].decides = Grade::caution;
    assumed.steps[0].cause = hazard::Cause::assumed;
    const auto c = run(north(2.0), sea::Stream{}, assumed);
    ASSERT_TRUE(c.tightest);
    EXPECT_TRUE(c.tightest->at_worst);
    EXPECT_NEAR(c.tightest->spare_m, 9.0 - 0.6 - 1.4, 1e-9);
    EXPECT_TRUE(c.may_block.empty());
    assumed.steps[0].depth = Depth::never_covered();
    const auto dry = run(north(2.0), sea::Stream{}, assumed);
    EXPECT_FALSE(dry.tightest);
    EXPECT_EQ(dry.may_block, "bar");
    assumed.object.name = "Stake";
    EXPECT_EQ(run(north(2.0), sea::Stream{}, assumed).may_block, "bar \"Stake\"");
}

// Overfalls by the stream that is met: 3.2, 2.5, 1.5, 0.5 kn, wind and swell 0 and stated.
TEST(StreamsOfACheck, rough_water_by_the_rate_that_is_met) {
    const auto race = at(1.0 * mile, hazard::InForce::by_stream);
    const auto grade = [&](double kn, std::optional<double> wind_mps, std::optional<double> from_deg = {}) {
        Conditions c;
        c.sea.wind_mps = wind_mps;
        c.sea.swell_m = 0.0;
        c.wind_from_deg = from_deg;
        return worst_finding(run(north(2.0), sea::stream_of(0.0, kn * mps_per_knot), race, c));
    };
    EXPECT_EQ(grade(3.2, 0.0), Grade::danger);
    EXPECT_EQ(grade(2.5, 0.0), Grade::caution);
    EXPECT_EQ(grade(1.5, 0.0), Grade::caution);
    EXPECT_EQ(grade(0.5, 0.0), Grade::note);
    EXPECT_EQ(grade(2.5, {}), Grade::danger) << "wind not stated";
    // The stream sets north: wind from the north is against it, from the south with it.
    EXPECT_EQ(grade(2.5, 6.0, 0.0), Grade::danger);
    EXPECT_EQ(grade(2.5, 6.0, 60.0), Grade::danger);
    EXPECT_EQ(grade(2.5, 6.0, 180.0), Grade::caution);
    EXPECT_EQ(grade(2.5, 6.0), Grade::danger) << "from where is not stated";
}
