// What a wait and a stated largest rate do to a voyage's unknown spells.
#include <gtest/gtest.h>

#include <cmath>

#include "dangerline/base/error.hpp"
#include "dangerline/base/quantities.hpp"
#include "dangerline/passage/timetable.hpp"

using namespace dangerline;
using namespace dangerline::passage;

namespace {

const Instant start = Instant::from_unix_seconds(1'780'002'000.0); // on a whole node
constexpr double hour_s = 3600.0;

Track north_by_mark() {
    static const geo::Plane plane(geo::Position{-28.0, 46.0});
    Route r;
    r.name = "test";
    for (const double y : {0.0, 3600.0, 7200.0})
        r.places.push_back(plane.to_position({0.0, y}));
    r.half_widths_m.assign(2, 50.0);
    r.speeds_mps.assign(2, 2.0);
    return Track(r, plane);
}

/// The same everywhere; where not known, `bound` of its own.
class Field : public sea::StreamField {
  public:
    explicit Field(sea::PlaceStream at, std::optional<double> bound = {})
        : at_(std::move(at)), bound_(bound) {}
    sea::StreamThere at(geo::Point, Instant t) const override { return {at_(t), bound_, "test", "no data"}; }
    sea::PlaceStream fix(geo::Point) const override { return at_; }

  private:
    sea::PlaceStream at_;
    std::optional<double> bound_;
};

Voyage::Settings in(const Field& field) {
    Voyage::Settings settings;
    settings.streams = &field;
    settings.from = start - hour_s;
    settings.to = start + 24.0 * hour_s;
    return settings;
}

} // namespace

// The first leg takes half an hour, the stream against the boat runs from one to three hours after the start.
TEST(Voyage, a_foul_stream_that_runs_while_the_boat_waits_is_not_met) {
    const Track track = north_by_mark();
    const Field foul([](Instant t) {
        const double h = (t - start) / hour_s;
        return sea::stream_of(180.0, h > 0.9 && h < 3.1 ? 5.0 : 0.0);
    });
    auto settings = in(foul);
    const auto lost = [&](double wait_h) {
        settings.waits = {{1, wait_h * hour_s, {}}};
        return Timetable(Voyage(track, settings), start).not_held();
    };
    EXPECT_TRUE(lost(3.0).empty());
    ASSERT_FALSE(lost(1.0).empty());
    EXPECT_GE(lost(1.0)[0].span.from, track.place_coordinates()[1] - 1e-6);
    EXPECT_FALSE(lost(0.0).empty()); // half way up the second leg when it begins
}

// The departures that meet a spell, by the inverses and by trying.
TEST(Voyage, departures_that_meet_a_spell_lie_between_its_inverses) {
    const Track track = north_by_mark();
    const Field foul([](Instant t) {
        const double h = (t - start) / hour_s;
        return sea::stream_of(180.0, h > 9.9 && h < 11.1 ? 5.0 : 0.0);
    });
    auto settings = in(foul);
    settings.waits = {{1, 2.0 * hour_s, {}}};
    const Voyage voyage(track, settings);
    int met = 0, tried = 0;
    for (double h = 4.0; h < 14.0; h += 0.037, ++tried) {
        const Instant d = start + h * hour_s;
        bool inside = false;
        for (const auto& spell : voyage.not_held())
            inside = inside || (d > voyage.departure_reaching(spell.span.to, spell.from) &&
                                d < voyage.departure_leaving(spell.span.from, spell.to));
        const bool unknown = !Timetable(voyage, d).not_held().empty();
        ASSERT_EQ(inside, unknown) << h;
        met += unknown ? 1 : 0;
    }
    EXPECT_GT(met, tried / 10);
    EXPECT_LT(met, tried / 2);
}

// 2 m/s through the water: a rate of 1 m/s leaves an interval, one of 1.95 m/s may stop the boat or carry it
// off its leg.
TEST(Voyage, a_bound_too_strong_for_the_boat_leaves_its_leg_unknown) {
    const Track track = north_by_mark();
    const auto bounded = [&](double rate_max, std::optional<double> of_place) {
        const Field nothing([](Instant) { return std::optional<sea::Stream>{}; }, of_place);
        auto settings = in(nothing);
        settings.rate_max_mps = rate_max;
        const auto lost = Timetable(Voyage(track, settings), start).not_held();
        EXPECT_EQ(lost.size(), 1U);
        return !lost.empty() && lost[0].bounded;
    };
    EXPECT_TRUE(bounded(1.0, {}));
    EXPECT_FALSE(bounded(1.95, {}));
    EXPECT_FALSE(bounded(1.8, {})); // 0.2 m/s made good
    EXPECT_TRUE(bounded(1.7, {}));
    EXPECT_FALSE(bounded(1.0, 2.5)); // stations about say more
}

TEST(Voyage, a_larger_bound_of_the_place_widens_the_arrivals) {
    const Track track = north_by_mark();
    const auto late_s = [&](double of_place) {
        const Field nothing([](Instant) { return std::optional<sea::Stream>{}; }, of_place);
        auto settings = in(nothing);
        settings.rate_max_mps = 0.5;
        settings.luck = Voyage::Settings::Luck::late;
        return Timetable(Voyage(track, settings), start).arrival() - start;
    };
    EXPECT_NEAR(late_s(0.2), track.length() / 1.5, 0.01);
    EXPECT_NEAR(late_s(1.0), track.length() / 1.0, 0.01);
}

// Whatever an unknown stream within its bound does, the boat arrives between `early` and `late`.
TEST(Voyage, arrivals_lie_between_early_and_late_whatever_the_stream_does) {
    const Track track = north_by_mark();
    const auto blind = [](Instant t) {
        const double h = (t - start) / hour_s;
        return h > 0.3 && h < 1.4;
    };
    const Field half_known(
        [=](Instant t) { return blind(t) ? std::nullopt : std::optional(sea::stream_of(180.0, 0.5)); });
    auto settings = in(half_known);
    settings.rate_max_mps = 1.0;
    const auto arrival = [&](Voyage::Settings::Luck luck) {
        settings.luck = luck;
        return Timetable(Voyage(track, settings), start).arrival();
    };
    const Instant early = arrival(Voyage::Settings::Luck::early),
                  late = arrival(Voyage::Settings::Luck::late);
    EXPECT_LT(early, late);
    for (const double set : {0.0, 90.0, 180.0}) {
        // Stepped by the second; not known is all between the nodes next to the blind ones.
        double s = 0.0, t = 0.0;
        for (; s < track.length(); t += 1.0) {
            const bool hidden = t > 600.0 && t < 5400.0;
            const auto made =
                make_good(0.0, 2.0, hidden ? sea::stream_of(set, 1.0) : sea::stream_of(180.0, 0.5));
            s += made.speed_mps;
        }
        EXPECT_LE(early - start, t + 2.0) << set;
        EXPECT_GE(late - start, t - 2.0) << set;
    }
}

TEST(Voyage, two_waits_at_one_place_are_refused) {
    const Track track = north_by_mark();
    Voyage::Settings settings;
    settings.waits = {{1, 600.0, {}}, {1, 0.0, {start + hour_s}}};
    try {
        const Voyage voyage(track, settings);
        FAIL() << "taken";
    } catch (const Failure& failure) {
        EXPECT_NE(std::string(failure.what()).find("waits there already"), std::string::npos);
    }
}
