#include "dangerline/drift/outcomes.hpp"

#include <algorithm>
#include <cmath>
#include <limits>
#include <map>
#include <set>
#include <tuple>

namespace dangerline::drift {

namespace {

constexpr double early_share = 0.05, late_share = 0.95;
constexpr double infinite = std::numeric_limits<double>::infinity();

using Key = std::tuple<Outcome::Kind, End, std::optional<std::size_t>>;

Key key_of(const Fate& fate, const Dangers& dangers) {
    const auto hazard = [&](std::uint32_t obstacle) {
        return obstacle == no_obstacle ? std::nullopt : std::optional(dangers.all()[obstacle].hazard);
    };
    if (fate.zone != no_obstacle)
        return {Outcome::Kind::danger, End::afloat, hazard(fate.zone)};
    if (fate.end == End::afloat)
        return {Outcome::Kind::afloat, End::afloat, std::nullopt};
    return {Outcome::Kind::unknown, fate.end, hazard(fate.touch)};
}

/// How much wider the zone is that a boat enters, by the moving bottom there.
double moved_of(const Fate& fate, const Dangers& dangers) {
    return fate.zone == no_obstacle ? 0.0 : dangers.all()[fate.zone].moved_m;
}

Times times_of(std::vector<double> values) {
    std::sort(values.begin(), values.end());
    return {quantile(values, early_share), quantile(values, 0.5), quantile(values, late_share)};
}

std::vector<Outcome> outcomes_of(const Ensemble& ensemble, const Dangers& dangers) {
    std::map<Key, std::vector<const Fate*>> groups;
    for (const auto& fate : ensemble.fates)
        groups[key_of(fate, dangers)].push_back(&fate);
    std::vector<Outcome> out;
    const auto all = static_cast<double>(ensemble.fates.size());
    for (const auto& [key, fates] : groups) {
        Outcome o;
        std::tie(o.kind, o.end, o.hazard) = key;
        o.share = static_cast<double>(fates.size()) / all;
        std::vector<double> times;
        for (const Fate* fate : fates) {
            times.push_back(o.kind == Outcome::Kind::danger ? fate->zone_s : fate->end_s);
            o.touched_share += fate->touch_s != not_reached ? 1.0 / all : 0.0;
            o.moved_m = std::max(o.moved_m, moved_of(*fate, dangers));
        }
        o.first_s = *std::min_element(times.begin(), times.end());
        o.early_s = quantile(times, early_share);
        o.median_s = quantile(times, 0.5);
        out.push_back(o);
    }
    std::stable_sort(out.begin(), out.end(), [](const Outcome& a, const Outcome& b) {
        return a.kind != b.kind ? a.kind < b.kind : a.share > b.share;
    });
    return out;
}

/// Squares of one hazard that touch one another, each with its boats.
class Squares {
  public:
    void add(geo::Point place, const Fate& fate) {
        const auto number = [](double metres) { return static_cast<long>(std::floor(metres / cluster_m)); };
        boats_[{number(place.x), number(place.y)}].push_back(&fate);
    }
    /// Takes one group out; empty where none is left.
    std::vector<const Fate*> take() {
        std::vector<const Fate*> out;
        if (boats_.empty())
            return out;
        std::vector<Square> open{boats_.begin()->first};
        while (!open.empty()) {
            const Square square = open.back();
            open.pop_back();
            const auto found = boats_.find(square);
            if (found == boats_.end())
                continue;
            out.insert(out.end(), found->second.begin(), found->second.end());
            boats_.erase(found);
            for (long x = -1; x <= 1; ++x)
                for (long y = -1; y <= 1; ++y)
                    open.push_back({square.first + x, square.second + y});
        }
        return out;
    }

  private:
    using Square = std::pair<long, long>;
    std::map<Square, std::vector<const Fate*>> boats_;
};

std::vector<Cluster> clusters_of(const Ensemble& ensemble, const Dangers& dangers) {
    std::map<std::size_t, Squares> by_hazard;
    for (const auto& fate : ensemble.fates)
        if (fate.zone != no_obstacle)
            by_hazard[dangers.all()[fate.zone].hazard].add(fate.zone_at, fate);
    std::vector<Cluster> out;
    for (auto& [hazard, squares] : by_hazard)
        for (auto boats = squares.take(); !boats.empty(); boats = squares.take()) {
            Cluster c;
            c.hazard = hazard;
            const auto count = static_cast<double>(boats.size());
            std::vector<double> times;
            for (const Fate* fate : boats) {
                c.place.x += fate->zone_at.x / count;
                c.place.y += fate->zone_at.y / count;
                times.push_back(fate->zone_s);
                c.moved_m = std::max(c.moved_m, moved_of(*fate, dangers));
            }
            c.share = count / static_cast<double>(ensemble.fates.size());
            c.median_s = quantile(times, 0.5);
            out.push_back(c);
        }
    std::stable_sort(out.begin(), out.end(),
                     [](const Cluster& a, const Cluster& b) { return a.share > b.share; });
    return out;
}

/// The next instant at which the tide is up to a level again; `followed_to`: the last one looked at.
std::optional<Instant> afloat_again(const TideLine& tide, Instant from, double level_m,
                                    Instant& followed_to) {
    for (followed_to = from;; followed_to = followed_to + TideLine::step_s) {
        const auto height = tide.at(followed_to + TideLine::step_s);
        if (!height)
            return std::nullopt;
        if (*height >= level_m)
            return followed_to + TideLine::step_s;
    }
}

/// The tide that floats a boat off whatever its middle lies on, not off the rim of it alone.
double floats_at(const Fate& fate, const Dangers& dangers) {
    const geo::Box place{fate.end_at.x, fate.end_at.y, fate.end_at.x, fate.end_at.y};
    double level = dangers.all()[fate.touch].touch_below_m;
    for (const auto& o : dangers.all())
        if (o.says == Obstacle::Says::danger && !o.above_m && o.touch_below_m > level &&
            o.extent->box().meets(place) && o.extent->contains(fate.end_at))
            level = o.touch_below_m;
    return level;
}

/// When a boat that touched floats again. Its own clock of the tide and the one foretold may differ, and what
/// is told beside this time is the tide foretold: the later counts, of a tide no lower than when it touched.
void find_afloat(Aground& out, const TideLine& tide, double clock_s, double level_m) {
    const Instant own = out.touched + clock_s;
    Instant followed_to = own;
    const auto by_own = afloat_again(tide, own + TideLine::step_s, level_m, followed_to);
    out.followed_to = followed_to - clock_s;
    if (!by_own)
        return;
    const double back_to_m = std::max(level_m, tide.at(out.touched).value_or(level_m));
    const auto foretold = afloat_again(tide, out.touched + TideLine::step_s, back_to_m, followed_to);
    out.followed_to = followed_to;
    if (foretold)
        out.until = std::max(*by_own - clock_s, *foretold);
}

std::optional<Aground> aground_of(const Ensemble& ensemble, const Adrift& adrift, const Dangers& dangers) {
    std::map<std::size_t, std::vector<const Fate*>> by_hazard;
    for (const auto& fate : ensemble.fates)
        if (fate.touch_s != not_reached && !dangers.all()[fate.touch].above_m) // who hits a bridge is afloat
            by_hazard[dangers.all()[fate.touch].hazard].push_back(&fate);
    if (by_hazard.empty())
        return std::nullopt;
    auto& [hazard, fates] =
        *std::max_element(by_hazard.begin(), by_hazard.end(),
                          [](const auto& a, const auto& b) { return a.second.size() < b.second.size(); });
    std::stable_sort(fates.begin(), fates.end(),
                     [](const Fate* a, const Fate* b) { return a->touch_s < b->touch_s; });
    const Fate& middle = *fates[(fates.size() - 1) / 2];
    Aground out;
    out.hazard = hazard;
    out.share = static_cast<double>(fates.size()) / static_cast<double>(ensemble.fates.size());
    out.touched = adrift.begin + static_cast<double>(middle.touch_s);
    const double level = floats_at(middle, dangers);
    out.at_any_tide = !std::isfinite(level);
    const Instant by_its_clock = out.touched + static_cast<double>(middle.clock_s);
    const TideLine& tide = adrift.later ? *adrift.later : *adrift.tide;
    const auto now = tide.at(by_its_clock), next = tide.at(by_its_clock + TideLine::step_s);
    if (now && next)
        out.falling = *next < *now;
    out.followed_to = out.touched;
    if (!out.at_any_tide)
        find_afloat(out, tide, static_cast<double>(middle.clock_s), level);
    return out;
}

void find_soonest(Summary& out, const Ensemble& ensemble, const Dangers& dangers) {
    for (const auto& fate : ensemble.fates) {
        if (fate.trouble_s() != out.trouble.early_s)
            continue;
        if (fate.zone_s == fate.trouble_s() && fate.zone != no_obstacle) {
            const auto hazard = dangers.all()[fate.zone].hazard;
            if (out.soonest != hazard)
                out.soonest_moved_m = 0.0;
            out.soonest = hazard;
            out.soonest_moved_m = std::max(out.soonest_moved_m, moved_of(fate, dangers));
        } else if (fate.end != End::afloat) {
            out.soonest_end = fate.end;
            if (fate.end == End::unknown_water)
                out.soonest_water = dangers.all()[fate.touch].hazard;
        }
    }
    if (out.soonest) {
        out.soonest_end = End::afloat;
        out.soonest_water.reset();
    }
}

} // namespace

double quantile(std::vector<double> values, double share) {
    if (values.empty())
        return infinite;
    const auto rank = static_cast<std::size_t>(std::ceil(share * static_cast<double>(values.size()) - 1e-9));
    const std::size_t i = std::max<std::size_t>(rank, 1) - 1;
    std::nth_element(values.begin(), values.begin() + static_cast<std::ptrdiff_t>(i), values.end());
    return values[i];
}

Summary summarise(const Ensemble& ensemble, const Adrift& adrift, const Dangers& dangers) {
    Summary out;
    out.outcomes = outcomes_of(ensemble, dangers);
    std::vector<double> trouble, zone, touch;
    for (const auto& fate : ensemble.fates) {
        trouble.push_back(fate.trouble_s());
        zone.push_back(fate.zone_s);
        touch.push_back(fate.touch_s);
        out.touched_share +=
            fate.touch_s != not_reached ? 1.0 / static_cast<double>(ensemble.fates.size()) : 0.0;
    }
    out.trouble = times_of(std::move(trouble));
    find_soonest(out, ensemble, dangers);
    out.zone = times_of(std::move(zone));
    out.touch = times_of(std::move(touch));
    out.clusters = clusters_of(ensemble, dangers);
    out.aground = aground_of(ensemble, adrift, dangers);
    return out;
}

} // namespace dangerline::drift
