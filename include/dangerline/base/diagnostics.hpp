// What was found wrong with the data without stopping the job.
#pragma once

#include <string>
#include <vector>

namespace dangerline {

/// Order is by weight, the worst last.
enum class Severity {
    note,    ///< worth knowing
    warning, ///< departs from the standard, was mended without loss
    broken   ///< part of the chart can't be believed; the area is graded unknown
};

struct Diagnostic {
    Severity severity = Severity::note;
    std::string file{};   ///< path as found on disk
    std::string object{}; ///< class and LNAM, record, update; may be empty
    std::string what{};   ///< one sentence without a full stop
};

using Diagnostics = std::vector<Diagnostic>;

/// Worst first, otherwise in the order they were met.
void sort_worst_first(Diagnostics& diagnostics);

const char* to_text(Severity severity);

} // namespace dangerline
