// Which charts newer data are held against, and which of them are left out.
#include "jobs/newer_plans.hpp"

namespace dangerline {
namespace {

using namespace newer_plans;

/// Metres east and north of 46 N 28 W, as the demo's cells have them.
geo::Position in_demo(double east_m, double north_m) {
    return {-28.0 + east_m / 77'463.3, 46.0 + north_m / 111'151.3};
}

std::string geojson_feature(const std::string& properties, const std::string& type,
                            const std::vector<geo::Position>& places) {
    std::string list;
    for (const auto& p : places)
        list += fmt::format("{}[{:.7f}, {:.7f}]", list.empty() ? "" : ", ", p.lon_deg, p.lat_deg);
    return fmt::format(
        R"({{"type": "Feature", "properties": {{{}}}, "geometry": {{"type": "{}", "coordinates": {}}}}})",
        properties, type,
        type == "Point"     ? list
        : type == "Polygon" ? "[[" + list + "]]"
                            : "[" + list + "]");
}

std::string wreck(geo::Position place, const std::string& name = "x") {
    return geojson_feature(R"("kind": "wreck", "title": ")" + name + "\"", "Point", {place});
}

/// Replaces the newer data of the club by these.
std::pair<std::string, std::string> newer_of(const support::TemporaryFolder& folder,
                                             const std::vector<std::string>& features) {
    const auto file =
        folder.file("own.geojson", fmt::format(R"({{"type": "FeatureCollection", "features": [{}]}})",
                                               fmt::join(features, ",")));
    return {"file = \"newer.geojson\"", "file = \"" + file.string() + "\""};
}

const std::string club_route = "[[route]]\nfile = \"routes.gpx\"\npick = \"Slip to the wreck mark\"\n";

// Far, off all charts, inland, on the water between, and on charted land that ends where the charts do.
TEST(Newer, LeavesOutWhatNoChartShows) {
    const support::TemporaryFolder folder;
    const auto big = newer_of(
        folder, {wreck({0.0, 0.0}), wreck({-29.0, 46.0}), wreck(in_demo(-5000, 11'500)),
                 wreck(in_demo(-4000, 11'500)), wreck({-27.93, 46.05}), wreck({-27.93, 46.11}, "By the line"),
                 geojson_feature(R"("kind": "wind farm", "title": "Over the edge")", "Polygon",
                                 {in_demo(20'000, 11'000), in_demo(25'000, 11'000), in_demo(25'000, 12'000),
                                  in_demo(20'000, 12'000), in_demo(20'000, 11'000)})});
    const auto near = jobs::run_compare(plan::read(club(folder, {big}))).newer.at(0);
    EXPECT_EQ(near.left_out.far, 2U);
    EXPECT_EQ(near.left_out.on_land, 2U);
    EXPECT_EQ(near.left_out.on_no_chart, 0U);
    EXPECT_EQ(near.compared, 3U);
    EXPECT_TRUE(named(near, Change::missing, "By the line"))
        << "what a chart draws as land may be water beside the route";
    EXPECT_NE(jobs::left_out_words(near).find("2 farther than 10 NM from the routes and marks, 2 on land"),
              std::string::npos)
        << jobs::left_out_words(near);
    const auto all = jobs::run_compare(plan::read(club(folder, {big, {club_route, ""}}))).newer.at(0);
    EXPECT_EQ(all.left_out.far, 0U) << "no route";
    EXPECT_EQ(all.left_out.on_no_chart, 2U);
    EXPECT_EQ(all.left_out.on_land, 3U);
    EXPECT_EQ(all.compared, 2U);
    EXPECT_TRUE(named(all, Change::missing, "Over the edge")) << "no chart says that there is land";
    EXPECT_FALSE(all.changes.front().off_m);
}

// Nobody else tells of a wreck beyond the last chart, where a route runs there.
TEST(Newer, ComparesWhatLiesOffTheChartsBesideTheRoute) {
    const support::TemporaryFolder folder;
    const auto line = folder.file("off.geojson", R"({"type": "FeatureCollection", "features": [)" +
                                                     geojson_feature(R"("name": "off")", "LineString",
                                                                     {in_demo(0, -5000), in_demo(0, -9000)}) +
                                                     "]}");
    const auto plan =
        plan::read(club(folder, {newer_of(folder, {wreck(in_demo(0, -8000), "On the line"),
                                                   wreck(in_demo(4000, -8000), "Beside it"),
                                                   wreck(in_demo(12'000, -8000), "Away from it")}),
                                 {"\"X14DEMO1.000\", ", ""},
                                 {club_route, "[[route]]\nfile = \"" + line.string() + "\"\n"}}));
    const auto outcome = jobs::run_compare(plan).newer.at(0);
    EXPECT_EQ(outcome.left_out.on_no_chart, 1U);
    EXPECT_EQ(outcome.compared, 2U);
    EXPECT_TRUE(named(outcome, Change::missing, "On the line"));
    EXPECT_TRUE(named(outcome, Change::missing, "Beside it"));
    const auto passage = jobs::run_passage(plan, std::nullopt);
    const auto* f = finding_of(passage, "On the line");
    ASSERT_TRUE(f);
    EXPECT_TRUE(f->object.uncharted);
    EXPECT_EQ(f->grade, hazard::Grade::danger) << f->reason;
}

/// A cell of deep water, 4 km square from a corner on, with a wreck in its middle.
std::string cell_with_wreck(const support::TemporaryFolder& folder, const std::string& name, int east,
                            int north) {
    const std::string text = fmt::format(
        "cell {0}\nedition 1\nupdate 0\nissued 20260302\napplied 20260302\nusage 5\nagency 65535\n"
        "scale 20000\ndatums 2 17 23\norigin 46.0 -28.0\nchain frame {1},{2} {1},{4} {3},{4} {3},{2}\n"
        "area DEPARE DRVAL1=20 DRVAL2=50 : frame\narea M_COVR CATCOV=1 : frame\n"
        "point WRECKS CATWRK=2 WATLEV=3 fidn={1} : {5},{6}\n",
        name, east, north, east + 4000, north + 4000, east + 2000, north + 2000);
    return folder.file(name, cellwriter::cell_from_text(folder.file(name + ".txt", text))).string();
}

// At a mark 15 NM from the route, and 8 NM from it in a chart beside.
TEST(Newer, ReadsTheChartsOfAllThatIsCompared) {
    const support::TemporaryFolder folder;
    const std::string at_mark = cell_with_wreck(folder, "X14DEMO8.000", 34'000, 3000),
                      beside = cell_with_wreck(folder, "X14DEMO9.000", 5000, -11'000);
    const auto mark = in_demo(35'500, 5000);
    const auto plan = plan::read(club(
        folder, {newer_of(folder, {wreck(in_demo(36'000, 5000), "At the mark"),
                                   wreck(in_demo(7000, -9000), "Beside")}),
                 {"\"X13DEMO2.000\"]", fmt::format("\"X13DEMO2.000\", \"{}\", \"{}\"]", at_mark, beside)},
                 {club_route, fmt::format("{}[[mark]]\nname = \"Far Mark\"\nposition = [{:.6f}, {:.6f}]\n",
                                          club_route, mark.lon_deg, mark.lat_deg)}}));
    const auto report = jobs::run_compare(plan);
    const auto& outcome = report.newer.at(0);
    EXPECT_EQ(outcome.left_out.on_no_chart, 0U);
    EXPECT_EQ(outcome.compared, 2U);
    EXPECT_TRUE(of(outcome, Change::missing).empty()) << of(outcome, Change::missing)[0]->sentence;
    const auto passage = jobs::run_passage(plan, std::nullopt);
    EXPECT_EQ(counted(passage.diagnostics), counted(report.diagnostics));
    EXPECT_NE(counted(passage.diagnostics).find(" 0 of them now"), std::string::npos)
        << counted(passage.diagnostics);
    auto without = plan; // charts so far off are read for newer data alone
    without.newer.clear();
    EXPECT_EQ(jobs::run_passage(without, std::nullopt).cells.size(), 2U);
    EXPECT_EQ(passage.cells.size(), 4U);
}

} // namespace
} // namespace dangerline
