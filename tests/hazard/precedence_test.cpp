// Hazards of several cells: the coarser one's remainder, one object in two parts, notes that age.
#include "dangerline/hazard/join.hpp"
#include "dangerline/hazard/notes.hpp"
#include "dangerline/hazard/precedence.hpp"

#include <gtest/gtest.h>

using namespace dangerline;
using namespace dangerline::hazard;

namespace {

std::shared_ptr<const geo::Shape> at(double x, double y) {
    return std::make_shared<const geo::Shape>(geo::Shape::of_points({{x, y}}));
}
std::shared_ptr<const geo::Shape> line(std::vector<geo::Point> points) {
    return std::make_shared<const geo::Shape>(geo::Shape::of_lines({std::move(points)}));
}
std::shared_ptr<const geo::Shape> square(double x, double y, double side) {
    return std::make_shared<const geo::Shape>(
        geo::Shape::of_area({{{x, y}, {x + side, y}, {x + side, y + side}, {x, y + side}}}));
}

constexpr std::size_t fine = 0, coarse = 1;
std::vector<CellRef> cells() {
    std::vector<CellRef> two(2);
    two[fine].scale = 20'000;
    two[coarse].scale = 80'000;
    return two;
}

Hazard rock(std::size_t cell, std::shared_ptr<const geo::Shape> where, double depth_m,
            const std::string& lnam, double doubt_m = 20.0) {
    Hazard h;
    h.object = {lnam, "UWTROC", "", cell == fine ? "FINE" : "COARSE"};
    h.cell = cell;
    h.datum = 23;
    h.box = where->box();
    h.allowance.position_m = doubt_m;
    Step s;
    s.depth = Depth::from_metres(depth_m);
    s.extent = std::move(where);
    s.basis = "charted";
    h.steps.push_back(s);
    return h;
}

Grade settled(const Hazard& c, const std::vector<Hazard>& ruling,
              const std::vector<CellRef>& refs = cells()) {
    std::vector<Hazard> under{c};
    settle_under_better(under, ruling, refs);
    EXPECT_EQ(under[0].steps.size(), c.steps.size());
    if (under[0].steps[0].decides == Grade::caution) {
        EXPECT_EQ(under[0].steps[0].cause, Cause::survey);
    }
    return under[0].steps[0].decides;
}

const std::string one = "FFFF0000000A0001", two = "FFFF0000000B0001", unnamed = "0000000000010000";

} // namespace

TEST(UnderBetter, IsACautionUnlessTheBetterChartShowsItToo) {
    const Hazard c = rock(coarse, at(0, 0), 1.0, one);
    EXPECT_EQ(settled(c, {}), Grade::caution);
    EXPECT_EQ(settled(c, {rock(fine, at(5000, 0), 9.0, one)}), Grade::note); // the same object
    EXPECT_EQ(settled(c, {rock(fine, at(30, 0), 1.0, two)}), Grade::note);   // as shoal, within 20 + 20 m
    EXPECT_EQ(settled(c, {rock(fine, at(30, 0), 0.5, two)}), Grade::note);
    EXPECT_EQ(settled(c, {rock(fine, at(30, 0), 1.1, two)}), Grade::caution); // deeper
    EXPECT_EQ(settled(c, {rock(fine, at(41, 0), 1.0, two)}), Grade::caution); // too far off
    Hazard other = rock(fine, at(0, 0), 0.0, two);
    other.object.cls = "WRECKS";
    EXPECT_EQ(settled(c, {other}), Grade::caution);
    Hazard datum = rock(fine, at(0, 0), 0.0, two);
    datum.datum = 12;
    EXPECT_EQ(settled(c, {datum}), Grade::caution);
    EXPECT_EQ(settled(c, {rock(coarse, at(0, 0), 0.0, two)}), Grade::caution); // itself no better
    auto unscaled = cells();
    unscaled[fine].scale = 0;
    EXPECT_EQ(settled(c, {rock(fine, at(0, 0), 0.0, one)}, unscaled), Grade::caution);
    // running numbers name nothing
    EXPECT_EQ(settled(rock(coarse, at(0, 0), 1.0, unnamed), {rock(fine, at(900, 0), 1.0, unnamed)}),
              Grade::caution);
}

TEST(UnderBetter, EveryPlaceOfALineMustBeAnswered) {
    const Hazard c = rock(coarse, line({{0, 0}, {1000, 0}}), 1.0, one);
    EXPECT_EQ(settled(c, {rock(fine, line({{0, 10}, {1000, 10}}), 1.0, two)}), Grade::note);
    EXPECT_EQ(settled(c, {rock(fine, line({{0, 10}, {500, 10}}), 1.0, two),
                          rock(fine, line({{500, 10}, {1000, 10}}), 0.0, two)}),
              Grade::note);
    EXPECT_EQ(settled(c, {rock(fine, line({{0, 10}, {900, 10}}), 1.0, two)}), Grade::caution);
    EXPECT_EQ(settled(c, {rock(fine, line({{0, 10}, {400, 10}}), 1.0, two),
                          rock(fine, line({{600, 10}, {1000, 10}}), 0.0, two)}),
              Grade::caution);
    EXPECT_EQ(settled(c, {rock(fine, at(0, 0), 0.0, two), rock(fine, at(1000, 0), 0.0, two)}),
              Grade::caution);
}

TEST(UnderBetter, EachStepMustBeAnswered) {
    Hazard c = rock(coarse, at(0, 0), 1.0, one);
    Step sure = c.steps[0];
    sure.in_force = InForce::always;
    sure.decides = Grade::caution;
    c.steps.push_back(sure);
    EXPECT_FALSE(at_least_as_restrictive(rock(fine, at(0, 0), 1.0, two), c));
    Hazard both = rock(fine, at(0, 0), 1.0, two);
    both.steps.push_back(sure);
    EXPECT_TRUE(at_least_as_restrictive(both, c));
    Hazard mark = rock(fine, at(0, 0), 1.0, two);
    mark.steps[0].in_force = InForce::always;
    EXPECT_TRUE(at_least_as_restrictive(mark, c));
    mark.steps[0].within_m = 15.0; // only a line that passes close meets it
    EXPECT_FALSE(at_least_as_restrictive(mark, c));
    Hazard unknown = rock(coarse, at(0, 0), 1.0, one);
    unknown.steps[0].decides = Grade::unknown;
    demote(unknown, Cause::survey, "why");
    EXPECT_EQ(unknown.steps[0].decides, Grade::caution);
    EXPECT_EQ(unknown.steps[0].basis, "charted, why");
}

TEST(JoinSplitObjects, TwoHalvesBecomeOne) {
    auto refs = cells();
    refs[coarse].scale = refs[fine].scale;
    std::vector<Hazard> all{rock(0, square(0, 0, 10), 1.0, one, 20.0), rock(0, at(5, 5), 1.0, two),
                            rock(1, square(10, 0, 10), 1.0, one, 30.0)};
    join_split_objects(all, refs);
    ASSERT_EQ(all.size(), 2U);
    EXPECT_EQ(all[0].steps[0].extent->part_count(), 1U); // the edge between is gone
    EXPECT_TRUE(all[0].steps[0].extent->contains({10, 5}));
    EXPECT_EQ(all[0].box.max_x, 20.0);
    EXPECT_EQ(all[0].allowance.position_m, 30.0);
    EXPECT_EQ(all[1].object.lnam, two);
    // overlapping halves don't cancel
    std::vector<Hazard> over{rock(0, square(0, 0, 10), 1.0, one), rock(1, square(5, 0, 10), 1.0, one)};
    join_split_objects(over, refs);
    ASSERT_EQ(over.size(), 1U);
    EXPECT_TRUE(over[0].steps[0].extent->contains({7, 5}));
    // a point on the line between them stands in both
    std::vector<Hazard> same{rock(0, at(1, 1), 1.0, one), rock(1, at(1, 1), 1.0, one)};
    join_split_objects(same, refs);
    ASSERT_EQ(same.size(), 1U);
    EXPECT_EQ(same[0].steps[0].extent->points().size(), 1U);
}

TEST(JoinSplitObjects, WhatDiffersStaysApart) {
    auto refs = cells();
    refs[coarse].scale = refs[fine].scale;
    const auto left = [&](const Hazard& a, const Hazard& b, const std::vector<CellRef>& r) {
        std::vector<Hazard> all{a, b};
        join_split_objects(all, r);
        return all.size();
    };
    const Hazard a = rock(0, at(0, 0), 1.0, one);
    EXPECT_EQ(left(a, rock(1, at(1, 0), 1.0, one), refs), 1U);
    EXPECT_EQ(left(a, rock(1, at(1, 0), 2.0, one), refs), 2U);
    EXPECT_EQ(left(a, rock(1, at(1, 0), 1.0, two), refs), 2U);
    EXPECT_EQ(left(a, rock(1, at(1, 0), 1.0, one), cells()), 2U); // another scale
    EXPECT_EQ(left(a, rock(0, at(1, 0), 1.0, one), refs), 2U);    // two objects of one cell
    EXPECT_EQ(left(rock(0, at(0, 0), 1.0, unnamed), rock(1, at(1, 0), 1.0, unnamed), refs), 2U);
    Hazard datum = rock(1, at(1, 0), 1.0, one);
    datum.datum = 12;
    EXPECT_EQ(left(a, datum, refs), 2U);
}

TEST(Notes, AgeIntoCautionAndNeverVanish) {
    const auto signed_on = [](const std::string& date, const std::optional<CalendarDay>& as_of) {
        chart::Feature f;
        f.author = "A. Rower";
        f.date = date;
        Hazard h = rock(0, at(0, 0), 1.0, unnamed);
        sign_note(h, f, as_of);
        EXPECT_EQ(h.steps.size(), 1U);
        EXPECT_NE(h.steps[0].basis.find("A. Rower"), std::string::npos);
        return h.steps[0].decides;
    };
    EXPECT_EQ(signed_on("20250601", CalendarDay{2026, 6, 1}), Grade::danger);
    EXPECT_EQ(signed_on("20250601", CalendarDay{2026, 6, 2}), Grade::caution);
    EXPECT_EQ(signed_on("19700101", CalendarDay{2026, 6, 2}), Grade::caution);
    EXPECT_EQ(signed_on("20240229", CalendarDay{2025, 2, 28}), Grade::danger);
    EXPECT_EQ(signed_on("20240229", CalendarDay{2025, 3, 1}), Grade::caution);
    // a date counts as the last day it may mean; one that nobody can read is not old
    EXPECT_EQ(signed_on("2025", CalendarDay{2026, 12, 31}), Grade::danger);
    EXPECT_EQ(signed_on("2025", CalendarDay{2027, 1, 1}), Grade::caution);
    EXPECT_EQ(signed_on("", CalendarDay{2027, 1, 1}), Grade::danger);
    EXPECT_EQ(signed_on("last May", CalendarDay{2027, 1, 1}), Grade::danger);
    EXPECT_EQ(signed_on("20270601", CalendarDay{2027, 1, 1}), Grade::danger); // still to come
    EXPECT_EQ(signed_on("19700101", std::nullopt), Grade::danger);
}
