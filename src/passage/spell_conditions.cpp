// Departures that meet a leg which can't be held or stemmed, or whose stream is not known.
#include "passage/conditions.hpp"

namespace dangerline::passage {

std::vector<Condition> conditions_of(const Voyage& voyage, std::vector<Reason>& reasons) {
    std::vector<Condition> out;
    for (const auto& spell : voyage.not_held()) {
        Reason& reason = reasons.emplace_back();
        reason.grade = spell.bounded ? hazard::Grade::caution : hazard::Grade::unknown;
        reason.cause = spell.bounded ? hazard::Cause::margin : hazard::Cause::none;
        reason.kind = hazard::Kind::no_data;
        reason.what = spell.reason;
        reason.span = spell.span;
        Condition& c = out.emplace_back();
        c.when = Condition::When::spell;
        c.span = spell.span;
        c.during = std::make_shared<const TimeSet>(Interval{spell.from, spell.to});
        c.reason = reasons.size() - 1;
        c.charted = !spell.bounded;
    }
    return out;
}

} // namespace dangerline::passage
