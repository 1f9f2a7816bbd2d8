#include "overlay/drift_head.hpp"

#include <cmath>

namespace dangerline::overlay {

Value minutes_value(double seconds) {
    return Value::number(std::floor(seconds / 6.0) / 10.0, 1);
}

Value help_minutes_value(double seconds) {
    return Value::number(std::ceil(seconds / 6.0) / 10.0, 1);
}

Value share_value(double share) {
    return Value::number(share, 4);
}

Value time_value(Instant t) {
    return Value::text(to_iso_utc(t));
}

void add_danger(Members& to, const jobs::DriftHazard& hazard, double moved_m) {
    to.push_back({"what", Value::text(hazard.label)});
    to.push_back({"kind", Value::text(hazard::to_text(hazard.kind))});
    to.push_back({"object", object_value(hazard.object)});
    if (moved_m > 0.0)
        to.push_back({"moved_m", Value::number(moved_m, 1)});
}

HeadFacts drift_facts(const char* job, const jobs::DriftReport& r, const std::string& version, Value counts) {
    std::vector<std::string> notes = r.tide_notes;
    notes.insert(notes.end(), r.stream_notes.begin(), r.stream_notes.end());
    notes.insert(notes.end(), r.warnings.begin(), r.warnings.end());
    const std::string stream = r.plan.drift.stream ? r.plan.drift.stream->words
                               : r.stream_notes.empty()
                                   ? "none known: what a boat drifts onto can't be said"
                                   : "as known at each place and time; unknown ends a drift";
    return {job,
            version,
            r.plan,
            r.as_of,
            r.cells,
            r.required_m,
            r.required_words,
            r.tide_words,
            stream,
            std::move(notes),
            std::move(counts),
            r.diagnostics,
            r.plan.drift_assumptions};
}

} // namespace dangerline::overlay
