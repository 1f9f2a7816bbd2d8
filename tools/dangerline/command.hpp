// The command line as a function: words in, text and an exit code out.
#pragma once

#include <filesystem>
#include <optional>
#include <ostream>
#include <string>
#include <vector>

#include "dangerline/base/diagnostics.hpp"
#include "dangerline/base/time.hpp"
#include "dangerline/geo/position.hpp"
#include "dangerline/hazard/hazard.hpp"

namespace dangerline::command {

/// Exit codes: 0 done; 1 could not process; 2 wrong command line or plan; 3 done, and a finding has one of
/// the grades named by --stop-at.
enum Exit { done = 0, not_processed = 1, wrong_call = 2, stopped = 3 };

struct ChartCall {
    std::vector<std::filesystem::path> sources;
    std::optional<CalendarDay> as_of;
    std::string plan; ///< whose boat and tide shares are given for; empty: none
};
struct ZonesCall {
    std::filesystem::path plan;
    std::vector<double> tides_m;
    std::filesystem::path out;
};
struct TideCall {
    std::filesystem::path plan;
    std::string from, to;
    double every_min = 30.0;
};
struct StreamCall {
    std::filesystem::path plan;
    double lon_deg = 0.0, lat_deg = 0.0;
    std::string from, to;
    double every_min = 60.0;
};
struct PassageCall {
    std::filesystem::path plan;
    std::optional<std::string> depart;
    std::vector<hazard::Grade> stop_at;
    std::filesystem::path out;
};

struct SeasonCall {
    std::filesystem::path plan;
    std::filesystem::path out;
};

struct AnchorCall {
    std::filesystem::path plan;
    std::filesystem::path out;
};

struct CompareCall {
    std::filesystem::path plan;
    std::filesystem::path out;
};

struct DriftCall {
    std::filesystem::path plan;
    bool table = false; ///< over wind and tide instead of the plan's hour
    std::filesystem::path out;
    std::ostream* progress = nullptr; ///< told how far it is; null: nobody
};

struct BreakdownCall {
    std::filesystem::path plan;
    std::optional<std::string> depart;
    std::filesystem::path out;
};

struct SurveyCall {
    std::vector<std::filesystem::path> sources; ///< one plan (.toml), or charts
    std::optional<CalendarDay> as_of;           ///< for charts without a plan
    std::filesystem::path out;
    unsigned threads = 0; ///< 0: as many as the machine has
};

Exit run(const ChartCall& call, std::ostream& out);
Exit run(const ZonesCall& call, std::ostream& out);
Exit run(const TideCall& call, std::ostream& out);
Exit run(const StreamCall& call, std::ostream& out);
Exit run(const PassageCall& call, std::ostream& out);
Exit run(const SeasonCall& call, std::ostream& out);
Exit run(const DriftCall& call, std::ostream& out);
Exit run(const BreakdownCall& call, std::ostream& out);
Exit run(const AnchorCall& call, std::ostream& out);
Exit run(const CompareCall& call, std::ostream& out);
Exit run(const SurveyCall& call, std::ostream& out);

/// The program version.
std::string version();
/// Said under every result.
std::string caution();
/// "46° 04.56' N 027° 55.80' W".
std::string place_words(const geo::Position& p);
/// The worst five messages, the rest counted.
void print(const Diagnostics& diagnostics, std::ostream& out, std::size_t most = 5);

/// The whole program: parses, runs, turns failures into one message and an exit code.
int program(const std::vector<std::string>& words, std::ostream& out, std::ostream& err);

} // namespace dangerline::command
