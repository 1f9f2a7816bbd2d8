#include "dangerline/command.hpp"

#include "dangerline/base/error.hpp"
#include "dangerline/files/output_set.hpp"
#include "dangerline/jobs/survey.hpp"
#include "dangerline/overlay/survey.hpp"

#include <algorithm>

#include <fmt/format.h>

namespace dangerline::command {

namespace {

constexpr std::size_t most = 5;

std::string update_words(const jobs::CellNote& note) {
    if (note.notes)
        return "";
    if (!note.days_since)
        return ", last update of unknown age: get its updates";
    return fmt::format(", last update {} days old{}", *note.days_since,
                       note.stale ? ": get its updates" : "");
}

void print_cells(const jobs::SurveySummary& summary, std::ostream& out) {
    out << "Charts, by the area that their surveys flag times its share of their water:\n";
    for (std::size_t i = 0; i < std::min(most, summary.rows.size()); ++i) {
        const auto& row = summary.rows[i];
        const bool only_old_chart = row.flagged_m2 - row.survey_m2 > 0.5e5; // else both read the same
        out << fmt::format("  {:<10} {:8.1f} of {:8.1f} square km flagged ({:.1f} %){}{}{}\n", row.note.name,
                           row.flagged_m2 / 1e6, row.water_m2 / 1e6, row.share() * 100.0,
                           only_old_chart ? fmt::format(", {:.1f} by its surveys", row.survey_m2 / 1e6) : "",
                           row.oldest_year ? fmt::format(", oldest survey {}", *row.oldest_year) : "",
                           update_words(row.note));
    }
    if (summary.rows.size() > most)
        out << fmt::format("  and {} more, in survey.csv\n", summary.rows.size() - most);
}

void print_rules(const jobs::SurveySummary& summary, std::ostream& out) {
    double water = 0.0;
    std::map<survey::Flag, double> by_flag;
    for (const auto& row : summary.rows) {
        water += row.water_m2;
        for (const auto& [flag, m2] : row.by_flag_m2)
            by_flag[flag] += m2;
    }
    out << fmt::format("Of {:.1f} square km of water (an area may count under several rules):\n",
                       water / 1e6);
    for (const auto& [flag, m2] : by_flag)
        out << fmt::format("  {:8.1f} square km ({:4.1f} %)  {}\n", m2 / 1e6, 100.0 * m2 / water,
                           survey::flag_rules()[static_cast<std::size_t>(flag)].when);
    if (by_flag.empty())
        out << "  nothing found by these rules\n";
}

void print_hazards(const jobs::SurveySummary& summary, std::ostream& out) {
    std::size_t all = 0, flagged = 0, left_out = 0;
    for (const auto& row : summary.rows) {
        all += row.hazards;
        flagged += row.hazards_flagged;
        left_out += row.hazards_left_out;
    }
    if (all + left_out == 0)
        return;
    const bool near = left_out > 0 || !summary.hazards.empty();
    out << fmt::format("Single dangers with a date of their own: {}{}, {} of them flagged{}\n", all,
                       near ? " within 1 NM of the routes and marks" : "", flagged,
                       left_out > 0 ? fmt::format(" ({} farther off left out)", left_out) : "");
    for (std::size_t i = 0; i < std::min(most, summary.hazards.size()); ++i) {
        const auto& h = summary.hazards[i];
        out << fmt::format("  {:>2}. {}\n      {:.0f} m from {}, {}; {} {}\n", i + 1, h.sentence,
                           h.off_m.value_or(0.0), h.off, place_words(h.place), h.cls, h.lnam);
    }
    if (summary.hazards.size() > most)
        out << fmt::format("      and {} more flagged, in survey.geojson\n", summary.hazards.size() - most);
}

void print_route(const jobs::SurveyedRoute& route, std::ostream& out) {
    const auto miles = [](double metres) { return metres / metres_per_nautical_mile; };
    out << fmt::format(
        "\n{}: {:.2f} of {:.2f} NM over flagged water{}\n", route.name, miles(route.flagged_m),
        miles(route.length_m),
        route.not_covered_m > 1.0 ? fmt::format(", {:.2f} NM on no chart", miles(route.not_covered_m)) : "");
    std::size_t shown = 0;
    for (const auto& part : route.over) {
        if (part.flags.empty() || shown++ >= most)
            continue;
        out << fmt::format("  {:5.2f} NM  {}\n", miles(part.metres), part.sentence);
    }
    if (shown > most)
        out << fmt::format("  and {} more, in survey.geojson\n", shown - most);
}

bool is_plan(const std::filesystem::path& path) {
    return path.extension() == ".toml";
}

} // namespace

Exit run(const SurveyCall& call, std::ostream& out) {
    const bool plan = std::any_of(call.sources.begin(), call.sources.end(), is_plan);
    if (plan && (call.sources.size() > 1 || call.as_of))
        throw Failure(Fault::command_line,
                      {.object = "survey",
                       .what = "a plan stands alone: it names its own charts and its own as_of",
                       .expected = "one plan, or charts with --as-of"});
    files::OutputSet files(call.out);
    overlay::SurveyWriter writer;
    files.append("survey.geojson", writer.begin());
    const auto take = [&](const jobs::SurveyedCell& cell) {
        files.append("survey.geojson", writer.cell(cell));
    };
    std::string title;
    const auto of_plan = [&] {
        const auto read = plan::read(call.sources.front());
        title = read.title;
        return jobs::run_survey(read, take);
    };
    const auto summary = plan ? of_plan() : jobs::run_survey(call.sources, call.as_of, take, call.threads);
    files.append("survey.geojson", writer.end(summary, version()));
    files.add("survey.csv", overlay::survey_csv(summary));
    files.commit({version(), {{"job", "survey"}}});
    if (!title.empty())
        out << title << "\n";
    out << (summary.as_of ? fmt::format("Ages are reckoned at {}.\n", to_text(*summary.as_of))
                          : "Ages are not known; name the day of use with --as-of, or as_of in the plan.\n");
    print_cells(summary, out);
    print_rules(summary, out);
    print_hazards(summary, out);
    for (const auto& route : summary.routes)
        print_route(route, out);
    out << "\nAssumed:\n";
    for (const auto& assumption : summary.assumptions)
        out << "  " << assumption << "\n";
    print(summary.diagnostics, out);
    if (summary.refused > 0)
        out << fmt::format("\n{} of {} cells can't be used at all, see above.\n", summary.refused,
                           summary.refused + summary.rows.size());
    out << fmt::format("\nWritten: survey.geojson and survey.csv in {}\n\n{}", call.out.string(), caution());
    return summary.refused > 0 ? not_processed : done;
}

} // namespace dangerline::command
