#include "hazard/uncharted.hpp"

#include "dangerline/chart/dates.hpp"

#include <fmt/format.h>

namespace dangerline::hazard {

namespace {

Step at_any_tide(const chart::Feature& f, Grade decides, Cause cause, std::string basis) {
    Step s;
    s.in_force = InForce::always;
    s.decides = decides;
    s.cause = cause;
    s.depth = Depth::never_covered();
    s.depth_known = false;
    s.extent = f.shape;
    s.basis = std::move(basis);
    return s;
}

} // namespace

StepList unruled_steps(const chart::Feature& f) {
    StepList out;
    out.what = words_for(f.cls);
    const auto stated = f.attributes.number("VALSOU");
    const auto least = stated ? stated : f.attributes.number("DRVAL1");
    if (least) {
        Step s;
        s.depth = Depth::from_metres(*least);
        s.extent = f.shape;
        s.basis = *least < 0.0 ? fmt::format("dries {:.1f} m", -*least)
                               : fmt::format("depth {:.1f} m over it", *least);
        out.steps.push_back(std::move(s));
    } else if (f.cls == "PIPSOL") {
        out.steps.push_back(
            at_any_tide(f, Grade::caution, Cause::assumed, "how far it stands off the bottom is not known"));
    }
    if (out.steps.empty())
        out.steps.push_back(
            at_any_tide(f, Grade::note, Cause::none, "nothing should be dropped or dragged there"));
    return out;
}

void sign_uncharted(Hazard& hazard, const chart::Feature& f) {
    if (f.uncharted.empty())
        return;
    hazard.object.uncharted = true;
    hazard.what = "uncharted " + hazard.what;
    for (auto& step : hazard.steps)
        step.basis += (step.basis.empty() ? "" : ", ") + f.uncharted;
}

std::optional<CalendarDay> found_on(const chart::Feature& f, bool note) {
    constexpr CalendarDay any_day{9999, 12, 31};
    if (!f.uncharted.empty())
        return any_day;
    const auto day = chart::latest_day_of(note ? f.date : f.attributes.text("SORDAT"));
    return note && !day ? any_day : day;
}

} // namespace dangerline::hazard
