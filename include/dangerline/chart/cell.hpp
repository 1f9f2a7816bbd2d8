// S-57 cells with their updates, read through a pre-scan and GDAL, checked for what GDAL passes in silence.
#pragma once

#include <filesystem>
#include <map>
#include <optional>
#include <string>
#include <string_view>
#include <vector>

#include "dangerline/base/diagnostics.hpp"
#include "dangerline/base/time.hpp"
#include "dangerline/chart/feature.hpp"
#include "dangerline/chart/lon_lat_box.hpp"
#include "dangerline/geo/plane.hpp"
#include "dangerline/geo/regions.hpp"

namespace dangerline::chart {

/// The files of one cell as found on disk.
struct CellFiles {
    std::filesystem::path base; ///< the .000 file
    std::map<int, std::filesystem::path>
        updates; ///< by number; .001 to .999, any letter case, also ../1/ layout
};

/// Cells in the files and folders named (folders are searched through, in the order of their names). Throws
/// Failure where a source is missing, where it holds no cell, where one cell stands twice, and where an
/// update stands twice with differing content.
std::vector<CellFiles> find_cells(const std::vector<std::filesystem::path>& sources);

struct Cell {
    std::string file;  ///< path of the base as the user gave it
    std::string name;  ///< data set name without its ending
    CellHeader header; ///< of the base; depths are metres here whatever DUNI says
    int edition = 0;
    int update = 0;     ///< number of the last update applied
    std::string issued; ///< issue date of the last update applied, as written (CCYYMMDD)
    std::vector<Feature> features;
    /// Reasons why nothing in this cell can be believed to be complete (an update not applied, fewer records
    /// than stated, a hazard without a place ...). Any of them makes the whole cell unknown.
    std::vector<std::string> distrust;
    bool withdrawn = false; ///< cancelled by its producer: it covers nothing
    std::size_t updates_on_disk = 0;
    /// Its objects are in the working plane already: what that said, for lay_out() to pass on.
    std::optional<Diagnostics> laid{};
    bool notes = false; ///< local notes, no chart: covers nothing, rules nowhere, its objects carry dates
    bool newer = false; ///< what newer data have and the charts lack: covers nothing, rules nowhere

    /// Set by lay_out(), in the working plane.
    std::vector<geo::PolygonRings> coverage; ///< M_COVR CATCOV 1 less CATCOV 2
    bool coverage_stated = false;            ///< has an M_COVR CATCOV 1
    geo::Shape gaps;                         ///< of group 1 within the coverage, overlaps too
    double gap_square_metres = 0.0;
    double overlap_square_metres = 0.0;
};

/// Whole days from the issue date of the last update to `day`; nothing where the date can't be read.
std::optional<long> days_since_update(const Cell& cell, const CalendarDay& day);

/// How objects get into the working plane.
struct Laying {
    const geo::Plane& plane;
    /// Whether anybody asks for the place of objects of a class; others are not read, only counted. Null: all
    /// are wanted.
    bool (*wanted)(std::string_view cls) = nullptr;
    /// Areas that meet none of these are taken as they are drawn, whether or not that is rightly. Empty: all
    /// are looked at.
    std::vector<LonLatBox> near{};
};

/// Reads one cell. With `laying` its objects are laid out at the same time, on another thread: the half of
/// lay_out() that takes long, which then does the other half. Throws Failure (data) for a file that can't be
/// read at all or must not be believed: cut in mid-record, not S-57, wrong COMF, SOMF, HDAT or units.
/// Everything lesser goes to `diagnostics`.
Cell read_cell(const CellFiles& files, Diagnostics& diagnostics, const Laying* laying = nullptr);

/// Puts the cell's objects into the working plane, mends invalid areas, and checks that group 1 (the skin of
/// the earth) tiles the coverage.
void lay_out(Cell& cell, const geo::Plane& plane, Diagnostics& diagnostics);

/// Middle of the places of all objects; nothing for a cell without any.
std::optional<geo::Position> middle_of(const Cell& cell);

/// VERDAT codes that depths of the cell may be above: its own first, then those of its datum areas (M_SDAT)
/// and objects.
std::vector<int> sounding_datums(const Cell& cell);

/// Classes of the skin of the earth (S-57 ENC product specification 3.10.1).
bool is_group_one(std::string_view cls);

} // namespace dangerline::chart
