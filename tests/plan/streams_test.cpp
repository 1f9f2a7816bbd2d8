// Streams of a plan, and what its routes say of speeds, waits and the way back.
#include "dangerline/plan/plan.hpp"

#include <gtest/gtest.h>

#include "plan/made_plan.hpp"

using namespace dangerline;

namespace {

const std::string head = R"(zone = "Atlantic/Azores"
charts = ["chart"]
boat = { draught_m = 0.6, speed = "14 kn" }
water = { stream_reach_nm = 2 }
[[tide]]
name = "Lanner Bay"
kind = "harmonic"
constants = "tide.csv"
mean_level_m = 2.6
position = [-27.93, 46.08]
datum = 23
spring_range_m = 4.6
)";

plan::Plan read(const std::string& more) {
    return made_plan::read(head + more);
}

std::string refusal(const std::string& more) {
    return made_plan::refusal(head + more);
}

} // namespace

TEST(PlanStreams, every_kind) {
    const auto plan = read(R"([[stream]]
kind = "table"
name = "Gannet Head"
table = "gannet.csv"
of = "Lanner Bay"
hours_from = "LW"
neap_range_m = 2.2
position = [-27.95, 46.05]
[[stream]]
kind = "harmonic"
constants = "current.csv"
position = [-27.90, 46.05]
[[stream]]
kind = "grid"
forecast = "today.nc"
)");
    ASSERT_EQ(plan.streams.size(), 3U);
    EXPECT_EQ(plan.streams[0].of, "Lanner Bay");
    EXPECT_TRUE(plan.streams[0].from_low_water);
    EXPECT_FALSE(plan.streams[0].spring_range_m);
    EXPECT_EQ(plan.streams[0].neap_range_m, 2.2);
    EXPECT_EQ(plan.streams[1].name, "current");
    EXPECT_EQ(plan.streams[1].position.lon_deg, -27.90);
    EXPECT_EQ(plan.streams[2].file.filename(), "today.nc");
    EXPECT_EQ(plan.tides[0].spring_range_m, 4.6);
    EXPECT_NEAR(plan.stream_reach_m, 3704.0, 1e-9);
    bool said = false;
    for (const auto& sentence : plan.assumptions)
        said = said || sentence == "streams hold within 2.0 NM of their station";
    EXPECT_TRUE(said);
}

TEST(PlanStreams, routes_with_waits_and_a_way_back) {
    const auto plan = read(R"([[route]]
file = "r.gpx"
leg_speeds_kn = [6, 12]
back = true
recovery_min = 20
wait = [ { place = 2, minutes = 90 }, { place = "Bar", until = "11:30" } ]
)");
    const auto& route = plan.routes.at(0);
    EXPECT_TRUE(route.back);
    EXPECT_EQ(route.recovery_s, 1200.0);
    ASSERT_EQ(route.leg_speeds_mps.size(), 2U);
    EXPECT_NEAR(route.leg_speeds_mps[1], 12.0 * mps_per_knot, 1e-12);
    ASSERT_EQ(route.waits.size(), 2U);
    EXPECT_EQ(route.waits[0].number, 2U);
    EXPECT_EQ(route.waits[0].seconds, 5400.0);
    EXPECT_EQ(route.waits[1].name, "Bar");
    EXPECT_EQ(route.waits[1].until, "11:30");
}

TEST(PlanStreams, wrong_ones_are_refused) {
    const std::string table = "[[stream]]\nkind = \"table\"\ntable = \"t.csv\"\n";
    const std::string at = "position = [-27.9, 46.0]\n";
    const std::string route = "[[route]]\nfile = \"r.gpx\"\n";
    const std::pair<std::string, const char*> bad[] = {
        {"[[stream]]\nkind = \"atlas\"\n", "unknown kind of stream \"atlas\""},
        {table + at, "stream[1].of"},
        {table + at + "of = \"Nowhere\"\n", "no tide of this plan is named \"Nowhere\""},
        {table + "of = \"Lanner Bay\"\n", "stream[1].position"},
        {table + at + "of = \"Lanner Bay\"\nhours_from = \"HWS\"\n", "\"HWS\" is neither"},
        {table + at + "of = \"Lanner Bay\"\nspring_range_m = 2\nneap_range_m = 3\n",
         "not less than at springs"},
        {table + at + "of = \"Lanner Bay\"\nconstants = \"c.csv\"\n", "has no meaning"},
        {"[[stream]]\nkind = \"grid\"\nforecast = \"a.nc\"\n" + at, "has no meaning"},
        {table + "of = \"Lanner Bay\"\nposition = [46.0, -127.9]\n", "swapped"},
        {route + "wait = [ { place = 2 } ]\n", "neither minutes nor until"},
        {route + "wait = [ { place = 1, minutes = 5 } ]\n", "place"},
        {route + "wait = [ { place = 2, until = \"25:00\" } ]\n", "is no clock time"},
        {route + "speed = \"6 kn\"\nleg_speeds_kn = [6]\n", "speed is given as well"},
        {route + "back = \"yes\"\n", "neither true nor false"}};
    for (const auto& [text, said] : bad)
        EXPECT_NE(refusal(text).find(said), std::string::npos) << text << refusal(text);
}
