// Old surveys and moving bottoms as findings. Required water 1.4 m, tide doubt 0.3 m, day of use 16 June
// 2026.
#include <gtest/gtest.h>

#include <algorithm>

#include "passage/made_cells.hpp"

using namespace made_cells;
using hazard::Cause;
using hazard::Grade;
using survey::Moving;

namespace {

constexpr CalendarDay day{2026, 6, 16};

Check judged(const chart::Cell& cell, std::vector<survey::DrawnMoving> drawn = {}, bool trusting = false) {
    std::vector<chart::Cell> cells{cell};
    chart::settle_scales(cells);
    Diagnostics said;
    hazard::BuildSettings settings;
    settings.bottom = hazard::BottomWindow{{{-6000, -6000, 6000, 6000}}, -50, 60};
    if (!trusting)
        settings.trust.emplace().as_of = day;
    settings.moving = std::move(drawn);
    const auto hazards = hazard::build(cells, said, settings);
    Route r;
    r.places = {plane().to_position(geo::Point{-2500.0, 0.0}), plane().to_position(geo::Point{2500.0, 0.0})};
    r.half_widths_m = {50.0};
    r.speeds_mps = {6.0 * mps_per_knot};
    r.shore_start_m = r.shore_end_m = 0.0;
    const Track track(r, plane());
    const Conditions conditions{{},
                                Water::from_metres(1.4),
                                {0.3, 0.0, 0.0},
                                Tides::one(tide::Curve::fixed(TideHeight::from_metres(0.3), ""), {23, {}}),
                                {}};
    return check(track, Timetable(track, departure), hazards, conditions);
}

/// Deep water of that quality, with a frame of the coverage.
CellDraft deep(const cellwriter::Attributes& quality) {
    CellDraft d;
    d.header.cscl = 10'000;
    d.add_area("M_COVR", {box(-3000, -3000, 3000, 3000)}, {{"CATCOV", "1"}});
    d.add_area("M_QUAL", {box(-3000, -3000, 3000, 3000)}, quality);
    return d;
}

/// Water of 20 m with a bank of 0.5 to 1 m over it, from 120 m north of the line on.
CellDraft with_bank(const cellwriter::Attributes& quality) {
    auto d = deep(quality);
    const Ring bank = box(-500, 120, 500, 800);
    d.add_area("DEPARE", {box(-3000, -3000, 3000, 3000), Ring(bank.rbegin(), bank.rend())},
               {{"DRVAL1", "20"}, {"DRVAL2", "30"}});
    d.add_area("DEPARE", {bank}, {{"DRVAL1", "0.5"}, {"DRVAL2", "1"}});
    return d;
}

CellDraft flat(const cellwriter::Attributes& quality) {
    auto d = deep(quality);
    d.add_area("DEPARE", {box(-3000, -3000, 3000, 3000)}, {{"DRVAL1", "20"}, {"DRVAL2", "30"}});
    return d;
}

std::shared_ptr<const geo::Shape> plain(double west, double south, double east, double north) {
    return std::make_shared<const geo::Shape>(
        geo::Shape::of_area({{{west, south}, {east, south}, {east, north}, {west, north}}}));
}

survey::DrawnMoving drawn(Moving kind, double rate, std::shared_ptr<const geo::Shape> where) {
    survey::DrawnMoving d;
    d.kind = kind;
    d.name = "Sallow";
    d.metres_per_year = rate;
    d.where = std::move(where);
    return d;
}

bool has(const Check& c, Grade grade, Cause cause) {
    return std::any_of(c.findings.begin(), c.findings.end(),
                       [&](const Finding& f) { return f.grade == grade && f.cause == cause; });
}

const cellwriter::Attributes b_of_2016{{"CATZOC", "3"}, {"SURSTA", "20160616"}, {"SUREND", "20160616"}};

} // namespace

// A bank's edge 120 m off the line, 50 m of corridor and 50 m of CATZOC B: nothing, but with 10 m a year for
// 10 years 200 m reach it.
TEST(OldSurveys, a_bank_that_moves_comes_within_reach) {
    const auto cell = laid(with_bank(b_of_2016), "X14TEST1");
    const auto bank = plain(-500, 120, 500, 800);
    EXPECT_TRUE(judged(cell).findings.empty());
    EXPECT_TRUE(judged(cell, {drawn(Moving::bank, 0.0, bank)}).findings.empty());
    EXPECT_TRUE(judged(cell, {drawn(Moving::bank, 1.9, bank)}).findings.empty()); // 119 m
    const Check moved = judged(cell, {drawn(Moving::bank, 10.0, bank)});
    EXPECT_TRUE(has(moved, Grade::caution, Cause::survey));
    EXPECT_EQ(moved.worst, Grade::caution);
    ASSERT_EQ(moved.findings.size(), 1U); // one line for the zone
    EXPECT_NE(moved.findings.front().reason.find(
                  "50 m out, and 100 m more where the bottom has moved since its survey, and depths"),
              std::string::npos)
        << moved.findings.front().reason;
    // 1000 m of edge, and the chord of 200 m around its corners 120 m off: 2 * 160 m.
    EXPECT_NEAR(moved.findings.front().length_m, 1320.0, 2.0);
}

// A shoal 300 m off is within the 500 m of C, not within the 50 m of B.
TEST(OldSurveys, b_counts_as_c_where_it_is_not_known_to_be_modern) {
    const auto found = [](const cellwriter::Attributes& quality, const char* sordat = "20200101") {
        auto d = flat(quality);
        d.add_soundings({{at(0, 300), 1.0}}, {{"SORDAT", sordat}});
        return has(judged(laid(d, "X14TEST1")), Grade::caution, Cause::survey);
    };
    EXPECT_FALSE(found({{"CATZOC", "3"}, {"SURSTA", "1968"}, {"SUREND", "1968"}}));
    EXPECT_TRUE(found({{"CATZOC", "3"}, {"SURSTA", "1940"}, {"SUREND", "1968"}}));
    EXPECT_TRUE(found({{"CATZOC", "3"}, {"SUREND", "1968"}}));
    EXPECT_TRUE(found({{"CATZOC", "3"}}));
    EXPECT_TRUE(found({{"CATZOC", "3"}, {"SURSTA", "1968"}, {"TECSOU", "5"}}));
    EXPECT_TRUE(found({{"CATZOC", "4"}, {"SURSTA", "2020"}}));
    EXPECT_FALSE(found({{"CATZOC", "2"}, {"SURSTA", "2020"}, {"SUREND", "2020"}}));
}

// CATZOC C, 5.0 m of own water, a sounding of 1.0 m 300 m off: caution survey, one line for the zone.
TEST(OldSurveys, a_shoal_off_the_line_in_a_sparse_survey_is_one_line) {
    auto d = deep({{"CATZOC", "4"}, {"SURSTA", "2020"}});
    d.add_area("DEPARE", {box(-3000, -3000, 3000, 3000)}, {{"DRVAL1", "5"}, {"DRVAL2", "20"}});
    d.add_soundings({{at(0, 300), 1.0}, {at(40, 310), 1.1}});
    const Check c = judged(laid(d, "X14TEST1"));
    ASSERT_EQ(c.findings.size(), 1U);
    EXPECT_EQ(c.findings.front().cause, Cause::survey);
    EXPECT_EQ(c.findings.front().object.cls, "M_QUAL");
}

TEST(OldSurveys, of_accuracy_zones_and_source_diagrams_count_too) {
    const auto found = [](const char* cls, const cellwriter::Attributes& more) {
        auto d = flat({{"CATZOC", "3"}, {"SURSTA", "1990"}, {"SUREND", "1991"}});
        d.add_soundings({{at(0, 300), 1.0}});
        d.add_point("WRECKS", at(0, 20), {{"VALSOU", "4.0"}, {"WATLEV", "3"}, {"CATWRK", "2"}});
        if (cls)
            d.add_area(cls, {box(-3000, -3000, 3000, 3000)}, more);
        return judged(laid(d, "X14TEST1"));
    };
    EXPECT_TRUE(found(nullptr, {}).findings.empty());
    // 4.0 + 0.3 m over the wreck, doubt 4 m.
    EXPECT_TRUE(has(found("M_ACCY", {{"SOUACC", "4"}}), Grade::caution, Cause::survey));
    // A source diagram of 1936: C's 2.2 m leave 2.1 m over the wreck, but 500 m reach the shoal.
    const Check diagram = found("M_SREL", {{"SURSTA", "1936"}, {"TECSOU", "5"}});
    EXPECT_TRUE(diagram.findings.empty() || has(diagram, Grade::caution, Cause::survey));
}

TEST(OldSurveys, a_bar_is_unknown_a_year_after_its_survey) {
    const auto asked = [](const char* surveyed, const char* waves) {
        auto d = deep({{"CATZOC", "1"}, {"SURSTA", surveyed}, {"SUREND", surveyed}});
        d.add_area("DEPARE", {box(-3000, -3000, 3000, 3000)}, {{"DRVAL1", waves}, {"DRVAL2", "30"}});
        d.add_area("SNDWAV", {box(-100, -100, 100, 100)});
        return judged(laid(d, "X14TEST1"));
    };
    const Check old = asked("20250601", "6");
    EXPECT_EQ(old.worst, Grade::unknown);
    EXPECT_TRUE(old.findings.front().reason.starts_with(
        "Ask who crossed it last: bar: surveyed more than a year ago"))
        << old.findings.front().reason;
    EXPECT_EQ(asked("20250701", "6").worst, Grade::caution);  // a caution for sand waves as ever
    EXPECT_EQ(asked("20250601", "12").worst, Grade::caution); // too deep for a bar
    EXPECT_EQ(asked("", "6").worst, Grade::unknown);
}

TEST(OldSurveys, drawn_bars_and_drying_ground_of_a_river_mouth) {
    const auto shape = plain(-100, -100, 100, 100);
    const auto cell = laid(flat(b_of_2016), "X14TEST1");
    auto bar = drawn(Moving::bar, 90.0, shape);
    EXPECT_EQ(judged(cell, {bar}).worst, Grade::unknown);
    bar.surveyed = survey::read_date("20260101");
    EXPECT_EQ(judged(cell, {bar}).worst, Grade::none_found);
    // Nothing dries there.
    EXPECT_EQ(judged(cell, {drawn(Moving::river_mouth, 0.0, shape)}).worst, Grade::none_found);
    auto d = deep(b_of_2016);
    const Ring drying = box(-50, 60, 50, 90);
    d.add_area("DEPARE", {box(-3000, -3000, 3000, 3000), Ring(drying.rbegin(), drying.rend())},
               {{"DRVAL1", "20"}, {"DRVAL2", "30"}});
    d.add_area("DEPARE", {drying}, {{"DRVAL1", "-1"}, {"DRVAL2", "0"}});
    const Check mouth = judged(laid(d, "X14TEST1"), {drawn(Moving::river_mouth, 0.0, shape)});
    EXPECT_TRUE(std::any_of(mouth.findings.begin(), mouth.findings.end(), [](const Finding& f) {
        return f.reason.starts_with("Ask who crossed it last");
    }));
}

// A dredged channel 200 m wide: half its width is 100 m, passed by 10 m a year after 10 years and a day.
TEST(OldSurveys, a_channel_that_may_have_moved_by_half_its_width_is_unknown) {
    auto d = deep(b_of_2016);
    const Ring channel = box(-1000, -100, 1000, 100);
    d.add_area("DEPARE", {box(-3000, -3000, 3000, 3000), Ring(channel.rbegin(), channel.rend())},
               {{"DRVAL1", "20"}, {"DRVAL2", "30"}});
    d.add_area("DRGARE", {channel}, {{"DRVAL1", "8"}, {"OBJNAM", "Withy Cut"}});
    const auto cell = laid(d, "X14TEST1");
    const auto over = plain(-500, -400, 500, 400);
    EXPECT_EQ(judged(cell, {drawn(Moving::bank, 9.0, over)}).worst, Grade::none_found);
    const Check c = judged(cell, {drawn(Moving::bank, 11.0, over)});
    ASSERT_EQ(c.worst, Grade::unknown);
    EXPECT_EQ(c.findings.front().object.name, "Withy Cut");
    EXPECT_NEAR(c.findings.front().length_m, 1000.0 + 2.0 * 50.0, 1.0); // where it moves, and the corridor
}

// What is found without any trust in ages is found with it too, at least as bad.
TEST(OldSurveys, trust_takes_nothing_away) {
    for (const char* catzoc : {"1", "3", "4", "6"})
        for (const char* year : {"", "1936", "2020"}) {
            auto d = with_bank({{"CATZOC", catzoc}, {"SURSTA", year}});
            d.add_point("UWTROC", at(900, 20), {{"VALSOU", "0.2"}, {"WATLEV", "3"}});
            d.add_point("UWTROC", at(1500, 40), {{"VALSOU", "2.2"}, {"WATLEV", "3"}});
            d.add_area("SNDWAV", {box(-600, -200, -300, 900)});
            const auto cell = laid(d, "X14TEST1");
            const Check with = judged(cell), without = judged(cell, {}, true);
            for (const auto& f : without.findings)
                EXPECT_TRUE(std::any_of(with.findings.begin(), with.findings.end(), [&](const Finding& g) {
                    return g.object.lnam == f.object.lnam && g.grade >= f.grade && g.cause == f.cause &&
                           g.length_m >= f.length_m - 0.01;
                })) << f.reason;
            EXPECT_GE(with.worst, without.worst);
        }
}
