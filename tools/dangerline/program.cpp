// Words to calls. Nothing is opened while they are parsed.
#include "dangerline/command.hpp"

#include "dangerline/base/error.hpp"

#include <algorithm>
#include <cmath>
#include <functional>

#include <CLI/CLI.hpp>
#include <fmt/format.h>

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

} // namespace

int program(const std::vector<std::string>& words, std::ostream& out, std::ostream& err) {
    CLI::App app{"dangerline: where a planned route of a small boat would meet danger", "dangerline"};
    app.footer("\n" + caution());
    app.require_subcommand(1);
    app.set_version_flag("--version", version());

    ChartCall chart;
    std::string as_of;
    auto* chart_command = app.add_subcommand("chart", "What charts hold and what is wrong with them");
    chart_command->add_option("SOURCE", chart.sources, "Chart cells (.000) or folders of them")->required();
    chart_command->add_option("--as-of", as_of, "Day that ages are reckoned at (2026-06-01)");

    chart_command->add_option("--plan", chart.plan,
                              "A plan, for the share of water that would be caution for its boat");

    ZonesCall zones;
    auto* zones_command = app.add_subcommand("zones", "Dangers grown by tide height, as zones.geojson");
    zones_command->add_option("PLAN", zones.plan, "The plan file")->required();
    zones_command->add_option("--tide", zones.tides_m, "Tide heights in metres above chart datum")
        ->required()
        ->delimiter(',');
    zones_command->add_option("--out", zones.out, "Folder for the results")->default_val("dangerline-out");

    TideCall tide;
    auto* tide_command = app.add_subcommand("tide", "Heights, high and low waters");
    tide_command->add_option("PLAN", tide.plan, "The plan file")->required();
    tide_command->add_option("--from", tide.from, "Begin, local time of the plan's zone or UTC with Z")
        ->required();
    tide_command->add_option("--to", tide.to, "End")->required();
    tide_command->add_option("--every", tide.every_min, "Minutes between heights")->default_val(30.0);

    PassageCall passage;
    std::string depart;
    std::vector<std::string> stop_at;
    auto* passage_command = app.add_subcommand("passage", "Each route at one departure, as passage.geojson");
    passage_command->add_option("PLAN", passage.plan, "The plan file")->required();
    passage_command->add_option("--depart", depart,
                                "Departure instead of the plan's, local time or UTC with Z");
    passage_command->add_option("--stop-at", stop_at, "Exit with 3 where a finding has one of these grades")
        ->delimiter(',');
    passage_command->add_option("--out", passage.out, "Folder for the results")
        ->default_val("dangerline-out");

    try {
        std::vector<std::string> reversed(words.rbegin(), words.rend());
        app.parse(reversed);
    } catch (const CLI::ParseError& e) {
        return app.exit(e, out, err) == 0 ? done : wrong_call;
    }
    try {
        if (!depart.empty())
            passage.depart = depart;
        passage.stop_at = grades_of(stop_at);
        if (!as_of.empty())
            chart.as_of = day_of_text(as_of);
        if (*chart_command)
            return run(chart, out);
        if (*zones_command) {
            check_tides(zones.tides_m);
            return run(zones, out);
        }
        if (*tide_command)
            return run(tide, out);
        return run(passage, out);
    } catch (const Failure& failure) {
        err << "dangerline: " << failure.what() << '\n';
        return exit_code(failure.fault());
    } catch (const std::exception& error) {
        err << "dangerline: could not go on: " << error.what() << '\n';
        return not_processed;
    }
}

} // namespace dangerline::command
