// The chart job: what charts hold and what is wrong with them.
#pragma once

#include <filesystem>
#include <map>
#include <optional>
#include <string>
#include <vector>

#include "dangerline/base/diagnostics.hpp"
#include "dangerline/base/time.hpp"
#include "dangerline/hazard/share.hpp"
#include "dangerline/jobs/passage.hpp"

namespace dangerline::jobs {

struct KindCount {
    std::string cls;             ///< S-57 acronym
    std::string what;            ///< in words
    std::size_t objects = 0;     ///< soundings counted singly
    std::size_t known_depth = 0; ///< of those that have a depth at all
    bool has_depth = false;
};

struct QualityCount {
    std::string zone;   ///< "A1" ... "none"
    std::string decade; ///< "1940s", "undated"
    std::size_t zones = 0;
    double square_km = 0.0;
};

struct CellSummary {
    CellNote note;
    std::string file;
    std::size_t updates_on_disk = 0;
    bool withdrawn = false;
    int sounding_datum = 0, height_datum = 0;
    int depth_unit = 1;
    double covered_square_km = 0.0;
    bool coverage_stated = false;
    std::optional<geo::Position> south_west, north_east; ///< of its objects
    double gap_square_metres = 0.0, overlap_square_metres = 0.0;
    std::map<std::string, std::size_t> objects; ///< every class with its number of objects
    std::vector<KindCount> hazards;
    std::vector<QualityCount> quality;
    std::optional<hazard::WaterShare> share; ///< where a plan was given
};

/// What a plan's boat requires, and its tide's mean height.
struct MeanTide {
    double required_m = 0.0;
    double height_m = 0.0; ///< above the datum of its source
    std::string words;     ///< of the tide
};

struct ChartReport {
    std::vector<CellSummary> cells;
    std::size_t refused = 0; ///< cells that can't be read at all; each has its diagnostic
    std::optional<CalendarDay> as_of;
    std::optional<MeanTide> tide; ///< the shares are for, where a plan was given
    Diagnostics diagnostics;      ///< worst first
};

/// `as_of` is the day ages are reckoned at; without it they are left out. A cell that must be refused does
/// not keep the others from being reported; where it is the only one its Failure is thrown on.
/// With a `plan`, each cell gets the share of its water that would be danger or caution for the plan's boat
/// at the mean of its first tide over 30 days; a cell whose datum that tide is not linked to gets none, said.
ChartReport run_chart(const std::vector<std::filesystem::path>& sources, std::optional<CalendarDay> as_of,
                      const plan::Plan* plan = nullptr);

} // namespace dangerline::jobs
