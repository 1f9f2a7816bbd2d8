#include "dangerline/passage/voyage.hpp"

#include <algorithm>
#include <cmath>
#include <limits>
#include <numbers>

#include "dangerline/base/error.hpp"
#include "passage/made_good.hpp"
#include "passage/stream_pieces.hpp"

#include <fmt/format.h>

namespace dangerline::passage {

namespace {

constexpr double deg = std::numbers::pi / 180.0;
/// Path coordinates this near are one: contacts come out of another computation than places.
constexpr double same_m = 1e-6;
const Instant never = Instant::from_unix_seconds(-std::numeric_limits<double>::infinity());

void refuse_wait(const Track& track, const Wait& wait, const std::string& what) {
    throw Failure(Fault::plan, {.object = "route \"" + track.route().name + "\"",
                                .what = fmt::format("wait at place {}: {}", wait.place + 1, what),
                                .expected = "one wait a place, at a place after the first",
                                .remedy = wait.place == 0 ? "leave later instead" : ""});
}

/// Latest arrival (earliest where `earliest`) whose wait ends by x (not before x).
Instant arrival_for(const Wait* wait, Instant x, bool earliest) {
    if (!wait)
        return x;
    const auto& gates = wait->until;
    if (!gates.empty() && x <= gates.back()) {
        // Whoever is ready after one gate and up to the next leaves at the next.
        const auto gate = earliest ? std::lower_bound(gates.begin(), gates.end(), x)
                                   : std::upper_bound(gates.begin(), gates.end(), x);
        if (gate == gates.begin())
            return never;
        x = *(gate - 1);
    }
    return x - wait->seconds;
}

} // namespace

MadeGood make_good(double course_deg, double speed_mps, const sea::Stream& stream) {
    const OnCourse course(course_deg);
    const double to_right = course.to_right(stream);
    MadeGood out;
    out.crab_share = OnCourse::crab_share(to_right, speed_mps);
    out.possible = out.crab_share <= 1.0;
    out.speed_mps = OnCourse::speed(to_right, course.along(stream), speed_mps);
    if (!out.possible) {
        out.steer_deg = course_deg;
        return out;
    }
    const double steer = course_deg - std::asin(to_right / speed_mps) / deg;
    out.steer_deg = steer - 360.0 * std::floor(steer / 360.0);
    return out;
}

struct Voyage::Data {
    std::vector<double> cuts;
    std::vector<double> still_mps;    ///< of each piece, without stream
    std::vector<const Wait*> wait_at; ///< at each cut, null for none
    std::vector<Wait> waits;
    std::optional<StreamPieces> streams;
    std::vector<Spell> spells;

    std::size_t pieces() const { return still_mps.size(); }
    double piece_m(std::size_t i) const { return cuts[i + 1] - cuts[i]; }
    /// The piece that ends at s or holds it.
    std::size_t piece_to(double s) const {
        const auto it = std::lower_bound(cuts.begin() + 1, cuts.end() - 1, s - same_m);
        return static_cast<std::size_t>(it - cuts.begin()) - 1;
    }
    double into(std::size_t i, double s) const { return std::clamp(s - cuts[i], 0.0, piece_m(i)); }
    bool ends_at(std::size_t i, double s) const { return std::abs(s - cuts[i + 1]) <= same_m; }

    /// Ends of a wait at cut i to arrivals there.
    void unwait(std::size_t i, std::span<Instant> times, bool earliest) const {
        if (wait_at[i])
            for (Instant& t : times)
                if (t != never)
                    t = arrival_for(wait_at[i], t, earliest);
    }
    /// Begins of `metres` that end at these times.
    void before(std::size_t piece, std::span<Instant> times, double metres) const {
        if (streams)
            return streams->before(piece, times, metres);
        const double seconds = metres / still_mps[piece];
        for (Instant& t : times)
            t = t - seconds;
    }
    /// Arrivals at s in piece i to departures.
    void back_from(std::size_t i, double s, std::span<Instant> times, bool earliest) const {
        before(i, times, into(i, s));
        for (; i > 0; --i) {
            unwait(i, times, earliest);
            before(i - 1, times, piece_m(i - 1));
        }
    }
};

Voyage::Voyage(const Track& track, const Settings& settings) {
    auto data = std::make_shared<Data>();
    data->waits = settings.waits;
    const auto& places = track.place_coordinates();
    data->cuts.push_back(0.0);
    std::vector<std::size_t> legs;
    for (std::size_t leg = 0; leg + 1 < places.size(); ++leg) {
        const double from = places[leg], length = places[leg + 1] - from;
        const int count =
            settings.streams ? std::max(1, static_cast<int>(std::ceil(length / stream_piece_m))) : 1;
        for (int k = 1; k <= count; ++k) {
            data->cuts.push_back(k == count ? places[leg + 1] : from + length * k / count);
            data->still_mps.push_back(track.route().speeds_mps.at(leg) * settings.speed_factor);
            legs.push_back(leg);
        }
    }
    data->wait_at.assign(data->cuts.size(), nullptr);
    for (const auto& wait : data->waits) {
        if (wait.place == 0 || wait.place >= places.size())
            refuse_wait(track, wait, wait.place == 0 ? "that is the start" : "the route has no such place");
        const auto at = std::lower_bound(data->cuts.begin(), data->cuts.end(), places[wait.place]);
        const Wait*& there = data->wait_at[static_cast<std::size_t>(at - data->cuts.begin())];
        if (there)
            refuse_wait(track, wait, "the boat waits there already (recovery is a wait at the last place)");
        there = &wait;
    }
    if (settings.streams) {
        data->streams.emplace(track, data->cuts, legs, data->still_mps, settings);
        data->spells = data->streams->spells();
    }
    data_ = std::move(data);
}

double Voyage::length() const {
    return data_->cuts.back();
}

const std::vector<double>& Voyage::cuts() const {
    return data_->cuts;
}

const std::vector<Voyage::Spell>& Voyage::not_held() const {
    return data_->spells;
}

bool Voyage::has_streams() const {
    return data_->streams.has_value();
}

bool Voyage::steady() const {
    return !data_->streams && std::all_of(data_->wait_at.begin(), data_->wait_at.end(),
                                          [](const Wait* wait) { return !wait || wait->until.empty(); });
}

std::optional<sea::Stream> Voyage::stream(double s, Instant t) const {
    return data_->streams ? data_->streams->stream(data_->piece_to(s), t) : std::nullopt;
}

Instant Voyage::after(std::size_t i, Instant begin, double metres) const {
    return data_->streams ? data_->streams->after(i, begin, metres) : begin + metres / data_->still_mps[i];
}

double Voyage::gone(std::size_t i, Instant begin, Instant t) const {
    const double metres =
        data_->streams ? data_->streams->gone(i, begin, t) : (t - begin) * data_->still_mps[i];
    return std::clamp(metres, 0.0, data_->piece_m(i));
}

Instant Voyage::waited(std::size_t i, Instant t) const {
    const Wait* wait = data_->wait_at[i];
    if (!wait)
        return t;
    const Instant ready = t + wait->seconds;
    const auto gate = std::lower_bound(wait->until.begin(), wait->until.end(), ready);
    return gate == wait->until.end() ? ready : *gate;
}

Instant Voyage::reach(double s, Instant departure) const {
    if (s <= same_m)
        return departure;
    const std::size_t last = data_->piece_to(s);
    Instant t = departure;
    for (std::size_t i = 0; i < last; ++i)
        t = waited(i + 1, after(i, t, data_->piece_m(i)));
    return after(last, t, data_->into(last, s));
}

Instant Voyage::leave(double s, Instant departure) const {
    const Instant t = reach(s, departure);
    const std::size_t i = data_->piece_to(s);
    return s > same_m && data_->ends_at(i, s) ? waited(i + 1, t) : t;
}

Instant Voyage::departure_reaching(double s, Instant t) const {
    departures_reaching(s, {&t, 1});
    return t;
}

Instant Voyage::departure_leaving(double s, Instant t) const {
    departures_leaving(s, {&t, 1});
    return t;
}

void Voyage::departures_reaching(double s, std::span<Instant> times) const {
    if (s > same_m)
        data_->back_from(data_->piece_to(s), s, times, false);
}

void Voyage::departures_leaving(double s, std::span<Instant> times) const {
    if (s <= same_m)
        return;
    const std::size_t i = data_->piece_to(s);
    if (data_->ends_at(i, s))
        data_->unwait(i + 1, times, true);
    data_->back_from(i, s, times, true);
}

} // namespace dangerline::passage
