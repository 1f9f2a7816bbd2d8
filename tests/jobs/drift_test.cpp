// The demo's mark, and what becomes of it where something is missing.

#include <gtest/gtest.h>

#include <cmath>
#include <set>

#include "dangerline/base/error.hpp"
#include "dangerline/jobs/breakdown.hpp"
#include "dangerline/jobs/drift.hpp"
#include "jobs/drift_plans.hpp"
#include "jobs/drift_report.hpp"
#include "jobs/drift_scene.hpp"
#include "support/support.hpp"

using namespace dangerline;
using namespace dangerline::jobs;
using namespace dangerline::drift_plans;

namespace {

double sum_of(const drift::Summary& s, drift::Outcome::Kind kind) {
    double sum = 0.0;
    for (const auto& o : s.outcomes)
        sum += o.kind == kind ? o.share : 0.0;
    return sum;
}

using Kind = drift::Outcome::Kind;

} // namespace

TEST(DriftJob, demo_mark) {
    const auto report = run_drift(changed("", ""));
    ASSERT_EQ(report.marks.size(), 1u);
    const auto& mark = report.marks[0];
    ASSERT_EQ(mark.boats.size(), 3u) << "two kinds, and swamped";
    EXPECT_EQ(mark.wind_words, "wind from SW 12 kn, blowing towards NE");
    for (const auto& boat : mark.boats) {
        EXPECT_NEAR(sum_of(boat.summary, Kind::danger) + sum_of(boat.summary, Kind::unknown) +
                        sum_of(boat.summary, Kind::afloat),
                    1.0, 1e-9);
        EXPECT_FALSE(boat.sentences.empty());
        EXPECT_EQ(boat.tracks.size(), 5u);
        EXPECT_GE(boat.outlines.size(), 2u);
        if (!boat.swamped) {
            EXPECT_GE(boat.summary.trouble.early_s, mark.boats[mark.shortest].summary.trouble.early_s);
        }
    }
    EXPECT_TRUE(mark.boats[2].swamped);
    EXPECT_GT(sum_of(mark.boats[0].summary, Kind::danger), 0.5) << "the stream sets onto the ledge";
    const auto again = run_drift(changed("", ""));
    EXPECT_EQ(again.marks[0].boats[0].sentences, mark.boats[0].sentences);
}

/// Banks of many steps, rough water and charts of two scales: the short way to the first hit misses nothing.
class EveryHazard : public testing::TestWithParam<bool> {};

TEST_P(EveryHazard, demo_as_by_testing_each) {
    const auto plan = GetParam() ? changed("\n[[mark]]", moving_combs) : changed("", "");
    Diagnostics diagnostics;
    auto marks = needed_marks(plan);
    const auto plane = plane_around(marks, plan);
    const Places places(plan, plane, marks, *plan.as_of,
                        {plan.drift.within_m + drift_edge_m, drift_longer_s(plan)}, diagnostics);
    const Instant from = marks[0].from, to = from + plan.drift.lasts_s;
    const DriftScene scene(plan, plane, places, places.choices()[0], "",
                           square_around(places.points()[0], plan.drift.within_m), from, to);
    bool banks = false;
    for (const auto& h : places.hazards().all)
        banks = banks || (h.surface && h.steps.size() > 5);
    EXPECT_TRUE(banks) << "nothing nested to try";
    const auto wind = PlanWind(plan).at(marks[0].position);
    int hits = 0;
    for (const auto& kind : drift_kinds(plan)) {
        auto adrift = scene.adrift(places.points()[0], from);
        adrift.leeway = kind.leeway;
        adrift.wind = &wind;
        drift::EnsembleSettings settings{.particles = 60, .seed = 5};
        const auto fast = drift::run(adrift, scene.dangers(), settings);
        settings.exact_by_all = true;
        const auto slow = drift::run(adrift, scene.dangers(), settings);
        for (std::size_t i = 0; i < fast.fates.size(); ++i) {
            EXPECT_EQ(fast.fates[i].zone_s, slow.fates[i].zone_s) << kind.name << " " << i;
            EXPECT_EQ(fast.fates[i].touch_s, slow.fates[i].touch_s) << kind.name << " " << i;
            EXPECT_EQ(fast.fates[i].end_s, slow.fates[i].end_s) << kind.name << " " << i;
            // Of steps that share an edge rounding alone says which is met first.
            const auto told = [&](std::uint32_t n) {
                if (n == drift::no_obstacle)
                    return std::string("nothing");
                const auto& o = scene.dangers().all()[n];
                return std::to_string(o.hazard) + ", " + places.hazards().all[o.hazard].what;
            };
            EXPECT_EQ(told(fast.fates[i].zone), told(slow.fates[i].zone)) << kind.name << " " << i;
            hits += fast.fates[i].zone != drift::no_obstacle ? 1 : 0;
        }
    }
    EXPECT_GT(hits, 60);
}
INSTANTIATE_TEST_SUITE_P(DriftJob, EveryHazard, testing::Values(false, true),
                         [](const auto& moves) { return moves.param ? "moving" : "charted"; });

// A bank that moves is met sooner and touched where it is charted.
TEST(DriftJob, moving_bank) {
    const auto stays = run_drift(changed("", "")), moves = run_drift(changed("\n[[mark]]", moving_combs));
    for (std::size_t i = 0; i < 3; ++i) {
        const auto &before = stays.marks[0].boats[i].summary, &after = moves.marks[0].boats[i].summary;
        EXPECT_LT(after.zone.early_s, before.zone.early_s - 60.0);
        EXPECT_LE(after.zone.median_s, before.zone.median_s);
        EXPECT_EQ(after.touch.early_s, before.touch.early_s);
    }
    EXPECT_NE(moves.marks[0].boats[0].sentences[1].find("(its bottom moves: the zone is "), std::string::npos)
        << moves.marks[0].boats[0].sentences[1];
    const auto says = [](const DriftReport& report) {
        return std::any_of(report.plan.drift_assumptions.begin(), report.plan.drift_assumptions.end(),
                           [](const auto& a) { return a.starts_with("over a bottom that moves"); });
    };
    EXPECT_TRUE(says(moves));
    const double moved_m = moves.marks[0].boats[0].summary.outcomes[0].moved_m;
    EXPECT_GT(moved_m, 100.0);
}

// When the boat floats again is told, though the tide is back long after the drift.
TEST(DriftJob, aground_until_the_tide_is_back) {
    const auto report = run_drift(changed("hours = 4", "hours = 2"));
    const auto& mark = report.marks[0];
    const auto& aground = mark.boats[1].summary.aground;
    ASSERT_TRUE(aground);
    ASSERT_TRUE(aground->until);
    EXPECT_GT(*aground->until, mark.at + 4.0 * 3600.0);
    EXPECT_LT(*aground->until, mark.at + 12.0 * 3600.0);
    EXPECT_NE(mark.boats[1].sentences.back().find("aground until the tide is back at "), std::string::npos);
}

// What is met sooner than the minutes in hand, but by few, is told in the first sentence; "earliest" stays
// the one run in twenty.
TEST(DriftJob, few_meet_something_sooner) {
    const auto report = run_drift(changed("", ""));
    bool told = false;
    for (const auto& boat : report.marks[0].boats) {
        const auto& s = boat.summary;
        const drift::Outcome* first = nullptr;
        for (const auto& o : s.outcomes)
            if (o.kind == Kind::danger && (!first || o.first_s < first->first_s))
                first = &o;
        ASSERT_TRUE(first);
        const std::string words =
            "Sooner, but in fewer than one run in twenty: " + report.hazards[*first->hazard].label +
            ", the first after " + minutes_words(first->first_s) + ".";
        const bool sooner =
            first->hazard != s.soonest && minutes_words(first->first_s) != minutes_words(s.trouble.early_s);
        EXPECT_EQ(boat.sentences[0].ends_with(words), sooner) << boat.sentences[0];
        told = told || sooner;
        for (std::size_t i = 1; i < boat.sentences.size(); ++i)
            EXPECT_EQ(boat.sentences[i].find("earliest"), std::string::npos) << boat.sentences[i];
    }
    EXPECT_TRUE(told) << "nothing to try";
}

TEST(DriftJob, mark_within_a_zone) {
    // At the slip, where the breakdown route starts.
    auto plan = changed("", "");
    plan.marks[0].position = {-27.930290, 46.081376};
    plan.drift.errors.tide_clock_s = 0.0;
    const auto report = run_drift(plan);
    const auto& boat = report.marks[0].boats[0];
    ASSERT_EQ(boat.summary.zone.median_s, 0.0) << boat.sentences[0];
    EXPECT_TRUE(boat.sentences[0].starts_with("The mark itself lies within a danger zone"))
        << boat.sentences[0];
    EXPECT_NE(boat.sentences[1].find(", the mark itself lies within its zone"), std::string::npos)
        << boat.sentences[1];
}

// Cliffs, structures, buoys and beacons, and rough water are dangers to a boat adrift too.
TEST(DriftJob, what_counts_beside_the_bottom) {
    const auto plan = changed("", "");
    Diagnostics diagnostics;
    const auto marks = needed_marks(plan);
    const auto plane = plane_around(marks, plan);
    const Places places(plan, plane, marks, *plan.as_of,
                        {plan.drift.within_m + drift_edge_m, drift_longer_s(plan)}, diagnostics);
    const DriftScene scene(plan, plane, places, places.choices()[0], "",
                           square_around(places.points()[0], plan.drift.within_m), marks[0].from,
                           marks[0].from + plan.drift.lasts_s);
    std::set<std::string> classes, what;
    for (const auto& o : scene.dangers().all())
        if (o.says != drift::Obstacle::Says::unknown) {
            classes.insert(places.hazards().all[o.hazard].object.cls);
            what.insert(places.hazards().all[o.hazard].what);
        }
    for (const char* cls :
         {"UWTROC", "WRECKS", "DEPARE", "LNDARE", "COALNE", "SLCONS", "BOYSPP", "BCNCAR", "MARCUL", "WATTUR"})
        EXPECT_TRUE(classes.contains(cls)) << cls;
    EXPECT_TRUE(what.contains("steep coast"));
}

TEST(DriftJob, sentences_say_where_and_how_much) {
    const auto report = run_drift(changed("", ""));
    const auto& s = report.marks[0].boats[0].sentences;
    EXPECT_TRUE(s[0].starts_with("In half the runs in a danger zone (most often of ")) << s[0];
    EXPECT_NE(s[1].find(" NM to "), std::string::npos) << s[1];
}

// Of several stations the lowest tide counts wherever a boat may drift, and that is said.
TEST(DriftJob, lowest_of_several_tides_is_said) {
    const std::string second = R"(
[[tide]]
name = "Withy Fixed"
kind = "fixed"
position = [-27.9000, 46.0300]
height_m = 1.0
datum = 23

[[tide.link]]
code = 17
above_m = 5.7

[drift])";
    const std::string words = ": the tides of Lanner Bay and Withy Fixed count where a boat may drift; the "
                              "lowest of them is taken all along, so what is overhead can't be judged";
    const auto has = [](const DriftReport& report, const std::string& line) {
        return std::find(report.tide_notes.begin(), report.tide_notes.end(), line) != report.tide_notes.end();
    };
    const auto both = run_drift(changed("\n[drift]", second));
    EXPECT_TRUE(has(both, "Ledge Mark" + words));
    EXPECT_NE(both.tide_words.find("Withy Fixed"), std::string::npos) << both.tide_words;
    EXPECT_FALSE(has(run_drift(changed("", "")), "Ledge Mark" + words));
    const auto broken = run_breakdown(changed("\n[drift]", second), std::nullopt);
    EXPECT_TRUE(has(broken.base, "Slip to the wreck mark" + words));
}

namespace {

/// The stream forecast of the tests as if it were one of wind: GRIB2 of discipline 0, category 2.
std::string wind_grib() {
    std::string data = support::read_file(support::testdata() / "files/stream_by_step.grib2");
    const auto byte = [&](std::size_t i) { return std::size_t{static_cast<unsigned char>(data[i])}; };
    for (std::size_t at = data.find("GRIB"); at != std::string::npos; at = data.find("GRIB", at)) {
        data[at + 6] = 0;
        at += 16;
        while (data.compare(at, 4, "7777") != 0) {
            if (byte(at + 4) == 4)
                data[at + 9] = 2;
            at += (byte(at) << 24) + (byte(at + 1) << 16) + (byte(at + 2) << 8) + byte(at + 3);
        }
    }
    return data;
}

} // namespace

// Breakdown asks for the wind at hundreds of places.
TEST(DriftJob, wind_file_is_read_once) {
    const support::TemporaryFolder folder;
    const auto forecast = folder.file("wind.grib2", wind_grib());
    auto plan = changed("", "");
    plan.drift.wind_forecast = forecast;
    const PlanWind winds(plan);
    std::filesystem::remove(forecast);
    const Instant at = start_of({2026, 7, 15});
    const auto one = winds.at({-28.0, 46.0}).at(at), other = winds.at({-27.8, 46.0}).at(at);
    ASSERT_TRUE(one && other);
    EXPECT_NE(one->east_mps, other->east_mps);
}

TEST(DriftJob, what_is_missing_is_unknown) {
    // No panel is near enough: the stream is not known anywhere.
    const auto no_stream = run_drift(changed("swell_m = 0.4", "swell_m = 0.4\nstream_reach_nm = 0.01"));
    for (const auto& boat : no_stream.marks[0].boats) {
        EXPECT_NEAR(sum_of(boat.summary, Kind::unknown), 1.0, 1e-9);
        EXPECT_EQ(boat.summary.trouble.early_s, 0.0);
    }
    EXPECT_FALSE(no_stream.marks[0].envelope);
    const auto bounded =
        run_drift(changed("swell_m = 0.4", "swell_m = 0.4\nstream_reach_nm = 0.01\nrate_max_kn = 2"));
    ASSERT_TRUE(bounded.marks[0].envelope);
    EXPECT_NEAR(bounded.marks[0].envelope->bound_mps, 2.0 * mps_per_knot, 1e-9);
    EXPECT_GT(bounded.marks[0].envelope->soonest_s, 0.0);
    EXPECT_LT(bounded.marks[0].envelope->soonest_s, 3600.0);
    const auto off = run_drift(changed("position = [-27.8800, 46.0675]", "position = [-27.5000, 46.5000]"));
    EXPECT_NEAR(sum_of(off.marks[0].boats[0].summary, Kind::unknown), 1.0, 1e-9) << "no chart there";
}

TEST(DriftJob, no_wind_is_refused) {
    try {
        run_drift(changed("wind = \"SW 12 kn\"\n", ""));
        FAIL() << "taken";
    } catch (const Failure& failure) {
        EXPECT_EQ(failure.fault(), Fault::plan);
        EXPECT_NE(std::string(failure.what()).find("no wind is stated"), std::string::npos) << failure.what();
    }
}

TEST(DriftJob, stated_stream_and_leeway) {
    const auto report = run_drift(changed("hours = 4", "hours = 4\nstream = \"W 1 kn\"\nleeway_percent = 5"));
    ASSERT_EQ(report.marks[0].boats.size(), 2u);
    EXPECT_EQ(report.marks[0].boats[0].kind, "leeway of the plan");
    EXPECT_NE(report.marks[0].stream_words.find("W 1 kn"), std::string::npos);
}

TEST(DriftJob, table_of_a_mark) {
    double last = 0.0;
    const auto report =
        run_drift_table(changed("particles = 400\ntable_kn = [12, 20]", "particles = 40\ntable_kn = [15]"),
                        [&](double share) {
                            EXPECT_GE(share, last);
                            last = share;
                        });
    EXPECT_EQ(last, 1.0);
    ASSERT_EQ(report.rows.size(), 16u * 1u * 13u * 2u);
    ASSERT_EQ(report.days.size(), 2u);
    EXPECT_GT(report.days[0].range_m, report.days[1].range_m + 1.0);
    for (const auto& row : report.rows) {
        EXPECT_NEAR(row.danger_share + row.unknown_share + row.afloat_share, 1.0, 1e-9);
        EXPECT_LE(row.early_s, row.median_s);
        EXPECT_EQ(row.why.empty(), row.unknown_share == 0.0);
    }
    // Worst and best at springs, then at neaps, then how many leave little time.
    ASSERT_GE(report.sentences.size(), 5u);
    const auto is = [&](std::size_t i, const std::string& which, const std::string& tide) {
        EXPECT_TRUE(report.sentences[i].starts_with("Ledge Mark: " + which + " wind from ") &&
                    report.sentences[i].find(", " + tide + ": ") != std::string::npos)
            << report.sentences[i];
    };
    is(0, "worst", "springs");
    is(1, "best", "springs");
    is(2, "worst", "neaps");
    is(3, "best", "neaps");
    // The best is one that is mostly known, though others seem to leave more; what is not known of it is
    // said.
    for (const bool springs : {true, false}) {
        const DriftRow* best = nullptr;
        for (const auto& row : report.rows)
            if (row.springs == springs && row.unknown_share <= 0.5 && (!best || row.early_s > best->early_s))
                best = &row;
        ASSERT_TRUE(best);
        const auto& said = report.sentences[springs ? 1 : 3];
        EXPECT_NE(said.find(": " + minutes_words(best->early_s) + " in hand"), std::string::npos) << said;
    }
    const bool all_known = std::all_of(report.rows.begin(), report.rows.end(),
                                       [](const auto& row) { return row.unknown_share <= 0.5; });
    EXPECT_FALSE(all_known) << "nothing to try";
    EXPECT_NE(report.sentences[1].find(" of the runs end where nothing is known"), std::string::npos)
        << report.sentences[1];
}

TEST(DriftJob, table_is_aged_by_the_first_of_its_marks) {
    const auto plan = changed("as_of = 2026-06-16\n", "");
    auto two = plan;
    two.drift.particles = 20;
    two.drift.table_mps = {5.0};
    two.drift.lasts_s = 600.0;
    two.marks.push_back(two.marks[0]);
    two.marks[0].at = "2026-06-20 07:00";
    const auto report = run_drift_table(two, [](double) {});
    EXPECT_EQ(to_text(report.base.as_of), "2026-06-16");
}

// What goes wrong once charts and tides are read names the plan too.
TEST(DriftJob, table_names_the_plan_in_its_errors) {
    auto plan = changed("", "");
    plan.drift.table_mps = {5.0};
    const auto unlinked = [](double) -> void {
        throw Failure(Fault::plan, {.object = "tide Lanner Bay", .what = "not linked"});
    };
    try {
        run_drift_table(plan, unlinked);
        FAIL() << "taken";
    } catch (const Failure& failure) {
        EXPECT_EQ(failure.complaint().file, plan.file.string());
    }
}

TEST(DriftJob, table_says_why_nothing_is_known) {
    auto plan = changed("swell_m = 0.4", "swell_m = 0.4\nstream_reach_nm = 0.01");
    plan.drift.table_mps = {5.0};
    plan.drift.particles = 20;
    const auto report = run_drift_table(plan, [](double) {});
    for (const auto& row : report.rows)
        EXPECT_EQ(row.why, "stream not known");
    EXPECT_NE(report.sentences[0].find("0 min in hand, then nothing is known: stream not known (100 % of the "
                                       "runs end where nothing is known)"),
              std::string::npos)
        << report.sentences[0];
}
