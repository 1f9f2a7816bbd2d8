#include "plan/read_anchor.hpp"

#include <fmt/format.h>

namespace dangerline::plan {

namespace {

// Beyond these a value is a slip of the pen for a small boat.
constexpr Range boat_lengths{1.5, 30.0};
constexpr Range bow_heights{0.0, 6.0, "metres", true};
constexpr Range weights{0.5, 100.0, "kilograms"};
constexpr Range ropes{0.0, 500.0};
constexpr Range chains{0.0, 200.0};
constexpr Range chain_sizes{4.0, 20.0, "millimetres"};

drift::Pattern read_pattern(const Section& section) {
    std::string known;
    for (const auto& row : drift::pattern_rows())
        known += fmt::format("{}\"{}\"", known.empty() ? "" : ", ", row.name);
    const std::string name = section.needed_text("pattern", "one of " + known);
    if (const auto pattern = drift::pattern_named(name))
        return *pattern;
    section.refuse("pattern", "unknown kind of anchor " + in_quotes(name), "one of " + known);
}

AnchorGear read_anchor(const Section& section) {
    AnchorGear anchor;
    anchor.line_number = section.line();
    anchor.pattern = read_pattern(section);
    anchor.weight_kg = section.needed_number("weight_kg", weights);
    anchor.line.rope_m = section.needed_number("rope_m", ropes);
    anchor.line.chain_m = section.needed_number("chain_m", chains);
    anchor.chain_mm = section.number("chain_mm", chain_sizes);
    if (anchor.line.aboard_m() <= 0.0)
        section.refuse("rope_m", "an anchor without rope or chain", "rope_m or chain_m over 0");
    if (anchor.line.chain_m > 0.0 && !anchor.chain_mm)
        section.refuse("chain_mm", "required key is missing", "the thickness of the links, like 8");
    if (anchor.line.chain_m <= 0.0 && anchor.chain_mm)
        section.refuse("chain_mm", "chain_m is 0: there is no chain", "no chain_mm, or chain_m over 0");
    return anchor;
}

} // namespace

Gear read_gear(const Section& boat) {
    Gear gear;
    gear.length_m = boat.number("length_m", boat_lengths);
    gear.bow_height_m = boat.number("bow_height_m", bow_heights);
    if (const auto anchor = boat.table("anchor"))
        gear.anchor = read_anchor(*anchor);
    if (gear.anchor && !gear.bow_height_m)
        boat.refuse("bow_height_m", "required key is missing where there is a [boat.anchor]",
                    "metres from the water to the bow roller, like 0.9");
    return gear;
}

} // namespace dangerline::plan
