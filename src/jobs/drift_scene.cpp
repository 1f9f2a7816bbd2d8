#include "jobs/drift_scene.hpp"

#include <algorithm>
#include <cmath>

#include <fmt/format.h>

#include "dangerline/base/error.hpp"
#include "dangerline/jobs/stations.hpp"
#include "dangerline/tide/cycle.hpp"

namespace dangerline::jobs {

namespace {

/// Nobody told anything of streams.
class NoStreams : public sea::StreamField {
  public:
    sea::StreamThere at(geo::Point, Instant) const override {
        return {{}, {}, {}, "the plan and its charts tell of no streams"};
    }
    sea::PlaceStream fix(geo::Point) const override {
        return [](Instant) { return std::optional<sea::Stream>(); };
    }
};

/// How much lower a datum lies than the reference one: of several stations that count the answer with less
/// water. Nothing where one of them is not linked to both.
std::optional<double> below_reference(const Places& places, const tide::Choice& choice, int reference,
                                      int datum) {
    std::optional<double> least;
    for (const auto i : choice.stations) {
        const auto& chain = places.stations()[i].datums;
        const auto here = chain.offset_to(datum), there = chain.offset_to(reference);
        if (!here || !there)
            return std::nullopt;
        least = std::min(least.value_or(*here - *there), *here - *there);
    }
    return least;
}

drift::DangerSettings settings_of(const plan::Plan& plan) {
    drift::DangerSettings settings;
    settings.required = passage::required_water(plan.boat, plan.margins);
    settings.touching = touching_water(plan);
    settings.half_length_m = plan.gear.length_or_default_m() / 2.0;
    if (plan.boat.air_draught_m)
        settings.air_height_m = *plan.boat.air_draught_m + plan.boat.overhead_margin_m;
    return settings;
}

} // namespace

std::vector<DriftKind> drift_kinds(const plan::Plan& plan) {
    std::vector<DriftKind> kinds;
    const auto add = [&](std::string_view name, bool swamped) {
        const auto row = drift::leeway_row(name).value();
        kinds.push_back({std::string(row.name), std::string(row.source), row.leeway, swamped});
    };
    if (plan.drift.own) {
        kinds.push_back({"leeway of the plan", "the plan", *plan.drift.own, false});
    } else if (!plan.drift.boat.empty()) {
        add(plan.drift.boat, false);
    } else {
        add(drift::slow_default, false);
        add(drift::fast_default, false);
    }
    if (plan.drift.boat != drift::swamped_default)
        add(drift::swamped_default, true);
    return kinds;
}

PlanWind::PlanWind(const plan::Plan& plan) {
    if (!plan.drift.wind_forecast.empty())
        forecast_ = files::read_vector_grid(plan.drift.wind_forecast, files::GridQuantity::wind);
    else if (!plan.drift.wind_series.empty())
        everywhere_ = sea::read_wind(plan.drift.wind_series, plan.zone, plan.drift.wind_height_m);
    else if (plan.wind)
        everywhere_ = sea::Wind::steady(plan.wind->from_deg, plan.wind->mps, plan.wind->words);
    else
        throw Failure(Fault::plan, {.file = plan.file.string(),
                                    .object = "water.wind",
                                    .what = "no wind is stated, and a boat drifts by it",
                                    .expected = "wind = \"SW 12 kn\" under [water], even \"SW 0 kn\"",
                                    .remedy = "or wind_series or wind_forecast under [drift]"});
}

bool PlanWind::stated(const plan::Plan& plan) {
    return plan.wind || !plan.drift.wind_series.empty() || !plan.drift.wind_forecast.empty();
}

sea::Wind PlanWind::at(geo::Position place) const {
    return forecast_ ? sea::Wind::forecast(*forecast_, place) : *everywhere_;
}

void join(tide::Choice& all, const tide::Choice& more) {
    for (const auto station : more.stations)
        if (std::find(all.stations.begin(), all.stations.end(), station) == all.stations.end())
            all.stations.push_back(station);
    all.how = std::max(all.how, more.how);
    all.doubt.height_m = std::max(all.doubt.height_m, more.doubt.height_m);
    all.doubt.time_s = std::max(all.doubt.time_s, more.doubt.time_s);
}

tide::Choice choice_around(const Places& places, const tide::Choice& at, geo::Point middle, double half_m) {
    tide::Choice all = at;
    if (places.stations().size() < 2)
        return all;
    const tide::Land land = land_of(places.hazards());
    const auto dry = [&](geo::Point p) {
        return std::any_of(land.begin(), land.end(), [p](const auto& l) { return l->contains(p); });
    };
    const int steps = std::max(2, static_cast<int>(std::ceil(2.0 * half_m / metres_per_nautical_mile)));
    for (int row = 0; row <= steps; ++row)
        for (int column = 0; column <= steps; ++column) {
            const geo::Point place{middle.x - half_m + 2.0 * half_m * column / steps,
                                   middle.y - half_m + 2.0 * half_m * row / steps};
            if (!dry(place))
                join(all, places.station_map().at(place));
        }
    return all;
}

std::string lowest_of_all_words(const Places& places, const tide::Choice& choice, const std::string& where) {
    std::string names;
    for (std::size_t i = 0; i < choice.stations.size(); ++i)
        names += (i == 0                            ? ""
                  : i + 1 == choice.stations.size() ? " and "
                                                    : ", ") +
                 places.stations()[choice.stations[i]].name;
    return choice.stations.size() < 2
               ? std::string()
               : fmt::format("{}: the tides of {} count where a boat may drift; the lowest of them is taken "
                             "all along, so what is overhead can't be judged",
                             where, names);
}

DriftScene::DriftScene(const plan::Plan& plan, const geo::Plane& plane, const Places& places,
                       const tide::Choice& choice, const std::string& distrust, const geo::Box& box,
                       Instant from, Instant to)
    : plan_(plan), plane_(plane), places_(places), choice_(choice), distrusted_(!distrust.empty()),
      box_(box) {
    water_.emplace(lay_water(from, to));
    tide_.emplace(lay_tide(from, to));
    later_tide_.emplace(lay_tide(from, to + tide::tide_cycle_s));
    auto settings = settings_of(plan);
    settings.box = water_->box();
    settings.tide_is_lowest = choice_.stations.size() > 1;
    const int reference = places.chart_code().value_or(0);
    settings.below_reference = [&places, choice = choice_, reference](int datum) {
        return below_reference(places, choice, reference, datum);
    };
    dangers_.emplace(places.hazards(), settings);
    dangers_->prepare(tide_->lowest_m(), tide_->highest_m());
}

void DriftScene::move_to(Instant from, Instant to) {
    water_.emplace(lay_water(from, to));
    tide_.emplace(lay_tide(from, to));
    later_tide_.emplace(lay_tide(from, to + tide::tide_cycle_s));
    dangers_->prepare(tide_->lowest_m(), tide_->highest_m());
}

drift::StreamGrid DriftScene::lay_water(Instant from, Instant to) const {
    const double clock_s = clock_deviations * plan_.drift.errors.tide_clock_s;
    if (plan_.drift.stream) {
        // One cell to a side must end where the box does: the dangers are laid over the same box.
        return {sea::stream_of(plan_.drift.stream->set_deg, plan_.drift.stream->mps), plane_, box_,
                from - clock_s, to + clock_s};
    }
    if (!places_.streams().map)
        return {NoStreams(), plane_, box_, from, to};
    return {*places_.streams().map, plane_, box_, from - clock_s, to + clock_s};
}

drift::TideLine DriftScene::lay_tide(Instant from, Instant to) const {
    const int reference = places_.chart_code().value_or(0);
    const double clock_s = clock_deviations * plan_.drift.errors.tide_clock_s;
    return {[&](Instant t) -> std::optional<double> {
                if (distrusted_)
                    return std::nullopt;
                const auto there = tide::lowest_there(places_.stations(), choice_, reference, t, t);
                return there ? std::optional(there->height.metres()) : std::nullopt;
            },
            from - clock_s, to + clock_s + drift::drift_step_s};
}

drift::Adrift DriftScene::adrift(geo::Point start, Instant begin) const {
    drift::Adrift out;
    out.start = start;
    out.begin = begin;
    out.lasts_s = plan_.drift.lasts_s;
    out.water = &*water_;
    out.tide = &*tide_;
    out.later = &*later_tide_;
    out.sea = plan_.sea;
    return out;
}

std::string label_of(const hazard::Hazard& hazard) {
    return hazard.object.name.empty() ? hazard.what : hazard.what + " \"" + hazard.object.name + "\"";
}

std::string minutes_words(double seconds) {
    if (!std::isfinite(seconds))
        return "never";
    const long minutes = static_cast<long>(std::floor(seconds / 60.0)); // never more than there are
    return minutes < 100 ? fmt::format("{} min", minutes)
                         : fmt::format("{} h {:02} min", minutes / 60, minutes % 60);
}

} // namespace dangerline::jobs
