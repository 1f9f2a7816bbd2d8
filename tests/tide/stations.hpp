// Stations that several tests of the tide use.
#pragma once

#include <string>

#include "dangerline/tide/harmonic.hpp"
#include "support/support.hpp"

namespace stations {

using namespace dangerline;

inline double number(const std::string& text) {
    return std::stod(text);
}
inline Instant utc(const std::string& text) {
    return parse_iso_utc(text).value();
}

/// Constants of one of the three stations in neaps_constants.csv.
inline tide::Constants noaa(const std::string& id) {
    tide::Constants constants{.source = id};
    for (const auto& row : support::read_table(support::testdata() / "tide/neaps_constants.csv"))
        if (row.at("station_id") == id)
            constants.terms.push_back({tide::find_constituent(row.at("constituent")),
                                       number(row.at("amplitude_m")), number(row.at("phase_deg_gmt"))});
    return constants;
}

/// Mean sea level above mean lower low water, from neaps_datums.csv.
inline double msl_above_mllw(const std::string& id) {
    double msl = 0.0, mllw = 0.0;
    for (const auto& row : support::read_table(support::testdata() / "tide/neaps_datums.csv"))
        if (row.at("station_id") == id) {
            if (row.at("datum") == "MSL")
                msl = number(row.at("value_m_above_station_zero"));
            if (row.at("datum") == "MLLW")
                mllw = number(row.at("value_m_above_station_zero"));
        }
    return msl - mllw;
}

inline constexpr const char* boston = "noaa/8443970";
inline constexpr const char* pensacola = "noaa/8729840";
inline constexpr const char* seattle = "noaa/9447130";

} // namespace stations
