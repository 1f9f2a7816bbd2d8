#include "dangerline/tide/datum.hpp"

#include <array>

#include <fmt/format.h>

namespace dangerline::tide {

namespace {

/// S-57 Edition 3.1, Appendix A, attribute 185 VERDAT, codes 1 to 29 as in GDAL's s57expectedinput.csv (with
/// its slip "lage" mended); 30 from memory.
constexpr std::array<const char*, 30> names{"mean low water springs",
                                            "mean lower low water springs",
                                            "mean sea level",
                                            "lowest low water",
                                            "mean low water",
                                            "lowest low water springs",
                                            "approximate mean low water springs",
                                            "Indian spring low water",
                                            "low water springs",
                                            "approximate lowest astronomical tide",
                                            "nearly lowest low water",
                                            "mean lower low water",
                                            "low water",
                                            "approximate mean low water",
                                            "approximate mean lower low water",
                                            "mean high water",
                                            "mean high water springs",
                                            "high water",
                                            "approximate mean sea level",
                                            "high water springs",
                                            "mean higher high water",
                                            "equinoctial spring low water",
                                            "lowest astronomical tide",
                                            "local datum",
                                            "International Great Lakes Datum 1985",
                                            "mean water level",
                                            "lower low water large tide",
                                            "higher high water large tide",
                                            "nearly highest high water",
                                            "Baltic Sea Chart Datum"};
constexpr int local_datum = 24;

} // namespace

std::optional<std::string> datum_name(int verdat) {
    if (verdat < 1 || verdat > static_cast<int>(names.size()))
        return std::nullopt;
    return names[static_cast<std::size_t>(verdat - 1)];
}

std::string datum_text(int verdat) {
    return fmt::format("{} ({})", verdat, datum_name(verdat).value_or("no such code"));
}

bool is_approximate(int verdat) {
    return verdat == 7 || verdat == 10 || verdat == 14 || verdat == 15 || verdat == 19;
}

std::optional<double> DatumChain::offset_to(int chart_code) const {
    if (const auto at = metres_below_source.find(chart_code); at != metres_below_source.end())
        return at->second;
    if (source_code == chart_code && chart_code != local_datum && datum_name(chart_code))
        return 0.0;
    return std::nullopt;
}

std::optional<TideHeight> DatumChain::above(int chart_code, TideHeight source_height) const {
    const auto offset = offset_to(chart_code);
    if (!offset)
        return std::nullopt;
    return TideHeight::from_metres(source_height.metres() + *offset);
}

} // namespace dangerline::tide
