#include "dangerline/drift/leeway.hpp"

#include <algorithm>
#include <array>

#include "dangerline/base/quantities.hpp"

namespace dangerline::drift {

namespace {

constexpr std::string_view allen_1997 = "Allen and Fitzgerald 1997, abstract (DTIC ADA338829)";
constexpr std::string_view brushett_2014 = "Brushett and others 2014, Applied Ocean Research 44, abstract";
constexpr std::string_view plourde_1999 =
    "from memory: table of the USCG addendum to the IAMSAR manual after Allen and Plourde 1999";

constexpr Leeway rate(double percent, double offset_kn = 0.0, double divergence = default_divergence_deg) {
    return {percent / 100.0, offset_kn * mps_per_knot, divergence};
}

// The abstracts give slopes alone; their divergence is this project's assumption.
constexpr std::array rows{
    LeewayRow{slow_default, "wooden open boat of 5.5 m", rate(3.65), allen_1997},
    LeewayRow{fast_default, "fibreglass skiff of 5.8 m, one aboard", rate(7.71), brushett_2014},
    LeewayRow{"laden open boat", "fibreglass skiff of 5.8 m, thirteen aboard", rate(4.40), brushett_2014},
    LeewayRow{swamped_default, "wooden open boat of 5.5 m, swamped", rate(1.73), allen_1997},
    LeewayRow{"outrigger canoe", "fibreglass outrigger canoe of 6 m, one aboard", rate(2.40), brushett_2014},
    LeewayRow{"water scooter", "sit-down water scooter for two, one aboard", rate(4.24), brushett_2014},
    LeewayRow{"flat-bottomed skiff", "skiff, flat bottom", rate(3.4, 0.04, 22.0), plourde_1999},
    LeewayRow{"v-hull skiff", "skiff, V hull", rate(3.0, 0.08, 15.0), plourde_1999},
    LeewayRow{"cuddy boat", "sport boat with a cuddy", rate(6.9, -0.08, 19.0), plourde_1999},
    LeewayRow{"centre console", "sport fishing boat with a centre console", rate(6.0, -0.09, 22.0),
              plourde_1999},
    LeewayRow{"sea kayak", "sea kayak, someone on the aft deck", rate(1.1, 0.24, 15.0), plourde_1999},
};

} // namespace

double Leeway::speed(double wind_mps) const {
    return wind_mps > 0.0 ? std::max(0.0, share * wind_mps + offset_mps) : 0.0;
}

std::span<const LeewayRow> leeway_rows() {
    return rows;
}

std::optional<LeewayRow> leeway_row(std::string_view name) {
    const auto* const found =
        std::find_if(rows.begin(), rows.end(), [&](const LeewayRow& row) { return row.name == name; });
    return found == rows.end() ? std::nullopt : std::optional(*found);
}

} // namespace dangerline::drift
