// From the objects of one cell to hazards. Private to the room.
#pragma once

#include <map>
#include <memory>
#include <string>
#include <vector>

#include "dangerline/base/diagnostics.hpp"
#include "dangerline/chart/cell.hpp"
#include "dangerline/hazard/build.hpp"
#include "dangerline/hazard/hazard.hpp"
#include "hazard/surfaces.hpp"

namespace dangerline::hazard {

/// What one cell gives; hazards in the order of its objects.
struct CellHazards {
    std::vector<Hazard> all;
    std::vector<Hazard> under; ///< of a coarser cell, where a better one rules
    CellRef cell;
    Diagnostics said;
};

/// `surfaces` may be null. Objects are taken on all processors.
CellHazards hazards_of(const chart::Cell& cell, std::size_t number, const survey::QualityZones& zones,
                       const Surfaces* surfaces, const BuildSettings& settings);

/// A place of which nothing is known.
Hazard no_data(std::shared_ptr<const geo::Shape> extent, std::string why, std::string cell,
               std::size_t number);

geo::Box box_of(const std::vector<Step>& steps);

} // namespace dangerline::hazard
