// What a plan says of drift.
#include "dangerline/plan/plan.hpp"

#include <gtest/gtest.h>

#include "plan/made_plan.hpp"

using namespace dangerline;

namespace {

const std::string& head = made_plan::least;

plan::Plan read(const std::string& more) {
    return made_plan::read(head + more);
}

std::string refusal(const std::string& more) {
    return made_plan::refusal(head + more);
}

} // namespace

TEST(PlanDrift, defaults_are_said) {
    const auto plan = read("");
    EXPECT_EQ(plan.drift.lasts_s, 6.0 * 3600.0);
    EXPECT_EQ(plan.drift.particles, 1000u);
    EXPECT_TRUE(plan.drift.boat.empty());
    EXPECT_FALSE(plan.drift.stream);
    EXPECT_EQ(plan.drift.table_mps.size(), 4u);
    std::string said;
    for (const auto& sentence : plan.drift_assumptions)
        said += sentence + "\n";
    for (const char* words :
         {"open boat", "6 hours", "8 NM", "rate of the stream 25 %", "set 20 degrees", "eddies 1"})
        EXPECT_NE(said.find(words), std::string::npos) << words << "\n" << said;
}

TEST(PlanDrift, everything_given) {
    const auto plan = read(R"([drift]
boat = "cuddy boat"
hours = 3
particles = 500
seed = 42
within_nm = 5
wind_series = "wind.csv"
wind_height_m = 3
stream = "NE 1.5 kn"
table_kn = [12, 24]
errors = { stream_percent = 10, clock_min = 5, eddies_m2ps = 0 }
[[second]]
kind = "oars"
speed = "1.5 kn"
minutes = 40
[[second]]
kind = "drogue"
leeway_left_percent = 50
[[helper]]
name = "Club launch"
position = [-27.93, 46.08]
speed = "20 kn"
muster_min = 5
)");
    const auto& d = plan.drift;
    EXPECT_EQ(d.boat, "cuddy boat");
    EXPECT_EQ(d.lasts_s, 3.0 * 3600.0);
    EXPECT_EQ(d.seed, 42u);
    EXPECT_EQ(d.wind_series.filename(), "wind.csv");
    EXPECT_EQ(d.wind_height_m, 3.0);
    ASSERT_TRUE(d.stream);
    EXPECT_NEAR(d.stream->set_deg, 45.0, 1e-12);
    EXPECT_NEAR(d.stream->mps, 1.5 * mps_per_knot, 1e-12);
    EXPECT_EQ(d.table_mps, (std::vector<double>{12 * mps_per_knot, 24 * mps_per_knot}));
    EXPECT_NEAR(d.errors.stream_share, 0.1, 1e-12);
    EXPECT_EQ(d.errors.tide_clock_s, 300.0);
    EXPECT_EQ(d.errors.wind_share, 0.25);
    ASSERT_EQ(plan.second_means.size(), 2u);
    EXPECT_EQ(plan.second_means[0].seconds, 2400.0);
    EXPECT_EQ(plan.second_means[1].leeway_share, 0.5);
    ASSERT_EQ(plan.helpers.size(), 1u);
    EXPECT_EQ(plan.helpers[0].muster_s, 300.0);
    EXPECT_EQ(plan.helpers[0].alarm_s, 600.0);
    EXPECT_EQ(read("drift = { leeway_percent = 5 }\n").drift.own->share, 0.05);
    EXPECT_EQ(read("drift = { stream = \"none\" }\n").drift.stream->mps, 0.0);
}

TEST(PlanDrift, refused) {
    const std::pair<const char*, const char*> cases[] = {
        {"drift = { boat = \"cudy boat\" }\n", "did you mean cuddy boat"},
        {"drift = { boat = \"cuddy boat\", leeway_percent = 4 }\n", "drift.boat"},
        {"drift = { divergence_deg = 4 }\n", "drift.divergence_deg"},
        {"drift = { stream = \"1.5\" }\n", "drift.stream"},
        {"drift = { stream = \"NE 1.5\" }\n", "drift.stream"},
        {"drift = { wind_series = \"a\", wind_forecast = \"b\" }\n", "drift.wind_forecast"},
        {"drift = { wind_height_m = 3 }\n", "drift.wind_height_m"},
        {"drift = { hours = 0 }\n", "drift.hours"},
        {"drift = { particles = 3 }\n", "drift.particles"},
        {"drift = { errors = { stream_percent = 200 } }\n", "drift.errors.stream_percent"},
        {"[[second]]\nkind = \"sail\"\n", "second[1].kind"},
        {"[[second]]\nkind = \"oars\"\nminutes = 3\n", "second[1].speed"},
        {"[[second]]\nkind = \"oars\"\nspeed = \"2 kn\"\n", "second[1].minutes"},
        {"[[second]]\nkind = \"drogue\"\n", "second[1].leeway_left_percent"},
        {"[[helper]]\nname = \"x\"\nposition = [-27, 46]\n", "helper[1].speed"},
        {"[[helper]]\nname = \"x\"\nspeed = \"20 kn\"\n", "helper[1].position"}};
    for (const auto& [text, words] : cases)
        EXPECT_NE(refusal(text).find(words), std::string::npos) << text << refusal(text);
}
