// What the nature of the bottom means to an anchor of a certain pattern.
#pragma once

#include <cstdint>
#include <optional>
#include <span>
#include <string>
#include <string_view>
#include <vector>

namespace dangerline::drift {

/// Kinds of anchor in plain words.
enum class Pattern : std::uint8_t {
    flat_fluke, ///< two light flukes that swing on the shank
    plough,
    claw,
    scoop,   ///< one hollow fluke with a sharp point
    stocked, ///< old kind: stock across, two arms
    grapnel, ///< four or more arms, fixed or folding
    mushroom
};
struct PatternRow {
    Pattern pattern;
    std::string_view name; ///< as a plan gives it
};
std::span<const PatternRow> pattern_rows();
std::optional<Pattern> pattern_named(std::string_view name);
const char* to_text(Pattern pattern);

/// Kinds of bottom an anchor tells apart.
enum class Ground : std::uint8_t { unknown, soft_mud, firm_mud, sand, hard_sand, stones, rock };
const char* to_text(Ground ground);

/// What a table of holding says of a pattern in a ground; the worse the later.
enum class Holding : std::uint8_t {
    suits,        ///< the ground such an anchor is made for
    poor,         ///< it holds little there, or does not dig in
    may_not_free, ///< it may catch and hold, and may not come back
    unknown       ///< no figure, no practice, or no bottom known
};
/// "suits this bottom", "poor here" ...
const char* to_text(Holding holding);

struct HoldingRow {
    Pattern pattern;
    Ground ground;
    Holding holding;
    std::string_view why;    ///< half a sentence
    std::string_view source; ///< "common practice" where it is known from shops, makers or talk alone
};
/// One row for each pattern and known ground.
std::span<const HoldingRow> holding_rows();
/// Nothing for Ground::unknown.
std::optional<HoldingRow> holding_of(Pattern pattern, Ground ground);

/// The ground an S-57 bottom (SBDARE) makes: each code of NATSUR with its NATQUA. Where several are named, in
/// layers or mixed, each counts. No code, or one that says nothing about holding: unknown among them.
std::vector<Ground> grounds_of(const std::vector<int>& natsur, const std::vector<int>& natqua);
/// The words of the codes: "soft mud, shells"; "bottom of unstated nature" for none.
std::string bottom_words(const std::vector<int>& natsur, const std::vector<int>& natqua);

/// Holding of heavy anchors by the navy's rule H = H_R (W / 10,000 lbf)^b, newtons; UFC 4-159-03 eq. 26, H_R
/// and b from memory. Made for anchors of tonnes: for a small one an order of size and nothing more. Nothing
/// for patterns and grounds it lacks.
std::optional<double> navy_rule_n(Pattern pattern, Ground ground, double weight_kg);

} // namespace dangerline::drift
