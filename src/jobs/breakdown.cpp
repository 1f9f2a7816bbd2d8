#include "dangerline/jobs/breakdown.hpp"

#include <algorithm>
#include <array>
#include <cmath>
#include <numbers>

#include <fmt/format.h>

#include "dangerline/base/error.hpp"
#include "dangerline/base/parallel.hpp"
#include "jobs/breakdown_words.hpp"
#include "jobs/departures.hpp"
#include "jobs/drift_report.hpp"
#include "jobs/drift_scene.hpp"
#include "jobs/drift_words.hpp"
#include "jobs/scene.hpp"

namespace dangerline::jobs {

namespace {

constexpr std::array<double, 4> band_ends_s{600.0, 1200.0, 1800.0, 3600.0};
constexpr double least_step_s = 60.0;
constexpr int headings = 16;

/// 0: in a zone already; then by band_ends_s; then longer; last: nothing met.
std::size_t band_of(double early_s) {
    if (early_s <= 0.0)
        return 0;
    if (!std::isfinite(early_s))
        return band_ends_s.size() + 2;
    const auto* const end = std::upper_bound(band_ends_s.begin(), band_ends_s.end(), early_s);
    return static_cast<std::size_t>(end - band_ends_s.begin()) + 1;
}

/// A square around all tracks.
struct Around {
    geo::Point middle;
    double half_m = 0.0;
};
Around around(const std::vector<passage::Track>& tracks) {
    geo::Box box = tracks.front().chords().front().box();
    for (const auto& track : tracks)
        for (const auto& chord : track.chords()) {
            const geo::Box b = chord.box();
            box = {std::min(box.min_x, b.min_x), std::min(box.min_y, b.min_y), std::max(box.max_x, b.max_x),
                   std::max(box.max_y, b.max_y)};
        }
    return {{(box.min_x + box.max_x) / 2.0, (box.min_y + box.max_y) / 2.0},
            std::max(box.max_x - box.min_x, box.max_y - box.min_y) / 2.0};
}

/// Every station that counts somewhere a boat may drift from the track: the lowest of them is taken.
tide::Choice choice_along(const Places& places, const passage::Track& track, double within_m) {
    tide::Choice all;
    for (const auto& reach : reaches_along(places.station_map(), track))
        join(all, reach.choice);
    const Around square = around({track});
    return choice_around(places, all, square.middle, square.half_m + within_m);
}

class RouteBroken {
  public:
    RouteBroken(const BreakdownReport& report, const DriftScene& scene, const passage::Timetable& times,
                const PlanWind& winds, BrokenRoute& out)
        : report_(report), plan_(report.base.plan), scene_(scene), times_(times), lost_(times.not_held()),
          winds_(winds), out_(out) {
        for (auto& kind : drift_kinds(plan_))
            if (!kind.swamped)
                kinds_.push_back(std::move(kind));
        settings_.particles = breakdown_boats;
        settings_.seed = plan_.drift.seed;
        settings_.errors = plan_.drift.errors;
        settings_.threads = 1;
    }

    void all() {
        lay_points();
        parallel_for(
            out_.points.size(), [&](std::size_t i) { drift_from(out_.points[i]); }, 0, 1);
        cut();
        find_least();
        if (out_.least) {
            add_help();
            try_second_means();
        }
        put_into_words(out_, report_.base);
    }

  private:
    void lay_points() {
        const double whole_s = times_.arrival() - times_.departure();
        const double step_s = std::max(least_step_s, whole_s / static_cast<double>(breakdown_points));
        const auto last = static_cast<std::size_t>(std::ceil(whole_s / step_s - 1e-9));
        for (std::size_t i = 0; i <= last; ++i) {
            BreakdownPoint p;
            p.at = times_.departure() + std::min(step_s * static_cast<double>(i), whole_s);
            p.s = times_.place_at(p.at);
            p.point = out_.track.point_at(p.s);
            p.why = not_in_time(p.s);
            for (const auto& helper : plan_.helpers) {
                const double seconds = help_to(helper, p.point).seconds;
                p.help_s = std::min(p.help_s.value_or(seconds), seconds);
            }
            out_.points.push_back(std::move(p));
        }
    }

    /// Why the boat may be elsewhere at its time; one that is not where it should be is not in time anywhere
    /// behind.
    std::string not_in_time(double s) const {
        for (const auto& lost : lost_)
            if (!lost.bounded && s >= lost.span.from)
                return "when the boat is here: " + lost.reason;
        return {};
    }

    HelpTime help_to(const plan::HelperEntry& helper, geo::Point point) const {
        const double metres =
            geo::geodesic_between(helper.position, report_.base.plane.to_position(point)).metres;
        return {helper.name, metres, helper.alarm_s + helper.muster_s + metres / helper.mps};
    }

    drift::Summary run(const BreakdownPoint& p, const drift::Leeway& leeway, const sea::Wind& wind,
                       geo::Point own_mps, double own_s) const {
        auto adrift = scene_.adrift(p.point, p.at);
        adrift.leeway = leeway;
        adrift.wind = &wind;
        adrift.own_mps = own_mps;
        adrift.own_s = own_s;
        return drift::summarise(drift::run(adrift, scene_.dangers(), settings_), adrift, scene_.dangers());
    }

    void drift_from(BreakdownPoint& p) const {
        if (!p.why.empty()) {
            p.unknown_share = 1.0;
            return;
        }
        const sea::Wind wind = winds_.at(report_.base.plane.to_position(p.point));
        for (const auto& kind : kinds_) {
            const auto summary = run(p, kind.leeway, wind, {}, 0.0);
            if (!p.boat.empty() && summary.trouble.early_s >= p.early_s)
                continue;
            p.boat = kind.name;
            p.early_s = summary.trouble.early_s;
            p.median_s = summary.trouble.median_s;
            p.danger_share = p.unknown_share = 0.0;
            p.hazard = summary.soonest;
            p.moved_m = summary.soonest_moved_m;
            p.why = summary.soonest_end == drift::End::afloat
                        ? std::string()
                        : why_words(summary.soonest_end, summary.soonest_water, report_.base.hazards);
            for (const auto& o : summary.outcomes) {
                p.danger_share += o.kind == drift::Outcome::Kind::danger ? o.share : 0.0;
                p.unknown_share += o.kind == drift::Outcome::Kind::unknown ? o.share : 0.0;
            }
        }
    }

    void cut() {
        for (std::size_t i = 0; i < out_.points.size(); ++i) {
            const auto& p = out_.points[i];
            const std::size_t band = band_of(p.early_s);
            const std::string why = band == 0 ? p.why : std::string();
            if (out_.stretches.empty() || out_.stretches.back().band != band ||
                out_.stretches.back().why != why) {
                if (!out_.stretches.empty()) { // the change lies somewhere between: the worse side has it
                    auto& before = out_.stretches.back();
                    if (before.band < band) {
                        before.span.to = p.s;
                        before.to = p.at;
                    }
                }
                const bool not_worse = out_.stretches.empty() || out_.stretches.back().band < band;
                const auto& from = not_worse ? p : out_.points[i - 1];
                out_.stretches.push_back({{from.s, p.s}, from.at, p.at, i, band, why, false});
            }
            auto& stretch = out_.stretches.back();
            stretch.span.to = p.s;
            stretch.to = p.at;
            if (p.early_s < out_.points[stretch.least].early_s)
                stretch.least = i;
            stretch.help_too_late = stretch.help_too_late || (p.help_s && *p.help_s > p.early_s);
        }
    }

    void find_least() {
        for (std::size_t i = 0; i < out_.points.size(); ++i)
            if (out_.points[i].early_s > 0.0 &&
                (!out_.least || out_.points[i].early_s < out_.points[*out_.least].early_s))
                out_.least = i;
    }

    void add_help() {
        for (const auto& helper : plan_.helpers)
            out_.help.push_back(help_to(helper, out_.points[*out_.least].point));
        std::stable_sort(out_.help.begin(), out_.help.end(),
                         [](const HelpTime& a, const HelpTime& b) { return a.seconds < b.seconds; });
    }

    void try_second_means() {
        const BreakdownPoint& p = out_.points[*out_.least];
        const sea::Wind wind = winds_.at(report_.base.plane.to_position(p.point));
        for (const auto& second : plan_.second_means) {
            SecondTried best;
            best.means = means_words(second);
            best.early_s = -1.0;
            const bool drogue = second.kind == plan::SecondMeans::Kind::drogue;
            for (int h = 0; h < (drogue ? 1 : headings); ++h) {
                const double rad = 2.0 * std::numbers::pi * h / headings;
                const geo::Point own{second.mps * std::sin(rad), second.mps * std::cos(rad)};
                drift::Times worst{drift::not_reached, drift::not_reached, drift::not_reached};
                for (const auto& kind : kinds_) {
                    drift::Leeway leeway = kind.leeway;
                    if (drogue) {
                        leeway.share *= second.leeway_share;
                        leeway.offset_mps *= second.leeway_share;
                    }
                    const auto t = run(p, leeway, wind, drogue ? geo::Point{} : own, second.seconds).trouble;
                    if (t.early_s < worst.early_s ||
                        (t.early_s == worst.early_s && t.median_s < worst.median_s))
                        worst = t;
                }
                if (worst.early_s > best.early_s ||
                    (worst.early_s == best.early_s && worst.median_s > best.median_s)) {
                    best.early_s = worst.early_s;
                    best.median_s = worst.median_s;
                    if (!drogue)
                        best.heading_deg = 360.0 / headings * h;
                }
            }
            out_.second.push_back(std::move(best));
        }
    }

    static std::string means_words(const plan::SecondMeans& second) {
        if (second.kind == plan::SecondMeans::Kind::drogue)
            return fmt::format("drogue, {:.0f} % of the leeway left", 100.0 * second.leeway_share);
        return fmt::format("{} {:.1f} kn for {:.0f} min", plan::to_text(second.kind),
                           second.mps / mps_per_knot, second.seconds / 60.0);
    }

    const BreakdownReport& report_;
    const plan::Plan& plan_;
    const DriftScene& scene_;
    const passage::Timetable& times_;
    std::vector<passage::Timetable::NotHeld> lost_;
    const PlanWind& winds_;
    BrokenRoute& out_;
    std::vector<DriftKind> kinds_;
    drift::EnsembleSettings settings_;
};

} // namespace

std::string band_words(std::size_t band) {
    if (band == 0)
        return "no time in hand";
    if (band <= band_ends_s.size())
        return fmt::format("under {:.0f} min", band_ends_s[band - 1] / 60.0);
    return band == band_ends_s.size() + 1 ? fmt::format("{:.0f} min or more", band_ends_s.back() / 60.0)
                                          : "no danger met";
}

BreakdownReport run_breakdown(const plan::Plan& plan, const std::optional<std::string>& depart) {
    Diagnostics diagnostics;
    auto routes = needed_routes(plan, diagnostics);
    const auto departures = departures_of(plan, routes, depart);
    BreakdownReport report{{plan, plane_around(routes, plan)}};
    DriftReport& base = report.base;
    const PlanWind winds(plan);
    base.as_of = plan.as_of.value_or(day_of(*std::min_element(departures.begin(), departures.end())));
    std::vector<passage::Track> tracks;
    for (const auto& planned : routes)
        tracks.emplace_back(planned.route, base.plane);
    const UnderWay under = under_way(routes, departures, base.plane);
    const Instant last = under.last + spare_s(under);
    const Around square = around(tracks);
    Places places(
        plan, base.plane, {{"the routes", base.plane.to_position(square.middle), under.first, last}},
        base.as_of,
        {square.half_m + plan.drift.within_m + drift_edge_m, drift_longer_s(plan) + plan.drift.lasts_s},
        diagnostics);
    std::vector<tide::Choice> choices;
    for (const auto& track : tracks)
        places.count(choices.emplace_back(choice_along(places, track, plan.drift.within_m)));
    describe(plan, places, diagnostics, base);
    for (std::size_t i = 0; i < routes.size(); ++i)
        if (auto words = lowest_of_all_words(places, choices[i], routes[i].route.name); !words.empty())
            base.tide_notes.push_back(std::move(words));
    base.plan.drift_assumptions.push_back(fmt::format("breakdown: {} boats from each of up to {} points",
                                                      breakdown_boats, breakdown_points + 1));
    try {
        for (std::size_t i = 0; i < routes.size(); ++i) {
            const auto voyage =
                voyage_of(tracks[i], routes[i], plan, places.streams(), under.first - 3600.0, last);
            const passage::Timetable times(voyage, departures[i]);
            const tide::Choice& choice = choices[i];
            const DriftScene scene(
                plan, base.plane, places, choice, places.distrust(choice),
                square_around(around({tracks[i]}).middle, around({tracks[i]}).half_m + plan.drift.within_m),
                times.departure(), times.arrival() + plan.drift.lasts_s);
            BrokenRoute& out = report.routes.emplace_back(BrokenRoute{tracks[i], departures[i]});
            for (const auto& spell : times.not_held())
                out.warnings.push_back(fmt::format("from {:.2f} NM on the boat may be elsewhere: {}",
                                                   spell.span.from / metres_per_nautical_mile, spell.reason));
            RouteBroken(report, scene, times, winds, out).all();
        }
    } catch (const Failure& failure) {
        rethrow_with_plan(failure, plan);
    }
    return report;
}

} // namespace dangerline::jobs
