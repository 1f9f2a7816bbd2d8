#include "dangerline/jobs/tried.hpp"

#include <gtest/gtest.h>

#include <algorithm>
#include <cmath>
#include <functional>

#include "dangerline/base/error.hpp"
#include "dangerline/jobs/compare.hpp"
#include "dangerline/jobs/passage.hpp"
#include "support/support.hpp"

namespace dangerline {
namespace {

constexpr int fixes = 35;

/// Along the last leg of the demo's route to the wreck mark.
geo::Position fix_at(int i, double apart = 1.0) {
    const double part = i * apart / (fixes - 1);
    return {-27.909635 + part * (-27.886914 + 27.909635), 46.065676 + part * (46.055960 - 46.065676)};
}

std::string time_at(int i, const std::string& day = "2026-05-30") {
    return to_iso_utc(start_of(*parse_day(day)) + 6.0 * 3600.0 + i * 30.0);
}

struct Sample {
    std::string day = "2026-05-30"; ///< of the times in track and log
    std::string date = "2026-05-30";
    std::string as_of = "2026-06-16";
    bool times = true;
    double apart = 1.0;
    std::string tide = "height_m = 1.5\n"; ///< of the plan's station
    std::string more{};                    ///< keys of the run
    std::function<double(int)> logged_m{}; ///< empty: no sounder
    std::string log_day = day;
};

std::filesystem::path plan_of(const support::TemporaryFolder& folder, const Sample& run) {
    std::string gpx =
        "<gpx version=\"1.1\" creator=\"x\" xmlns=\"http://www.topografix.com/GPX/1/1\"><trk><trkseg>";
    std::string log = "time,lon,lat,depth_m\n";
    for (int i = 0; i < fixes; ++i) {
        const auto p = fix_at(i, run.apart);
        const std::string lat = std::to_string(p.lat_deg), lon = std::to_string(p.lon_deg);
        gpx += "<trkpt lat=\"" + lat + "\" lon=\"" + lon + "\">" +
               (run.times ? "<time>" + time_at(i, run.day) + "</time>" : "") + "</trkpt>";
        if (run.logged_m)
            log += time_at(i, run.log_day) + "," + lon + "," + lat + "," + std::to_string(run.logged_m(i)) +
                   "\n";
    }
    folder.file("run.gpx", gpx + "</trkseg></trk></gpx>");
    folder.file("log.csv", log);
    return folder.file(
        "plan.toml", "zone = \"UTC\"\nas_of = " + run.as_of + "\ncharts = [\"" +
                         (support::testdata() / "demo/X14DEMO1.000").string() +
                         "\"]\n[boat]\ndraught_m = 0.6\nspeed = \"12 kn\"\n[[tide]]\nkind = "
                         "\"fixed\"\ndatum = 23\n" +
                         run.tide + "[[tried]]\nfile = \"run.gpx\"\nby = \"A. Nother\"\ndate = " + run.date +
                         "\ndraught_m = 0.5\n" +
                         (run.logged_m ? "sounder = \"log.csv\"\ntransducer_m = 0.3\n" : "") + run.more);
}

jobs::TriedOutcome outcome_of(const Sample& run) {
    const support::TemporaryFolder folder;
    return jobs::run_compare(plan::read(plan_of(folder, run))).tried.at(0);
}

std::string failure_of(const Sample& run, Fault fault) {
    try {
        outcome_of(run);
    } catch (const Failure& failure) {
        EXPECT_EQ(failure.fault(), fault) << failure.what();
        return failure.what();
    }
    return "nothing";
}

/// Charted depths under the fixes.
std::vector<double> charted() {
    Sample run;
    run.logged_m = [](int) { return 5.0; };
    std::vector<double> out;
    for (const auto& place : outcome_of(run).places)
        out.push_back(place.charted_m.value());
    return out;
}

TEST(Tried, ProvesItsDraughtAtTheTideOfTheTime) {
    const auto out = outcome_of({});
    EXPECT_TRUE(out.why_not.empty()) << out.why_not;
    ASSERT_EQ(out.run.pieces.size(), static_cast<std::size_t>(fixes - 1));
    for (const auto& piece : out.run.pieces) {
        EXPECT_EQ(piece.water_m, 0.5);
        EXPECT_FALSE(piece.sounded);
        EXPECT_NEAR(piece.tide_m.at(23), 1.5, 1e-9);
    }
    EXPECT_NEAR(out.length_m, geo::geodesic_between(fix_at(0), fix_at(fixes - 1)).metres, 1.0);
}

TEST(Tried, CountsForNothingWhereItCannotBeDated) {
    EXPECT_EQ(outcome_of({.date = "2026-05-30", .as_of = "2026-08-28"}).why_not, "");
    const auto old = outcome_of({.date = "2026-05-30", .as_of = "2026-08-29"});
    EXPECT_NE(old.why_not.find("91 days ago, over 90"), std::string::npos) << old.why_not;
    EXPECT_TRUE(old.run.pieces.empty());
    const auto timeless = outcome_of({.times = false});
    EXPECT_NE(timeless.why_not.find("no times"), std::string::npos) << timeless.why_not;
    EXPECT_TRUE(timeless.run.pieces.empty());
    const auto stated = outcome_of({.times = false, .more = "tide_m = 2.2\n"});
    EXPECT_TRUE(stated.why_not.empty()) << stated.why_not;
    EXPECT_NEAR(stated.run.pieces.at(0).tide_m.at(23), 2.2, 1e-9);
    EXPECT_NE(failure_of({.as_of = "2026-05-29"}, Fault::plan).find("after the day of use"),
              std::string::npos);
    EXPECT_NE(failure_of({.day = "2026-05-28"}, Fault::data).find("the plan says 2026-05-30"),
              std::string::npos);
    EXPECT_NE(failure_of({.logged_m = [](int) { return 5.0; }, .log_day = "2026-06-02"}, Fault::data)
                  .find("the plan says 2026-05-30"),
              std::string::npos);
}

TEST(Tried, TellsNothingBetweenFixesFarApart) {
    const auto out = outcome_of({.apart = 2.0}); // 119 m each
    EXPECT_NE(out.why_not.find("over 100 m apart"), std::string::npos) << out.why_not;
}

TEST(Sounder, AgreesWithTheChartItWasMadeFrom) {
    const auto depths = charted();
    ASSERT_EQ(depths.size(), static_cast<std::size_t>(fixes));
    Sample run;
    run.logged_m = [&](int i) { return depths[static_cast<std::size_t>(i)] + 1.5 - 0.3; };
    const auto out = outcome_of(run);
    ASSERT_TRUE(out.offset);
    EXPECT_NEAR(out.offset->metres, 0.0, 0.01);
    for (std::size_t i = 0; i < out.places.size(); ++i) {
        EXPECT_NEAR(*out.places[i].sounded_m, depths[i], 0.001);
        EXPECT_NEAR(*out.places[i].difference_m, 0.0, 0.001);
        EXPECT_FALSE(out.places[i].changed);
    }
    const double least = *std::min_element(depths.begin(), depths.end()) + 1.5;
    for (const auto& piece : out.run.pieces) {
        EXPECT_TRUE(piece.sounded);
        EXPECT_GE(piece.water_m, least - 0.001);
    }
}

TEST(Sounder, TellsAnOffsetFromAChange) {
    const auto depths = charted();
    // 0.2 m off as a whole; between the 10th and the 15th a bank of 1.5 m.
    Sample run;
    run.logged_m = [&](int i) {
        return depths[static_cast<std::size_t>(i)] + 1.5 - 0.3 + 0.2 + (i % 3 - 1) * 0.05 -
               (i >= 10 && i < 15 ? 1.5 : 0.0);
    };
    const auto out = outcome_of(run);
    EXPECT_NEAR(out.offset->metres, 0.2, 0.051);
    for (int i = 0; i < fixes; ++i)
        EXPECT_EQ(out.places[static_cast<std::size_t>(i)].changed, i >= 10 && i < 15) << i;
    EXPECT_NE(out.offset_words.find("local change at 5 of them"), std::string::npos) << out.offset_words;
    EXPECT_NE(out.places[12].remark.find("shoaler than the rest"), std::string::npos);
    EXPECT_TRUE(out.run.pieces[0].sounded);
    EXPECT_NE(out.offset_words.find("0.2 m deeper than chart and tide in the median of 35 places;"),
              std::string::npos)
        << out.offset_words;
}

/// The same with a route along the run.
plan::Plan plan_along(const support::TemporaryFolder& folder, Sample run) {
    run.more = "[[route]]\nfile = \"run.geojson\"\n";
    const auto position = [](const geo::Position& p) {
        return "[" + std::to_string(p.lon_deg) + "," + std::to_string(p.lat_deg) + "]";
    };
    folder.file("run.geojson", "{\"type\":\"FeatureCollection\",\"features\":[{\"type\":\"Feature\","
                               "\"properties\":{\"name\":\"r\"},\"geometry\":{\"type\":\"LineString\","
                               "\"coordinates\":[" +
                                   position(fix_at(0)) + "," + position(fix_at(fixes - 1)) + "]}}]}");
    return plan::read(plan_of(folder, run));
}

std::vector<const passage::Finding*> sounded_in(const jobs::PassageReport& report) {
    std::vector<const passage::Finding*> found;
    for (const auto& f : report.routes.at(0).check.findings)
        if (f.what.find("by a sounder") != std::string::npos)
            found.push_back(&f);
    return found;
}

// The bank of 1.5 m between the 10th and the 15th fix, the median of 0.2 m taken out; deeper places are none.
TEST(Sounder, MakesACautionOfWhatIsShoaler) {
    const auto depths = charted();
    Sample run;
    run.logged_m = [&](int i) {
        return depths[static_cast<std::size_t>(i)] + 1.5 - 0.3 + 0.2 - (i >= 10 && i < 15 ? 1.5 : 0.0) +
               (i == 20 ? 1.0 : 0.0);
    };
    const support::TemporaryFolder folder;
    const auto plan = plan_along(folder, run);
    const auto report = jobs::run_passage(plan, "2026-06-16 12:00");
    const auto found = sounded_in(report);
    ASSERT_EQ(found.size(), 1U);
    EXPECT_EQ(found[0]->grade, hazard::Grade::caution);
    EXPECT_EQ(found[0]->cause, hazard::Cause::survey);
    EXPECT_NE(found[0]->reason.find("up to 1.5 m shoaler than chart and tide in the log of A. Nother on "
                                    "2026-05-30, its median of +0.2 m taken out"),
              std::string::npos)
        << found[0]->reason;
    double least = 99.0;
    for (std::size_t i = 10; i < 15; ++i)
        least = std::min(least, depths[i] - 1.5);
    EXPECT_NEAR(*found[0]->depth_m, least, 0.01);
    EXPECT_NEAR(*found[0]->water_m, least + 1.5, 0.01);
    const geo::Position there = report.plane.to_position(found[0]->place);
    EXPECT_LT(geo::geodesic_between(there, fix_at(12)).metres,
              geo::geodesic_between(fix_at(10), fix_at(12)).metres + 5.0);
    auto without = plan;
    without.tried.clear();
    EXPECT_TRUE(sounded_in(jobs::run_passage(without, "2026-06-16 12:00")).empty());
}

// A log to the shoaler may be right: the median of it never makes a depth better.
TEST(Sounder, LeavesAnOffsetToTheShoalerIn) {
    const auto depths = charted();
    for (const double off_m : {-0.2, -0.4, -2.0}) {
        Sample run;
        run.logged_m = [&](int i) {
            return depths[static_cast<std::size_t>(i)] + 1.5 - 0.3 + off_m - (i >= 10 && i < 15 ? 1.5 : 0.0);
        };
        const support::TemporaryFolder folder;
        const auto report = jobs::run_passage(plan_along(folder, run), "2026-06-16 12:00");
        const auto found = sounded_in(report);
        ASSERT_FALSE(found.empty()) << off_m;
        double least = 99.0, told = 99.0;
        for (std::size_t i = 10; i < 15; ++i)
            least = std::min(least, depths[i] - 1.5 + off_m);
        for (const auto* f : found)
            told = std::min(told, *f->depth_m);
        EXPECT_LE(told, least + 0.01) << "no better than sounded, " << off_m;
        EXPECT_NE(found[0]->reason.find("left in"), std::string::npos) << found[0]->reason;
    }
}

// A log 0.4 m deeper than chart and tide throughout proves 0.4 m less; one as much shoaler what it says.
TEST(Sounder, ProvesNoMoreThanTheChartAndTideHaveOfIt) {
    const auto depths = charted();
    const auto least_with = [&](double off_m) {
        Sample run;
        run.logged_m = [&](int i) { return depths[static_cast<std::size_t>(i)] + 1.5 - 0.3 + off_m; };
        double least = 1e9;
        for (const auto& piece : outcome_of(run).run.pieces)
            least = std::min(least, piece.water_m);
        return least;
    };
    EXPECT_NEAR(least_with(0.4), least_with(0.0), 0.01);
    EXPECT_NEAR(least_with(-0.4), least_with(0.0) - 0.4, 0.01);
}

// More than half of the places lie over a bar that has silted up: the median is the silt.
TEST(Sounder, TellsOfABarThatMostOfTheLogLiesOver) {
    const auto depths = charted();
    constexpr int bar_to = 25;
    Sample run;
    run.logged_m = [&](int i) {
        return depths[static_cast<std::size_t>(i)] + 1.5 - 0.3 - (i < bar_to ? 1.2 : 0.0);
    };
    const auto out = outcome_of(run);
    EXPECT_NEAR(out.offset->metres, -1.2, 0.01);
    for (int i = 0; i < fixes; ++i)
        EXPECT_EQ(out.places[static_cast<std::size_t>(i)].shoaler(), i < bar_to) << i;
    EXPECT_EQ(out.places[5].remark, "1.2 m shoaler than charted, as the rest of the log");
    EXPECT_NE(out.offset_words.find("25 shoaler than charted count as cautions"), std::string::npos)
        << out.offset_words;
    const support::TemporaryFolder folder;
    const auto report = jobs::run_passage(plan_along(folder, run), "2026-06-16 12:00");
    const auto found = sounded_in(report);
    ASSERT_EQ(found.size(), 1U);
    EXPECT_EQ(found[0]->grade, hazard::Grade::caution);
    EXPECT_NEAR(*found[0]->depth_m, *std::min_element(depths.begin(), depths.begin() + bar_to) - 1.2, 0.01);
    // Shoaler by no more than what counts as no change.
    run.logged_m = [&](int i) { return depths[static_cast<std::size_t>(i)] + 1.5 - 0.3 - 0.25; };
    for (const auto& place : outcome_of(run).places)
        EXPECT_FALSE(place.shoaler());
}

TEST(Sounder, ProvesNothingWhereAllOfItIsOff) {
    const auto depths = charted();
    Sample run;
    run.logged_m = [&](int i) { return depths[static_cast<std::size_t>(i)] + 1.5 + 2.0; };
    const auto out = outcome_of(run);
    EXPECT_NEAR(out.offset->metres, 2.3, 0.01);
    EXPECT_NE(out.offset_words.find("2.3 m deeper than chart and tide in the median of 35 places: wrong "
                                    "datum, day or draught offset?"),
              std::string::npos)
        << out.offset_words;
    for (const auto& piece : out.run.pieces) {
        EXPECT_FALSE(piece.sounded);
        EXPECT_EQ(piece.water_m, 0.5) << "the draught still counts";
    }
}

TEST(Sounder, SaysWhereNothingCanBeCompared) {
    Sample run;
    run.logged_m = [](int) { return 5.0; };
    const support::TemporaryFolder folder;
    auto plan = plan::read(plan_of(folder, run));
    plan.tides[0].datums.source_code = 3; // linked to no datum of the chart
    const auto out = jobs::run_compare(plan).tried.at(0);
    EXPECT_FALSE(out.offset);
    EXPECT_FALSE(out.why_not.empty());
    for (const auto& place : out.places) {
        EXPECT_FALSE(place.sounded_m || place.difference_m);
        EXPECT_NE(place.remark.find("not known"), std::string::npos);
    }
}

TEST(Sounder, RefusesALogThatCannotBeRead) {
    for (const double depth : {0.0, -3.0, 20'000.0})
        EXPECT_NE(failure_of({.logged_m = [depth](int) { return depth; }}, Fault::data).find("depth_m"),
                  std::string::npos);
    const support::TemporaryFolder folder;
    const auto plan = plan_of(folder, {.logged_m = [](int) { return 5.0; }});
    for (const auto& [content, words] : std::vector<std::pair<std::string, std::string>>{
             {"time,lon,lat\n", "depth_m"},
             {"time,lon,lat,depth_m\n", "no sounding"},
             {"time,lon,lat,depth_m\n2026-05-30 06:00,-27.9,46.06,4\n", "time"},
             {"time,lon,lat,depth_m\n2026-05-30T06:00Z,46.06,-97.9,4\n", "lat"},
             {"time,lon,lat,depth_m\n2026-05-30T06:01Z,-27.9,46.06,4\n"
              "2026-05-30T06:00Z,-27.9,46.06,4\n",
              "backwards"}}) {
        folder.file("log.csv", content);
        try {
            jobs::run_compare(plan::read(plan));
            ADD_FAILURE() << content;
        } catch (const Failure& failure) {
            EXPECT_NE(std::string(failure.what()).find(words), std::string::npos) << failure.what();
        }
    }
}

} // namespace
} // namespace dangerline
