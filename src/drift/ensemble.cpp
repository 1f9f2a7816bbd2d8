#include "dangerline/drift/ensemble.hpp"

#include <algorithm>
#include <cmath>
#include <stdexcept>

#include "dangerline/base/parallel.hpp"
#include "drift/draws.hpp"

namespace dangerline::drift {

namespace {

constexpr std::uint32_t block_particles = 256; // whole tiles of the kernel
constexpr double hour_s = 3600.0;
constexpr std::uint32_t tide_every = 10; // steps that share a lowest tide

class Run {
  public:
    Run(const Adrift& adrift, const Dangers& dangers, const EnsembleSettings& settings, std::uint32_t first,
        std::uint32_t count, Ensemble& out)
        : adrift_(adrift), dangers_(dangers), settings_(settings), out_(out), corner_(adrift.water->corner()),
          block_(settings.seed, first, count, settings.errors, adrift.leeway,
                 {adrift.start.x - corner_.x, adrift.start.y - corner_.y}),
          kernel_(kernel_at(settings.level)) {
        lay_input();
    }

    void all() {
        look_at_the_start();
        const auto steps = static_cast<std::uint32_t>(std::ceil(adrift_.lasts_s / settings_.step_s - 1e-9));
        for (std::uint32_t k = 0; k < steps && block_.alive() > 0; ++k) {
            t_s_ = k * settings_.step_s;
            keep_tracks();
            one_step(k);
            t_s_ += settings_.step_s;
            keep_hours();
        }
        while (block_.alive() > 0)
            end(0, End::afloat, t_s_, block_.at(0));
        keep_tracks();
    }

  private:
    void lay_input() {
        const StreamGrid& water = *adrift_.water;
        in_.stream = {water.cells().data(),
                      water.columns(),
                      water.rows(),
                      water.slices(),
                      static_cast<float>(1.0 / water.spacing_m()),
                      static_cast<float>(1.0 / water.slice_s())};
        in_.dt_s = static_cast<float>(settings_.step_s);
        // A uniform law of this width has the variance 2 K dt.
        in_.bounds_per_m = static_cast<float>(1.0 / Dangers::cell_m);
        in_.walk_m =
            static_cast<float>(std::sqrt(12.0 * 2.0 * settings_.errors.eddies_m2ps * settings_.step_s));
        in_.key[0] = static_cast<std::uint32_t>(settings_.seed);
        in_.key[1] = static_cast<std::uint32_t>(settings_.seed >> 32);
    }

    Fate& fate(std::int32_t i) { return out_.fates[block_.id(i)]; }
    geo::Point in_plane(geo::Point from_corner) const {
        return {from_corner.x + corner_.x, from_corner.y + corner_.y};
    }
    Instant now() const { return adrift_.begin + t_s_; }

    void end(std::int32_t i, End how, double at_s, geo::Point from_corner) {
        Fate& f = fate(i);
        f.end = how;
        f.end_s = static_cast<float>(at_s);
        f.clock_s = static_cast<float>(block_.phase(i));
        f.end_at = in_plane(from_corner);
        block_.remove(i);
    }
    void end_all(End how) {
        while (block_.alive() > 0)
            end(0, how, t_s_, block_.at(0));
    }

    /// A boat may lie in a danger zone before anything fails.
    void look_at_the_start() {
        const bool near = settings_.exact_by_all || danger_near_start();
        for (std::int32_t i = block_.alive(); i-- > 0;) {
            const auto tide = adrift_.tide->at(now() + block_.phase(i));
            if (!tide) {
                end(i, End::tide_unknown, 0.0, block_.at(i));
                continue;
            }
            if (!near)
                continue;
            const geo::Point place = in_plane(block_.at(i));
            take(i, dangers_.first(place, place, water(i, place, *tide, *tide)), 0.0, 0.0, place, place);
        }
    }

    bool danger_near_start() const {
        bool all_known = true;
        const auto lowest =
            adrift_.tide->lowest(now() + block_.least_phase(), now() + block_.greatest_phase(), all_known);
        if (!lowest)
            return true;
        const geo::Point place{adrift_.start.x - corner_.x, adrift_.start.y - corner_.y};
        const auto cell = [](double metres) { return static_cast<std::int32_t>(metres / Dangers::cell_m); };
        const std::int32_t column = cell(place.x), row = cell(place.y);
        if (place.x < 0.0 || place.y < 0.0 || column >= dangers_.columns() || row >= dangers_.rows())
            return true;
        return dangers_.bounds_at(*lowest).zone_m(column, row) == 0.0;
    }

    StepWater water(std::int32_t i, geo::Point place, double from_m, double to_m) const {
        StepWater w{from_m, to_m, adrift_.sea};
        w.state.rate_mps.reset();
        if (!dangers_.any_rough())
            return w;
        if (const auto stream = adrift_.water->at(place, now() + block_.phase(i))) {
            w.state.rate_mps = stream->rate_mps() * block_.stream_factor(i);
            const auto wind = adrift_.wind->at(now());
            if (wind) {
                w.state.wind_mps = wind->speed_mps();
                if (wind->east_mps * stream->east_mps + wind->north_mps * stream->north_mps >= 0.0)
                    w.state.wind_mps = 0.0; // it blows with the stream
            }
        }
        return w;
    }

    void one_step(std::uint32_t k) {
        const auto wind = adrift_.wind->at(now());
        if (!wind)
            return end_all(End::wind_unknown);
        if (k % tide_every == 0)
            lowest_ = adrift_.tide->lowest(now() + block_.least_phase(),
                                           now() + tide_every * settings_.step_s + block_.greatest_phase(),
                                           tide_known_);
        if (!lowest_)
            return end_all(End::tide_unknown);
        if (k % tide_every == 0) {
            const auto& bounds = dangers_.bounds_at(*lowest_);
            if (in_.bounds != &bounds)
                block_.forget_free(); // it held for the tides of another band
            in_.bounds = &bounds;
        }
        in_.step = k;
        in_.t_s = static_cast<float>(now() - adrift_.water->from());
        push(*wind);
        kernel_.step(in_, block_.view(), block_.alive());
        const bool all = !tide_known_ || settings_.exact_by_all;
        std::int32_t seen[block_particles + 1]; // one more is written before it is known not to count
        // From the last one, since a boat that ends is replaced by the last.
        for (std::int32_t left = block_.to_look_at(all, seen); left-- > 0;)
            look_at(seen[left]);
    }

    /// Wind and own way mostly stay what they were a step before.
    void push(const sea::WindThere& wind) {
        const bool under_way = t_s_ < adrift_.own_s;
        if (wind_ && wind_->east_mps == wind.east_mps && wind_->north_mps == wind.north_mps &&
            under_way_ == under_way)
            return;
        wind_ = wind;
        under_way_ = under_way;
        Push by;
        const double mps = wind.speed_mps();
        by.wind_mps = static_cast<float>(mps);
        by.wind_x = mps > 0.0 ? static_cast<float>(wind.east_mps / mps) : 0.0f;
        by.wind_y = mps > 0.0 ? static_cast<float>(wind.north_mps / mps) : 0.0f;
        by.own_x = under_way ? static_cast<float>(adrift_.own_mps.x) : 0.0f;
        by.own_y = under_way ? static_cast<float>(adrift_.own_mps.y) : 0.0f;
        kernel_.push(by, block_.view(), block_.alive());
    }

    void look_at(std::int32_t i) {
        const std::int32_t flags = block_.attention(i);
        if (flags & Attention::left_grid)
            return end(i, End::left_area, t_s_, block_.before(i));
        if (flags & Attention::stream_unknown)
            return end(i, End::stream_unknown, t_s_, block_.before(i));
        const geo::Point a = in_plane(block_.before(i)), b = in_plane(block_.at(i));
        const geo::Point half_way{0.5 * (a.x + b.x), 0.5 * (a.y + b.y)};
        if (settings_.by_mask) {
            const bool zones = !block_.in_zone(i);
            Hits hits;
            if (dangers_.reached(*in_.bounds, half_way, zones))
                (zones ? hits.zone : hits.touch) = Hit{0.5, 0};
            return take(i, hits, t_s_, settings_.step_s, a, b);
        }
        if (tide_known_ && !settings_.exact_by_all) {
            if (const auto free = dangers_.measure(*in_.bounds, half_way, !block_.in_zone(i))) {
                const double half_run = 0.5 * std::hypot(b.x - a.x, b.y - a.y);
                if (*free > half_run)
                    return block_.set_free(i, *free - half_run);
            }
            if (!dangers_.any_near(*in_.bounds, a, b, !block_.in_zone(i)))
                return;
        }
        const Instant from = now() + block_.phase(i);
        const auto before = adrift_.tide->at(from), after = adrift_.tide->at(from + settings_.step_s);
        if (!before || !after)
            return end(i, End::tide_unknown, t_s_, block_.before(i));
        if (!settings_.exact_by_all && !(flags & Attention::near_danger))
            return;
        const StepWater w = water(i, a, *before, *after);
        const bool zones = !block_.in_zone(i);
        take(i,
             settings_.exact_by_all ? dangers_.first_by_all(a, b, w, zones) : dangers_.first(a, b, w, zones),
             t_s_, settings_.step_s, a, b);
    }

    void take(std::int32_t i, const Hits& hits, double from_s, double lasts_s, geo::Point a, geo::Point b) {
        const auto at = [&](double share) {
            return geo::Point{a.x + share * (b.x - a.x), a.y + share * (b.y - a.y)};
        };
        const auto ends_here = [&](End how, const Hit& hit) {
            const geo::Point place = at(hit.share);
            fate(i).touch = hit.obstacle;
            end(i, how, from_s + hit.share * lasts_s, {place.x - corner_.x, place.y - corner_.y});
        };
        const auto& all = dangers_.all();
        const auto unknown = [&](const Hit& hit) {
            return all[hit.obstacle].says == Obstacle::Says::unknown;
        };
        if (hits.zone && !block_.in_zone(i)) {
            if (unknown(*hits.zone))
                return ends_here(End::unknown_water, *hits.zone);
            Fate& f = fate(i);
            f.zone = hits.zone->obstacle;
            f.zone_s = static_cast<float>(from_s + hits.zone->share * lasts_s);
            f.zone_at = at(hits.zone->share);
            block_.enter_zone(i);
        }
        if (!hits.touch)
            return;
        if (unknown(*hits.touch))
            return ends_here(End::unknown_water, *hits.touch);
        fate(i).touch_s = static_cast<float>(from_s + hits.touch->share * lasts_s);
        ends_here(End::touched, *hits.touch);
    }

    void keep_tracks() {
        if (settings_.tracks == 0 || std::fmod(t_s_, track_step_s) != 0.0)
            return;
        for (std::int32_t i = 0; i < block_.alive(); ++i)
            if (block_.id(i) < out_.tracks.size())
                out_.tracks[block_.id(i)].push_back(in_plane(block_.at(i)));
    }

    void keep_hours() {
        if (!settings_.hourly || std::fmod(t_s_, hour_s) != 0.0)
            return;
        const auto hour = static_cast<std::size_t>(t_s_ / hour_s) - 1;
        for (std::int32_t i = 0; i < block_.alive() && hour < out_.hourly.size(); ++i)
            out_.hourly[hour][block_.id(i)] = in_plane(block_.at(i));
    }

    const Adrift& adrift_;
    const Dangers& dangers_;
    const EnsembleSettings& settings_;
    Ensemble& out_;
    geo::Point corner_;
    Block block_;
    Kernel kernel_;
    StepInput in_{};
    std::optional<sea::WindThere> wind_{}; // of the step before
    bool under_way_ = false;
    double t_s_ = 0.0;
    std::optional<double> lowest_{}; // of the tides of all particles, for tide_every steps
    bool tide_known_ = true;
};

} // namespace

Errors Errors::none() {
    return {0.0, 0.0, 0.0, 0.0, 0.0, 0.0, 0.0, 0.0};
}

const char* to_text(End end) {
    switch (end) {
    case End::afloat:
        return "afloat";
    case End::touched:
        return "touched";
    case End::unknown_water:
        return "water nobody charted";
    case End::left_area:
        return "left the area looked at";
    case End::stream_unknown:
        return "stream not known";
    case End::wind_unknown:
        return "wind not known";
    case End::tide_unknown:
        return "tide not known";
    }
    return "";
}

float Fate::trouble_s() const {
    return std::min(zone_s, end == End::afloat ? not_reached : end_s);
}

TideLine::TideLine(const std::function<std::optional<double>(Instant)>& height_m, Instant from, Instant to)
    : from_(from) {
    const auto count = static_cast<std::size_t>(std::ceil((to - from) / step_s)) + 1;
    bool any = false;
    for (std::size_t i = 0; i < count; ++i) {
        const auto height = height_m(from + step_s * static_cast<double>(i));
        heights_.push_back(height ? static_cast<float>(*height) : std::numeric_limits<float>::quiet_NaN());
        if (!height)
            continue;
        const double h = heights_.back();
        lowest_ = any ? std::min(lowest_, h) : h;
        highest_ = any ? std::max(highest_, h) : h;
        any = true;
    }
}

std::optional<double> TideLine::at(Instant t) const {
    const double position = (t - from_) / step_s;
    if (!(position >= 0.0 && position <= static_cast<double>(heights_.size() - 1)))
        return std::nullopt;
    const auto i = std::min(static_cast<std::size_t>(position), heights_.size() - 2);
    const double share = position - static_cast<double>(i);
    const double height = share == 0.0 ? heights_[i] : heights_[i] + share * (heights_[i + 1] - heights_[i]);
    return std::isnan(height) ? std::nullopt : std::optional(height);
}

std::optional<double> TideLine::lowest(Instant from, Instant to, bool& all_known) const {
    const double first = std::floor((from - from_) / step_s), last = std::ceil((to - from_) / step_s);
    const double end = static_cast<double>(heights_.size()) - 1.0;
    all_known = first >= 0.0 && last <= end;
    std::optional<double> lowest;
    for (double i = std::max(first, 0.0); i <= std::min(last, end); ++i) {
        const float h = heights_[static_cast<std::size_t>(i)];
        all_known = all_known && !std::isnan(h);
        if (!std::isnan(h))
            lowest = std::min(lowest.value_or(h), static_cast<double>(h));
    }
    return lowest;
}

Ensemble run(const Adrift& adrift, const Dangers& dangers, const EnsembleSettings& settings) {
    const geo::Box water = adrift.water->box(), looked_at = dangers.settings().box;
    if (looked_at.min_x != water.min_x || looked_at.min_y != water.min_y || looked_at.max_x < water.max_x ||
        looked_at.max_y < water.max_y)
        throw std::invalid_argument("dangers and streams must be laid over one box");
    Ensemble out;
    out.fates.resize(settings.particles);
    out.tracks.resize(std::min(settings.tracks, settings.particles));
    if (settings.hourly)
        out.hourly.assign(static_cast<std::size_t>(adrift.lasts_s / hour_s),
                          std::vector<geo::Point>(settings.particles, geo::Point{NAN, NAN}));
    const std::size_t blocks = (settings.particles + block_particles - 1) / block_particles;
    parallel_for(
        blocks,
        [&](std::size_t b) {
            const auto first = static_cast<std::uint32_t>(b) * block_particles;
            Run(adrift, dangers, settings, first, std::min(block_particles, settings.particles - first), out)
                .all();
        },
        settings.threads, 1);
    for (auto& hour : out.hourly)
        for (std::size_t i = 0; i < hour.size(); ++i)
            if (std::isnan(hour[i].x))
                hour[i] = out.fates[i].end_at;
    for (std::size_t i = 0; i < out.tracks.size(); ++i)
        if (out.tracks[i].empty() || !(out.tracks[i].back() == out.fates[i].end_at))
            out.tracks[i].push_back(out.fates[i].end_at);
    return out;
}

} // namespace dangerline::drift
