#include <gtest/gtest.h>

#include "dangerline/base/quantities.hpp"
#include "dangerline/hazard/build.hpp"
#include "dangerline/hazard/rough_water.hpp"
#include "dangerline/hazard/rules.hpp"
#include "dangerline/survey/standards.hpp"
#include "dangerline/tide/datum.hpp"
#include "support/support.hpp"

#include <map>

using namespace dangerline;
using namespace dangerline::hazard;

namespace {

/// What the program calls an object of that class and category.
std::string words_for(const std::string& cls, const std::string& attribute, int code) {
    chart::Cell cell;
    auto& f = cell.features.emplace_back();
    f.cls = cls;
    f.attributes.set(attribute, std::to_string(code));
    const bool line = cls == "COALNE";
    f.geometry.primitive = line ? chart::Primitive::line : chart::Primitive::point;
    f.shape = std::make_shared<const geo::Shape>(line ? geo::Shape::of_lines({{{0.0, 0.0}, {9.0, 0.0}}})
                                                      : geo::Shape::of_points({{0.0, 0.0}}));
    std::vector<chart::Cell> cells;
    cells.push_back(std::move(cell));
    Diagnostics said;
    for (const auto& h : build(cells, said).all)
        if (h.object.cls == cls)
            return h.what;
    return {};
}

} // namespace

TEST(Rules, every_row_is_known_and_made_up_classes_are_not) {
    for (const auto& rule : rules())
        EXPECT_TRUE(is_known(rule.cls.ends_with('*') ? std::string(rule.cls.substr(0, 3)) + "LAT"
                                                     : std::string(rule.cls)));
    for (const auto* cls : {"M_QUAL", "TS_PAD", "LIGHTS", "BOYCAR", "BCNISD"})
        EXPECT_TRUE(is_known(cls)) << cls;
    EXPECT_FALSE(is_known("NEWOBJ"));
    EXPECT_FALSE(is_known("ZZZZZZ"));
}

// Newer data are held against charted cables and pipes, though no rule makes these a danger.
TEST(Rules, cables_and_pipes_are_placed) {
    for (const char* cls : {"CBLSUB", "CBLARE", "PIPSOL", "PIPARE", "WRECKS", "M_QUAL", "DEPCNT", "SBDARE"})
        EXPECT_TRUE(is_placed(cls)) << cls;
    EXPECT_FALSE(is_placed("ROADWY"));
}

TEST(Rules, a_landmark_is_a_turbine_unless_its_kind_is_another) {
    chart::Feature f;
    f.cls = "LNDMRK";
    EXPECT_TRUE(may_be_turbine(f));
    for (const auto& [kind, turbine] :
         {std::pair("19", true), {"17,19", true}, {"junk", true}, {"3", false}}) {
        f.attributes.set("CATLMK", kind);
        EXPECT_EQ(may_be_turbine(f), turbine) << kind;
    }
    EXPECT_FALSE(words_for("LNDMRK", "CATLMK", 19).empty());
    EXPECT_TRUE(words_for("LNDMRK", "CATLMK", 3).empty());
    EXPECT_FALSE(words_for("LNDMRK", "OBJNAM", 1).empty()) << "nobody states its kind";
}

TEST(Rules, every_assumed_radius_is_of_a_known_class_and_stands_in_the_readme) {
    const std::string readme = support::read_file(std::filesystem::path(DANGERLINE_SOURCE) / "README.md");
    for (const auto& row : assumed_radii()) {
        EXPECT_FALSE(rules_for(row.cls).empty()) << row.cls;
        EXPECT_GT(row.metres, 0.0);
        const std::string words =
            std::to_string(static_cast<int>(row.metres)) + " m a " + std::string(words_for(row.cls));
        EXPECT_NE(readme.find(words), std::string::npos) << words;
        EXPECT_EQ(assumed_radius(row.cls)->metres, row.metres);
    }
    EXPECT_FALSE(assumed_radius("WRECKS"));
}

TEST(Rules, assumed_depths_never_exceed_the_datum) {
    for (int watlev = 0; watlev <= 8; ++watlev)
        EXPECT_LE(assumed_depth(watlev).decides.metres(), 0.0);
    EXPECT_EQ(assumed_depth(3).decides.metres(), 0.0);
    EXPECT_EQ(assumed_depth(4).decides, Depth::never_covered());
    EXPECT_EQ(assumed_depth(0).decides, Depth::never_covered());
    EXPECT_EQ(assumed_depth(5).shown.metres(), -0.6);
    EXPECT_TRUE(assumed_depth(7).surface);
}

TEST(Rules, restrictions_that_are_cautions) {
    for (int code = 1; code <= 27; ++code)
        EXPECT_EQ(restriction_is_caution(code), code == 7 || code == 8 || code == 14) << code;
    for (int code = 1; code <= 28; ++code)
        EXPECT_EQ(area_category_is_caution(code), code == 1 || code == 9 || code == 12 || code == 14) << code;
}

// The codes this project puts words to are the standard's: IHO S-57 Ed 3.1 Appendix A, as GDAL 3.6.2 encodes
// it.
TEST(Rules, enumerations_are_the_published_ones) {
    std::map<std::string, std::map<int, std::string>> table;
    for (const auto& row : support::read_table(support::testdata() / "hazard" / "s57_enumerations.csv"))
        table[row.at("attribute")][std::stoi(row.at("id"))] = row.at("meaning_as_in_gdal");
    for (const auto& [code, meaning] : table["CATWAT"])
        EXPECT_EQ(words_for("WATTUR", "CATWAT", code), meaning);
    for (const int code : {1, 3, 7, 8, 9, 10, 11, 12, 13})
        EXPECT_EQ(words_for("SLCONS", "CATSLC", code), table["CATSLC"][code]);
    for (const int code : {2, 4, 5, 6}) // the table has a second word or a slip of spacing
        EXPECT_EQ(words_for("SLCONS", "CATSLC", code).substr(0, 4), table["CATSLC"][code].substr(0, 4));
    for (const int code : {1, 2, 3, 4, 5, 8})
        EXPECT_EQ(words_for("COALNE", "CATCOA", code), table["CATCOA"][code]);
    for (const int code : {6, 7, 9}) // the coast is added to what it is made of
        EXPECT_TRUE(words_for("COALNE", "CATCOA", code).starts_with(table["CATCOA"][code].substr(0, 5)));
    ASSERT_EQ(table["VERDAT"].size(), 29U);
    for (const auto& [code, meaning] : table["VERDAT"])
        EXPECT_TRUE(tide::datum_name(code).has_value()) << code << " " << meaning;
    for (const int approximate : {7, 10, 14, 15, 19})
        EXPECT_TRUE(table["VERDAT"][approximate].starts_with("Approximate"));
    for (const auto& [code, meaning] : table["CATZOC"])
        EXPECT_NE(meaning.find(std::string(survey::zone_of_confidence(code).name)), std::string::npos)
            << meaning;
}

// Overfalls in no wind with swell unstated, then stated as 0.
TEST(RoughWater, by_rate_wind_and_swell) {
    const auto at = [](std::optional<double> kn, std::optional<double> swell) {
        return rough_water_grade(3, {kn ? std::optional(*kn * mps_per_knot) : std::nullopt, 0.0, swell});
    };
    EXPECT_EQ(at(3.2, {}), Grade::danger);
    EXPECT_EQ(at(2.5, {}), Grade::danger);
    EXPECT_EQ(at(1.5, {}), Grade::caution);
    EXPECT_EQ(at(0.5, {}), Grade::note);
    EXPECT_EQ(at({}, {}), Grade::danger);
    EXPECT_EQ(at(2.5, 0.0), Grade::caution);
    EXPECT_EQ(rough_water_grade(1, {0.0, 0.0, 0.0}), Grade::danger); // breakers
    EXPECT_EQ(rough_water_grade(0, {}), Grade::danger);              // category missing
    for (const int unknown : {0, 9})                                 // may be breakers
        EXPECT_EQ(rough_water_grade(unknown, {0.0, 0.0, 0.0}), Grade::caution);
}

// Emptying the depth of any rock, wreck or obstruction of a real cell leaves a hazard that is never better
// than caution.
TEST(Rules, emptied_depths_of_a_real_cell_stay_hazards) {
    SKIP_WITHOUT_REAL_CELLS(folder);
    Diagnostics said;
    std::vector<chart::Cell> cells;
    for (const auto& files : chart::find_cells({*folder}))
        cells.push_back(chart::read_cell(files, said));
    std::size_t emptied = 0;
    for (auto& cell : cells) {
        chart::lay_out(cell, geo::Plane(*chart::middle_of(cell)), said);
        for (auto& f : cell.features) {
            emptied += f.attributes.has("VALSOU");
            f.attributes.remove("VALSOU");
        }
    }
    EXPECT_GE(emptied, 166U); // rocks 4, wrecks 59 and more
    for (const auto& h : build(cells, said).all)
        if (h.object.cls == "UWTROC" || h.object.cls == "WRECKS" || h.object.cls == "OBSTRN") {
            const bool stays = std::any_of(h.steps.begin(), h.steps.end(), [](const Step& s) {
                return s.in_force == InForce::always && s.decides != Grade::none_found;
            });
            EXPECT_TRUE(stays) << h.object.cls << " " << h.object.lnam;
            for (const auto& s : h.steps)
                EXPECT_TRUE(!s.depth_known) << h.object.cls << " " << h.object.lnam;
        }
}
