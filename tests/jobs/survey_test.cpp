// How far charts can be believed: a real cell, the demo's, and cells side by side.
#include "dangerline/jobs/survey.hpp"

#include <gtest/gtest.h>

#include <algorithm>
#include <cmath>
#include <map>

#include "cellwriter/cellwriter.hpp"
#include "dangerline/base/error.hpp"
#include "dangerline/geo/dissolve.hpp"
#include "support/support.hpp"

using namespace dangerline;
using survey::Flag;

namespace {

constexpr CalendarDay day{2026, 6, 16};

struct Kept {
    std::vector<jobs::SurveyedCell> cells;
    jobs::SurveySummary summary;
};

Kept surveyed(const std::vector<std::filesystem::path>& sources, unsigned threads = 0) {
    Kept kept;
    kept.summary = jobs::run_survey(
        sources, day, [&](const jobs::SurveyedCell& c) { kept.cells.push_back(c); }, threads);
    return kept;
}

double ellipsoid_area(const geo::Plane& plane, const std::vector<geo::PolygonRings>& area) {
    double sum = 0.0;
    for (const auto& rings : area)
        for (std::size_t i = 0; i < rings.size(); ++i) {
            std::vector<geo::Position> ring;
            for (const auto& p : rings[i])
                ring.push_back(plane.to_position(p));
            sum += (i == 0 ? 1.0 : -1.0) * geo::ellipsoid_area(ring);
        }
    return sum;
}

/// The parts together are the water, once, and each is valid and as large as on the ellipsoid.
void expect_whole(const jobs::SurveyedCell& cell) {
    std::vector<geo::Shape> shapes;
    double sum = 0.0;
    for (const auto& a : cell.water.areas) {
        EXPECT_TRUE(geo::mend(a.area).valid) << a.sentence;
        EXPECT_NEAR(ellipsoid_area(*cell.plane, a.area) / a.square_metres, 1.0, 1e-3) << a.sentence;
        EXPECT_FALSE(a.sentence.empty());
        sum += a.square_metres;
        shapes.push_back(geo::to_shape(a.area));
    }
    std::vector<const geo::Shape*> pointers;
    for (const auto& s : shapes)
        pointers.push_back(&s);
    EXPECT_NEAR(sum, cell.water.water_square_metres, 1.0);
    EXPECT_NEAR(geo::area_of(geo::united(pointers)), sum, 1.0);
}

chart::Cell read_real(const std::filesystem::path& folder, geo::Plane& plane) {
    Diagnostics said;
    auto cell = chart::read_cell(chart::find_cells({folder}).front(), said);
    plane = geo::Plane(*chart::middle_of(cell));
    chart::lay_out(cell, plane, said);
    return cell;
}

double area_of(const chart::Feature& f) {
    return geo::area_of(geo::polygons_of(*f.shape));
}

/// A square of 0.1 degrees with these quality zones, each from west to east in hundredths of a degree.
struct Zone {
    double west, east;
    cellwriter::Attributes attributes;
};
std::string made(const std::string& name, const std::vector<Zone>& zones, bool gap = false) {
    const auto box = [](double west, double east) {
        return cellwriter::Ring{{-28.0 + west / 100.0, 46.0},
                                {-28.0 + east / 100.0, 46.0},
                                {-28.0 + east / 100.0, 46.1},
                                {-28.0 + west / 100.0, 46.1}};
    };
    cellwriter::CellDraft d;
    d.header.dsnm = name + ".000";
    d.header.uadt = d.header.isdt = "20260601";
    d.add_area("M_COVR", {box(0, 10)}, {{"CATCOV", "1"}});
    d.add_area("DEPARE", {box(0, gap ? 8 : 10)}, {{"DRVAL1", "5"}, {"DRVAL2", "10"}});
    if (gap)
        d.add_area("UNSARE", {box(8, 10)});
    for (const auto& zone : zones)
        d.add_area("M_QUAL", {box(zone.west, zone.east)}, zone.attributes);
    return d.bytes();
}

const survey::TrustArea* with(const jobs::SurveyedCell& cell, const std::vector<Flag>& flags) {
    const auto at = std::find_if(cell.water.areas.begin(), cell.water.areas.end(),
                                 [&](const auto& a) { return a.flags == flags; });
    return at == cell.water.areas.end() ? nullptr : &*at;
}

} // namespace

// Shares of all water that is charted in M_QUAL, unassessed (U) included: 48.2 % B of 1940-49, 19.4 % C of
// 1930-49; of what is assessed (A1 to D) 50.3 and 20.3 %.
TEST(Survey, of_a_real_cell) {
    SKIP_WITHOUT_REAL_CELLS(folder);
    geo::Plane plane({0.0, 0.0});
    const auto cell = read_real(*folder, plane);
    double all = 0.0, assessed = 0.0, b = 0.0, c = 0.0;
    std::map<std::string, int> dates;
    for (const auto& f : cell.features) {
        if (f.cls != "M_QUAL")
            continue;
        const auto facts = survey::facts_of(f);
        const int catzoc = f.attributes.code("CATZOC").value_or(0);
        const double m2 = area_of(f);
        all += m2;
        assessed += catzoc >= 1 && catzoc <= 5 ? m2 : 0.0;
        const auto within = [&](int first, int last) {
            return facts.begun && facts.ended && facts.begun->earliest.year >= first &&
                   facts.ended->latest.year <= last;
        };
        b += catzoc == 3 && within(1940, 1949) ? m2 : 0.0;
        c += catzoc == 4 && within(1930, 1949) ? m2 : 0.0;
        using Precision = survey::PartialDate::Precision;
        ++dates[!facts.begun ? "none" : facts.begun->precision == Precision::year ? "year" : "full"];
    }
    EXPECT_NEAR(b / all, 0.482, 0.001);
    EXPECT_NEAR(c / all, 0.194, 0.001);
    std::printf("of the assessed area: %.1f %% B of 1940-49, %.1f %% C of 1930-49\n", 100.0 * b / assessed,
                100.0 * c / assessed);
    EXPECT_EQ(dates["full"], 36);
    EXPECT_EQ(dates["year"], 20);
    EXPECT_EQ(dates["none"], 35);

    const auto kept = surveyed({*folder});
    ASSERT_EQ(kept.cells.size(), 1U);
    expect_whole(kept.cells.front());
    const auto* old_b = with(kept.cells.front(), {Flag::before_1970});
    ASSERT_NE(old_b, nullptr);
    EXPECT_NE(old_b->sentence.find("Lines-only survey (CATZOC B), 1940–49"), std::string::npos)
        << old_b->sentence;
    EXPECT_NEAR(old_b->square_metres / kept.cells.front().water.water_square_metres, 0.482, 0.001);
    std::vector<const geo::Shape*> water;
    for (const auto& f : cell.features)
        if (f.cls == "DEPARE" || f.cls == "DRGARE" || f.cls == "UNSARE")
            if (f.shape->kind() == geo::ShapeKind::area)
                water.push_back(f.shape.get());
    EXPECT_NEAR(geo::area_of(geo::united(water)), kept.cells.front().water.water_square_metres, 1.0);
}

TEST(Survey, parts_the_demo_water_without_loss) {
    const auto kept = surveyed({support::testdata() / "demo"});
    ASSERT_EQ(kept.cells.size(), 2U);
    for (const auto& cell : kept.cells)
        expect_whole(cell);
    EXPECT_NE(with(kept.cells[1], {Flag::lead_line, Flag::before_1970, Flag::zone_c}), nullptr);
    EXPECT_NE(with(kept.cells[1], {Flag::unsurveyed}), nullptr);
    EXPECT_GE(kept.summary.rows[0].urgency(), kept.summary.rows[1].urgency());
}

TEST(Survey, zones_that_overlap_count_by_the_less_trusted) {
    const support::TemporaryFolder folder;
    const auto file =
        folder.file("X14TEST1.000", made("X14TEST1",
                                         {{0, 6, {{"CATZOC", "2"}, {"SURSTA", "2020"}, {"SUREND", "2020"}}},
                                          {4, 8, {{"CATZOC", "3"}, {"SURSTA", "1936"}, {"SUREND", "1938"}}}},
                                         true));
    const auto kept = surveyed({file});
    const auto& cell = kept.cells.at(0);
    expect_whole(cell);
    const double all = cell.water.water_square_metres;
    EXPECT_NEAR(with(cell, {})->square_metres / all, 0.4, 1e-4);
    EXPECT_NEAR(with(cell, {Flag::before_1970})->square_metres / all, 0.4, 1e-4);
    EXPECT_NEAR(with(cell, {Flag::unsurveyed})->square_metres / all, 0.2, 1e-4);
    EXPECT_FALSE(cell.not_updated);
}

// Two years without an update, a day before the chart was made, or no day at all: none of its water is
// unflagged, and what flags its surveys still ranks it.
TEST(Survey, all_water_of_a_chart_not_known_to_be_updated_is_flagged) {
    const support::TemporaryFolder folder;
    const cellwriter::Attributes good{{"CATZOC", "2"}, {"SURSTA", "2020"}, {"SUREND", "2020"}};
    folder.file("X14TEST1.000", made("X14TEST1", {{0, 10, good}}));
    folder.file("X14TEST2.000", made("X14TEST2", {{0, 4, {{"CATZOC", "4"}}}, {4, 8, good}}, true));
    for (const std::optional<CalendarDay>& as_of :
         {std::optional(CalendarDay{2028, 6, 16}), std::optional(CalendarDay{2026, 5, 1}),
          std::optional<CalendarDay>()}) {
        std::vector<jobs::SurveyedCell> cells;
        const auto summary = jobs::run_survey({folder.path()}, as_of,
                                              [&](const jobs::SurveyedCell& c) { cells.push_back(c); });
        ASSERT_EQ(cells.size(), 2U);
        for (const auto& cell : cells) {
            expect_whole(cell);
            EXPECT_TRUE(cell.not_updated);
            for (const auto& area : cell.water.areas) {
                ASSERT_FALSE(area.flags.empty()) << area.sentence;
                EXPECT_EQ(area.flags.back(), Flag::chart_not_updated) << area.sentence;
            }
        }
        const auto* good_survey = with(cells[0], {Flag::chart_not_updated});
        ASSERT_NE(good_survey, nullptr);
        EXPECT_NE(good_survey->sentence.find("the chart's last update is more than 365 days old"),
                  std::string::npos)
            << good_survey->sentence;
        ASSERT_NE(with(cells[1], {Flag::unsurveyed, Flag::chart_not_updated}), nullptr);
        for (const auto& row : summary.rows) {
            EXPECT_NEAR(row.by_flag_m2.at(Flag::chart_not_updated), row.water_m2, 1.0);
            EXPECT_NEAR(row.flagged_m2, row.water_m2, 1.0);
        }
        EXPECT_EQ(summary.rows[0].note.name, "X14TEST2") << "its surveys are worse";
        EXPECT_NEAR(summary.rows[0].survey_m2 / summary.rows[0].water_m2, 0.6, 1e-4);
        EXPECT_EQ(summary.rows[1].survey_m2, 0.0);
    }
}

TEST(Survey, water_without_a_zone_is_undated_and_unassessed) {
    const support::TemporaryFolder folder;
    const auto kept = surveyed(
        {folder.file("X14TEST1.000", made("X14TEST1", {{0, 5, {{"CATZOC", "1"}, {"SURSTA", "2020"}}}}))});
    const auto* rest = with(kept.cells.at(0), {Flag::undated, Flag::zone_u});
    ASSERT_NE(rest, nullptr);
    EXPECT_NEAR(rest->square_metres / kept.cells[0].water.water_square_metres, 0.5, 1e-4);
    expect_whole(kept.cells[0]);
}

TEST(Survey, a_folder_gives_the_same_on_any_number_of_threads) {
    const support::TemporaryFolder folder;
    for (int i = 0; i < 9; ++i) {
        const std::string name = "X14TEST" + std::to_string(i);
        folder.file(name + ".000",
                    made(name, {{0, 1.0 + i, {{"CATZOC", "4"}}},
                                {1.0 + i, 10, {{"CATZOC", "1"}, {"SURSTA", "2020"}, {"SUREND", "2020"}}}}));
    }
    const auto one = surveyed({folder.path()}, 1), two = surveyed({folder.path()}, 2);
    ASSERT_EQ(one.cells.size(), 9U);
    for (std::size_t i = 0; i < one.cells.size(); ++i) {
        EXPECT_EQ(one.cells[i].note.name, "X14TEST" + std::to_string(i));
        EXPECT_EQ(one.cells[i].note.name, two.cells[i].note.name);
        EXPECT_EQ(one.cells[i].water.flagged_square_metres, two.cells[i].water.flagged_square_metres);
        EXPECT_EQ(one.summary.rows[i].note.name, "X14TEST" + std::to_string(8 - i)); // most flagged first
    }
}

TEST(Survey, a_cell_that_cannot_be_read_is_said_and_no_other_is_lost) {
    const support::TemporaryFolder folder;
    folder.file("X14TEST1.000", made("X14TEST1", {{0, 10, {{"CATZOC", "1"}}}}));
    folder.file("X14TEST2.000", made("X14TEST2", {{0, 10, {{"CATZOC", "1"}}}}).substr(0, 700));
    const auto kept = surveyed({folder.path()});
    EXPECT_EQ(kept.cells.size(), 1U);
    EXPECT_EQ(kept.summary.refused, 1U);
    EXPECT_EQ(kept.summary.diagnostics.front().severity, Severity::broken);
    EXPECT_THROW(surveyed({folder.path() / "X14TEST2.000"}), Failure);
}

TEST(Survey, tells_by_what_numbers_it_judged) {
    const auto summary = jobs::run_survey(plan::read(support::testdata() / "demo/survey.toml"),
                                          [](const jobs::SurveyedCell&) {});
    const auto& all = summary.assumptions;
    const auto has = [&](const std::string& sentence) {
        return std::find(all.begin(), all.end(), sentence) != all.end();
    };
    EXPECT_TRUE(
        has("Bank \"Sallow Bank\": 10 m a year (as the plan says), a survey is believed for 10 years"));
    EXPECT_TRUE(has("River mouth \"Withy mouth\": 30 m a year (as the plan says), a survey is believed for 5 "
                    "years"));
    EXPECT_TRUE(has("Sand waves: 5 m a year (as the plan says), a survey is believed for 10 years"));
    EXPECT_TRUE(has("a bar \"Withy mouth\" is unknown a year after its survey"));
    for (const auto& sentence : all) {
        EXPECT_EQ(sentence.find("19 m"), std::string::npos)
            << "no default that nothing is judged by: " << sentence;
        EXPECT_EQ(sentence.find("90 m"), std::string::npos) << sentence;
        EXPECT_EQ(sentence.find("squat"), std::string::npos) << sentence;
    }
    const auto folder = surveyed({support::testdata() / "demo"});
    const auto& defaults = folder.summary.assumptions;
    EXPECT_TRUE(std::any_of(defaults.begin(), defaults.end(), [](const std::string& s) {
        return s.find("Sand waves: 5 m a year (southern North Sea") == 0;
    }));
    EXPECT_TRUE(std::none_of(defaults.begin(), defaults.end(),
                             [](const std::string& s) { return s.find("ank") != std::string::npos; }));
}

// Five years at 15 m a year are more than half the 120 m of the gut.
TEST(Survey, a_channel_that_moved_by_more_than_half_its_width_is_unknown) {
    std::string sentence;
    double m2 = 0.0;
    const auto summary = jobs::run_survey(
        plan::read(support::testdata() / "demo/survey.toml"), [&](const jobs::SurveyedCell& cell) {
            for (const auto& area : cell.water.areas)
                if (!area.flags.empty() && area.flags.front() == Flag::moved_channel) {
                    sentence = area.sentence;
                    m2 += area.square_metres;
                }
        });
    EXPECT_NE(sentence.find(
                  "unknown: the channel \"Cobbler Gut\" may have moved by 77 m since its survey, more than "
                  "half its width"),
              std::string::npos)
        << sentence;
    EXPECT_NEAR(m2, 600.0 * 120.0, 0.05 * 600.0 * 120.0);
    const auto& route = summary.routes.at(1);
    EXPECT_EQ(route.name, "Slip to the wreck mark");
    EXPECT_NEAR(route.by_flag_m.at(Flag::moved_channel), 600.0, 20.0);
}

// Lengths over each kind of survey add up to the route, but for land and what no chart covers.
TEST(Survey, lengths_of_routes_add_up) {
    const auto plan = plan::read(support::testdata() / "demo/plan.toml");
    std::size_t cells = 0;
    const auto summary = jobs::run_survey(plan, [&](const jobs::SurveyedCell& c) {
        ++cells;
        expect_whole(c);
    });
    EXPECT_EQ(cells, 2U);
    ASSERT_EQ(summary.routes.size(), 2U);
    for (const auto& route : summary.routes) {
        double over = 0.0;
        for (const auto& part : route.over)
            over += part.metres;
        EXPECT_NEAR(over + route.not_covered_m, route.length_m, 0.02 * route.length_m) << route.name;
        EXPECT_LE(over, route.length_m + 0.1);
        EXPECT_GT(route.flagged_m, 0.0);
    }
}
