// Course to steer, arrivals with waits and streams, and their inverses.
#include <gtest/gtest.h>

#include <cmath>
#include <numbers>
#include <random>

#include "dangerline/base/error.hpp"
#include "dangerline/base/quantities.hpp"
#include "dangerline/passage/timetable.hpp"
#include "support/support.hpp"

using namespace dangerline;
using namespace dangerline::passage;

namespace {

const Instant start = Instant::from_unix_seconds(1.78e9);

const geo::Plane& plane() {
    static const geo::Plane p(geo::Position{-28.0, 46.0});
    return p;
}

Track track_of(const std::vector<geo::Point>& points, double speed_mps) {
    Route r;
    r.name = "test";
    for (const auto& p : points)
        r.places.push_back(plane().to_position(p));
    r.half_widths_m.assign(points.size() - 1, 50.0);
    r.speeds_mps.assign(points.size() - 1, speed_mps);
    return Track(r, plane());
}

/// The same everywhere, as a function of time.
class Uniform : public sea::StreamField {
  public:
    explicit Uniform(sea::PlaceStream at) : at_(std::move(at)) {}
    sea::StreamThere at(geo::Point, Instant t) const override {
        return {at_(t), {}, "test", at_(t) ? "" : "no data"};
    }
    sea::PlaceStream fix(geo::Point) const override { return at_; }

  private:
    sea::PlaceStream at_;
};

Voyage::Settings in(const sea::StreamField& field, double hours = 48.0) {
    Voyage::Settings settings;
    settings.streams = &field;
    settings.from = start - hours * 1800.0;
    settings.to = start + hours * 1800.0;
    return settings;
}

double degrees_apart(double a, double b) {
    return std::abs(std::remainder(a - b, 360.0));
}

} // namespace

// testdata/passage/course_to_steer.csv: answers printed in exercises, plotted to 5 degrees, and the triangle
// worked out from its formula. Sources stand in the file.
TEST(MadeGood, published_courses_to_steer) {
    int rows = 0;
    for (const auto& row : support::read_table(support::testdata() / "passage/course_to_steer.csv")) {
        ++rows;
        const double course = std::stod(row.at("track_deg"));
        const auto made =
            make_good(course, std::stod(row.at("speed_kn")),
                      sea::stream_of(std::stod(row.at("set_deg")), std::stod(row.at("drift_kn"))));
        ASSERT_TRUE(made.possible);
        EXPECT_LE(degrees_apart(made.steer_deg, std::stod(row.at("published_steer_deg"))), 3.0);
        EXPECT_NEAR(made.speed_mps, std::stod(row.at("published_made_good_kn")), 0.1);
        EXPECT_LE(degrees_apart(made.steer_deg, std::stod(row.at("steer_deg"))), 0.01);
        EXPECT_NEAR(made.speed_mps, std::stod(row.at("made_good_kn")), 0.001);
    }
    EXPECT_EQ(rows, 9);
}

TEST(MadeGood, published_triangles) {
    int rows = 0;
    for (const auto& row : support::read_table(support::testdata() / "passage/triangles.csv")) {
        ++rows;
        const auto made =
            make_good(std::stod(row.at("course_deg")), std::stod(row.at("speed_kn")),
                      sea::stream_of(std::stod(row.at("set_deg")), std::stod(row.at("drift_kn"))));
        EXPECT_LE(degrees_apart(made.steer_deg, std::stod(row.at("published_steer_deg"))), 1.0);
        EXPECT_NEAR(made.speed_mps, std::stod(row.at("published_made_good_kn")), 0.1);
        EXPECT_LE(degrees_apart(made.steer_deg, std::stod(row.at("steer_deg"))), 0.01);
        EXPECT_NEAR(made.speed_mps, std::stod(row.at("made_good_kn")), 0.001);
    }
    EXPECT_EQ(rows, 5);
}

// Leg 000, boat 6 kn: stream across 2 kn: asin(2/6) = 19.47, 6 cos = 5.657 kn; 6.5 kn: no heading; 5.8
// kn: 96.7 % of the boat's speed; 7 kn against: -1 kn.
TEST(MadeGood, holding_and_stemming) {
    const auto made = make_good(0.0, 6.0, sea::stream_of(90.0, 2.0));
    EXPECT_NEAR(made.steer_deg, 340.53, 0.01);
    EXPECT_NEAR(made.speed_mps, 5.657, 0.001);
    EXPECT_FALSE(make_good(0.0, 6.0, sea::stream_of(90.0, 6.5)).possible);
    EXPECT_GT(make_good(0.0, 6.0, sea::stream_of(90.0, 5.8)).crab_share, most_crabbing);
    EXPECT_NEAR(make_good(0.0, 6.0, sea::stream_of(180.0, 7.0)).speed_mps, -1.0, 1e-12);
    // Limit cases: a stream as fast as the boat straight across leaves no way ahead.
    EXPECT_NEAR(make_good(90.0, 4.0, sea::stream_of(180.0, 4.0)).speed_mps, 0.0, 1e-6);
    EXPECT_NEAR(make_good(0.0, 5.0, sea::stream_of(180.0, 6.0)).speed_mps, -1.0, 1e-12);
}

TEST(Voyage, spells_that_cannot_be_held_or_stemmed_are_said) {
    const Track north = track_of({{0.0, 0.0}, {0.0, 3000.0}}, 6.0 * mps_per_knot);
    const auto reasons = [&](double set_deg, double kn) {
        const Uniform field([=](Instant) { return sea::stream_of(set_deg, kn * mps_per_knot); });
        std::string all;
        for (const auto& lost : Timetable(Voyage(north, in(field)), start).not_held())
            all += lost.reason.substr(0, lost.reason.find(':')) + ";";
        return all;
    };
    EXPECT_EQ(reasons(90.0, 2.0), "");
    EXPECT_EQ(reasons(90.0, 6.5), "the leg can't be held;the leg can't be stemmed;");
    EXPECT_EQ(reasons(90.0, 5.8), "the leg can't be held;");
    EXPECT_EQ(reasons(270.0, 5.8), "the leg can't be held;");
    EXPECT_EQ(reasons(180.0, 7.0), "the leg can't be stemmed;");
    const Uniform nothing([](Instant) { return std::optional<sea::Stream>{}; });
    const auto lost = Timetable(Voyage(north, in(nothing)), start).not_held();
    ASSERT_EQ(lost.size(), 1U);
    EXPECT_EQ(lost[0].reason, "the stream is not known: no data");
    EXPECT_NEAR(lost[0].span.to - lost[0].span.from, north.length(), 1e-6);
}

// 3.0 NM at 6 kn with 2 kn of foul stream: 4 kn made good, 45 minutes.
TEST(Voyage, a_foul_stream_takes_its_time) {
    const double mile = 1852.0;
    const Track north = track_of({{0.0, 0.0}, {0.0, 3.0 * mile}}, 6.0 * mps_per_knot);
    const Uniform foul([](Instant) { return sea::stream_of(180.0, 2.0 * mps_per_knot); });
    EXPECT_NEAR(Timetable(Voyage(north, in(foul)), start).arrival() - start, 45.0 * 60.0, 1.0);
    EXPECT_NEAR(Timetable(north, start).arrival() - start, 30.0 * 60.0, 1.0);
}

// 6 NM out at 6 kn, three hours at the mark, and back: a hazard at 3.0 to 3.2 NM is passed after 30 to 32
// minutes and again after 268 to 270.
TEST(Voyage, there_wait_and_back) {
    const double mile = 1852.0;
    const Track track = track_of({{0.0, 0.0}, {0.0, 6.0 * mile}, {0.0, 0.0}}, 6.0 * mps_per_knot);
    Voyage::Settings settings;
    settings.waits = {{1, 3.0 * 3600.0, {}}};
    const Voyage voyage(track, settings);
    const auto minutes = [&](double miles, bool leave) {
        const double s = miles * mile * track.length() / (12.0 * mile);
        return ((leave ? voyage.leave(s, start) : voyage.reach(s, start)) - start) / 60.0;
    };
    EXPECT_NEAR(minutes(3.0, false), 30.0, 1e-3);
    EXPECT_NEAR(minutes(3.2, true), 32.0, 1e-3);
    EXPECT_NEAR(minutes(6.0, false), 60.0, 1e-3);
    EXPECT_NEAR(minutes(6.0, true), 240.0, 1e-3);
    EXPECT_NEAR(minutes(8.8, false), 268.0, 1e-3);
    EXPECT_NEAR(minutes(9.0, true), 270.0, 1e-3);
    // Low from 12:00 to 15:00 forbids 07:30 to 10:32 and 11:28 to 14:30.
    const Instant low = start, high = start + 3.0 * 3600.0;
    const auto at = [&](double miles) { return miles * track.length() / 12.0; };
    EXPECT_NEAR(voyage.departure_leaving(at(3.2), low) - low, -32.0 * 60.0, 0.01);
    EXPECT_NEAR(voyage.departure_reaching(at(3.0), high) - high, -30.0 * 60.0, 0.01);
    EXPECT_NEAR(voyage.departure_leaving(at(9.0), low) - low, -270.0 * 60.0, 0.01);
    EXPECT_NEAR(voyage.departure_reaching(at(8.8), high) - high, -268.0 * 60.0, 0.01);
}

TEST(Voyage, waiting_until_has_the_inverses_of_a_staircase) {
    const Track track = track_of({{0.0, 0.0}, {0.0, 1000.0}, {0.0, 2000.0}}, 1.0);
    Voyage::Settings settings;
    settings.waits = {{1, 0.0, {start + 2000.0, start + 5000.0}}};
    const Voyage voyage(track, settings);
    const double middle = track.place_coordinates()[1], end = track.length();
    const double first_leg_s = middle;
    // Everyone who is there between two gates leaves at the second.
    EXPECT_EQ(voyage.leave(middle, start), start + 2000.0);
    EXPECT_EQ(voyage.leave(middle, start + 900.0), start + 2000.0);
    EXPECT_EQ(voyage.leave(middle, start + 1500.0), start + 5000.0);
    const Instant at_end = voyage.reach(end, start);
    EXPECT_NEAR(voyage.departure_reaching(end, at_end) - (start + 2000.0 - first_leg_s), 0.0, 1e-3);
    EXPECT_NEAR(voyage.departure_reaching(end, at_end + 100.0) - (start + 2000.0 - first_leg_s), 0.0, 1e-3);
    // Not gone before the second gate: all who come after the first.
    EXPECT_NEAR(voyage.departure_leaving(middle, start + 4000.0) - (start + 2000.0 - first_leg_s), 0.0, 1e-3);
    EXPECT_FALSE(std::isfinite(voyage.departure_reaching(end, at_end - 100.0).unix_seconds()));
    EXPECT_THROW((Voyage(track, {.waits = {{0, 60.0, {}}}})), Failure);
    EXPECT_THROW((Voyage(track, {.waits = {{7, 60.0, {}}}})), Failure);
}

// 300 random worlds: later departures arrive later, and backwards is the inverse of forwards to 0.01 s.
TEST(Voyage, arrivals_increase_and_invert) {
    std::mt19937 random(4);
    const auto any = [&](double a, double b) { return std::uniform_real_distribution(a, b)(random); };
    for (int world = 0; world < 300; ++world) {
        std::vector<geo::Point> points{{0.0, 0.0}};
        for (int i = 0; i < 1 + world % 5; ++i)
            points.push_back({points.back().x + any(-4000.0, 4000.0), points.back().y + any(500.0, 4000.0)});
        const Track track = track_of(points, any(1.5, 9.0));
        const double rate = any(0.0, 6.0), turn = any(0.0, 360.0), period = any(8000.0, 45000.0);
        const Uniform field([=](Instant t) {
            const double phase = 2.0 * std::numbers::pi * (t - start) / period;
            return sea::stream_of(turn + 40.0 * std::sin(phase / 3.0), rate * std::sin(phase));
        });
        auto settings = in(field);
        if (points.size() > 2)
            settings.waits = {{1, any(0.0, 9000.0), {}}};
        const Voyage voyage(track, settings);
        for (int k = 0; k < 20; ++k) {
            const double s = any(0.0, track.length());
            const Instant d = start + any(-60000.0, 60000.0), later = d + any(0.1, 900.0);
            const Instant t = voyage.reach(s, d);
            ASSERT_LT(t, voyage.reach(s, later));
            ASSERT_LE(t, voyage.leave(s, d));
            ASSERT_NEAR(voyage.departure_reaching(s, t) - d, 0.0, 0.01);
            ASSERT_NEAR(voyage.departure_leaving(s, voyage.leave(s, d)) - d, 0.0, 0.01);
            const Timetable times(voyage, d);
            ASSERT_NEAR(times.at(s) - t, 0.0, 1e-5);
            ASSERT_NEAR(times.place_at(t), s, 0.01);
        }
    }
}

TEST(Timetable, the_greatest_rate_is_found_between_entry_and_exit) {
    const Track north = track_of({{0.0, 0.0}, {0.0, 12000.0}}, 2.0);
    const Instant peak =
        Instant::from_unix_seconds(std::floor((start.unix_seconds() + 3000.0) / 600.0) * 600.0);
    const Uniform field([=](Instant t) { return sea::stream_of(0.0, 1.0 - std::abs(t - peak) / 6000.0); });
    const Timetable times(Voyage(north, in(field, 6.0)), start);
    const auto greatest = [&](double to) {
        double rate = 0.0;
        for (const auto& stream : times.streams_met({0.0, to}))
            rate = std::max(rate, stream.rate_mps());
        return rate;
    };
    EXPECT_NEAR(greatest(north.length()), 1.0, 1e-3);
    EXPECT_LT(greatest(1000.0), 0.7);
    EXPECT_TRUE(Timetable(north, start).streams_met({0.0, 100.0}).empty());
}

TEST(Timetable, a_bound_on_an_unknown_stream_makes_arrivals_an_interval) {
    const Track north = track_of({{0.0, 0.0}, {0.0, 3600.0}}, 3.0);
    const Uniform nothing([](Instant) { return std::optional<sea::Stream>{}; });
    auto settings = in(nothing);
    settings.rate_max_mps = 1.0;
    Timetable times(Voyage(north, settings), start);
    ASSERT_EQ(times.not_held().size(), 1U);
    EXPECT_TRUE(times.not_held()[0].bounded);
    auto early = settings, late = settings;
    early.luck = Voyage::Settings::Luck::early;
    late.luck = Voyage::Settings::Luck::late;
    times.allow(Voyage(north, early), Voyage(north, late));
    EXPECT_NEAR(times.earliest(north.length()) - start, north.length() / 4.0, 0.01);
    EXPECT_NEAR(times.at(north.length()) - start, north.length() / 3.0, 0.01);
    EXPECT_NEAR(times.latest(north.length()) - start, north.length() / 2.0, 0.01);
}
