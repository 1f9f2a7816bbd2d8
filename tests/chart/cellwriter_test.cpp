// What the cell writer writes is what GDAL reads: geometry, attributes, text, updates.
#include "cellwriter/cellwriter.hpp"
#include "support/support.hpp"

#include <gdal/cpl_vsi.h>
#include <gdal/gdal.h>
#include <gdal/ogr_api.h>

#include <gtest/gtest.h>

#include <algorithm>
#include <cmath>
#include <cstdlib>
#include <map>
#include <memory>
#include <optional>

namespace {

using cellwriter::CellDraft;
using cellwriter::UpdateDraft;

constexpr cellwriter::Place a{-28, 46}, b{-27.9, 46}, c{-27.9, 46.1}, d{-28, 46.1}, e{-27.8, 46},
    f{-27.8, 46.1};

struct ReadFeature {
    std::map<std::string, std::string> values;
    std::string wkt;
    std::string at(const std::string& field) const {
        const auto it = values.find(field);
        return it == values.end() ? "" : it->second;
    }
};

ReadFeature read_feature(OGRFeatureH feature) {
    ReadFeature read;
    for (int i = 0; i < OGR_F_GetFieldCount(feature); ++i)
        if (OGR_F_IsFieldSetAndNotNull(feature, i) != 0)
            read.values[OGR_Fld_GetNameRef(OGR_F_GetFieldDefnRef(feature, i))] =
                OGR_F_GetFieldAsString(feature, i);
    if (const OGRGeometryH geometry = OGR_F_GetGeometryRef(feature)) {
        char* text = nullptr;
        OGR_G_ExportToWkt(geometry, &text);
        read.wkt = text;
        VSIFree(text);
    }
    return read;
}

/// The numbers of a geometry's text, whatever way GDAL writes them.
std::vector<double> numbers(const std::string& wkt) {
    std::vector<double> all;
    for (const char* at = wkt.c_str(); *at != '\0';) {
        char* end = nullptr;
        const double value = std::strtod(at, &end);
        if (end == at) {
            ++at;
            continue;
        }
        all.push_back(std::round(value * 1e7) / 1e7);
        at = end;
    }
    return all;
}

using Numbers = std::vector<double>;

/// Everything GDAL reads of a cell, by layer; nothing where it does not open.
std::optional<std::map<std::string, std::vector<ReadFeature>>> read(const std::vector<std::string>& files) {
    GDALAllRegister();
    const support::TemporaryFolder folder;
    for (std::size_t i = 0; i < files.size(); ++i)
        folder.file("X14TEST1.00" + std::to_string(i), files[i]);
    const char* drivers[] = {"S57", nullptr};
    const std::string path = (folder.path() / "X14TEST1.000").string();
    const std::unique_ptr<void, int (*)(void*)> data(
        GDALOpenEx(path.c_str(), GDAL_OF_VECTOR | GDAL_OF_READONLY, drivers, nullptr, nullptr), [](void* p) {
            GDALClose(p);
            return 0;
        });
    if (!data)
        return std::nullopt;
    std::map<std::string, std::vector<ReadFeature>> layers;
    for (int i = 0; i < GDALDatasetGetLayerCount(data.get()); ++i) {
        const OGRLayerH layer = GDALDatasetGetLayer(data.get(), i);
        while (const OGRFeatureH feature = OGR_L_GetNextFeature(layer)) {
            layers[OGR_L_GetName(layer)].push_back(read_feature(feature));
            OGR_F_Destroy(feature);
        }
    }
    return layers;
}

CellDraft small_draft() {
    CellDraft draft;
    draft.header.edition = 3;
    draft.add_area("DEPARE", {{a, b, c, d}, {{-27.98, 46.02}, {-27.96, 46.02}, {-27.96, 46.04}}},
                   {{"DRVAL1", "2"}, {"DRVAL2", "5"}});
    draft.add_area("DEPARE", {{{-27.98, 46.02}, {-27.96, 46.02}, {-27.96, 46.04}}},
                   {{"DRVAL1", "-1.5"}, {"DRVAL2", "0"}});
    draft.add_area("DEPARE", {{b, e, f, c}}, {{"DRVAL1", "5"}, {"DRVAL2", "10"}});
    draft.add_line("DEPCNT", {c, b}, {{"VALDCO", "5"}});
    draft.add_point("WRECKS", {-27.95, 46.05}, {{"CATWRK", "2"}, {"VALSOU", ""}, {"OBJNAM", "Grå Hest"}});
    draft.add_point("UWTROC", {-27.85, 46.05}, {{"VALSOU", "-1.8"}, {"NATSUR", "9,6"}, {"WATLEV", "4"}});
    draft.add_soundings({{{-27.96, 46.05}, 3.1}, {{-27.97, 46.06}, -1.4}, {{-27.98, 46.07}, 0}},
                        {{"QUASOU", "1"}});
    return draft;
}

} // namespace

TEST(CellWriter, GdalReadsWhatWasMeant) {
    const auto layers = read({small_draft().bytes()});
    ASSERT_TRUE(layers);
    const auto& areas = layers->at("DEPARE");
    ASSERT_EQ(areas.size(), 3U);
    EXPECT_TRUE(areas[0].wkt.starts_with("POLYGON"));
    EXPECT_EQ(numbers(areas[0].wkt), (Numbers{-27.9, 46.1, -27.9, 46, -28, 46, -28, 46.1, -27.9, 46.1, //
                                              -27.98, 46.02, -27.96, 46.02, -27.96, 46.04, -27.98, 46.02}));
    EXPECT_EQ(areas[1].at("DRVAL1"), "-1.5");
    EXPECT_EQ(areas[0].at("GRUP"), "1");
    EXPECT_EQ(numbers(layers->at("DEPCNT")[0].wkt), (Numbers{-27.9, 46.1, -27.9, 46}));
    EXPECT_EQ(layers->at("DEPCNT")[0].at("GRUP"), "2");
    const ReadFeature& wreck = layers->at("WRECKS")[0];
    EXPECT_EQ(numbers(wreck.wkt), (Numbers{-27.95, 46.05}));
    EXPECT_EQ(wreck.at("OBJNAM"), "Grå Hest"); // Latin-1 in the file, UTF-8 here
    EXPECT_EQ(wreck.values.count("VALSOU"), 0U);
    EXPECT_EQ(wreck.at("LNAM"), "FFFF000000050001");
    const ReadFeature& rock = layers->at("UWTROC")[0];
    EXPECT_EQ(std::stod(rock.at("VALSOU")), -1.8);
    EXPECT_EQ(rock.at("NATSUR"), "(2:9,6)");
    EXPECT_EQ(numbers(layers->at("SOUNDG")[0].wkt),
              (Numbers{-27.96, 46.05, 3.1, -27.97, 46.06, -1.4, -27.98, 46.07, 0}));
    const ReadFeature& header = layers->at("DSID")[0];
    EXPECT_EQ(header.at("DSID_EDTN"), "3");
    EXPECT_EQ(header.at("DSID_AGEN"), "65535");
    EXPECT_EQ(header.at("DSPM_SDAT"), "23");
    EXPECT_EQ(header.at("DSPM_CSCL"), "20000");
}

TEST(CellWriter, GdalAppliesItsUpdates) {
    const CellDraft draft = small_draft();
    UpdateDraft first(draft.compile());
    first.header.isdt = "20260415";
    first.change(5, {{"VALSOU", "3.4"}, {"CATWRK", "", true}});
    first.move(6, {-27.86, 46.06});
    first.inserted.add_point("OBSTRN", {-27.91, 46.02}, {{"VALSOU", "1"}});
    first.inserted.add_area("RESARE", {{{-27.85, 46.01}, {-27.82, 46.01}, {-27.82, 46.03}}},
                            {{"RESTRN", "7"}});
    UpdateDraft second(first.after());
    second.remove(8);
    second.delete_vertices(110, 3, 2, 1); // the second sounding
    const auto layers = read({draft.bytes(), first.bytes(), second.bytes()});
    ASSERT_TRUE(layers);
    EXPECT_EQ(layers->at("DSID")[0].at("DSID_UPDN"), "2");
    const ReadFeature& wreck = layers->at("WRECKS")[0];
    EXPECT_EQ(std::stod(wreck.at("VALSOU")), 3.4);
    EXPECT_EQ(wreck.values.count("CATWRK"), 0U);
    EXPECT_EQ(numbers(layers->at("UWTROC")[0].wkt), (Numbers{-27.86, 46.06}));
    EXPECT_EQ(layers->count("OBSTRN"), 0U);
    EXPECT_EQ(layers->at("RESARE")[0].at("LNAM"), "FFFF000000090001");
    EXPECT_EQ(numbers(layers->at("SOUNDG")[0].wkt), (Numbers{-27.96, 46.05, 3.1, -27.98, 46.07, 0}));
}

TEST(CellWriter, VerticesOfASharedEdgeMoveForBothAreas) {
    CellDraft draft;
    const cellwriter::Place middle{-27.9, 46.05};
    draft.add_area("DEPARE", {{a, b, middle, c, d}}, {{"DRVAL1", "2"}});
    draft.add_area("DEPARE", {{b, e, f, c, middle}}, {{"DRVAL1", "5"}});
    const cellwriter::Cell cell = draft.compile();
    const auto shared = std::find_if(cell.vectors.begin(), cell.vectors.end(), [&](const auto& v) {
        return v.rcnm == 130 && v.vertices.size() == 1 && v.vertices[0].lat_deg == middle.lat_deg;
    });
    ASSERT_NE(shared, cell.vectors.end());
    UpdateDraft update(cell);
    update.replace_vertices(130, shared->rcid, 1, {{-27.91, 46.05}});
    const auto layers = read({draft.bytes(), update.bytes()});
    ASSERT_TRUE(layers);
    for (const ReadFeature& area : layers->at("DEPARE"))
        EXPECT_NE(area.wkt.find("-27.91 46.05"), std::string::npos) << area.wkt;
}

TEST(CellWriter, LinesShareEdgesAndQualityCutsThem) {
    CellDraft draft;
    draft.add_line("COALNE", {a, b, e});
    draft.add_line("COALNE", {b, e, f}).quality.quapos = 4;
    const cellwriter::Cell cell = draft.compile();
    EXPECT_EQ(
        std::count_if(cell.vectors.begin(), cell.vectors.end(), [](const auto& v) { return v.rcnm == 130; }),
        3);
    ASSERT_EQ(cell.features[0].geometry.size(), 2U);
    EXPECT_EQ(cell.features[0].geometry[1].rcid, cell.features[1].geometry[0].rcid);
}

TEST(CellWriter, WrongUseIsSaid) {
    CellDraft draft;
    draft.add_point("NOCLAS", a);
    EXPECT_THROW(draft.bytes(), std::invalid_argument);
    CellDraft greek;
    greek.add_point("WRECKS", a, {{"OBJNAM", "Ωμέγα"}});
    EXPECT_THROW(greek.bytes(), std::invalid_argument);
    CellDraft thin;
    thin.add_area("DEPARE", {{a, b}});
    EXPECT_THROW(thin.bytes(), std::invalid_argument);
    UpdateDraft update(small_draft().compile());
    EXPECT_THROW(update.remove(77), std::invalid_argument);
}
