#include "dangerline/hazard/hazard.hpp"

#include <array>

namespace dangerline::hazard {

const char* to_text(Kind kind) {
    static constexpr std::array<const char*, 8> words{"depth",     "obstacle", "rough_water", "overhead",
                                                      "regulated", "shore",    "no_data",     "survey"};
    return words.at(static_cast<std::size_t>(kind));
}

const char* to_text(Grade grade) {
    static constexpr std::array<const char*, 5> words{"none_found", "note", "caution", "unknown", "danger"};
    return words.at(static_cast<std::size_t>(grade));
}

const char* to_text(Cause cause) {
    static constexpr std::array<const char*, 7> words{"",       "margin", "assumed", "position",
                                                      "survey", "sea",    "rule"};
    return words.at(static_cast<std::size_t>(cause));
}

} // namespace dangerline::hazard
