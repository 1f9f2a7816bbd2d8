#include "dangerline/drift/anchor_ground.hpp"

#include "dangerline/drift/anchor_loads.hpp"

#include <algorithm>
#include <cmath>

#include <fmt/format.h>

namespace dangerline::drift {

namespace {

using P = Pattern;
using G = Ground;
using H = Holding;

constexpr PatternRow patterns[] = {
    {P::flat_fluke, "flat fluke"}, {P::plough, "plough"},   {P::claw, "claw"},        {P::scoop, "scoop"},
    {P::stocked, "stocked"},       {P::grapnel, "grapnel"}, {P::mushroom, "mushroom"}};

constexpr std::string_view practice = "common practice";
constexpr std::string_view navy_divers = "US Navy underwater construction teams' manual";
constexpr std::string_view mud_test = "soft mud test, Chesapeake Bay, August 2014";
constexpr std::string_view catches = "may catch and hold, and may not come back";

constexpr HoldingRow holdings[] = {
    {P::flat_fluke, G::soft_mud, H::suits, "with its flukes set wide, about 45 to 50 degrees", mud_test},
    {P::flat_fluke, G::firm_mud, H::suits, "may roll out when overloaded and not dig in again", navy_divers},
    {P::flat_fluke, G::sand, H::suits, "may roll out when overloaded and not dig in again", navy_divers},
    {P::flat_fluke, G::hard_sand, H::suits,
     "its flukes at about 30 degrees; may roll out when overloaded and not dig in again", navy_divers},
    {P::flat_fluke, G::stones, H::poor, "a stone between the flukes keeps them from biting", practice},
    {P::flat_fluke, G::rock, H::may_not_free, catches, practice},
    {P::plough, G::soft_mud, H::poor, "steel anchors held two to five times less than flat flukes there",
     mud_test},
    {P::plough, G::firm_mud, H::suits, "made for clay and hard sand", navy_divers},
    {P::plough, G::sand, H::suits, "made for clay and hard sand", navy_divers},
    {P::plough, G::hard_sand, H::suits, "made for clay and hard sand", navy_divers},
    {P::plough, G::stones, H::poor, "digs in between stones by luck", practice},
    {P::plough, G::rock, H::may_not_free, catches, practice},
    {P::claw, G::soft_mud, H::poor, "steel anchors held two to five times less than flat flukes there",
     mud_test},
    {P::claw, G::firm_mud, H::poor, "made for looser ground", navy_divers},
    {P::claw, G::sand, H::suits, "made for looser ground", navy_divers},
    {P::claw, G::hard_sand, H::poor, "made for looser ground", navy_divers},
    {P::claw, G::stones, H::poor, "digs in between stones by luck", practice},
    {P::claw, G::rock, H::may_not_free, catches, practice},
    {P::scoop, G::soft_mud, H::poor, "steel anchors held two to five times less than flat flukes there",
     mud_test},
    {P::scoop, G::firm_mud, H::suits, "digs in quickly", practice},
    {P::scoop, G::sand, H::suits, "digs in quickly", practice},
    {P::scoop, G::hard_sand, H::suits, "digs in quickly", practice},
    {P::scoop, G::stones, H::poor, "digs in between stones by luck", practice},
    {P::scoop, G::rock, H::may_not_free, catches, practice},
    {P::stocked, G::soft_mud, H::poor, "its flukes are small for their weight", practice},
    {P::stocked, G::firm_mud, H::poor, "its flukes are small for their weight", practice},
    {P::stocked, G::sand, H::poor, "its flukes are small for their weight", practice},
    {P::stocked, G::hard_sand, H::poor, "its flukes are small for their weight", practice},
    {P::stocked, G::stones, H::poor, "hooks in by luck", practice},
    {P::stocked, G::rock, H::may_not_free, catches, practice},
    {P::grapnel, G::soft_mud, H::poor, "its arms have no area to hold with", practice},
    {P::grapnel, G::firm_mud, H::poor, "its arms have no area to hold with", practice},
    {P::grapnel, G::sand, H::poor, "its arms have no area to hold with", practice},
    {P::grapnel, G::hard_sand, H::poor, "its arms have no area to hold with", practice},
    {P::grapnel, G::stones, H::poor, "hooks in by luck", practice},
    {P::grapnel, G::rock, H::may_not_free, catches, practice},
    {P::mushroom, G::soft_mud, H::poor, "holds once it has sunk in for weeks", practice},
    {P::mushroom, G::firm_mud, H::poor, "does not dig in", practice},
    {P::mushroom, G::sand, H::poor, "does not dig in", practice},
    {P::mushroom, G::hard_sand, H::poor, "does not dig in", practice},
    {P::mushroom, G::stones, H::poor, "does not dig in", practice},
    {P::mushroom, G::rock, H::poor, "has nothing to catch with", practice},
};

struct Code {
    int code;
    std::string_view words;
};
constexpr Code natures[] = {{1, "mud"},    {2, "clay"},    {3, "silt"},     {4, "sand"}, {5, "stone"},
                            {6, "gravel"}, {7, "pebbles"}, {8, "cobbles"},  {9, "rock"}, {11, "lava"},
                            {14, "coral"}, {17, "shells"}, {18, "boulders"}};
constexpr Code qualities[] = {{1, "fine"}, {2, "medium"}, {3, "coarse"},   {4, "broken"},     {5, "sticky"},
                              {6, "soft"}, {7, "stiff"},  {8, "volcanic"}, {9, "calcareous"}, {10, "hard"}};
constexpr int soft = 6, stiff = 7, sticky = 5, hard = 10;

template <std::size_t N>
std::string_view word_of(const Code (&table)[N], int code) {
    const auto it =
        std::find_if(std::begin(table), std::end(table), [&](const Code& c) { return c.code == code; });
    return it == std::end(table) ? std::string_view() : it->words;
}

bool any_of(const std::vector<int>& codes, std::initializer_list<int> wanted) {
    return std::any_of(codes.begin(), codes.end(),
                       [&](int c) { return std::find(wanted.begin(), wanted.end(), c) != wanted.end(); });
}

/// Qualities stand for the whole list: nobody can tell which nature each belongs to, so each is judged by the
/// worse reading.
G ground_of(int natsur, const std::vector<int>& natqua) {
    switch (natsur) {
    case 1:
    case 3: // unstated, mud and silt are taken as soft
        return any_of(natqua, {sticky, stiff, hard}) && !any_of(natqua, {soft}) ? G::firm_mud : G::soft_mud;
    case 2:
        return any_of(natqua, {soft}) ? G::soft_mud : G::firm_mud;
    case 4:
        return any_of(natqua, {hard}) ? G::hard_sand : G::sand;
    case 5:
    case 6:
    case 7:
    case 8:
    case 17:
        return G::stones;
    case 9:
    case 11:
    case 14:
    case 18:
        return G::rock;
    default:
        return G::unknown;
    }
}

} // namespace

std::span<const PatternRow> pattern_rows() {
    return patterns;
}

std::optional<Pattern> pattern_named(std::string_view name) {
    for (const auto& row : patterns)
        if (row.name == name)
            return row.pattern;
    return std::nullopt;
}

const char* to_text(Pattern pattern) {
    return patterns[static_cast<std::size_t>(pattern)].name.data();
}

const char* to_text(Ground ground) {
    constexpr const char* words[] = {"not known",        "soft mud", "firm mud or clay", "sand", "hard sand",
                                     "stones or shells", "rock"};
    return words[static_cast<std::size_t>(ground)];
}

const char* to_text(Holding holding) {
    constexpr const char* words[] = {"suits this bottom", "poor here", "may hold, may not come back",
                                     "not known"};
    return words[static_cast<std::size_t>(holding)];
}

std::span<const HoldingRow> holding_rows() {
    return holdings;
}

std::optional<HoldingRow> holding_of(Pattern pattern, Ground ground) {
    for (const auto& row : holdings)
        if (row.pattern == pattern && row.ground == ground)
            return row;
    return std::nullopt;
}

std::vector<Ground> grounds_of(const std::vector<int>& natsur, const std::vector<int>& natqua) {
    std::vector<Ground> out;
    for (const int code : natsur)
        if (const G ground = ground_of(code, natqua); std::find(out.begin(), out.end(), ground) == out.end())
            out.push_back(ground);
    if (out.empty())
        out.push_back(G::unknown);
    return out;
}

std::string bottom_words(const std::vector<int>& natsur, const std::vector<int>& natqua) {
    if (natsur.empty())
        return "bottom of unstated nature";
    std::string words;
    for (const int code : natqua)
        words += std::string(word_of(qualities, code)) + (word_of(qualities, code).empty() ? "" : " ");
    for (const int code : natsur) {
        const auto word = word_of(natures, code);
        words += (code == natsur.front() ? "" : ", ") +
                 (word.empty() ? fmt::format("nature {}", code) : std::string(word));
    }
    return words;
}

std::optional<double> navy_rule_n(Pattern pattern, Ground ground, double weight_kg) {
    struct Row {
        P pattern;
        double mud_kips, mud_b, sand_kips, sand_b;
    };
    constexpr Row rows[] = {{P::flat_fluke, 87, 0.92, 126, 0.80}, {P::claw, 32, 0.92, 250, 0.80}};
    const bool mud = ground == G::soft_mud, sand = ground == G::sand || ground == G::hard_sand;
    if (!mud && !sand)
        return std::nullopt;
    constexpr double pounds_per_kg = 1.0 / 0.45359237, reference_lbf = 10'000.0, lbf_per_kip = 1000.0;
    for (const auto& row : rows)
        if (row.pattern == pattern)
            return (mud ? row.mud_kips : row.sand_kips) * lbf_per_kip *
                   std::pow(weight_kg * pounds_per_kg / reference_lbf, mud ? row.mud_b : row.sand_b) *
                   newtons_per_pound_force;
    return std::nullopt;
}

} // namespace dangerline::drift
