#include "dangerline/plan/plan.hpp"

#include "dangerline/base/quantities.hpp"
#include "support/support.hpp"

#include <algorithm>
#include <cmath>
#include <gtest/gtest.h>

namespace {

using namespace dangerline;
using plan::Plan;

const std::string full = R"(title = "Skarholm, June"
zone = "Atlantic/Azores"
as_of = 2026-06-01
depart = "2026-06-12 06:30"
charts = ["chart", "/data/extra.000"]

[boat]
name = "Tern"
draught_m = 0.6
squat_m = 0.2
speed = "14 kn"
air_draught_m = 2.4
overhead_margin_m = 1

[water]
exposure = "sheltered"
under_keel_m = 0.8
wave_height_m = 0.3
wind = "SW 20 kn"
swell_m = 0
rate_max_kn = 2.5

[[tide]]
kind = "harmonic"
position = [-27.93, 46.08]
constants = "tide/../tide.csv"
mean_level_m = 2.6
datum = 23
[[tide.link]]
code = 17
below_m = 0.3
[[tide.link]]
code = 3
above_m = 2.6

[doubt]
tide_height_m = 0.25
tide_time_min = 10
time_margin_min = 20

[zones]
within_m = 5000

[[route]]
name = "Slip to the wreck mark"
file = "routes.gpx"
pick = "out"
depart = 2026-06-12T07:15:00
half_width = 15
speed = "12 km/h"
shore_start_m = 100
shore_end_m = 0

[[route]]
file = "/routes/home.geojson"
half_width = [50, 15.5, 10]
shore_start_m = 150
shore_end_m = 150
)";

const std::string minimal = R"(zone = "UTC"
charts = ["chart"]
boat = { draught_m = 0.5, speed = "7 m/s" }
tide = [{ kind = "fixed", height_m = -0.4 }]
)";

Plan read_text(const support::TemporaryFolder& folder, const std::string& text) {
    return plan::read(folder.file("plan.toml", text));
}

/// And what is assumed of surveys where the plan says nothing of them.
std::vector<std::string> with_surveys(std::vector<std::string> others) {
    others.insert(
        others.end(),
        {"CATZOC B counts as C where its survey is not known to be of 1950 or later",
         "moving bottom, in years: sand waves under less than 10 m are a bar; undated means 100; soft ground "
         "0 m a year, flagged after 25; sand waves 5 m a year, flagged after 10; bar flagged after 1"});
    return others;
}

std::vector<std::string> assumptions_of(const std::string& text) {
    const support::TemporaryFolder folder;
    return read_text(folder, text).assumptions;
}

TEST(PlanRead, FullPlanHead) {
    const support::TemporaryFolder folder;
    const Plan p = read_text(folder, full);
    EXPECT_EQ(p.file, folder.path() / "plan.toml");
    EXPECT_EQ(p.title, "Skarholm, June");
    EXPECT_EQ(p.zone.name(), "Atlantic/Azores");
    EXPECT_EQ(p.as_of, (CalendarDay{2026, 6, 1}));
    EXPECT_EQ(p.depart, "2026-06-12 06:30");
    ASSERT_EQ(p.charts.size(), 2U);
    EXPECT_EQ(p.charts[0].file, folder.path() / "chart");
    EXPECT_EQ(p.charts[1].file, "/data/extra.000");
    EXPECT_EQ(p.zones_within_m, 5000.0);
    // Only what rests on this project's own numbers is left: the factor on the waves.
    EXPECT_EQ(p.assumptions,
              with_surveys({"wave allowance 0.3 m: 1.0 × the wave height given",
                            "tide doubt at least 0.5 m and 30 min beyond 10 NM from the station"}));
}

TEST(PlanRead, FullPlanBoatAndWater) {
    const support::TemporaryFolder folder;
    const Plan p = read_text(folder, full);
    EXPECT_EQ(p.boat.name, "Tern");
    EXPECT_EQ(p.boat.draught_m, 0.6);
    EXPECT_EQ(p.boat.squat_m, 0.2);
    EXPECT_DOUBLE_EQ(p.boat.speed_mps, 14.0 * 1852.0 / 3600.0);
    EXPECT_EQ(p.boat.air_draught_m, 2.4);
    EXPECT_EQ(p.boat.overhead_margin_m, 1.0);
    EXPECT_TRUE(p.sheltered);
    EXPECT_EQ(p.margins.under_keel_m, 0.8);
    EXPECT_EQ(p.margins.wave_allowance_m, 0.3);
    EXPECT_TRUE(p.margins.waves_given);
    ASSERT_TRUE(p.wind);
    EXPECT_EQ(p.wind->from_deg, 225.0);
    EXPECT_DOUBLE_EQ(p.wind->mps, 20.0 * 1852.0 / 3600.0);
    EXPECT_EQ(p.wind->words, "wind from SW 20 kn, blowing towards NE");
    EXPECT_EQ(p.sea.wind_mps, p.wind->mps);
    EXPECT_EQ(p.sea.swell_m, 0.0);
    ASSERT_TRUE(p.sea.rate_mps);
    EXPECT_DOUBLE_EQ(*p.sea.rate_mps, 2.5 * 1852.0 / 3600.0);
}

TEST(PlanRead, FullPlanTideAndDoubt) {
    const support::TemporaryFolder folder;
    const Plan p = read_text(folder, full);
    EXPECT_EQ(p.tides.at(0).kind, plan::TideSource::Kind::harmonic);
    EXPECT_EQ(p.tides.at(0).constants, folder.path() / "tide.csv");
    EXPECT_EQ(p.tides.at(0).mean_level_m, 2.6);
    EXPECT_EQ(p.tides.at(0).datums.source_code, 23);
    // Below the tide's datum: heights above it are larger; above: smaller.
    EXPECT_EQ(p.tides.at(0).datums.metres_below_source, (std::map<int, double>{{17, 0.3}, {3, -2.6}}));
    EXPECT_EQ(p.doubts.tide_height_m, 0.25);
    EXPECT_EQ(p.doubts.tide_time_s, 600.0);
    EXPECT_EQ(p.doubts.time_margin_s, 1200.0);
}

TEST(PlanRead, FullPlanRoutes) {
    const support::TemporaryFolder folder;
    const Plan p = read_text(folder, full);
    ASSERT_EQ(p.routes.size(), 2U);
    const auto& out = p.routes[0];
    EXPECT_EQ(out.name, "Slip to the wreck mark");
    EXPECT_EQ(out.file, folder.path() / "routes.gpx");
    EXPECT_EQ(out.pick, "out");
    EXPECT_EQ(out.depart, "2026-06-12 07:15");
    EXPECT_EQ(out.half_width_m, 15.0);
    EXPECT_TRUE(out.leg_half_widths_m.empty());
    ASSERT_TRUE(out.speed_mps);
    EXPECT_DOUBLE_EQ(*out.speed_mps, 12.0 / 3.6);
    EXPECT_EQ(out.shore_start_m, 100.0);
    EXPECT_EQ(out.shore_end_m, 0.0);
    const auto& home = p.routes[1];
    EXPECT_EQ(home.file, "/routes/home.geojson");
    EXPECT_FALSE(home.depart || home.half_width_m || home.speed_mps);
    EXPECT_EQ(home.leg_half_widths_m, (std::vector<double>{50.0, 15.5, 10.0}));
    // Messages point to the tables' own lines.
    EXPECT_EQ(std::count(full.begin(), full.begin() + static_cast<long>(full.find("[[route]]")), '\n') + 1,
              out.line);
    EXPECT_EQ(home.line, out.line + 10);
}

TEST(PlanRead, MinimalPlanTakesTheDefaultsAndSaysSo) {
    const support::TemporaryFolder folder;
    const Plan p = read_text(folder, minimal);
    EXPECT_EQ(p.title, "");
    EXPECT_FALSE(p.as_of || p.depart || p.wind || p.boat.air_draught_m);
    EXPECT_EQ(p.boat.squat_m, 0.3);
    EXPECT_EQ(p.boat.speed_mps, 7.0);
    EXPECT_FALSE(p.sheltered);
    EXPECT_EQ(p.margins.under_keel_m, 1.0);
    EXPECT_EQ(p.margins.wave_allowance_m, 0.5);
    EXPECT_FALSE(p.margins.waves_given);
    EXPECT_EQ(p.tides.at(0).kind, plan::TideSource::Kind::fixed);
    EXPECT_EQ(p.tides.at(0).height_m, -0.4);
    EXPECT_FALSE(p.tides.at(0).datums.source_code);
    EXPECT_TRUE(p.tides.at(0).datums.metres_below_source.empty());
    EXPECT_EQ(p.doubts.tide_height_m, 0.3);
    EXPECT_EQ(p.doubts.tide_time_s, 900.0);
    EXPECT_EQ(p.doubts.time_margin_s, 900.0);
    // Not stated is not calm.
    EXPECT_FALSE(p.sea.rate_mps || p.sea.wind_mps || p.sea.swell_m);
    EXPECT_TRUE(p.routes.empty());
    EXPECT_EQ(p.zones_within_m, 3000.0);
    EXPECT_EQ(p.assumptions, with_surveys({"hump squat 0.3 m", "under-keel margin 1.0 m (open water)",
                                           "wave allowance 0.5 m: no waves given", "tide height doubt 0.3 m",
                                           "tide time doubt 15 min", "boat's clock ±15 min"}));
}

TEST(PlanRead, AssumptionsFollowWhatIsLeftOut) {
    const auto has = [](const std::vector<std::string>& all, const std::string& one) {
        return std::find(all.begin(), all.end(), one) != all.end();
    };
    const auto sheltered = assumptions_of(minimal + "water = { exposure = \"sheltered\" }\n");
    EXPECT_TRUE(has(sheltered, "under-keel margin 0.5 m (sheltered water)"));
    EXPECT_FALSE(has(sheltered, "under-keel margin 1.0 m (open water)"));
    const auto with_route = assumptions_of(minimal + "[[route]]\nfile = \"a.gpx\"\nshore_end_m = 0\n");
    EXPECT_TRUE(has(with_route, "corridor half-width 50 m where no other is given"));
    EXPECT_TRUE(has(with_route, "shore stretch at most 150 m where no other is given"));
    const auto tall = assumptions_of("zone = \"UTC\"\ncharts = [\"chart\"]\n"
                                     "[boat]\ndraught_m = 0.5\nspeed = \"7 m/s\"\nair_draught_m = 3\n"
                                     "[[tide]]\nkind = \"fixed\"\nheight_m = 0\n");
    EXPECT_TRUE(has(tall, "overhead margin 0.5 m"));
}

TEST(PlanRead, TwoWaysToWriteADayAndATime) {
    const support::TemporaryFolder folder;
    EXPECT_EQ(read_text(folder, "as_of = \"2026-06-01\"\n" + minimal).as_of, (CalendarDay{2026, 6, 1}));
    EXPECT_EQ(read_text(folder, "depart = 2026-06-12T06:30:10\n" + minimal).depart, "2026-06-12 06:30:10");
    EXPECT_EQ(read_text(folder, "depart = 2026-06-12T06:30:00Z\n" + minimal).depart, "2026-06-12 06:30Z");
}

TEST(PlanRead, OneWidthInAListCountsForTheWholeRoute) {
    const support::TemporaryFolder folder;
    const Plan p = read_text(folder, minimal + "[[route]]\nfile = \"a.gpx\"\nhalf_width = [20]\n");
    EXPECT_EQ(p.routes.at(0).half_width_m, 20.0);
    EXPECT_TRUE(p.routes.at(0).leg_half_widths_m.empty());
}

TEST(PlanRead, PathsOfAPlanNamedWithoutFolder) {
    const support::TemporaryFolder folder;
    folder.file("plan.toml", minimal);
    const auto before = std::filesystem::current_path();
    std::filesystem::current_path(folder.path());
    const Plan p = plan::read("plan.toml");
    std::filesystem::current_path(before);
    EXPECT_EQ(p.charts.at(0).file, "chart");
}

struct WindRow {
    const char* text;
    double from_deg;
    double mps;
    const char* words;
};

TEST(PlanRead, WindIsNamedByWhereItComesFrom) {
    const std::vector<WindRow> rows{
        {"N 10 m/s", 0.0, 10.0, "wind from N 10 m/s, blowing towards S"},
        {"nne 36 km/h", 22.5, 10.0, "wind from NNE 36 km/h, blowing towards SSW"},
        {"WNW  12.5kn", 292.5, 12.5 * 1852.0 / 3600.0, "wind from WNW 12.5 kn, blowing towards ESE"},
        {"E 0 kn", 90.0, 0.0, "wind from E 0 kn, blowing towards W"},
        {"225 20 m/s", 225.0, 20.0, "wind from 225° 20 m/s, blowing towards 045°"},
        {"5° 20 m/s", 5.0, 20.0, "wind from 005° 20 m/s, blowing towards 185°"},
        {"360 3 m/s", 0.0, 3.0, "wind from 000° 3 m/s, blowing towards 180°"},
    };
    const support::TemporaryFolder folder;
    for (const WindRow& row : rows) {
        SCOPED_TRACE(row.text);
        const Plan p = read_text(folder, minimal + "[water]\nwind = \"" + row.text + "\"\n");
        ASSERT_TRUE(p.wind);
        EXPECT_DOUBLE_EQ(p.wind->from_deg, row.from_deg);
        EXPECT_NEAR(p.wind->mps, row.mps, 1e-12);
        EXPECT_EQ(p.wind->words, row.words);
        EXPECT_EQ(p.sea.wind_mps, p.wind->mps);
    }
}

TEST(PlanRead, LimitsThemselvesAreTaken) {
    const support::TemporaryFolder folder;
    const Plan p = read_text(folder, "zone = \"UTC\"\ncharts = [\"chart\"]\n"
                                     "[boat]\ndraught_m = 5\nspeed = \"80 kn\"\nsquat_m = 0\n"
                                     "[[tide]]\nkind = \"fixed\"\nheight_m = 0\ndatum = 30\n"
                                     "[[route]]\nfile = \"a\"\nhalf_width = 10\nshore_start_m = 2000\n");
    EXPECT_EQ(p.boat.draught_m, 5.0);
    EXPECT_EQ(p.boat.squat_m, 0.0);
    EXPECT_EQ(p.routes.at(0).half_width_m, 10.0);
    EXPECT_EQ(p.routes.at(0).shore_start_m, 2000.0);
}

} // namespace

namespace {

const std::string head =
    "zone = \"UTC\"\ncharts = [\"chart\"]\nboat = { draught_m = 0.5, speed = \"7 m/s\" }\n";
const std::string several = head + R"(
[water]
pressure_hpa = 1033
mean_pressure_hpa = 1013
surge_m = -0.2

[[tide]]
name = "Lanner Bay"
kind = "harmonic"
constants = "tide.csv"
mean_level_m = 3.2
datum = 23

[[tide]]
name = "Rook Quay"
kind = "secondary"
of = "Lanner Bay"
differences = "rook.csv"
position = [-27.9, 46.1]
datum = 23
[[tide.link]]
code = 17
above_m = 5.2

[[tide]]
name = "Gannet Sound"
kind = "table"
table = "week.csv"
times = "Atlantic/Azores"
gap_h = 12
position = [332.1, 46.2]
zone = [[-28, 46], [-27, 46], [-27, 47], [-28, 46]]

[[tide]]
name = "Outer Bank"
kind = "curve"
curve = "model.csv"
weather = "included"
position = [-27.8, 46.0]
zone = "bank.geojson"
)";

} // namespace

TEST(PlanRead, SeveralTides) {
    using Kind = plan::TideSource::Kind;
    const support::TemporaryFolder folder;
    const Plan p = read_text(folder, several);
    ASSERT_EQ(p.tides.size(), 4U);
    const auto &port = p.tides[0], &quay = p.tides[1], &sound = p.tides[2], &bank = p.tides[3];
    EXPECT_TRUE(port.standard_port_only());
    EXPECT_FALSE(quay.standard_port_only());
    EXPECT_EQ(quay.kind, Kind::secondary);
    EXPECT_EQ(quay.name, "Rook Quay");
    EXPECT_EQ(quay.of, "Lanner Bay");
    EXPECT_EQ(quay.file, folder.path() / "rook.csv");
    EXPECT_EQ(quay.position, (geo::Position{-27.9, 46.1}));
    EXPECT_FALSE(quay.has_zone());
    EXPECT_TRUE(sound.has_zone());
    EXPECT_TRUE(bank.has_zone());
    EXPECT_EQ(bank.zone_file, folder.path() / "bank.geojson");
    EXPECT_TRUE(bank.zone.empty());
    EXPECT_EQ(quay.datums.metres_below_source, (std::map<int, double>{{17, -5.2}}));
    EXPECT_TRUE(port.datums.metres_below_source.empty()); // each tide has links of its own
    EXPECT_EQ(sound.kind, Kind::table);
    EXPECT_EQ(sound.file, folder.path() / "week.csv");
    EXPECT_EQ(sound.times->name(), "Atlantic/Azores");
    EXPECT_EQ(sound.longest_gap_s, 12 * 3600.0);
    EXPECT_EQ(sound.zone, (std::vector<geo::Position>{{-28, 46}, {-27, 46}, {-27, 47}}));
    EXPECT_FALSE(sound.datums.source_code || sound.weather_included);
    EXPECT_EQ(bank.kind, Kind::curve);
    EXPECT_TRUE(bank.weather_included);
    EXPECT_FALSE(bank.times || bank.longest_gap_s);
    EXPECT_EQ(p.weather.pressure_hpa, 1033.0);
    EXPECT_EQ(p.weather.mean_pressure_hpa, 1013.0);
    EXPECT_EQ(p.weather.surge_m, -0.2);
    const auto said = [&](const std::string& words) {
        return std::any_of(p.assumptions.begin(), p.assumptions.end(),
                           [&](const std::string& a) { return a.find(words) != std::string::npos; });
    };
    EXPECT_TRUE(said("at least 25 min at a secondary port"));
    EXPECT_TRUE(said("half-cosine is doubted"));
    EXPECT_TRUE(said("points over 60 min apart"));
    EXPECT_FALSE(said("neighbours in a table are over")); // the plan says 12 h itself
}
