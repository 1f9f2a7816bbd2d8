#include "dangerline/command.hpp"

#include <algorithm>

#include <fmt/format.h>

namespace dangerline::command {

std::string version() {
    return DANGERLINE_VERSION;
}

std::string caution() {
    return "An aid to planning, not for navigation. Official charts, notices to mariners, local rules, "
           "coastguard "
           "advice\nand the skipper's own eyes come first; sea, weather and bottom differ from the "
           "prediction.\n";
}

void print(const Diagnostics& diagnostics, std::ostream& out, std::size_t most) {
    if (diagnostics.empty())
        return;
    out << "\nWrong with the data, worst first:\n";
    for (std::size_t i = 0; i < std::min(most, diagnostics.size()); ++i) {
        const auto& d = diagnostics[i];
        out << fmt::format("  {:<8} {}{}{}: {}\n", to_text(d.severity), d.file, d.object.empty() ? "" : ": ",
                           d.object, d.what);
    }
    if (diagnostics.size() > most)
        out << fmt::format("  and {} more\n", diagnostics.size() - most);
}

} // namespace dangerline::command
