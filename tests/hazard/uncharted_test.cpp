// What newer data have and the charts lack, as hazards.
#include "dangerline/hazard/build.hpp"

#include <algorithm>

#include <gtest/gtest.h>

namespace dangerline::hazard {
namespace {

Hazards build_one(const std::string& cls, const std::vector<std::pair<std::string, std::string>>& attributes,
                  const std::string& uncharted) {
    std::vector<chart::Cell> cells(1);
    auto& f = cells[0].features.emplace_back();
    f.cls = cls;
    f.id = {0, 1, 0};
    f.uncharted = uncharted;
    for (const auto& [name, value] : attributes)
        f.attributes.set(name, value);
    f.geometry.primitive = chart::Primitive::line;
    f.shape = std::make_shared<const geo::Shape>(geo::Shape::of_lines({{{0.0, 0.0}, {90.0, 0.0}}}));
    Diagnostics said;
    return build(cells, said);
}

const Hazard* of_class(const Hazards& all, const std::string& cls) {
    const auto found =
        std::find_if(all.all.begin(), all.all.end(), [&](const Hazard& h) { return h.object.cls == cls; });
    return found == all.all.end() ? nullptr : &*found;
}

constexpr const char* words = "missing from the charts, by works.geojson of 2026-05-12";

TEST(Uncharted, MarksTheHazardAndSaysByWhat) {
    const auto all = build_one("OBSTRN", {{"VALSOU", "2"}, {"WATLEV", "3"}}, words);
    const auto* h = of_class(all, "OBSTRN");
    ASSERT_TRUE(h);
    EXPECT_TRUE(h->object.uncharted);
    EXPECT_EQ(h->what, "uncharted obstruction");
    EXPECT_TRUE(h->steps.front().basis.starts_with("charted depth 2.0 m"));
    EXPECT_TRUE(h->steps.front().basis.ends_with(words));
    const auto charted = build_one("OBSTRN", {{"VALSOU", "2"}, {"WATLEV", "3"}}, "");
    EXPECT_FALSE(of_class(charted, "OBSTRN")->object.uncharted);
    EXPECT_EQ(of_class(charted, "OBSTRN")->what, "obstruction");
}

TEST(Uncharted, TakesPipesAndCablesThatNoChartShows) {
    EXPECT_FALSE(of_class(build_one("PIPSOL", {}, ""), "PIPSOL")) << "charted it is for anchors alone";
    const auto unstated = build_one("PIPSOL", {}, words);
    ASSERT_TRUE(of_class(unstated, "PIPSOL"));
    const auto& pipe = of_class(unstated, "PIPSOL")->steps.front();
    EXPECT_EQ(pipe.in_force, InForce::always);
    EXPECT_EQ(pipe.decides, Grade::caution);
    EXPECT_EQ(pipe.cause, Cause::assumed);
    for (const char* acronym : {"VALSOU", "DRVAL1"}) {
        const auto stated = build_one("PIPSOL", {{acronym, "1.4"}}, words);
        const auto* h = of_class(stated, "PIPSOL");
        EXPECT_EQ(h->kind, Kind::depth);
        EXPECT_EQ(h->steps.front().in_force, InForce::below);
        EXPECT_EQ(h->steps.front().decides, Grade::danger);
        EXPECT_DOUBLE_EQ(h->steps.front().depth.metres(), 1.4);
    }
    const auto cable = build_one("CBLSUB", {}, words);
    EXPECT_EQ(of_class(cable, "CBLSUB")->steps.front().decides, Grade::note);
    EXPECT_EQ(of_class(cable, "CBLSUB")->what, "uncharted submarine cable");
}

TEST(Uncharted, MayHaveBeenFoundAnyDay) {
    const auto all = build_one("WRECKS", {{"SORDAT", "19680911"}}, words);
    EXPECT_EQ(of_class(all, "WRECKS")->found_on->year, 9999);
    const auto charted = build_one("WRECKS", {{"SORDAT", "1968"}}, "");
    EXPECT_EQ(of_class(charted, "WRECKS")->found_on, (CalendarDay{1968, 12, 31}));
    EXPECT_FALSE(of_class(build_one("WRECKS", {}, ""), "WRECKS")->found_on);
}

} // namespace
} // namespace dangerline::hazard
