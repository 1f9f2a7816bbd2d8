#include "dangerline/jobs/season.hpp"

#include <gtest/gtest.h>

#include <cmath>

#include "dangerline/base/error.hpp"
#include "dangerline/chart/cell.hpp"
#include "dangerline/hazard/build.hpp"
#include "support/support.hpp"

using namespace dangerline;

namespace {

/// Whole seconds before and after the first closures of a season, as far apart from other edges as this.
std::vector<Instant> beside_edges(const passage::Season& season, std::size_t most) {
    std::vector<Instant> out;
    const TimeSet closed = season.open.complement(season.asked);
    for (const TimeSet& set : {season.open.shrunk(1.0, 1.0), closed.shrunk(1.0, 1.0)})
        for (std::size_t i = 0; i < set.intervals().size() && i < most; ++i)
            for (const Instant t : {set.intervals()[i].from, set.intervals()[i].to}) {
                const Instant whole = Instant::from_unix_seconds(std::round(t.unix_seconds()));
                if (set.contains(whole) || set.contains(whole - 1.0))
                    out.push_back(set.contains(whole) ? whole : whole - 1.0);
            }
    return out;
}

void expect_agreement(const plan::Plan& plan, std::size_t most) {
    const auto report = jobs::run_season(plan);
    int closed = 0, open = 0;
    for (std::size_t r = 0; r < report.routes.size(); ++r) {
        const auto& season = report.routes[r].season;
        for (const Instant d : beside_edges(season, most)) {
            const auto passage = jobs::run_passage(plan, to_iso_utc(d));
            const bool forbidden = passage.routes[r].check.worst >= hazard::Grade::unknown;
            EXPECT_EQ(!season.open.contains(d), forbidden)
                << passage.routes[r].track.route().name << to_iso_utc(d);
            ++(forbidden ? closed : open);
        }
    }
    EXPECT_GT(closed, 0);
    EXPECT_GT(open, 0);
}

plan::Plan demo() {
    return plan::read(support::testdata() / "demo/season.toml");
}

} // namespace

// Beaches whose shore stretch moves with the tide, two stations, charted streams, a wait and the way back.
TEST(Season, AgreesWithThePassageOfTheDemo) {
    auto plan = demo();
    plan.season->to = {2026, 6, 7};
    expect_agreement(plan, 5);
}

TEST(Season, AgreesWithThePassageOfARealCell) {
    const auto cells = support::real_cells();
    if (!cells)
        GTEST_SKIP() << "DANGERLINE_REAL_CELLS names no folder of cells";
    std::filesystem::path cell;
    for (const auto& entry : std::filesystem::recursive_directory_iterator(*cells))
        if (entry.path().extension() == ".000")
            cell = entry.path();
    ASSERT_FALSE(cell.empty());
    Diagnostics said;
    std::vector<chart::Cell> found{chart::read_cell(chart::find_cells({cell}).front(), said)};
    const geo::Plane plane(chart::middle_of(found.front()).value());
    chart::lay_out(found.front(), plane, said);
    // Legs between soundings, so that they lie on water.
    std::string places;
    int count = 0;
    for (const auto& h : hazard::build(found, said).all) {
        if (h.object.cls != "SOUNDG" || count >= 400 || ++count % 100 != 0)
            continue;
        const auto at = plane.to_position(h.steps.front().extent->points().front());
        places += (places.empty() ? "[" : ",[") + std::to_string(at.lon_deg) + "," +
                  std::to_string(at.lat_deg) + "]";
    }
    ASSERT_FALSE(places.empty());
    support::TemporaryFolder folder;
    folder.file("r.geojson",
                "{\"type\":\"FeatureCollection\",\"features\":[{\"type\":\"Feature\",\"properties\":"
                "{\"name\":\"r\"},\"geometry\":{\"type\":\"LineString\",\"coordinates\":[" +
                    places + "]}}]}");
    const auto tide = support::testdata() / "demo/tide.csv";
    const auto file = folder.file(
        "plan.toml",
        "zone = \"UTC\"\nas_of = 2026-06-01\ncharts = [\"" + cell.string() +
            "\"]\n[boat]\ndraught_m = 0.6\nspeed = \"14 kn\"\n[[tide]]\nkind = \"harmonic\"\nconstants = \"" +
            tide.string() + "\"\nmean_level_m = 2.0\ndatum = " + std::to_string(found.front().header.sdat) +
            "\nposition = [" + places.substr(1, places.find(']') - 1) +
            "]\n[[route]]\nfile = \"r.geojson\"\n[season]\nfrom = 2026-06-01\nto = 2026-06-03\n");
    const auto plan = plan::read(file);
    const auto report = jobs::run_season(plan);
    const auto& season = report.routes.front().season;
    auto instants = beside_edges(season, 4);
    instants.push_back(season.asked.from + 3600.0);
    for (const Instant d : instants)
        EXPECT_EQ(!season.open.contains(d),
                  jobs::run_passage(plan, to_iso_utc(d)).routes[0].check.worst >= hazard::Grade::unknown)
            << to_iso_utc(d);
}

TEST(Season, OffersOnlyWhatTheLimitsAllow) {
    const auto plan = demo();
    const auto report = jobs::run_season(plan);
    std::size_t windows = 0;
    for (const auto& r : report.routes)
        for (const auto& w : r.season.windows) {
            ++windows;
            const auto day = weekday_of(plan.zone.day(w.when.from));
            EXPECT_TRUE(day == 0 || day == 6);
            EXPECT_LE(plan.zone.minutes_of_day(w.arrives_last + 30.0 * 60.0), 21.5 * 60.0);
            EXPECT_GE(w.when.length_s(), 1800.0);
            EXPECT_EQ(std::fmod(w.when.from.unix_seconds(), 300.0), 0.0);
            EXPECT_TRUE(r.season.open.covers(TimeSet({w.when.from - 600.0, w.when.to + 1800.0})));
        }
    EXPECT_GT(windows, 3U);
    auto without = plan;
    without.season.reset();
    EXPECT_THROW(jobs::run_season(without), Failure);
}

// Three quarters of an hour at the slip are part of the way home.
TEST(Season, TurnsBackInTimeForTheRecovery) {
    auto plan = demo();
    plan.season->to = {2026, 6, 7};
    std::vector<double> latest_s;
    for (const double minutes : {0.0, 45.0}) {
        for (auto& route : plan.routes)
            route.recovery_s = 60.0 * minutes;
        const auto report = jobs::run_season(plan);
        // Of the evening's window, that the hour at home closes.
        const auto& last = report.routes[0].season.windows.back();
        ASSERT_TRUE(last.turn_back_by);
        latest_s.push_back(last.turn_back_by->unix_seconds());
    }
    EXPECT_NEAR(latest_s[0] - latest_s[1], 45.0 * 60.0, 60.0);
}
