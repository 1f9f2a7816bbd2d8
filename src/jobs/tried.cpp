#include "dangerline/jobs/tried.hpp"

#include "dangerline/base/error.hpp"
#include "dangerline/files/track.hpp"
#include "dangerline/jobs/stations.hpp"
#include "jobs/sounder.hpp"

#include <algorithm>
#include <cmath>
#include <set>

#include <fmt/format.h>

namespace dangerline::jobs {

namespace {

constexpr double hour_s = 3600.0;

/// The tide of the plan around a run.
class TideOfRun {
  public:
    TideOfRun(const plan::Plan& plan, const plan::TriedEntry& entry, const geo::Plane& plane,
              const std::vector<chart::Cell>& cells, std::optional<Instant> from, std::optional<Instant> to)
        : entry_(entry) {
        chart_datum_ = cells.empty() ? 0 : cells.front().header.sdat;
        if (entry.tide_m || !from)
            return;
        stations_ = stations_of(plan, read_tides(plan, *from - hour_s, *to + hour_s));
        map_.emplace(plane, stations_, land_of(cells),
                     tide::StationDoubt{plan.doubts.tide_height_m, plan.doubts.tide_time_s});
    }

    std::optional<double> operator()(geo::Point place, Instant at, int datum) const {
        if (entry_.tide_m)
            return datum == chart_datum_ ? entry_.tide_m : std::nullopt;
        if (!map_)
            return std::nullopt;
        const auto there = tide::lowest_there(stations_, map_->at(place), datum, at, at);
        return there ? std::optional(there->height.metres()) : std::nullopt;
    }

  private:
    const plan::TriedEntry& entry_;
    int chart_datum_ = 0;
    std::vector<tide::Station> stations_;
    std::optional<tide::StationMap> map_;
};

files::RecordedTrack track_of(const plan::TriedEntry& entry, const plan::Plan& plan) {
    auto tracks = files::read_tracks(entry.file);
    std::string names;
    for (auto& track : tracks) {
        names += (names.empty() ? "\"" : ", \"") + track.name + "\"";
        if (entry.pick.empty() ? tracks.size() == 1 : track.name == entry.pick)
            return std::move(track);
    }
    throw Failure(Fault::plan,
                  {.file = plan.file.string(),
                   .object = fmt::format("line {}, tried.pick", entry.line),
                   .what = entry.pick.empty()
                               ? fmt::format("{} tracks in {}", tracks.size(), entry.file.string())
                               : fmt::format("no track named \"{}\" in {}", entry.pick, entry.file.string()),
                   .expected = "one of " + names});
}

void check_day(const std::string& file, const std::string& object, Instant at, const plan::TriedEntry& entry,
               const plan::Plan& plan) {
    const auto day = plan.zone.day(at);
    const long later = days_between(entry.date, day);
    if (later != 0 && later != 1) // a run may last over midnight
        throw Failure(Fault::data, {.file = file,
                                    .object = object,
                                    .what = fmt::format("was run on {}, the plan says {}", to_text(day),
                                                        to_text(entry.date)),
                                    .expected = "the same day in both",
                                    .remedy = "correct date in the plan, or name the right file"});
}

std::optional<Instant> first_time(const files::RecordedTrack& track) {
    for (const auto& fix : track.fixes)
        if (fix.at)
            return fix.at;
    return std::nullopt;
}

std::optional<Instant> last_time(const files::RecordedTrack& track) {
    for (auto it = track.fixes.rbegin(); it != track.fixes.rend(); ++it)
        if (it->at)
            return it->at;
    return std::nullopt;
}

/// The least a sounder found between two fixes; nothing where it was silent.
std::optional<double> sounded_between(const std::vector<Sounding>& log, Instant from, Instant to) {
    constexpr double slack_s = 5.0;
    std::optional<double> least;
    auto it = std::lower_bound(log.begin(), log.end(), from - slack_s,
                               [](const Sounding& s, Instant t) { return s.at < t; });
    for (; it != log.end() && it->at <= to + slack_s; ++it)
        least = std::min(least.value_or(it->depth_m), it->depth_m);
    return least;
}

/// What a run proves.
class Proof {
  public:
    Proof(const plan::TriedEntry& entry, const geo::Plane& plane, const std::vector<chart::Cell>& cells,
          const TideAt& tide_at)
        : entry_(entry), plane_(plane), tide_at_(tide_at) {
        for (const auto& cell : cells)
            for (const int code : chart::sounding_datums(cell))
                codes_.insert(code);
    }

    /// `deeper_m`: by which the whole log reads deeper than chart and tide; that much is not proven.
    std::vector<passage::TriedPiece> pieces(const files::RecordedTrack& track,
                                            const std::vector<Sounding>& log, double deeper_m) const {
        std::vector<passage::TriedPiece> out;
        for (std::size_t i = 1; i < track.fixes.size(); ++i) {
            const auto &a = track.fixes[i - 1], &b = track.fixes[i];
            const bool timed = a.at && b.at;
            if (b.first || (!timed && !entry_.tide_m))
                continue;
            passage::TriedPiece piece{{plane_.to_plane(a.place), plane_.to_plane(b.place)}, entry_.draught_m};
            if (piece.leg.length() > passage::tried_fixes_apart_m)
                continue;
            if (const auto depth = timed ? sounded_between(log, *a.at, *b.at) : std::nullopt) {
                piece.water_m = *depth + entry_.transducer_m - deeper_m;
                piece.sounded = true;
            }
            add_tides(piece, a, b);
            if (!piece.tide_m.empty())
                out.push_back(std::move(piece));
        }
        return out;
    }

  private:
    /// The higher of both ends: less is proven then.
    void add_tides(passage::TriedPiece& piece, const files::TrackFix& a, const files::TrackFix& b) const {
        const Instant never = Instant::from_unix_seconds(0.0);
        for (const int code : codes_) {
            const auto first = tide_at_(piece.leg.from, a.at.value_or(never), code);
            const auto last = tide_at_(piece.leg.to, b.at.value_or(never), code);
            if (first && last)
                piece.tide_m[code] = std::max(*first, *last);
        }
    }

    const plan::TriedEntry& entry_;
    const geo::Plane& plane_;
    const TideAt& tide_at_;
    std::set<int> codes_;
};

void require_past(const plan::TriedEntry& entry, const plan::Plan& plan, const CalendarDay& as_of) {
    if (as_of < entry.date)
        throw Failure(Fault::plan, {.file = plan.file.string(),
                                    .object = fmt::format("line {}, tried.date", entry.line),
                                    .what = fmt::format("{} lies after the day of use, {}",
                                                        to_text(entry.date), to_text(as_of)),
                                    .expected = "a day before it",
                                    .remedy = "correct the one that is wrong, or state as_of in the plan"});
}

std::string why_nothing(const plan::TriedEntry& entry, const files::RecordedTrack& track, long age_days,
                        const std::vector<passage::TriedPiece>& pieces) {
    if (age_days > passage::tried_days)
        return fmt::format("it was run {} days ago, over {}", age_days, passage::tried_days);
    if (!first_time(track) && !entry.tide_m)
        return "its track has no times with their zone, and no tide is stated";
    if (pieces.empty())
        return fmt::format("no tide is known for it, or its fixes lie over {:.0f} m apart",
                           passage::tried_fixes_apart_m);
    return "";
}

TriedOutcome read_one(const plan::TriedEntry& entry, const plan::Plan& plan, const geo::Plane& plane,
                      const CalendarDay& as_of, const std::vector<chart::Cell>& cells) {
    require_past(entry, plan, as_of);
    const auto track = track_of(entry, plan);
    std::vector<Sounding> log;
    if (!entry.sounder.empty())
        log = read_sounder(entry.sounder);
    auto first = first_time(track), last = last_time(track);
    if (first)
        check_day(entry.file.string(), "track", *first, entry, plan);
    if (!log.empty()) {
        check_day(entry.sounder.string(), "log", log.front().at, entry, plan);
        check_day(entry.sounder.string(), "log", log.back().at, entry, plan);
        first = std::min(first.value_or(log.front().at), log.front().at);
        last = std::max(last.value_or(log.back().at), log.back().at);
    }
    TriedOutcome out;
    out.run.by = entry.by;
    out.run.on = entry.date;
    out.file = entry.file.filename().string();
    const TideOfRun tide(plan, entry, plane, cells, first, last);
    const TideAt tide_at = [&tide](geo::Point p, Instant t, int code) { return tide(p, t, code); };
    if (!log.empty())
        compare_soundings(log, entry.transducer_m, plane, cells, tide_at, out);
    // A log that is off as a whole, or of which nobody can say, proves no depth.
    const bool relied_on = out.offset && std::abs(out.offset->metres) <= survey::greatest_offset_m;
    out.run.pieces = Proof(entry, plane, cells, tide_at)
                         .pieces(track, relied_on ? log : std::vector<Sounding>{},
                                 out.offset ? std::max(out.offset->metres, 0.0) : 0.0);
    out.why_not = why_nothing(entry, track, days_between(entry.date, as_of), out.run.pieces);
    if (!out.why_not.empty())
        out.run.pieces.clear();
    for (const auto& piece : out.run.pieces)
        out.length_m += piece.leg.length();
    return out;
}

} // namespace

std::vector<TriedOutcome> read_tried(const plan::Plan& plan, const geo::Plane& plane,
                                     const CalendarDay& as_of, const std::vector<chart::Cell>& cells,
                                     Diagnostics& diagnostics) {
    std::vector<TriedOutcome> outcomes;
    for (const auto& entry : plan.tried) {
        auto& out = outcomes.emplace_back(read_one(entry, plan, plane, as_of, cells));
        const std::string file = entry.file.string();
        if (!out.why_not.empty())
            diagnostics.push_back({Severity::warning, file, "",
                                   "the run of " + entry.by + " counts for nothing: " + out.why_not});
        if (!out.offset_words.empty())
            diagnostics.push_back({out.offset && std::abs(out.offset->metres) <= survey::greatest_offset_m
                                       ? Severity::note
                                       : Severity::warning,
                                   entry.sounder.string(), "", out.offset_words});
    }
    return outcomes;
}

std::vector<passage::TriedRun> runs_that_count(const std::vector<TriedOutcome>& outcomes) {
    std::vector<passage::TriedRun> runs;
    for (const auto& outcome : outcomes)
        if (outcome.why_not.empty())
            runs.push_back(outcome.run);
    return runs;
}

} // namespace dangerline::jobs
