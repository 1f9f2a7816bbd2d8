// How far charts can be believed, as GeoJSON and as a table.
#pragma once

#include <memory>
#include <string>

#include "dangerline/jobs/survey.hpp"

namespace dangerline::overlay {

/// Writes survey.geojson piece by piece, so that no more than one cell stands in memory. The texts of
/// begin(), of every cell() and of end() behind each other are a FeatureCollection: per cell, in the order
/// they come, a MultiPolygon with role "flagged" for each area that something flags, the gravest first, one
/// with role "unflagged" for the rest of its water, "uncovered" for what it states as not covered, and
/// "chart" for the cover of a chart that was not updated for long, and "hazard" for each single danger with a
/// date of its own. The foreign member "dangerline" comes last.
///
/// Coordinates as in zones_geojson(), areas noded after rounding, so that they are valid. `square_m` is of
/// the equal-area plane. The layout is described in src/overlay/schema/survey.schema.json.
class SurveyWriter {
  public:
    SurveyWriter();
    ~SurveyWriter();
    SurveyWriter(const SurveyWriter&) = delete;
    SurveyWriter& operator=(const SurveyWriter&) = delete;
    std::string begin();
    std::string cell(const jobs::SurveyedCell& cell);
    std::string end(const jobs::SurveySummary& summary, const std::string& program_version);

  private:
    struct Implementation;
    std::unique_ptr<Implementation> self_;
};

/// One row a cell as CSV (RFC 4180, CRLF), the most urgent first: what to renew or sound again.
std::string survey_csv(const jobs::SurveySummary& summary);

} // namespace dangerline::overlay
