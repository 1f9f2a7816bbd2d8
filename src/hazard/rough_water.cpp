#include "dangerline/hazard/rough_water.hpp"

#include "dangerline/base/quantities.hpp"

namespace dangerline::hazard {

namespace {

constexpr double fierce_kn = 3.0, strong_kn = 2.0, felt_kn = 1.0;
constexpr double wind_that_matters_mps = 4.0;
constexpr double swell_that_matters_m = 0.5;
constexpr int breakers = 1, bombora = 5;

} // namespace

Grade rough_water_grade(int catwat, const WaterState& state) {
    if (catwat == breakers || catwat == bombora || !state.rate_mps)
        return Grade::danger;
    const double rate_kn = *state.rate_mps / mps_per_knot;
    const bool sea_against_it = !state.wind_mps || *state.wind_mps >= wind_that_matters_mps ||
                                !state.swell_m || *state.swell_m >= swell_that_matters_m;
    if (rate_kn >= fierce_kn || (rate_kn >= strong_kn && sea_against_it))
        return Grade::danger;
    // A missing or unknown category may stand for breakers: never better than caution.
    const bool category_known = catwat > breakers && catwat < bombora;
    return rate_kn >= felt_kn || !category_known ? Grade::caution : Grade::note;
}

} // namespace dangerline::hazard
