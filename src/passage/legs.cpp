#include "dangerline/passage/legs.hpp"

namespace dangerline::passage {

std::vector<LegSheet> legs_of(const Track& track, const Timetable& timetable) {
    std::vector<LegSheet> legs;
    const auto& ends = track.place_coordinates();
    const auto& route = track.route();
    for (std::size_t i = 0; i + 1 < ends.size(); ++i) {
        LegSheet leg{ends[i], ends[i + 1], timetable.leave(ends[i]), timetable.at(ends[i + 1])};
        leg.course_deg = geo::rhumb_between(route.places[i], route.places[i + 1]).start_deg;
        leg.speed_mps = route.speeds_mps[i];
        const double seconds = leg.end - leg.begin;
        leg.made_good_mps = seconds > 0.0 ? (leg.to_m - leg.from_m) / seconds : leg.speed_mps;
        leg.wait_s = timetable.leave(leg.to_m) - leg.end;
        const double middle = (leg.from_m + leg.to_m) / 2.0;
        leg.stream = timetable.voyage().stream(middle, timetable.at(middle));
        if (leg.stream) {
            const MadeGood made = make_good(leg.course_deg, leg.speed_mps, *leg.stream);
            if (made.possible)
                leg.steer_deg = made.steer_deg;
        }
        legs.push_back(leg);
    }
    return legs;
}

} // namespace dangerline::passage
