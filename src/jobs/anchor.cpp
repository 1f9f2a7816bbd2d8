#include "dangerline/jobs/anchor.hpp"

#include "dangerline/base/error.hpp"
#include "dangerline/drift/anchor_loads.hpp"
#include "dangerline/sea/series.hpp"
#include "dangerline/tide/cycle.hpp"
#include "jobs/anchor_ground.hpp"
#include "jobs/anchor_words.hpp"
#include "jobs/drift_scene.hpp"
#include "jobs/scene.hpp"
#include "jobs/trust.hpp"

#include <algorithm>
#include <cmath>
#include <memory>
#include <set>

#include <fmt/format.h>

namespace dangerline::jobs {

namespace {

using hazard::Grade;

constexpr double danger_within_m = 3000.0; // looked for the nearest danger

/// Between nodes the stream of a station is never stronger than at one of the two.
Instant next_node(Instant t) {
    constexpr double step_s = sea::series_step_s;
    return Instant::from_unix_seconds((std::floor(t.unix_seconds() / step_s) + 1.0) * step_s);
}

void require_gear(const plan::Plan& plan) {
    if (!plan.gear.anchor)
        throw Failure(Fault::plan,
                      {.file = plan.file.string(),
                       .object = "boat.anchor",
                       .what = "the plan says nothing of the anchor aboard",
                       .expected = "a table [boat.anchor] with pattern, weight_kg, rope_m, chain_m "
                                   "and chain_mm, and bow_height_m in [boat]"});
}

/// Everything about one mark; members are filled in the order they rest on one another.
class MarkAsked {
  public:
    MarkAsked(const plan::Plan& plan, const Places& places, const hazard::BottomBounds& bounds,
              const hazard::AnchoringGround& ground, const std::optional<PlanWind>& winds, std::size_t number)
        : plan_(plan), places_(places), bounds_(bounds), ground_(ground), winds_(winds),
          asked_(places.asked()[number]), point_(places.points()[number]), choice_(places.choices()[number]),
          distrust_(places.distrust(number)) {}

    AnchorMark answer() {
        out_.name = asked_.name;
        out_.position = asked_.position;
        out_.from = asked_.from;
        out_.to = asked_.to;
        out_.moved_m = moved_at(places_.hazards(), point_);
        out_.bottom = bounds_.at(point_, drift::own_position_doubt_m + out_.moved_m);
        require_link();
        read_sea();
        read_depth();
        read_circle();
        read_pull();
        read_deadline();
        out_.grade = grade();
        put_into_words(out_, plan_);
        return std::move(out_);
    }

  private:
    const plan::AnchorGear& gear() const { return *plan_.gear.anchor; }
    double bow_m() const { return *plan_.gear.bow_height_m; }

    void require_link() const {
        if (out_.bottom.datum == 0)
            return;
        for (const std::size_t i : choice_.stations) {
            const auto& station = places_.stations()[i];
            if (!station.datums.offset_to(out_.bottom.datum))
                throw Failure(Fault::plan,
                              {.file = plan_.file.string(),
                               .object = "tide " + station.name,
                               .what = fmt::format("not linked to {}, the datum of the depths at mark \"{}\"",
                                                   tide::datum_text(out_.bottom.datum), asked_.name),
                               .expected = "a [[tide.link]] with that code"});
        }
    }

    /// 95 %, of a height above that datum.
    double tide_doubt_m(int datum) const {
        return choice_.doubt.height_m + (tide::is_approximate(datum) ? tide::approximate_datum_doubt_m : 0.0);
    }

    std::optional<tide::TideThere> extreme(int datum, Instant from, Instant to, bool high) const {
        if (!distrust_.empty() || datum == 0)
            return std::nullopt;
        from = from - choice_.doubt.time_s;
        to = to + choice_.doubt.time_s;
        return high ? tide::highest_there(places_.stations(), choice_, datum, from, to)
                    : tide::lowest_there(places_.stations(), choice_, datum, from, to);
    }

    std::optional<double> low_m(int datum) const {
        const auto low = extreme(datum, asked_.from, asked_.to, false);
        return low ? std::optional(low->height.metres()) : std::nullopt;
    }

    /// Strongest while she lies there; nothing where it is not known at some time.
    std::optional<double> largest_wind() const {
        return winds_ ? winds_->at(asked_.position).strongest_mps(asked_.from, asked_.to) : std::nullopt;
    }

    /// Largest rate while she lies there; nothing where it is not known at some time.
    std::optional<double> largest_stream() const {
        const auto& map = places_.streams().map;
        if (!map)
            return plan_.sea.rate_mps;
        double largest = 0.0;
        for (Instant t = asked_.from;; t = std::min(next_node(t), asked_.to)) {
            const auto there = map->at(point_, t);
            if (!there.bound_mps)
                return std::nullopt;
            largest = std::max(largest, *there.bound_mps);
            if (t >= asked_.to)
                return largest;
        }
    }

    /// The bottom between charted depths at the mark; where none is laid the least that any area so near
    /// allows.
    std::optional<double> shoalest_here() const {
        if (out_.bottom.surface && out_.moved_m <= 0.0)
            return out_.bottom.surface->metres() - out_.bottom.shoalest.doubt_m;
        const auto shoal = out_.bottom.no_shoaler_than();
        return shoal ? std::optional(shoal->metres()) : std::nullopt;
    }

    void read_sea() {
        auto& sea = out_.sea;
        sea.wind_mps = largest_wind();
        sea.stream_mps = largest_stream();
        if (plan_.margins.waves_given || plan_.sea.swell_m)
            sea.wave_m = wave_height_m(plan_);
        const auto low = low_m(out_.bottom.datum);
        if (const auto shoal = shoalest_here(); shoal && low)
            sea.breaking = drift::waves_break(wave_height_m(plan_), *shoal + *low);
        // Surf at the mark itself, or so near that the mark may lie in it.
        for (const auto& foul : ground_.foul_near(point_, drift::own_position_doubt_m))
            sea.breaking = sea.breaking || foul.rule->foul == hazard::Foul::surf;
    }

    RopeAtTide rope_at(const std::string& when, const tide::TideThere& there, Depth deepest) const {
        RopeAtTide row{when, there.at, there.height.metres() + tide_doubt_m(out_.bottom.datum)};
        row.depth_m = *drift::depth_to_reckon_with(deepest, TideHeight::from_metres(row.tide_m),
                                                   wave_height_m(plan_), bow_m());
        row.least_m = drift::least_factor(out_.sea) * row.depth_m;
        row.in_proportion_m = drift::proportion_m(row.depth_m, out_.sea, false);
        row.all_chain_m = drift::proportion_m(row.depth_m, out_.sea, true);
        return row;
    }

    void read_depth() {
        const auto deepest = out_.bottom.no_deeper_than();
        const int datum = out_.bottom.datum;
        const auto highest = extreme(datum, asked_.from, asked_.to, true);
        if (!distrust_.empty())
            out_.unknown = "the tide can't be relied on: " + distrust_;
        else if (!deepest)
            out_.unknown = out_.bottom.deepest.rests_on;
        else if (!std::isfinite(deepest->metres()))
            out_.unknown = "the mark lies on land: " + out_.bottom.deepest.rests_on;
        else if (!highest)
            out_.unknown = "the tide is not known for all of that time";
        if (!out_.unknown.empty())
            return;
        const auto add = [&](const char* when, Instant to, bool high) {
            if (const auto there = extreme(datum, asked_.from, to, high))
                out_.tides.push_back(rope_at(when, *there, *deepest));
        };
        add("low water while anchored", asked_.to, false);
        add("high water while anchored", asked_.to, true);
        add("low water of a tide cycle", asked_.from + tide::tide_cycle_s, false);
        add("high water of a tide cycle", asked_.from + tide::tide_cycle_s, true);
        out_.depth_m = rope_at("", *highest, *deepest).depth_m;
        out_.word = drift::rope_word(out_.depth_m, gear().line, out_.sea);
        out_.paid_out_m = drift::paid_out_m(*out_.depth_m, gear().line, out_.sea);
    }

    void read_circle() {
        const int datum = out_.bottom.datum;
        const auto shoal = out_.bottom.no_shoaler_than();
        const auto low = low_m(datum);
        std::optional<double> least_m;
        if (shoal && low && out_.depth_m)
            least_m = shoal->metres() + *low - tide_doubt_m(datum) + bow_m();
        if (!out_.depth_m)
            out_.paid_out_m = gear().line.aboard_m();
        out_.swing_m = drift::swing_radius_m(out_.paid_out_m, least_m, plan_.gear.length_or_default_m());
        out_.unknown_in_circle = unknown_around(places_.hazards(), ground_, point_, out_.swing_m);
        out_.fouls = fouls_around(ground_, point_, out_.swing_m);
        out_.touches = touches_around(
            places_.hazards(), bounds_.at(point_, out_.swing_m + out_.moved_m), point_, out_.swing_m,
            [this](int code) { return low_m(code); }, tide_doubt_m(datum), touching_water(plan_));
        out_.natures = natures_around(ground_, point_, gear().pattern);
        if (!out_.natures.empty())
            out_.holding =
                std::max_element(out_.natures.begin(), out_.natures.end(), [](const auto& a, const auto& b) {
                    return a.holding < b.holding;
                })->holding;
    }

    std::optional<double> worst_navy_rule() const {
        std::optional<double> least;
        for (const auto& note : out_.natures)
            for (const auto ground : drift::grounds_of(note.nature.natsur, note.nature.natqua)) {
                const auto holding = drift::navy_rule_n(gear().pattern, ground, gear().weight_kg);
                if (!holding)
                    return std::nullopt;
                least = std::min(least.value_or(*holding), *holding);
            }
        return least;
    }

    void read_pull() {
        if (!out_.depth_m || !out_.sea.wind_mps)
            return;
        const auto load = drift::anchor_load_n(plan_.gear.length_or_default_m(), *out_.sea.wind_mps);
        if (!load)
            return;
        PullNote pull{*load, {}, {}, {}, {}};
        pull.angle_deg = drift::pull_angle_deg(drift::line_out(gear().line, out_.paid_out_m, gear().chain_mm),
                                               *out_.depth_m, *load);
        if (pull.angle_deg)
            pull.factor = drift::angle_factor(*pull.angle_deg);
        if (const auto weight = gear().chain_mm ? drift::chain_newtons_per_m(*gear().chain_mm) : std::nullopt;
            weight && gear().line.rope_m <= 0.0)
            pull.flat_chain_m = drift::flat_chain_m(*out_.depth_m, *load, *weight);
        pull.holding_n = worst_navy_rule();
        out_.pull = pull;
    }

    void read_deadline() {
        if (!out_.depth_m || !out_.sea.stream_mps || !out_.sea.wind_mps)
            return;
        const auto nearest = nearest_danger(
            places_.hazards(), point_, danger_within_m, [this](int code) { return low_m(code); },
            passage::required_water(plan_.boat, plan_.margins));
        DeadlineNote note;
        note.danger = nearest ? nearest->words : "";
        note.distance_m = nearest ? nearest->distance_m : danger_within_m;
        double leeway_mps = 0.0;
        for (const auto& kind : drift_kinds(plan_))
            leeway_mps = std::max(leeway_mps, kind.leeway.speed(*out_.sea.wind_mps));
        note.drift_mps = *out_.sea.stream_mps + leeway_mps;
        note.decide_within_s = *drift::brake_at(out_.depth_m, note.distance_m, note.drift_mps, gear().line,
                                                out_.sea, plan_.gear.length_or_default_m())
                                    .decide_within_s;
        out_.deadline = std::move(note);
    }

    Grade grade() const {
        Grade worst = Grade::none_found;
        const auto add = [&worst](Grade grade) { worst = std::max(worst, grade); };
        for (const auto& note : out_.fouls)
            if (note.lies != Lies::beside)
                add(note.lies == Lies::in_circle && !note.foul.coarser ? Grade::danger : Grade::caution);
        for (const auto& note : out_.touches)
            add(note.grade);
        if (!out_.unknown_in_circle.empty() || !out_.depth_m || out_.holding == drift::Holding::unknown)
            add(Grade::unknown);
        if (out_.word == drift::RopeWord::too_short || out_.sea.breaking)
            add(Grade::danger);
        if (out_.word != drift::RopeWord::in_proportion || out_.holding != drift::Holding::suits)
            add(Grade::caution);
        return worst;
    }

    const plan::Plan& plan_;
    const Places& places_;
    const hazard::BottomBounds& bounds_;
    const hazard::AnchoringGround& ground_;
    const std::optional<PlanWind>& winds_;
    const AskedPlace& asked_;
    geo::Point point_;
    const tide::Choice& choice_;
    std::string distrust_;
    AnchorMark out_{};
};

/// Places with hazards whole `around_m` around them, and as much farther as what lies there may have moved by
/// now: how far is known only once the charts are read.
std::unique_ptr<const Places> whole_places(const plan::Plan& plan, const geo::Plane& plane,
                                           const std::vector<AskedPlace>& asked, const CalendarDay& as_of,
                                           double around_m, Diagnostics& diagnostics) {
    const auto drawn = moving_in(plan, plane);
    const auto trust = trust_on(plan, as_of);
    for (const auto& place : asked)
        around_m =
            std::max(around_m, danger_reach(drawn, trust, plane.to_plane(place.position), danger_within_m));
    for (;;) {
        Diagnostics said;
        auto places = std::make_unique<const Places>(plan, plane, asked, as_of,
                                                     Places::Settings{around_m, tide::tide_cycle_s}, said);
        double reach_m = 0.0;
        for (const auto& point : places->points())
            reach_m = std::max(reach_m, danger_reach(places->hazards(), point, danger_within_m));
        if (reach_m <= around_m) {
            diagnostics.insert(diagnostics.end(), said.begin(), said.end());
            return places;
        }
        around_m = reach_m;
    }
}

} // namespace

AnchorReport run_anchor(const plan::Plan& plan) {
    require_gear(plan);
    Diagnostics diagnostics;
    auto asked = needed_marks(plan);
    std::optional<PlanWind> winds;
    if (PlanWind::stated(plan))
        winds.emplace(plan);
    AnchorReport report{plan, plane_around(asked, plan)};
    report.as_of = plan.as_of.value_or(
        day_of(std::min_element(asked.begin(), asked.end(), [](const auto& a, const auto& b) {
                   return a.from < b.from;
               })->from));
    const double swing_m =
        plan.gear.anchor->line.aboard_m() + plan.gear.length_or_default_m() + drift::own_position_doubt_m;
    const auto whole = whole_places(plan, report.plane, asked, report.as_of,
                                    std::max(danger_within_m, swing_m) + beside_m, diagnostics);
    const Places& places = *whole;
    places.require_chart();
    report.cells = cell_notes(places.cells(), report.as_of);
    report.required_m = passage::required_water(plan.boat, plan.margins).metres();
    report.required_words = required_words(plan);
    report.tide_words = places.tide_words();
    TideNotes notes = places.tide_notes();
    report.tide_notes = std::move(notes.lines);
    report.warnings = std::move(notes.warnings);
    report.stream_notes = places.streams().notes;
    report.assumptions = anchor_assumptions(plan);
    if (winds)
        report.wind_words = winds->at(places.asked().front().position).words();
    double moved_m = 0.0; // the bottom is asked about farther off where it moves
    for (const auto& point : places.points())
        moved_m = std::max(moved_m, moved_at(places.hazards(), point));
    const hazard::BottomBounds bounds(places.cells(), squares_around(places.points(), swing_m + moved_m),
                                      true);
    const hazard::AnchoringGround ground(places.cells());
    for (std::size_t i = 0; i < places.asked().size(); ++i) {
        report.marks.push_back(MarkAsked(plan, places, bounds, ground, winds, i).answer());
        report.worst = std::max(report.worst, report.marks.back().grade);
    }
    sort_worst_first(diagnostics);
    report.diagnostics = std::move(diagnostics);
    return report;
}

} // namespace dangerline::jobs
