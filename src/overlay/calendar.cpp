#include "overlay/calendar.hpp"

namespace dangerline::overlay {

std::string calendar_text(std::string_view words) {
    std::string out;
    for (const char c : words) {
        if (c == '\\' || c == ';' || c == ',')
            out += '\\';
        if (c == '\n')
            out += "\\n";
        else if (static_cast<unsigned char>(c) >= 0x20 && c != 0x7f)
            out += c;
    }
    return out;
}

std::string calendar_line(std::string_view name, std::string_view value) {
    constexpr std::size_t most_octets = 75;
    std::string whole(name);
    whole += ':';
    whole += value;
    std::string out;
    std::size_t in_line = 0;
    for (std::size_t i = 0; i < whole.size();) {
        std::size_t length = 1; // of this character: continuation octets begin with the bits 10
        while (i + length < whole.size() && (static_cast<unsigned char>(whole[i + length]) & 0xC0U) == 0x80U)
            ++length;
        if (in_line + length > most_octets) {
            out += "\r\n ";
            in_line = 1;
        }
        out.append(whole, i, length);
        in_line += length;
        i += length;
    }
    return out + "\r\n";
}

std::string calendar_time(Instant t) {
    std::string out;
    for (const char c : to_iso_utc(t))
        if (c != '-' && c != ':')
            out += c;
    return out;
}

} // namespace dangerline::overlay
