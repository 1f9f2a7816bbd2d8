#include "dangerline/base/diagnostics.hpp"

#include <algorithm>

namespace dangerline {

void sort_worst_first(Diagnostics& diagnostics) {
    std::stable_sort(diagnostics.begin(), diagnostics.end(),
                     [](const Diagnostic& a, const Diagnostic& b) { return a.severity > b.severity; });
}

const char* to_text(Severity severity) {
    switch (severity) {
    case Severity::note:
        return "note";
    case Severity::warning:
        return "warning";
    case Severity::broken:
        return "broken";
    }
    return "";
}

} // namespace dangerline
