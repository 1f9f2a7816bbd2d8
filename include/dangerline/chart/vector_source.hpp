// Charts and local notes in GeoJSON, GeoPackage, FlatGeobuf and Shapefile, in the schema of S-57.
#pragma once

#include <filesystem>
#include <map>
#include <optional>
#include <string>

#include "dangerline/base/diagnostics.hpp"
#include "dangerline/chart/cell.hpp"

namespace dangerline::chart {

/// How a source in another schema than S-57's is to be read.
struct ClassMapping {
    /// S-57 class by the name of a layer, or by the value of `class_from`; as written in the source.
    std::map<std::string, std::string> classes{};
    /// S-57 acronym by the name of a property. A mapped property counts before one that bears the acronym.
    std::map<std::string, std::string> attributes{};
    std::string class_from = "class"; ///< the property that tells the class; any letter case
};

/// What a plan says of a vector source, where the source does not say it itself.
struct VectorStatement {
    std::optional<int> scale{};          ///< 1:scale, over 0
    std::optional<int> sounding_datum{}; ///< VERDAT of depths
    std::optional<int> vertical_datum{}; ///< VERDAT of heights and clearances
    std::optional<bool> notes{};         ///< local notes, or a chart; absent: by what the source holds
    ClassMapping mapping{};
};

/// True for .geojson, .json, .gpkg, .fgb and .shp in any letter case, and for a folder with a .shp in it
/// (each file is a layer).
bool is_vector_source(const std::filesystem::path& path);

/// Reads a source as one cell, named like the file.
///
/// Class: property `class` (or `mapping.class_from`), else the layer's name, both as `mapping.classes` has
/// them; of a layer WRECKS_points the first six letters. Attributes by acronym, in capitals whatever the
/// source's case; a name that stands in two spellings takes the exact one. Depths and heights in metres (or
/// as DSPM_DUNI says), lists in every spelling, dates in every length, with dashes or as date fields.
/// Identity by LNAM, else AGEN, FIDN, FIDS, else the running number under producer 0. QUAPOS and POSACC are
/// taken from the feature. Soundings: height Z of the point, else DEPTH, else VALSOU. Edges mean rhumb lines,
/// as in charts; lines in a projected system are cut every kilometre before they are transformed.
///
/// What it needs to be believed: scale, datums, edition and update date come from a feature or table of class
/// DSID as GDAL exports it, with or without a place (DSPM_CSCL, DSPM_SDAT, DSPM_VDAT, DSID_EDTN, DSID_UPDN,
/// DSID_ISDT), else from `stated`; coverage from M_COVR with CATCOV 1. Absent: scale counts as 1:1,000,000
/// (doubt) and ranks last; a datum is 0, which no tide source links to unless the plan gives a number for
/// code 0; without coverage it covers nothing, so what lies between its objects stays unknown. Each is said.
///
/// Notes: `stated.notes`, else any feature with an `author` or a `date` in a source without M_COVR. Notes
/// cover nothing, even with M_COVR (said). A note without author or readable date is said and counts as new.
///
/// Other reference systems are transformed to WGS 84, but only where a transformation is known that is better
/// than a guess. Failure (data): no such file, another format, damaged, empty; a layer without reference
/// system (GeoJSON excepted) or with one that can't be transformed; units other than metres and feet,
/// DSPM_HDAT other than 2; source and plan state different things. Places out of range are dropped and said.
Cell read_vector_chart(const std::filesystem::path& path, const VectorStatement& stated,
                       Diagnostics& diagnostics);

} // namespace dangerline::chart
