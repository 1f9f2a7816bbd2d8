#include "dangerline/jobs/survey.hpp"

#include <algorithm>
#include <cmath>
#include <set>

#include <fmt/format.h>

#include "dangerline/base/error.hpp"
#include "dangerline/base/parallel.hpp"
#include "dangerline/chart/sources.hpp"
#include "dangerline/chart/vector_source.hpp"
#include "dangerline/geo/cut.hpp"
#include "dangerline/geo/dissolve.hpp"
#include "dangerline/jobs/load.hpp"
#include "jobs/dated_hazards.hpp"
#include "jobs/day.hpp"
#include "jobs/trust.hpp"

namespace dangerline::jobs {

namespace {

using survey::Flag;

std::vector<geo::PolygonRings> stated_uncovered(const std::vector<chart::Cell>& cells, std::size_t number) {
    constexpr int no_coverage = 2;
    std::vector<const geo::Shape*> shapes;
    for (const auto& f : cells[number].features)
        if (f.cls == "M_COVR" && f.shape && f.attributes.code("CATCOV") == no_coverage)
            shapes.push_back(f.shape.get());
    auto area = geo::dissolved(shapes);
    for (const auto& cell : cells)
        if (!area.empty() && !cell.coverage.empty())
            area = geo::without(area, cell.coverage);
    return area;
}

SurveyedCell surveyed(const std::vector<chart::Cell>& cells, std::size_t number,
                      const survey::QualityZones& zones, const survey::Trust& trust,
                      std::shared_ptr<const geo::Plane> plane, const Near* near = nullptr) {
    const auto& cell = cells[number];
    SurveyedCell out{cell_notes(cells, trust.settings().as_of)[number]};
    out.plane = std::move(plane);
    out.coverage = cell.coverage;
    out.not_updated = out.note.very_stale && !out.note.notes;
    if (!cell.withdrawn && !cell.notes) {
        out.water = survey::trust_areas(cell, number, zones, trust, out.not_updated);
        out.hazards = dated_hazards(cell, number, zones, trust, *out.plane, near, out.hazards_left_out);
    }
    out.uncovered = stated_uncovered(cells, number);
    out.assumed = assumptions_of(trust);
    if (near && !near->empty())
        out.assumed.push_back(fmt::format("single dangers are shown within {:.0f} m of the routes and marks",
                                          hazards_within_m));
    return out;
}

void add_new(std::vector<std::string>& to, const std::vector<std::string>& sentences) {
    for (const auto& sentence : sentences)
        if (std::find(to.begin(), to.end(), sentence) == to.end())
            to.push_back(sentence);
}

SurveyedRow row_of(const SurveyedCell& cell) {
    SurveyedRow row{cell.note,
                    cell.not_updated,
                    cell.water.water_square_metres,
                    cell.water.flagged_square_metres,
                    cell.water.survey_square_metres,
                    {},
                    {}};
    for (const auto& area : cell.water.areas) {
        for (const Flag flag : area.flags)
            row.by_flag_m2[flag] += area.square_metres;
        const auto& date = area.facts.begun ? area.facts.begun : area.facts.ended;
        if (date)
            row.oldest_year = std::min(row.oldest_year.value_or(9999), date->earliest.year);
    }
    row.hazards = cell.hazards.size();
    row.hazards_flagged = static_cast<std::size_t>(std::count_if(
        cell.hazards.begin(), cell.hazards.end(), [](const DatedHazard& h) { return !h.flags.empty(); }));
    row.hazards_left_out = cell.hazards_left_out;
    return row;
}

void finish(SurveySummary& summary) {
    std::stable_sort(summary.rows.begin(), summary.rows.end(),
                     [](const SurveyedRow& a, const SurveyedRow& b) {
                         return std::pair(a.urgency(), a.flagged_m2) > std::pair(b.urgency(), b.flagged_m2);
                     });
    sort_worst_first(summary.diagnostics);
}

/// One chart for itself.
struct Read {
    std::function<chart::Cell(Diagnostics&)> read;
};

std::vector<Read> charts_in(const std::vector<std::filesystem::path>& sources, Diagnostics& diagnostics) {
    const auto found = std::make_shared<chart::FoundSources>(chart::find_sources(sources, diagnostics));
    std::vector<Read> out;
    for (std::size_t i = 0; i < found->cells.size(); ++i)
        out.push_back(
            {[found, i](Diagnostics& said) { return chart::read_found_cell(found->cells[i], said); }});
    for (const auto& path : found->vectors)
        out.push_back({[path](Diagnostics& said) { return chart::read_vector_chart(path, {}, said); }});
    return out;
}

/// What surveys are told by; the rest need not be laid out. Group 1 is there for its gaps.
bool tells_of_surveys(const chart::Feature& f) {
    static const std::set<std::string> classes{"M_QUAL", "M_SREL", "M_ACCY", "M_COVR",
                                               "SNDWAV", "SBDARE", "FAIRWY"};
    return chart::is_group_one(f.cls) || classes.contains(f.cls) || is_dated_hazard(f);
}

SurveyedCell look_at(const Read& chart, const survey::TrustSettings& settings, Diagnostics& said) {
    std::vector<chart::Cell> one;
    one.push_back(chart.read(said));
    auto plane = std::make_shared<const geo::Plane>(plane_around(one));
    std::erase_if(one.front().features, [](const chart::Feature& f) { return !tells_of_surveys(f); });
    chart::lay_out(one.front(), *plane, said);
    std::vector<survey::QualityZones> zones;
    zones.emplace_back(one.front());
    const survey::Trust trust(one, zones, settings);
    return surveyed(one, 0, zones.front(), trust, std::move(plane));
}

double length_of(const std::vector<geo::Span>& spans) {
    double metres = 0.0;
    for (const auto& span : spans)
        metres += span.to - span.from;
    return metres;
}

/// The part of a route's line over an area, as path coordinates.
std::vector<geo::Span> spans_over(const passage::Track& track,
                                  const std::vector<geo::PolygonRings>& polygons) {
    std::vector<geo::Span> spans;
    const geo::Shape area = geo::to_shape(polygons);
    for (const auto& chord : track.chords())
        if (chord.box().meets(area.box()))
            for (const auto& along : geo::reach(chord.leg, area, 0.0))
                spans.push_back(passage::Track::to_path(chord, along));
    geo::join(spans, 1e-6);
    return spans;
}

class RouteLengths {
  public:
    explicit RouteLengths(passage::Track track) : track_(std::move(track)) {
        out_.name = track_.route().name;
        out_.length_m = track_.length();
    }

    void take(const SurveyedCell& cell) {
        add_to(covered_, spans_over(track_, cell.coverage));
        for (const auto& area : cell.water.areas) {
            const auto spans = spans_over(track_, area.area);
            const double metres = length_of(spans);
            if (metres <= 0.01)
                continue;
            out_.over.push_back({cell.note.name, area.flags, area.sentence, metres});
            for (const Flag flag : area.flags)
                add_to(by_flag_[flag], spans);
            if (!area.flags.empty())
                add_to(flagged_, spans);
        }
    }

    SurveyedRoute done() {
        out_.flagged_m = length_of(flagged_);
        for (const auto& [flag, spans] : by_flag_)
            out_.by_flag_m[flag] = length_of(spans);
        out_.not_covered_m = length_of(geo::remainder({0.0, track_.length()}, covered_));
        if (out_.not_covered_m > 0.01)
            out_.by_flag_m[Flag::no_coverage] = out_.not_covered_m;
        std::stable_sort(out_.over.begin(), out_.over.end(), [](const RouteOver& a, const RouteOver& b) {
            const auto key = [](const RouteOver& o) {
                return std::pair(o.flags.empty() ? 99 : static_cast<int>(o.flags.front()), -o.metres);
            };
            return key(a) < key(b);
        });
        return std::move(out_);
    }

  private:
    static void add_to(std::vector<geo::Span>& all, const std::vector<geo::Span>& some) {
        all.insert(all.end(), some.begin(), some.end());
        geo::join(all, 1e-6);
    }
    passage::Track track_;
    SurveyedRoute out_;
    std::vector<geo::Span> covered_, flagged_;
    std::map<Flag, std::vector<geo::Span>> by_flag_;
};

} // namespace

SurveySummary run_survey(const std::vector<std::filesystem::path>& sources, std::optional<CalendarDay> as_of,
                         const TakeCell& take, unsigned threads) {
    SurveySummary summary;
    summary.as_of = as_of;
    const auto charts = charts_in(sources, summary.diagnostics);
    survey::TrustSettings settings;
    settings.as_of = as_of;
    const bool only_one = charts.size() == 1;
    const auto hand_over = [&](const SurveyedCell& cell, const Diagnostics& said) {
        take(cell);
        add_new(summary.assumptions, cell.assumed);
        summary.cells.push_back(cell.note);
        summary.rows.push_back(row_of(cell));
        summary.diagnostics.insert(summary.diagnostics.end(), said.begin(), said.end());
    };
    const auto refuse = [&](const Complaint& c, const Diagnostics& said) {
        ++summary.refused;
        summary.diagnostics.insert(summary.diagnostics.end(), said.begin(), said.end());
        summary.diagnostics.push_back({Severity::broken, c.file, c.object, "refused: " + c.what});
    };
    parallel_in_order(
        charts.size(),
        [&](std::size_t i) -> std::function<void()> {
            auto said = std::make_shared<Diagnostics>();
            try {
                auto cell = std::make_shared<SurveyedCell>(look_at(charts[i], settings, *said));
                return [&hand_over, cell, said] { hand_over(*cell, *said); };
            } catch (const Failure& failure) {
                if (only_one || failure.fault() != Fault::data)
                    throw;
                return [&refuse, complaint = failure.complaint(), said] { refuse(complaint, *said); };
            }
        },
        threads);
    if (summary.rows.empty())
        throw Failure(Fault::data, {.file = sources.front().string(),
                                    .what = fmt::format("none of {} charts can be used: {}", charts.size(),
                                                        summary.diagnostics.back().what),
                                    .remedy = "see what the command chart says of them"});
    finish(summary);
    return summary;
}

SurveySummary run_survey(const plan::Plan& plan, const TakeCell& take) {
    SurveySummary summary;
    const auto routes = read_routes(plan, summary.diagnostics);
    auto cells = read_charts(plan, routes, summary.diagnostics);
    auto plane =
        std::make_shared<const geo::Plane>(routes.empty() ? plane_around(cells) : plane_around(routes, plan));
    summary.as_of = day_of_use(plan, routes);
    summary.cells = cell_notes(cells, summary.as_of);
    lay_out(cells, *plane, summary.diagnostics);
    std::vector<survey::QualityZones> zones;
    for (const auto& cell : cells)
        zones.emplace_back(cell);
    const survey::Trust trust(cells, zones, trust_on(plan, summary.as_of), moving_in(plan, *plane));
    const Near near(plan, routes, *plane);
    std::vector<RouteLengths> lengths;
    for (const auto& planned : routes)
        lengths.emplace_back(passage::Track(planned.route, *plane));
    for (std::size_t i = 0; i < cells.size(); ++i) {
        if (cells[i].notes)
            continue; // covers nothing
        const SurveyedCell cell = surveyed(cells, i, zones[i], trust, plane, &near);
        take(cell);
        add_new(summary.assumptions, cell.assumed);
        for (const auto& h : cell.hazards)
            if (!near.empty() && !h.flags.empty())
                summary.hazards.push_back(h);
        summary.rows.push_back(row_of(cell));
        for (auto& route : lengths)
            route.take(cell);
    }
    for (auto& route : lengths)
        summary.routes.push_back(route.done());
    std::stable_sort(summary.hazards.begin(), summary.hazards.end(), gravest_first);
    finish(summary);
    return summary;
}

} // namespace dangerline::jobs
