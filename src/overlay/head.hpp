// What every output says about its making.
#pragma once

#include <optional>
#include <string>

#include "dangerline/jobs/passage.hpp"
#include "overlay/features.hpp"

namespace dangerline::overlay {

struct HeadFacts {
    std::string job;
    std::string version;
    const plan::Plan& plan;
    std::optional<CalendarDay> as_of; ///< nothing: ages are not known
    const std::vector<jobs::CellNote>& cells;
    double required_m = 0.0;
    std::string required_words;
    std::string tide_words;
    std::string stream_words;
    std::vector<std::string> tide_notes;
    Value counts;
    const Diagnostics& diagnostics;
    std::vector<std::string> more_assumptions{}; ///< of this job alone
};

Members head(const HeadFacts& facts);

/// The words of warning under every result.
const char* caution_text();
Value charts_value(const std::vector<jobs::CellNote>& cells, bool day_known);
Value diagnostics_value(const Diagnostics& diagnostics);

/// What speeds mean, and whether streams were reckoned with.
std::string stream_words(bool reckoned);

/// lnam, class, name and cell; empty texts for what is no charted object.
Value object_value(const hazard::ObjectRef& object);

/// kind, grade and cause in the words of the room hazard.
void add_grading(Members& to, hazard::Kind kind, hazard::Grade grade, hazard::Cause cause);

/// depth_m (left out where not known at all), depth_known, and critical_tide_m (null = at any tide).
void add_depth(Members& to, const std::optional<double>& depth_m, bool depth_known,
               const std::optional<double>& critical_tide_m);

/// One member for each of these grades, in this order, with its number among `grades`.
Value grade_counts(const std::vector<hazard::Grade>& grades);

} // namespace dangerline::overlay
