// Vector sources: the same chart from four formats, and what is said of those that lack something.
#include "dangerline/base/error.hpp"
#include "dangerline/chart/dates.hpp"
#include "dangerline/chart/vector_source.hpp"

#include "chart/vector_files.hpp"
#include "support/support.hpp"

#include <gtest/gtest.h>

#include <algorithm>
#include <cmath>

using namespace dangerline;
using namespace dangerline::chart;

namespace {

using vector_files::Format;
using vector_files::Object;

constexpr Format geojson{"GeoJSON", ".geojson", true};
constexpr Format geopackage{"GPKG", ".gpkg", false};
constexpr Format flatgeobuf{"FlatGeobuf", ".fgb", true};
constexpr Format shapefile{"ESRI Shapefile", "", false};

struct Read {
    Cell cell;
    Diagnostics said;
    bool says(const std::string& words) const {
        return std::any_of(said.begin(), said.end(), [&](const Diagnostic& d) {
            return d.what.find(words) != std::string::npos || d.object.find(words) != std::string::npos;
        });
    }
    const Feature& only(const std::string& cls, Primitive primitive = Primitive::none) const {
        const Feature* found = nullptr;
        for (const auto& f : cell.features)
            if (f.cls == cls && (primitive == Primitive::none || f.geometry.primitive == primitive)) {
                if (found)
                    throw std::runtime_error("several " + cls);
                found = &f;
            }
        if (!found)
            throw std::runtime_error("no " + cls);
        return *found;
    }
};

Read read(const std::filesystem::path& path, const VectorStatement& stated = {}) {
    Read result;
    result.cell = read_vector_chart(path, stated, result.said);
    return result;
}

Read read_text(const std::string& text, const VectorStatement& stated = {}) {
    const support::TemporaryFolder folder;
    return read(folder.file("local.geojson", text), stated);
}

/// One feature in a collection.
std::string collection(const std::string& features, const std::string& more = "") {
    return "{\"type\":\"FeatureCollection\"," + more + "\"features\":[" + features + "]}";
}
std::string point(const std::string& properties, const std::string& place = "[-28,46]") {
    return "{\"type\":\"Feature\",\"properties\":{" + properties +
           "},\"geometry\":{\"type\":\"Point\",\"coordinates\":" + place + "}}";
}

std::string refusal(const std::filesystem::path& path, const VectorStatement& stated = {}) {
    try {
        read(path, stated);
    } catch (const Failure& failure) {
        EXPECT_EQ(failure.fault(), Fault::data);
        EXPECT_EQ(failure.complaint().file, path.string());
        return failure.what();
    }
    return "read";
}
std::string refusal_of_text(const std::string& text, const VectorStatement& stated = {}) {
    const support::TemporaryFolder folder;
    return refusal(folder.file("local.geojson", text), stated);
}

const std::vector<Object> scene{
    {"M_COVR", "POLYGON((-28 46,-27.9 46,-27.9 46.1,-28 46.1,-28 46))", {{"CATCOV", "1"}}},
    {"DEPARE",
     "POLYGON((-28 46,-27.9 46,-27.9 46.1,-28 46.1,-28 46),(-27.95 46.05,-27.94 46.05,-27.94 46.06,-27.95 "
     "46.06,-27.95 46.05))",
     {{"DRVAL1", "2"}, {"DRVAL2", "5"}}},
    {"LNDARE", "POLYGON((-27.95 46.05,-27.94 46.05,-27.94 46.06,-27.95 46.06,-27.95 46.05))", {}},
    {"LNDARE", "POINT(-27.92 46.02)", {}},
    {"WRECKS",
     "POINT(-27.97 46.03)",
     {{"VALSOU", "3.4"},
      {"WATLEV", "3"},
      {"QUASOU", "(2:6,9)"},
      {"SORDAT", "2003-04"},
      {"QUAPOS", "4"},
      {"POSACC", "12.5"},
      {"LNAM", "FFFF0000002A0001"}}},
    {"DEPCNT", "MULTILINESTRING((-28 46.02,-27.98 46.03),(-27.96 46.03,-27.95 46.02))", {{"VALDCO", "5"}}},
    {"SOUNDG", "MULTIPOINT Z((-27.96 46.02 3.0),(-27.97 46.03 -1.5))", {{"QUASOU", "4"}}},
    // FlatGeobuf keeps no object without a place
    {"DSID",
     "POINT(-28 46)",
     {{"DSPM_CSCL", "20000"},
      {"DSPM_SDAT", "23"},
      {"DSPM_VDAT", "17"},
      {"DSID_EDTN", "3"},
      {"DSID_UPDN", "1"},
      {"DSID_ISDT", "20260420"}}},
};

class FourFormats : public testing::TestWithParam<Format> {
  protected:
    std::filesystem::path made(const std::vector<Object>& objects, int epsg = 4326) const {
        auto path = folder_.path() / (std::string("chart") + GetParam().ending);
        vector_files::write(path.string(), GetParam(), objects, epsg);
        return path;
    }
    support::TemporaryFolder folder_;
};

} // namespace

TEST_P(FourFormats, GiveTheSameChart) {
    const Read r = read(made(scene));
    EXPECT_TRUE(r.said.empty()) << r.said[0].object << ": " << r.said[0].what;
    EXPECT_EQ(r.cell.name, "chart");
    EXPECT_EQ(r.cell.header.cscl, 20000U);
    EXPECT_EQ(r.cell.header.sdat, 23);
    EXPECT_EQ(r.cell.header.vdat, 17);
    EXPECT_EQ(r.cell.edition, 3);
    EXPECT_EQ(r.cell.update, 1);
    EXPECT_EQ(r.cell.issued, "20260420");
    EXPECT_FALSE(r.cell.notes);
    EXPECT_EQ(r.cell.features.size(), 7U);
    const Feature& wreck = r.only("WRECKS");
    EXPECT_EQ(to_text(wreck.id), "FFFF0000002A0001");
    EXPECT_EQ(wreck.attributes.number("VALSOU"), 3.4);
    EXPECT_EQ(wreck.attributes.code("WATLEV"), 3);
    EXPECT_EQ(wreck.attributes.codes("QUASOU"), (std::vector<int>{6, 9}));
    EXPECT_EQ(wreck.attributes.text("SORDAT"), "200304");
    EXPECT_EQ(wreck.quapos, 4);
    EXPECT_EQ(wreck.posacc_m, 12.5);
    ASSERT_EQ(wreck.geometry.points.size(), 1U);
    EXPECT_EQ(wreck.geometry.points[0], (geo::Position{-27.97, 46.03}));
    EXPECT_EQ(r.only("DEPARE").geometry.polygons.at(0).size(), 2U);
    EXPECT_EQ(r.only("DEPARE").attributes.number("DRVAL1"), 2.0);
    EXPECT_EQ(r.only("DEPCNT").geometry.lines.size(), 2U);
    EXPECT_EQ(r.only("LNDARE", Primitive::point).geometry.points.size(), 1U);
    EXPECT_EQ(r.only("LNDARE", Primitive::area).geometry.polygons.size(), 1U);
    EXPECT_EQ(r.only("SOUNDG").geometry.depths_m, (std::vector<double>{3.0, -1.5}));
}

TEST_P(FourFormats, LieDownWithoutAGap) {
    Read r = read(made(scene));
    lay_out(r.cell, geo::Plane(middle_of(r.cell).value()), r.said);
    EXPECT_TRUE(r.said.empty()) << r.said[0].what;
    EXPECT_TRUE(r.cell.coverage_stated);
    EXPECT_TRUE(r.cell.gaps.empty());
    auto holed = scene;
    holed.erase(holed.begin() + 2); // the land in the hole
    const support::TemporaryFolder other;
    const auto path = other.path() / (std::string("chart") + GetParam().ending);
    vector_files::write(path.string(), GetParam(), holed);
    Read gap = read(path);
    lay_out(gap.cell, geo::Plane(middle_of(gap.cell).value()), gap.said);
    EXPECT_TRUE(gap.says("gaps of"));
}

INSTANTIATE_TEST_SUITE_P(VectorSource, FourFormats,
                         testing::Values(geojson, geopackage, flatgeobuf, shapefile),
                         [](const auto& info) { return std::string(info.param.driver).substr(0, 4); });

TEST(VectorSource, ListsInEverySpelling) {
    for (const char* spelling : {"\"4,17\"", "\"(2:4,17)\"", "\"[\\\"4\\\",\\\"17\\\"]\"", "[4,17]",
                                 "[\"4\",\"17\"]", "[4.0,17.0]", "\"4, 17\""}) {
        const Read r =
            read_text(collection(point(std::string("\"class\":\"SBDARE\",\"NATSUR\":") + spelling)));
        EXPECT_EQ(r.only("SBDARE").attributes.codes("NATSUR"), (std::vector<int>{4, 17})) << spelling;
    }
    const Read one = read_text(collection(point("\"class\":\"SBDARE\",\"NATSUR\":4.0")));
    EXPECT_EQ(one.only("SBDARE").attributes.codes("NATSUR"), (std::vector<int>{4}));
    EXPECT_EQ(read_text(collection(point("\"class\":\"WRECKS\",\"WATLEV\":\"4.0\"")))
                  .only("WRECKS")
                  .attributes.code("WATLEV"),
              4);
    // one feature with a number, the next with a list
    const Read mixed = read_text(collection(point("\"class\":\"SBDARE\",\"NATSUR\":4") + "," +
                                            point("\"class\":\"RESARE\",\"NATSUR\":[4,17]")));
    EXPECT_EQ(mixed.only("SBDARE").attributes.codes("NATSUR"), (std::vector<int>{4}));
    EXPECT_EQ(mixed.only("RESARE").attributes.codes("NATSUR"), (std::vector<int>{4, 17}));
}

TEST(VectorSource, DatesInEveryLength) {
    const std::vector<std::pair<std::string, std::string>> spellings{
        {"\"2003\"", "2003"},           {"2003", "2003"},
        {"\"200304\"", "200304"},       {"\"2003-04\"", "200304"},
        {"\"20030401\"", "20030401"},   {"20030401", "20030401"},
        {"\"2003-04-01\"", "20030401"}, {"\"2003/04/01\"", "20030401"},
        {"\"--0315\"", "--0315"},       {"\"2003-04-01T10:00:00Z\"", "20030401"}};
    for (const auto& [spelling, plain] : spellings) {
        const Read r = read_text(collection(point("\"class\":\"WRECKS\",\"SORDAT\":" + spelling)));
        EXPECT_EQ(r.only("WRECKS").attributes.text("SORDAT"), plain) << spelling;
    }
    EXPECT_EQ(latest_day_of("2003"), (CalendarDay{2003, 12, 31}));
    EXPECT_EQ(latest_day_of("202402"), (CalendarDay{2024, 2, 29}));
    EXPECT_EQ(latest_day_of("20240230"), std::nullopt);
    EXPECT_EQ(latest_day_of("--0315"), std::nullopt);
    EXPECT_EQ(latest_day_of("JULY0918"), std::nullopt);
    EXPECT_EQ(plain_date("2003-4-1"), "2003-4-1");
}

TEST(VectorSource, NamesInSmallLettersCountAndTheExactOneWins) {
    const Read small = read_text(collection(point("\"Class\":\"wrecks\",\"valsou\":1.5,\"watlev\":4")));
    EXPECT_EQ(small.only("WRECKS").attributes.number("VALSOU"), 1.5);
    for (const char* both : {"\"valsou\":9,\"VALSOU\":1.5", "\"VALSOU\":1.5,\"valsou\":9"})
        EXPECT_EQ(read_text(collection(point(std::string("\"class\":\"WRECKS\",") + both)))
                      .only("WRECKS")
                      .attributes.number("VALSOU"),
                  1.5);
}

TEST(VectorSource, DepthsNobodyKnows) {
    for (const char* text : {"2147483641", "2147483641.0", "13000", "\"3,4\"", "\"3.4 m\"", "null", "\"\""}) {
        const Read r = read_text(collection(point(std::string("\"class\":\"WRECKS\",\"VALSOU\":") + text)));
        EXPECT_FALSE(r.only("WRECKS").attributes.number("VALSOU").has_value()) << text;
    }
    EXPECT_TRUE(read_text(collection(point("\"class\":\"WRECKS\",\"VALSOU\":\"3,4\""))).says("no number"));
    EXPECT_TRUE(read_text(collection(point("\"class\":\"WRECKS\",\"VALSOU\":13000"))).says("out of range"));
    // soundings: Z, else DEPTH, else VALSOU, else unknown
    const auto depth = [](const std::string& properties, const std::string& place) {
        return read_text(collection(point("\"class\":\"SOUNDG\"" + properties, place)))
            .only("SOUNDG")
            .geometry.depths_m.at(0);
    };
    EXPECT_EQ(depth("", "[-28,46,2.5]"), 2.5);
    EXPECT_EQ(depth(",\"DEPTH\":1.5,\"VALSOU\":9", "[-28,46]"), 1.5);
    EXPECT_EQ(depth(",\"VALSOU\":1.2", "[-28,46]"), 1.2);
    EXPECT_TRUE(std::isnan(depth("", "[-28,46]")));
    EXPECT_TRUE(std::isnan(depth("", "[-28,46,2147483641]")));
}

TEST(VectorSource, WhatLacksIsSaid) {
    const Read r = read_text(collection(point("\"class\":\"WRECKS\"")));
    EXPECT_TRUE(r.says("states no scale"));
    EXPECT_TRUE(r.says("states no sounding datum"));
    EXPECT_EQ(r.cell.header.sdat, 0);
    EXPECT_EQ(r.cell.header.cscl, 0U);
    const Read plan =
        read_text(collection(point("\"class\":\"WRECKS\"")), {.scale = 5000, .sounding_datum = 23});
    EXPECT_TRUE(plan.said.empty()) << plan.said[0].what;
    EXPECT_EQ(plan.cell.header.cscl, 5000U);
    Read laid = plan;
    lay_out(laid.cell, geo::Plane({-28, 46}), laid.said);
    EXPECT_TRUE(laid.cell.coverage.empty());
    EXPECT_TRUE(laid.says("states no coverage"));
}

TEST(VectorSource, UnitsAndContradictions) {
    const auto with = [](const std::string& dsid) {
        return collection(point("\"class\":\"WRECKS\",\"VALSOU\":10") +
                          ",{\"type\":\"Feature\",\"properties\":"
                          "{\"class\":\"DSID\"," +
                          dsid + "},\"geometry\":null}");
    };
    EXPECT_NEAR(*read_text(with("\"DSPM_DUNI\":3")).only("WRECKS").attributes.number("VALSOU"), 3.048, 1e-12);
    EXPECT_NE(refusal_of_text(with("\"DSPM_DUNI\":2")).find("DSPM_DUNI 2"), std::string::npos);
    EXPECT_NE(refusal_of_text(with("\"DSPM_HDAT\":1")).find("DSPM_HDAT"), std::string::npos);
    EXPECT_NE(refusal_of_text(with("\"DSPM_SDAT\":12"), {.sounding_datum = 23}).find("the plan 23"),
              std::string::npos);
    EXPECT_TRUE(read_text(with("\"DSID_EDTN\":\"0\"")).cell.withdrawn);
}

TEST(VectorSource, OtherReferenceSystemsAreTransformed) {
    const support::TemporaryFolder folder;
    const auto path = folder.path() / "utm.gpkg";
    // UTM zone 31N: 500 000 E is the meridian 3 E exactly, northing 0 the equator (definition of UTM).
    vector_files::write(path.string(), geopackage,
                        {{"WRECKS", "POINT(500000 0)", {{"VALSOU", "3"}}},
                         {"COALNE", "LINESTRING(500000 0,520000 0)", {}},
                         {"SOUNDG", "MULTIPOINT Z((500000 0 4.5))", {}}},
                        32631);
    const Read r = read(path);
    EXPECT_NEAR(r.only("WRECKS").geometry.points[0].lon_deg, 3.0, 1e-9);
    EXPECT_NEAR(r.only("WRECKS").geometry.points[0].lat_deg, 0.0, 1e-9);
    EXPECT_EQ(r.only("SOUNDG").geometry.depths_m.at(0), 4.5);
    EXPECT_GE(r.only("COALNE").geometry.lines.at(0).size(), 21U); // cut every kilometre
}

TEST(VectorSource, AMissingReferenceSystemIsRefused) {
    const support::TemporaryFolder folder;
    vector_files::write((folder.path() / "shapes").string(), shapefile, {{"WRECKS", "POINT(-28 46)", {}}});
    const auto shp = folder.path() / "shapes" / "WRECKS_1.shp";
    EXPECT_EQ(read(shp).cell.features.size(), 1U);
    std::filesystem::remove(folder.path() / "shapes" / "WRECKS_1.prj");
    EXPECT_NE(refusal(shp).find(".prj"), std::string::npos);
    const auto gpkg = folder.path() / "none.gpkg";
    vector_files::write(gpkg.string(), geopackage, {{"WRECKS", "POINT(-28 46)", {}}}, 0);
    EXPECT_NE(refusal(gpkg).find("no reference system"), std::string::npos);
}

TEST(VectorSource, PlacesOutOfRange) {
    const Read swapped = read_text(collection(point("\"class\":\"WRECKS\"", "[46,-128]")));
    EXPECT_TRUE(swapped.only("WRECKS").broken_geometry);
    EXPECT_EQ(swapped.only("WRECKS").geometry.primitive, Primitive::none);
    EXPECT_TRUE(swapped.says("look swapped"));
    EXPECT_TRUE(read_text(collection(point("\"class\":\"WRECKS\"", "[500000,4600000]"))).says("outside"));
    const Read none = read_text(
        collection("{\"type\":\"Feature\",\"properties\":{\"class\":\"WRECKS\"},\"geometry\":null}"));
    EXPECT_TRUE(none.only("WRECKS").broken_geometry);
    EXPECT_TRUE(none.says("no geometry"));
}

TEST(VectorSource, DamagedFilesAreRefused) {
    const support::TemporaryFolder folder;
    EXPECT_NE(refusal(folder.path() / "none.geojson").find("no such file"), std::string::npos);
    EXPECT_NE(refusal(folder.file("notes.txt", "x")).find("no vector chart"), std::string::npos);
    EXPECT_NE(refusal_of_text(collection("")).find("no charted object"), std::string::npos);
    EXPECT_NE(refusal_of_text("{\"type\":\"Feature").find("can't be read"), std::string::npos);
    for (const Format& format : {geopackage, flatgeobuf}) {
        const auto path = folder.path() / (std::string("whole") + format.ending);
        vector_files::write(path.string(), format, scene);
        const std::string bytes = support::read_file(path);
        const auto cut = folder.file(std::string("cut") + format.ending, bytes.substr(0, bytes.size() / 2));
        Read r;
        try {
            r = read(cut);
        } catch (const Failure&) {
            continue;
        }
        EXPECT_FALSE(r.cell.distrust.empty()) << format.driver;
    }
}

TEST(VectorSource, NotesCarryAuthorAndDate) {
    const std::string good = point("\"class\":\"UWTROC\",\"author\":\"A. Rower\",\"date\":\"2026-05-01\"");
    const Read r = read_text(collection(good));
    EXPECT_TRUE(r.cell.notes);
    EXPECT_EQ(r.only("UWTROC").author, "A. Rower");
    EXPECT_EQ(r.only("UWTROC").date, "20260501");
    EXPECT_FALSE(r.says("note without"));
    EXPECT_TRUE(
        read_text(collection(point("\"class\":\"UWTROC\",\"author\":\"A\""))).says("note without a date"));
    EXPECT_TRUE(read_text(collection(point("\"class\":\"UWTROC\",\"date\":\"2026\"")))
                    .says("note without an author"));
    EXPECT_TRUE(read_text(collection(point("\"class\":\"UWTROC\",\"author\":\"A\",\"date\":\"last May\"")))
                    .says("can't be read"));
    EXPECT_FALSE(read_text(collection(good), {.notes = false}).cell.notes);
    EXPECT_TRUE(read_text(collection(point("\"class\":\"UWTROC\"")), {.notes = true}).cell.notes);
    const std::string covr =
        "{\"type\":\"Feature\",\"properties\":{\"class\":\"M_COVR\",\"CATCOV\":1},"
        "\"geometry\":{\"type\":\"Polygon\",\"coordinates\":[[[-28,46],[-27,46],[-27,47],"
        "[-28,46]]]}}";
    EXPECT_FALSE(read_text(collection(good + "," + covr)).cell.notes);
    Read both = read_text(collection(good + "," + covr), {.notes = true});
    EXPECT_TRUE(both.cell.notes);
    EXPECT_TRUE(both.says("cover nothing"));
    lay_out(both.cell, geo::Plane({-28, 46}), both.said);
    EXPECT_TRUE(both.cell.coverage.empty());
}

TEST(VectorMapping, turns_foreign_values_and_properties_into_classes_and_attributes) {
    const std::string text = R"({"type":"FeatureCollection","name":"works","features":[
{"type":"Feature","geometry":{"type":"Point","coordinates":[-27.9,46.05]},"properties":{"Sort":"mast","label":"A 1","deep":"3.4"}},
{"type":"Feature","geometry":{"type":"Point","coordinates":[-27.8,46.05]},"properties":{"Sort":"buoy","label":"B"}},
{"type":"Feature","geometry":{"type":"Point","coordinates":[-27.7,46.05]},"properties":{"label":"C"}},
{"type":"Feature","geometry":{"type":"Point","coordinates":[-27.6,46.05]},"properties":{"Sort":"WRECKS","deep":1.5}}]})";
    VectorStatement stated;
    stated.notes = false;
    stated.mapping.class_from = "sort";
    stated.mapping.classes = {{"mast", "OFSPLF"}, {"works", "OBSTRN"}};
    stated.mapping.attributes = {{"label", "OBJNAM"}, {"deep", "VALSOU"}};
    const Read r = read_text(text, stated);
    ASSERT_EQ(r.cell.features.size(), 4U);
    EXPECT_EQ(r.cell.features[0].cls, "OFSPLF");
    EXPECT_EQ(name_of(r.cell.features[0]), "A 1");
    EXPECT_EQ(r.cell.features[0].attributes.number("VALSOU"), 3.4);
    EXPECT_EQ(r.cell.features[1].cls, "buoy") << "what has no class keeps its word, so that it can be said";
    EXPECT_EQ(r.cell.features[2].cls, "OBSTRN") << "by the name of the layer";
    EXPECT_EQ(r.cell.features[3].cls, "WRECKS");
    EXPECT_EQ(r.cell.features[3].attributes.number("VALSOU"), 1.5);
}
