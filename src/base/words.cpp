#include "dangerline/base/words.hpp"

#include <algorithm>

#include <fmt/format.h>

namespace dangerline {

namespace {
constexpr double no_lack_m = 0.0005;
}

std::string tenths(double metres) {
    const auto words = fmt::format("{:.1f}", metres);
    return words == "-0.0" ? "0.0" : words;
}

std::string spare_tenths(double metres) {
    return fmt::format("{:+.1f}", metres < -no_lack_m ? std::min(metres, -0.1) : std::max(metres, 0.0) + 0.0);
}

std::string capitalised(std::string_view words) {
    std::string text(words);
    if (!text.empty() && text[0] >= 'a' && text[0] <= 'z')
        text[0] = static_cast<char>(text[0] - 'a' + 'A');
    return text;
}

} // namespace dangerline
