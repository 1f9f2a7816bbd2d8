// The water of a chart, parted by how far it can be believed.
#pragma once

#include <string>
#include <vector>

#include "dangerline/chart/cell.hpp"
#include "dangerline/geo/regions.hpp"
#include "dangerline/survey/trust.hpp"

namespace dangerline::survey {

/// Water of one kind of survey, with what flags it.
struct TrustArea {
    std::vector<Flag> flags; ///< gravest first; empty: nothing flags it
    int catzoc = 0;
    Facts facts; ///< of all parts together
    Age age;
    Moving moving = Moving::no;
    double moved_m = 0.0;    ///< the bottom may have moved since, where it does
    double position_m = 0.0; ///< 95 %, with that; at 10 m of depth
    DepthDoubt depth;        ///< 95 %
    double souacc_m = 0.0;   ///< the least doubt of depth, where M_ACCY states one
    bool at_least = false;   ///< these doubts are a minimum
    double square_metres = 0.0;
    std::vector<geo::PolygonRings> area; ///< in the plane of the cell; valid, holes kept
    std::string sentence; ///< "Lines-only survey (CATZOC B), 1940–49: surveyed before 1970; ..."
};

struct TrustAreas {
    /// Gravest flag first, larger ones first; what nothing flags is one area, the last. Together they are the
    /// water: no place stands in two of them.
    std::vector<TrustArea> areas;
    double water_square_metres =
        0.0; ///< of all depth, dredged and unsurveyed areas, each place once; slivers left out
    double flagged_square_metres = 0.0;
    double survey_square_metres = 0.0; ///< of these, what more flags than the age of the chart's last update
};

/// By which numbers surveys are judged, one sentence each: of moving bottoms only those there are, whether
/// the plan or this project sets them.
std::vector<std::string> assumptions_of(const Trust& trust);

/// Parts the water (depth areas, dredged and unsurveyed areas) of the cell with that number in `cells` along
/// quality zones, source diagrams, accuracy zones and moving bottoms. Where zones overlap the less trusted
/// one counts. Areas of the same flags, CATZOC, years and technique become one without edges between them.
/// `zones` are the cell's own, `trust` knows it under that number. Where the chart is not known to be updated
/// (`not_updated`), that flags all of its water.
TrustAreas trust_areas(const chart::Cell& cell, std::size_t number, const QualityZones& zones,
                       const Trust& trust, bool not_updated);

} // namespace dangerline::survey
