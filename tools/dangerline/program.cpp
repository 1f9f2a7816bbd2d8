// Words to calls. Nothing is opened while they are parsed.
#include "dangerline/command.hpp"

#include "dangerline/base/error.hpp"

#include <algorithm>
#include <cmath>
#include <functional>
#include <iostream>
#include <iterator>
#include <memory>

#include <CLI/CLI.hpp>
#include <fmt/format.h>
#include <unistd.h>

namespace dangerline::command {

namespace {

std::vector<hazard::Grade> grades_of(const std::vector<std::string>& names) {
    using hazard::Grade;
    std::vector<Grade> grades;
    for (const auto& name : names) {
        const auto all = {Grade::danger, Grade::unknown, Grade::caution, Grade::note};
        const auto it =
            std::find_if(all.begin(), all.end(), [&](Grade g) { return name == hazard::to_text(g); });
        if (it == all.end())
            throw Failure(Fault::command_line,
                          {.object = "--stop-at",
                           .what = "no grade named \"" + name + "\"",
                           .expected = "danger, unknown, caution or note, separated by commas"});
        grades.push_back(*it);
    }
    return grades;
}

CalendarDay day_of_text(const std::string& text) {
    if (const auto day = parse_day(text))
        return *day;
    throw Failure(
        Fault::command_line,
        {.object = "--as-of", .what = "\"" + text + "\" is no day", .expected = "a day like 2026-06-01"});
}

/// No tide of the world's seas ranges over more than 17 m.
void check_tides(const std::vector<double>& tides_m) {
    constexpr double beyond_any_m = 30.0;
    for (const double tide_m : tides_m)
        if (!(std::abs(tide_m) <= beyond_any_m))
            throw Failure(Fault::command_line, {.object = "--tide",
                                                .what = fmt::format("{} m is no tide height", tide_m),
                                                .expected = "metres above chart datum, between -30 and 30"});
}

int exit_code(Fault fault) {
    return fault == Fault::data ? not_processed : wrong_call;
}

/// A command of the program: its words, and what runs when it was called.
struct Command {
    CLI::App* words = nullptr;
    std::function<Exit(std::ostream&)> run;
};

// Calls live as long as the function that runs them.
template <typename Call>
std::shared_ptr<Call> new_call() {
    return std::make_shared<Call>();
}

void add_out(CLI::App& words, std::filesystem::path& out) {
    words.add_option("--out", out, "Folder for the results")->default_val("dangerline-out");
}
void add_plan(CLI::App& words, std::filesystem::path& plan) {
    words.add_option("PLAN", plan, "The plan file")->required();
}
void add_times(CLI::App& words, std::string& from, std::string& to) {
    words.add_option("--from", from, "Begin, local time of the plan's zone or UTC with Z")->required();
    words.add_option("--to", to, "End")->required();
}

Command add_chart(CLI::App& app) {
    auto* words = app.add_subcommand("chart", "What charts hold and what is wrong with them");
    const auto call = new_call<ChartCall>();
    const auto as_of = new_call<std::string>();
    words->add_option("SOURCE", call->sources, "Chart cells (.000) or folders of them")->required();
    words->add_option("--as-of", *as_of, "Day that ages are reckoned at (2026-06-01)");
    words->add_option("--plan", call->plan,
                      "A plan, for the share of water that would be caution for its boat");
    return {words, [=](std::ostream& out) {
                if (!as_of->empty())
                    call->as_of = day_of_text(*as_of);
                return run(*call, out);
            }};
}

Command add_zones(CLI::App& app) {
    auto* words = app.add_subcommand("zones", "Dangers grown by tide height, as zones.geojson");
    const auto call = new_call<ZonesCall>();
    add_plan(*words, call->plan);
    words->add_option("--tide", call->tides_m, "Tide heights in metres above chart datum")
        ->required()
        ->delimiter(',');
    add_out(*words, call->out);
    return {words, [=](std::ostream& out) {
                check_tides(call->tides_m);
                return run(*call, out);
            }};
}

Command add_tide(CLI::App& app) {
    auto* words = app.add_subcommand("tide", "Heights, high and low waters");
    const auto call = new_call<TideCall>();
    add_plan(*words, call->plan);
    add_times(*words, call->from, call->to);
    words->add_option("--every", call->every_min, "Minutes between heights")->default_val(30.0);
    return {words, [=](std::ostream& out) { return run(*call, out); }};
}

Command add_stream(CLI::App& app) {
    auto* words =
        app.add_subcommand("stream", "Set and rate of the stream at a place, and where they come from");
    const auto call = new_call<StreamCall>();
    const auto place = new_call<std::vector<double>>();
    add_plan(*words, call->plan);
    words->add_option("--at", *place, "Longitude and latitude in degrees: -27.93,46.08")
        ->required()
        ->delimiter(',')
        ->expected(2);
    add_times(*words, call->from, call->to);
    words->add_option("--every", call->every_min, "Minutes between rows")->default_val(60.0);
    return {words, [=](std::ostream& out) {
                call->lon_deg = place->at(0);
                call->lat_deg = place->at(1);
                return run(*call, out);
            }};
}

Command add_passage(CLI::App& app) {
    auto* words = app.add_subcommand("passage", "Each route at one departure, as passage.geojson");
    const auto call = new_call<PassageCall>();
    const auto depart = new_call<std::string>();
    const auto stop_at = new_call<std::vector<std::string>>();
    add_plan(*words, call->plan);
    words->add_option("--depart", *depart, "Departure instead of the plan's, local time or UTC with Z");
    words->add_option("--stop-at", *stop_at, "Exit with 3 where a finding has one of these grades")
        ->delimiter(',');
    add_out(*words, call->out);
    return {words, [=](std::ostream& out) {
                if (!depart->empty())
                    call->depart = *depart;
                call->stop_at = grades_of(*stop_at);
                return run(*call, out);
            }};
}

Command add_season(CLI::App& app) {
    auto* words = app.add_subcommand("season", "Every departure of a season: windows.json, .csv and .ics");
    const auto call = new_call<SeasonCall>();
    add_plan(*words, call->plan);
    add_out(*words, call->out);
    return {words, [=](std::ostream& out) { return run(*call, out); }};
}

Command add_anchor(CLI::App& app) {
    auto* words = app.add_subcommand("anchor", "What anchor and rope can do at the marks, as anchor.geojson");
    const auto call = new_call<AnchorCall>();
    add_plan(*words, call->plan);
    add_out(*words, call->out);
    return {words, [=](std::ostream& out) { return run(*call, out); }};
}

/// Where a person looks on, and nowhere else.
std::ostream* progress_on(std::ostream& err) {
    return &err == &std::cerr && isatty(STDERR_FILENO) != 0 ? &err : nullptr;
}

Command add_drift(CLI::App& app, std::ostream& err) {
    auto* words =
        app.add_subcommand("drift", "What a boat whose engine dies at a mark meets, as drift.geojson");
    const auto call = new_call<DriftCall>();
    add_plan(*words, call->plan);
    words->add_flag("--table", call->table,
                    "For each mark a table over wind and hour of the tide: drift-table.csv and .geojson");
    add_out(*words, call->out);
    call->progress = progress_on(err);
    return {words, [=](std::ostream& out) { return run(*call, out); }};
}

Command add_breakdown(CLI::App& app) {
    auto* words = app.add_subcommand(
        "breakdown", "Minutes in hand if the engine dies anywhere along a route, as breakdown.geojson");
    const auto call = new_call<BreakdownCall>();
    const auto depart = new_call<std::string>();
    add_plan(*words, call->plan);
    words->add_option("--depart", *depart, "Departure instead of the plan's, local time or UTC with Z");
    add_out(*words, call->out);
    return {words, [=](std::ostream& out) {
                if (!depart->empty())
                    call->depart = *depart;
                return run(*call, out);
            }};
}

Command add_survey(CLI::App& app) {
    auto* words =
        app.add_subcommand("survey", "How far charts can be believed: survey.geojson and survey.csv");
    const auto call = new_call<SurveyCall>();
    const auto as_of = new_call<std::string>();
    words->add_option("SOURCE", call->sources, "A plan (.toml), or chart cells and folders of them")
        ->required();
    words->add_option("--as-of", *as_of,
                      "Day that ages are reckoned at (2026-06-01), for charts without a plan");
    words->add_option("--threads", call->threads, "Cells looked at side by side; as many as the machine has");
    add_out(*words, call->out);
    return {words, [=](std::ostream& out) {
                if (!as_of->empty())
                    call->as_of = day_of_text(*as_of);
                return run(*call, out);
            }};
}

Command add_compare(CLI::App& app) {
    auto* words = app.add_subcommand(
        "compare", "Newer data and members' sounders against the charts: newer.geojson, soundings.csv");
    const auto call = new_call<CompareCall>();
    add_plan(*words, call->plan);
    add_out(*words, call->out);
    return {words, [=](std::ostream& out) { return run(*call, out); }};
}

} // namespace

int program(const std::vector<std::string>& words, std::ostream& out, std::ostream& err) {
    CLI::App app{"dangerline: where a planned route of a small boat would meet danger", "dangerline"};
    app.footer("\n" + caution());
    app.require_subcommand(1);
    app.set_version_flag("--version", version());
    const Command commands[] = {add_chart(app),     add_zones(app),   add_tide(app),   add_stream(app),
                                add_passage(app),   add_season(app),  add_anchor(app), add_drift(app, err),
                                add_breakdown(app), add_compare(app), add_survey(app)};
    try {
        std::vector<std::string> reversed(words.rbegin(), words.rend());
        app.parse(reversed);
    } catch (const CLI::ParseError& e) {
        return app.exit(e, out, err) == 0 ? done : wrong_call;
    }
    try {
        const auto* called = std::find_if(std::begin(commands), std::end(commands),
                                          [](const Command& c) { return c.words->parsed(); });
        return called->run(out);
    } catch (const Failure& failure) {
        err << "dangerline: " << failure.what() << '\n';
        return exit_code(failure.fault());
    } catch (const std::exception& error) {
        err << "dangerline: could not go on: " << error.what() << '\n';
        return not_processed;
    }
}

} // namespace dangerline::command
