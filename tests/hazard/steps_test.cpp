// What an object's water level, depth and category make of it.
#include <gtest/gtest.h>

#include "dangerline/hazard/build.hpp"

#include <algorithm>
#include <cmath>

using namespace dangerline;
using namespace dangerline::hazard;

namespace {

using Attributes = std::vector<std::pair<std::string, std::string>>;

struct Built {
    Hazard hazard;
    Hazards all;
    Diagnostics said;
};

/// The one hazard of an object at the middle of the plane, of that geometry.
Built build_one(const std::string& cls, const Attributes& attributes,
                chart::Primitive primitive = chart::Primitive::point) {
    chart::Cell cell;
    auto& f = cell.features.emplace_back();
    f.cls = cls;
    f.id = {65534, 1, 1};
    for (const auto& [name, value] : attributes)
        f.attributes.set(name, value);
    f.geometry.primitive = primitive;
    f.shape = std::make_shared<const geo::Shape>(
        primitive == chart::Primitive::point  ? geo::Shape::of_points({{0.0, 0.0}})
        : primitive == chart::Primitive::line ? geo::Shape::of_lines({{{0.0, 0.0}, {9.0, 0.0}}})
                                              : geo::Shape::of_area({{{0, 0}, {9, 0}, {9, 9}, {0, 0}}}));
    std::vector<chart::Cell> cells;
    cells.push_back(std::move(cell));
    Built out;
    out.all = build(cells, out.said);
    for (const auto& h : out.all.all)
        if (h.object.cls == cls)
            out.hazard = h;
    return out;
}

bool always_danger(const Hazard& h) {
    return std::any_of(h.steps.begin(), h.steps.end(), [](const Step& s) {
        return s.in_force == InForce::always && s.decides == Grade::danger && !s.within_m;
    });
}

bool never_better_than_caution(const Hazard& h) {
    return std::any_of(h.steps.begin(), h.steps.end(), [](const Step& s) {
        return s.in_force == InForce::always && s.decides == Grade::caution && s.cause == Cause::assumed;
    });
}

/// Depth of the step that lack of water turns to danger; NaN where there is none.
double deciding_depth(const Hazard& h) {
    for (const auto& s : h.steps)
        if (s.in_force == InForce::below && s.decides == Grade::danger)
            return s.depth.metres();
    return std::nan("");
}

} // namespace

// S-57 WATLEV 1 partly submerged, 2 always dry, 6 subject to flooding, 7 floating: no depth makes them
// passable.
TEST(Steps, what_stands_out_of_the_water_is_danger_whatever_depth_is_written_to_it) {
    for (const std::string cls : {"UWTROC", "WRECKS", "OBSTRN"})
        for (const std::string watlev : {"1", "2", "6", "7"}) {
            EXPECT_TRUE(always_danger(build_one(cls, {{"WATLEV", watlev}}).hazard)) << cls << watlev;
            const Built valued = build_one(cls, {{"WATLEV", watlev}, {"VALSOU", "9"}});
            EXPECT_TRUE(always_danger(valued.hazard)) << cls << watlev;
            EXPECT_FALSE(valued.said.empty());
        }
}

TEST(Steps, a_depth_without_a_water_level_is_used_and_never_better_than_caution) {
    const auto h = build_one("WRECKS", {{"VALSOU", "9"}}).hazard;
    EXPECT_EQ(deciding_depth(h), 9.0);
    EXPECT_TRUE(never_better_than_caution(h));
    const auto stated = build_one("WRECKS", {{"VALSOU", "9"}, {"WATLEV", "3"}}).hazard;
    EXPECT_EQ(deciding_depth(stated), 9.0);
    EXPECT_FALSE(never_better_than_caution(stated));
}

TEST(Steps, foul_ground_has_a_depth_like_any_obstruction) {
    const auto unknown = build_one("OBSTRN", {{"CATOBS", "7"}, {"WATLEV", "3"}}).hazard;
    EXPECT_EQ(unknown.what, "foul ground");
    EXPECT_EQ(deciding_depth(unknown), 0.0);
    EXPECT_TRUE(never_better_than_caution(unknown));
    EXPECT_EQ(deciding_depth(build_one("OBSTRN", {{"CATOBS", "7"}, {"WATLEV", "3"}, {"VALSOU", "4"}}).hazard),
              4.0);
}

TEST(Steps, a_mooring_of_unstated_water_level_may_be_under_water) {
    EXPECT_TRUE(never_better_than_caution(build_one("MORFAC", {{"CATMOR", "5"}}).hazard));
    EXPECT_FALSE(never_better_than_caution(build_one("MORFAC", {{"CATMOR", "5"}, {"WATLEV", "2"}}).hazard));
}

TEST(Steps, an_object_drawn_as_no_rule_expects_is_said_and_unknown) {
    const Built odd = build_one("TSSLPT", {}, chart::Primitive::point);
    EXPECT_EQ(odd.hazard.kind, Kind::no_data);
    EXPECT_TRUE(std::any_of(odd.said.begin(), odd.said.end(),
                            [](const Diagnostic& d) { return d.severity == Severity::broken; }));
}

TEST(Steps, a_datum_area_without_a_datum_or_place_makes_the_cell_unknown) {
    EXPECT_TRUE(
        build_one("M_SDAT", {{"VERDAT", "23"}}, chart::Primitive::area).all.cells.front().distrust.empty());
    EXPECT_FALSE(build_one("M_SDAT", {}, chart::Primitive::area).all.cells.front().distrust.empty());
}
