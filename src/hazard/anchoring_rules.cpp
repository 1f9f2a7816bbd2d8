// One row a class and condition. Classes, attributes and codes: S-57 Ed 3.1 Appendix A; that nobody anchors
// in fairways, lanes and on crossings: COLREGs 1972 rules 9(g) and 10(g). Which of them count for a small
// boat is this project's own choice.
#include "dangerline/hazard/anchoring.hpp"

#include <algorithm>

namespace dangerline::hazard {

namespace {

constexpr const char* breaks_it = "an anchor may lift or break it";
constexpr const char* catches = "an anchor may catch in it and not come back";
constexpr const char* ships_pass = "ships pass here and expect nobody at anchor";

const std::vector<AnchoringRule>& table() {
    using F = Foul;
    static const std::vector<AnchoringRule> rows{
        // What lies on the bottom
        {"CBLSUB", "", {}, F::cable, "submarine cable", breaks_it},
        {"CBLARE", "", {}, F::cable, "cable area", breaks_it},
        {"PIPSOL", "CATPIP", {2, 4}, F::pipe, "outfall pipe", breaks_it},
        {"PIPSOL", "", {}, F::pipe, "pipe on the bottom", breaks_it},
        {"PIPARE", "", {}, F::pipe, "pipe area", breaks_it},
        {"TUNNEL", "", {}, F::works, "tunnel", "an anchor may damage it"},
        {"WRECKS", "", {}, F::wreck, "wreck", catches},
        {"OBSTRN", "CATOBS", {6}, F::obstruction, "foul area", catches},
        {"OBSTRN", "CATOBS", {7}, F::obstruction, "foul ground", catches},
        {"OBSTRN", "CATOBS", {9}, F::obstruction, "ground tackle", catches},
        {"OBSTRN", "", {}, F::obstruction, "obstruction", catches},
        {"UWTROC", "", {}, F::obstruction, "rock", catches},
        {"MORFAC", "", {}, F::obstruction, "mooring", "its ground chain reaches far"},
        {"OFSPLF", "", {}, F::works, "platform", "pipes and cables lie around it"},
        {"OSPARE", "", {}, F::works, "offshore production area", "pipes and cables lie in it"},
        {"MARCUL", "", {}, F::farm, "marine farm", catches},
        {"FSHFAC", "", {}, F::farm, "fishing gear", catches},
        {"WEDKLP", "", {}, F::weed, "weed or kelp", "an anchor may slide over it or come up choked"},
        // What people do there
        {"DMPGRD", "CATDPG", {4}, F::dumping, "explosives dumping ground", "nobody knows what is hooked"},
        {"DMPGRD", "", {}, F::dumping, "dumping ground", "nobody knows what is hooked"},
        {"MIPARE", "", {}, F::military, "military practice area", "firing and explosives"},
        {"RESARE", "CATREA", {14}, F::military, "minefield", "nobody knows what is hooked"},
        {"RESARE", "CATREA", {9}, F::military, "military area", "firing and explosives"},
        {"RESARE", "CATREA", {10}, F::forbidden, "historic wreck area", "anchoring on it is not allowed"},
        {"SUBTLN", "", {}, F::military, "submarine transit lane", ships_pass},
        {"FAIRWY", "", {}, F::traffic, "fairway", ships_pass},
        {"TSSLPT", "", {}, F::traffic, "traffic lane", ships_pass},
        {"TSSRON", "", {}, F::traffic, "traffic roundabout", ships_pass},
        {"TSSCRS", "", {}, F::traffic, "traffic crossing", ships_pass},
        {"TSEZNE", "", {}, F::traffic, "traffic separation zone", ships_pass},
        {"TWRTPT", "", {}, F::traffic, "two-way route", ships_pass},
        {"DWRTPT", "", {}, F::traffic, "deep-water route", ships_pass},
        {"FERYRT", "", {}, F::traffic, "ferry route", ships_pass},
        {"SPLARE", "", {}, F::traffic, "seaplane landing area", "aircraft land here"},
        // Rules
        {"*", "RESTRN", {1}, F::forbidden, "anchoring prohibited", "the chart forbids it"},
        {"*", "RESTRN", {2}, F::forbidden, "anchoring restricted", "the chart restricts it"},
        {"*", "RESTRN", {7}, F::forbidden, "entry prohibited", "the chart forbids it"},
        {"*", "RESTRN", {8}, F::forbidden, "entry restricted", "the chart restricts it"},
        {"*", "RESTRN", {14}, F::forbidden, "area to be avoided", "the chart asks to stay out"},
        {"RESARE", "RESTRN", {}, F::forbidden, "restricted area", "what is restricted is not stated"},
        // Sea
        {"WATTUR", "CATWAT", {1, 5}, F::surf, "breakers", "no anchor line stands breaking seas"},
        {"WATTUR", "CATWAT", {2}, F::rough, "eddies", "a boat at anchor is pulled under or rolled"},
        {"WATTUR", "CATWAT", {3}, F::rough, "overfalls", "a boat at anchor is pulled under or rolled"},
        {"WATTUR", "CATWAT", {4}, F::rough, "tide rips", "a boat at anchor is pulled under or rolled"},
        {"WATTUR", "", {}, F::surf, "rough water of unstated kind", "it may be breakers"},
    };
    return rows;
}

bool fits(const AnchoringRule& rule, const chart::Feature& f) {
    if (rule.cls != "*" && rule.cls != f.cls)
        return false;
    if (rule.attribute.empty())
        return true;
    const auto codes = f.attributes.codes(rule.attribute);
    if (rule.codes.empty())
        return codes.empty();
    return std::any_of(codes.begin(), codes.end(), [&](int code) {
        return std::find(rule.codes.begin(), rule.codes.end(), code) != rule.codes.end();
    });
}

} // namespace

std::span<const AnchoringRule> anchoring_rules() {
    return table();
}

const AnchoringRule* anchoring_rule(const chart::Feature& feature) {
    for (const auto& rule : table())
        if (fits(rule, feature))
            return &rule;
    return nullptr;
}

const char* to_text(Foul foul) {
    constexpr const char* words[] = {"cable",   "pipe",        "wreck", "obstruction", "forbidden",
                                     "dumping", "military",    "farm",  "works",       "traffic",
                                     "weed",    "rough_water", "surf"};
    return words[static_cast<std::size_t>(foul)];
}

} // namespace dangerline::hazard
