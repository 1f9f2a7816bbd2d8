// Single dangers with a date of their own, as the survey of a chart shows them.
#include "dangerline/jobs/survey.hpp"

#include <gtest/gtest.h>

#include <algorithm>

#include <fmt/format.h>

#include "support/support.hpp"

using namespace dangerline;
using survey::Flag;

namespace {

using Properties = std::vector<std::pair<std::string, std::string>>;
std::string geojson_object(const std::string& cls, const std::string& geometry,
                           const Properties& properties) {
    std::string text =
        R"({"type": "Feature", "geometry": )" + geometry + R"(, "properties": {"class": ")" + cls + "\"";
    for (const auto& [name, value] : properties)
        text += ", \"" + name + "\": \"" + value + "\"";
    return text + "}}";
}

std::string geojson_box(double west, double east) {
    return fmt::format(
        R"({{"type": "Polygon", "coordinates": [[[{0}, 46], [{1}, 46], [{1}, 46.1], [{0}, 46.1], [{0}, 46]]]}})",
        west, east);
}

/// A chart of CATZOC B surveyed in 2015 with these objects, all at 46.05 N; west of 27.96 W lies a survey by
/// lead line of 1936.
struct Placed {
    std::string cls;
    double lon;
    Properties properties;
};
std::vector<jobs::DatedHazard> hazards_of(const std::vector<Placed>& objects) {
    const support::TemporaryFolder folder;
    std::string text = R"({"type": "FeatureCollection", "features": [)";
    text += geojson_object("M_COVR", geojson_box(-28.0, -27.9), {{"CATCOV", "1"}}) + ",";
    text += geojson_object("DSID", "null",
                           {{"DSPM_CSCL", "20000"}, {"DSPM_SDAT", "23"}, {"DSID_ISDT", "20260601"}}) +
            ",";
    text += geojson_object("M_QUAL", geojson_box(-28.0, -27.96),
                           {{"CATZOC", "4"}, {"SURSTA", "1936"}, {"SUREND", "1936"}, {"TECSOU", "5"}}) +
            ",";
    text += geojson_object("M_QUAL", geojson_box(-27.96, -27.9),
                           {{"CATZOC", "3"}, {"SURSTA", "2015"}, {"SUREND", "2016"}}) +
            ",";
    for (const auto& o : objects)
        text +=
            geojson_object(o.cls, fmt::format(R"({{"type": "Point", "coordinates": [{}, 46.05]}})", o.lon),
                           o.properties) +
            ",";
    text += geojson_object("DEPARE", geojson_box(-28.0, -27.9), {{"DRVAL1", "5"}, {"DRVAL2", "10"}}) + "]}";
    std::vector<jobs::DatedHazard> out;
    jobs::run_survey({folder.file("chart.geojson", text)}, CalendarDay{2026, 6, 16},
                     [&](const jobs::SurveyedCell& cell) { out = cell.hazards; });
    return out;
}

const jobs::DatedHazard* named(const std::vector<jobs::DatedHazard>& all, const std::string& name) {
    const auto at = std::find_if(all.begin(), all.end(), [&](const auto& h) { return h.name == name; });
    return at == all.end() ? nullptr : &*at;
}

} // namespace

TEST(Survey, hazards_are_flagged_by_their_own_dates) {
    const auto all =
        hazards_of({{"WRECKS", -27.93, {{"OBJNAM", "new"}, {"SURSTA", "20200301"}, {"VALSOU", "2.1"}}},
                    {"WRECKS", -27.94, {{"OBJNAM", "bound"}, {"SORDAT", "1968"}}},
                    {"OBSTRN", -27.92, {{"OBJNAM", "modern bound"}, {"SORDAT", "20190101"}, {"VALSOU", "1"}}},
                    {"OBSTRN", -27.91, {{"OBJNAM", "ended"}, {"SUREND", "1950"}, {"TECSOU", "5"}}},
                    {"UWTROC", -27.98, {{"OBJNAM", "by lead"}, {"SORDAT", "20190101"}}},
                    {"UWTROC", -27.97, {{"OBJNAM", "no date"}}},
                    {"BOYLAT", -27.97, {{"OBJNAM", "buoy"}, {"SORDAT", "20190101"}}},
                    {"WRECKS", -27.99, {{"OBJNAM", "junk"}, {"SORDAT", "last year"}}}});
    EXPECT_EQ(all.size(), 6U);
    EXPECT_EQ(named(all, "no date"), nullptr);
    EXPECT_EQ(named(all, "buoy"), nullptr) << "laid, not found by a survey";
    using survey::DateKnown;
    const auto* h = named(all, "new");
    ASSERT_NE(h, nullptr);
    EXPECT_TRUE(h->flags.empty());
    EXPECT_EQ(h->age.how, DateKnown::begun);
    EXPECT_NEAR(*h->age.years, 6.3, 0.05);
    EXPECT_EQ(h->sentence,
              "Wreck \"new\": surveyed 2020, 6 years old; in a survey of CATZOC B, 2015–16. Its place "
              "may be 50 m out, its depth 1.0 m.");
    h = named(all, "bound");
    ASSERT_NE(h, nullptr);
    EXPECT_EQ(h->flags, std::vector<Flag>{Flag::before_1970})
        << "the date of a source shows that it is no younger";
    EXPECT_EQ(h->age.how, DateKnown::bound_only);
    EXPECT_FALSE(h->age.years) << "but not how old it is";
    EXPECT_NEAR(h->age.at_least_years, 57.5, 0.05);
    EXPECT_NE(h->sentence.find(
                  "undated, not surveyed after 1968 (the date of its source), so at least 57 years old"),
              std::string::npos)
        << h->sentence;
    EXPECT_NE(h->sentence.find("no depth of it is charted"), std::string::npos) << h->sentence;
    EXPECT_TRUE(named(all, "modern bound")->flags.empty()) << "the survey around it is dated";
    h = named(all, "ended");
    ASSERT_NE(h, nullptr);
    EXPECT_EQ(h->flags, (std::vector<Flag>{Flag::lead_line, Flag::before_1970}));
    EXPECT_EQ(h->age.how, DateKnown::ended_only);
    EXPECT_NEAR(h->allowance.survey_m, 500.0, 1e-9) << "C's figures for lead line";
    EXPECT_EQ(named(all, "by lead")->flags,
              (std::vector<Flag>{Flag::lead_line, Flag::before_1970, Flag::zone_c}))
        << "by the survey around it";
    EXPECT_NE(named(all, "junk")->sentence.find("its date can't be read"), std::string::npos);
    EXPECT_EQ(named(all, "junk")->age.how, DateKnown::none);
    EXPECT_EQ(all.front().name, "ended") << "the gravest flag first, then the older";
}

// A coarser chart around a cell says nothing of what lies in the cell: its zone has a hole there.
TEST(Survey, of_a_plan_gives_the_hazards_near_its_routes) {
    std::vector<jobs::DatedHazard> all;
    const auto summary = jobs::run_survey(
        plan::read(support::testdata() / "demo/survey.toml"),
        [&](const jobs::SurveyedCell& c) { all.insert(all.end(), c.hazards.begin(), c.hazards.end()); });
    ASSERT_FALSE(all.empty());
    std::size_t left_out = 0;
    for (const auto& row : summary.rows)
        left_out += row.hazards_left_out;
    EXPECT_GT(left_out, 0U);
    for (const auto& h : all) {
        ASSERT_TRUE(h.off_m) << h.sentence;
        EXPECT_LE(*h.off_m, jobs::hazards_within_m);
        EXPECT_FALSE(h.off.empty());
    }
    const auto* comb = named(all, "Great Comb");
    ASSERT_NE(comb, nullptr);
    EXPECT_TRUE(comb->flags.empty()) << comb->sentence;
    EXPECT_EQ(comb->catzoc, 2);
    EXPECT_NEAR(comb->allowance.survey_m, 20.0, 1e-9) << "A2, whatever the chart around it is worth";
    EXPECT_TRUE(
        std::is_sorted(summary.hazards.begin(), summary.hazards.end(),
                       [](const auto& a, const auto& b) { return a.flags.front() < b.flags.front(); }));
    const auto* amaranth = named(summary.hazards, "Wreck of the Amaranth");
    ASSERT_NE(amaranth, nullptr);
    EXPECT_EQ(amaranth->off, "Slip to the wreck mark");
}
