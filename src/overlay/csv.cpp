#include "overlay/csv.hpp"

namespace dangerline::overlay {

std::string csv_cell(const std::string& words) {
    if (words.find_first_of(",\"\r\n") == std::string::npos)
        return words;
    std::string out = "\"";
    for (const char c : words)
        out += c == '"' ? std::string("\"\"") : std::string(1, c);
    return out + "\"";
}

} // namespace dangerline::overlay
