#include "jobs/drift_scene.hpp"

#include <algorithm>
#include <cmath>

#include <fmt/format.h>

#include "dangerline/base/error.hpp"

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

sea::Wind wind_of(const plan::Plan& plan, geo::Position place) {
    if (!plan.drift.wind_forecast.empty())
        return sea::Wind::forecast(
            files::read_vector_grid(plan.drift.wind_forecast, files::GridQuantity::wind), place);
    if (!plan.drift.wind_series.empty())
        return sea::read_wind(plan.drift.wind_series, plan.zone, plan.drift.wind_height_m);
    if (plan.wind)
        return sea::Wind::steady(plan.wind->from_deg, plan.wind->mps, plan.wind->words);
    throw Failure(Fault::plan, {.file = plan.file.string(),
                                .object = "water.wind",
                                .what = "no wind is stated, and a boat drifts by it",
                                .expected = "wind = \"SW 12 kn\" under [water], even \"SW 0 kn\"",
                                .remedy = "or wind_series or wind_forecast under [drift]"});
}

DriftScene::DriftScene(const plan::Plan& plan, const geo::Plane& plane, const Places& places,
                       const tide::Choice& choice, const std::string& distrust, const geo::Box& box,
                       Instant from, Instant to)
    : plan_(plan), plane_(plane), places_(places), choice_(choice), distrusted_(!distrust.empty()),
      box_(box) {
    water_.emplace(lay_water(from, to));
    tide_.emplace(lay_tide(from, to));
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
    out.sea = plan_.sea;
    return out;
}

geo::Box square_around(geo::Point place, double half_m) {
    return geo::Box{place.x, place.y, place.x, place.y}.grown(half_m);
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
