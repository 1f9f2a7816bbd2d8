#include "dangerline/command.hpp"

#include <algorithm>
#include <cmath>

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

std::string place_words(const geo::Position& p) {
    const auto part = [](double degrees, int width, char plus, char minus) {
        const long hundredths = std::lround(std::abs(degrees) * 6000.0);
        return fmt::format("{:0{}}° {:02}.{:02}' {}", hundredths / 6000, width, hundredths % 6000 / 100,
                           hundredths % 100, degrees < 0.0 ? minus : plus);
    };
    return part(p.lat_deg, 2, 'N', 'S') + " " + part(geo::normal_longitude(p.lon_deg), 3, 'E', 'W');
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
