#include "dangerline/survey/allowance.hpp"

#include <algorithm>

namespace dangerline::survey {

namespace {

constexpr double line_on_chart_m = 0.0005;        // 0.5 mm, the finest a chart is drawn
constexpr double approximate_on_chart_m = 0.0015; // 1.5 mm
constexpr double least_approximate_m = 50.0;
constexpr double doubtful_m = 500.0;
constexpr double close_zone_limit_m = 50.0;
constexpr int scale_when_not_stated = 1'000'000;

double at_scale(double on_chart_m, int scale) {
    return on_chart_m * (scale > 0 ? scale : scale_when_not_stated);
}

int rank(int catzoc) {
    return catzoc >= 1 && catzoc <= 6 ? catzoc : 7;
}

} // namespace

double quapos_radius(int quapos, int scale) {
    switch (quapos) {
    case 1:
    case 10:
    case 11:
        return 0.0;
    case 4:
    case 9:
        return std::max(at_scale(approximate_on_chart_m, scale), least_approximate_m);
    default:
        return doubtful_m;
    }
}

Allowance allowance_for(const Provenance& known) {
    const ZoneOfConfidence& zone = zone_of_confidence(known.catzoc);
    const double zone_position = position_doubt(zone, known.depth_m);
    Allowance a;
    a.position_m = std::max({at_scale(line_on_chart_m, known.scale),
                             known.quapos ? quapos_radius(*known.quapos, known.scale) : 0.0,
                             known.posacc_m.value_or(0.0), std::min(zone_position, close_zone_limit_m)});
    a.survey_m = std::max(zone_position, a.position_m);
    a.depth = zone.depth;
    a.souacc_m = known.souacc_m.value_or(0.0);
    a.catzoc = zone.code;
    a.at_least = zone.at_least;
    return a;
}

int worse_zone(int a, int b) {
    return rank(a) >= rank(b) ? a : b;
}

} // namespace dangerline::survey
