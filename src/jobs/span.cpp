#include "jobs/span.hpp"

#include <stdexcept>

#include "dangerline/base/error.hpp"

namespace dangerline::jobs {

namespace {

Instant parse(const plan::Plan& plan, const std::string& option, const std::string& text) {
    try {
        return plan.zone.parse(text);
    } catch (const std::invalid_argument& wrong) {
        throw Failure(Fault::command_line, {.object = option, .what = wrong.what()});
    }
}

} // namespace

AskedTimes asked_times(const plan::Plan& plan, const std::string& from_text, const std::string& to_text,
                       double step_s) {
    const Instant from = parse(plan, "--from", from_text), to = parse(plan, "--to", to_text);
    constexpr double longest_s = 400.0 * 86400.0;
    constexpr double most_rows = 100'000.0;
    if (to < from || to - from > longest_s)
        throw Failure(Fault::command_line,
                      {.object = "--to",
                       .what = to < from ? "it lies before --from" : "more than 400 days",
                       .expected = "a time after --from, at most 400 days later"});
    if (!(step_s >= 1.0) || (to - from) / step_s > most_rows)
        throw Failure(Fault::command_line,
                      {.object = "--every", .what = "too many rows or none", .expected = "1 minute or more"});
    return {from, to};
}

} // namespace dangerline::jobs
