// Streams of plan and charts laid under routes; waits and ways back.

#include <gtest/gtest.h>

#include "dangerline/base/error.hpp"
#include "dangerline/jobs/passage.hpp"
#include "support/support.hpp"

using namespace dangerline;
using namespace dangerline::jobs;

namespace {

/// The demo's plan beside its files, with a change.
plan::Plan demo(const std::string& from = "", const std::string& to = "") {
    std::string text = support::read_file(support::testdata() / "demo/plan.toml");
    if (const auto at = text.find(from); !from.empty()) {
        EXPECT_NE(at, std::string::npos) << from;
        text.replace(at, from.size(), to);
    }
    static const support::TemporaryFolder folder;
    for (const auto& entry : std::filesystem::directory_iterator(support::testdata() / "demo"))
        if (entry.path().filename() != "plan.toml" &&
            !std::filesystem::exists(folder.path() / entry.path().filename()))
            std::filesystem::create_symlink(entry.path(), folder.path() / entry.path().filename());
    return plan::read(folder.file("plan.toml", text));
}

const std::string first_route = "pick = \"Slip to the wreck mark\"\n";

} // namespace

TEST(Streams, panels_of_the_chart_are_bound_by_the_tide_they_name) {
    const auto with = run_passage(demo(), {});
    EXPECT_TRUE(with.streams);
    EXPECT_EQ(with.stream_notes.at(0), "Off Harrow Head, panel of X14DEMO1 by HW Lanner Bay, springs 5.0 m");
    for (const auto& leg : with.routes.at(0).legs) {
        ASSERT_TRUE(leg.stream);
        ASSERT_TRUE(leg.steer_deg);
    }
    // No tide of that name: said, and nothing is reckoned with.
    auto other = demo();
    for (auto& tide : other.tides)
        for (auto* name : {&tide.name, &tide.of})
            if (*name == "Lanner Bay")
                *name = "Withy";
    const auto without = run_passage(other, {});
    EXPECT_FALSE(without.streams);
    EXPECT_NE(without.stream_notes.at(0).find("the plan has no tide \"Lanner Bay\""), std::string::npos);
}

TEST(Streams, a_table_of_the_plan_joins_the_panels) {
    std::string rows = "hour,set_deg,springs_kn\n";
    for (int h = -6; h <= 6; ++h)
        rows += std::to_string(h) + ",265,0.5\n";
    const support::TemporaryFolder folder;
    const auto table = folder.file("combs.csv", rows);
    auto plan = demo();
    plan::StreamSource source;
    source.name = "The Combs";
    source.position = {-27.9096, 46.0657};
    source.file = table;
    source.of = "Rook Quay";
    plan.streams.push_back(source);
    // A secondary port has no constants: its spring range must be stated.
    EXPECT_THROW(run_passage(plan, {}), Failure);
    plan.streams[0].spring_range_m = 4.4;
    const auto report = run_passage(plan, {});
    bool said = false;
    for (const auto& note : report.stream_notes)
        said = said || note == "The Combs, panel of combs.csv by HW Rook Quay, springs 4.4 m";
    EXPECT_TRUE(said);
}

TEST(Streams, there_a_wait_and_back) {
    const auto plan =
        demo(first_route, first_route + "back = true\nrecovery_min = 15\n"
                                        "wait = [ { place = \"Wreck Mark\", minutes = 30 } ]\n");
    const auto report = run_passage(plan, {});
    const auto& route = report.routes.at(0);
    ASSERT_EQ(route.legs.size(), 8U);
    EXPECT_EQ(route.legs[3].wait_s, 1800.0);
    EXPECT_EQ(route.legs[7].wait_s, 900.0);
    EXPECT_NEAR(route.track.length(), 2.0 * route.track.place_coordinates()[4], 0.1);
    EXPECT_EQ(route.track.route().places.front().lat_deg, route.track.route().places.back().lat_deg);
    EXPECT_NEAR(route.legs[4].begin - route.legs[3].end, 1800.0, 1e-3);
    // Both landings are there, the second with the recovery.
    int landings = 0;
    for (const auto& f : route.check.findings)
        landings += f.kind == hazard::Kind::shore && f.what.find("hore stretch") != std::string::npos;
    EXPECT_EQ(landings, 2);
    EXPECT_THROW(
        run_passage(demo(first_route, first_route + "wait = [ { place = \"Nowhere\", minutes = 30 } ]\n"),
                    {}),
        Failure);
    EXPECT_THROW(run_passage(demo(first_route, first_route + "leg_speeds_kn = [6, 6]\n"), {}), Failure);
}

TEST(Streams, waiting_until_a_clock_time) {
    const auto report =
        run_passage(demo(first_route, first_route + "wait = [ { place = 3, until = \"09:00\" } ]\n"), {});
    const auto& legs = report.routes.at(0).legs;
    EXPECT_EQ(to_iso_utc(legs[2].begin), "2026-06-16T09:00:00Z");
}

// A boat of 3 kn can't hold its line off the headland at springs: unknown, and why.
TEST(Streams, a_leg_that_cannot_be_held_is_unknown) {
    const auto report = run_passage(demo(first_route, first_route + "speed = \"1.2 kn\"\n"), {});
    const auto& check = report.routes.at(0).check;
    bool said = false;
    for (const auto& f : check.findings)
        said = said || (f.grade == hazard::Grade::unknown &&
                        f.reason.find("from here on no time is known") != std::string::npos);
    EXPECT_TRUE(said);
    EXPECT_GE(check.worst, hazard::Grade::unknown);
}

// No stream but a largest rate: the arrival is an interval and the whole route a caution.
TEST(Streams, a_largest_rate_alone_makes_cautions) {
    auto plan = demo("swell_m = 0.4", "swell_m = 0.4\nrate_max_kn = 3\nstream_reach_nm = 0.01");
    const auto report = run_passage(plan, {});
    bool said = false;
    for (const auto& f : report.routes.at(0).check.findings)
        said = said || f.reason.find("with the largest rate stated the boat is up to") != std::string::npos;
    EXPECT_TRUE(said);
    EXPECT_EQ(report.routes.at(0).check.stretches.front().marks.front().grade, hazard::Grade::caution);
}
