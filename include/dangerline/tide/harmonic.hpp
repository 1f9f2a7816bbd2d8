// Harmonic constants of one place and the plain sum over them.
#pragma once

#include <filesystem>
#include <optional>
#include <string>
#include <string_view>
#include <vector>

#include "dangerline/base/quantities.hpp"
#include "dangerline/base/time.hpp"
#include "dangerline/files/table.hpp"
#include "dangerline/tide/constituents.hpp"

namespace dangerline::tide {

struct HarmonicTerm {
    const Constituent* constituent = nullptr; ///< never null in what read_constants() gives
    double amplitude_m = 0.0;                 ///< not negative
    double phase_deg = 0.0;                   ///< lag on Greenwich (g), degrees
};

/// Harmonic constants as published for one place; the mean level Z0 is no part of them and always given
/// beside.
struct Constants {
    std::string source{}; ///< file they came from, for messages
    std::vector<HarmonicTerm> terms{};
    /// Nothing where the constituent is not among the terms.
    std::optional<double> amplitude_m(std::string_view constituent) const;
};

/// Reads columns constituent, amplitude_m, phase_deg_gmt; further columns are ignored.
/// Failures (Fault::data, naming line and column): a missing column, an unknown constituent, one given twice,
/// a negative amplitude, a phase outside [-360, 720], no rows. Constituents left out are taken as absent.
Constants read_constants(const std::filesystem::path& path);
Constants constants_from(const files::Table& table);

/// Height by the plain sum (slow; for checking and single values):
/// z0 + sum of f·A·cos(V0 + u + speed × hours since 1 January 00:00 UTC - g), f and u per calendar year.
/// `z0_m` is mean level in metres above the datum the result shall be above.
TideHeight direct_height(const Constants& constants, double z0_m, Instant t);

/// Type of tide by (K1 + O1) / (M2 + S2): IHO C-13, Manual on Hydrography, chapter 5.
enum class TideType { semidiurnal, mixed_mainly_semidiurnal, mixed_mainly_diurnal, diurnal };
/// Nothing where one of the four constituents is missing or all four are zero; infinity where M2 + S2 is
/// zero.
std::optional<double> diurnal_ratio(const Constants& constants);
/// Below 0.25, up to 1.5, up to 3.0, above. (C-13 leaves 1.5 to 1.6 open; it counts as mainly diurnal here.)
TideType type_of_tide(double ratio);
/// "semidiurnal", "mixed, mainly semidiurnal" ...
const char* to_text(TideType type);

} // namespace dangerline::tide
