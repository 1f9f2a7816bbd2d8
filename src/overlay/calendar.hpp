// Lines of a calendar by RFC 5545. Private to the room.
#pragma once

#include <string>
#include <string_view>

#include "dangerline/base/time.hpp"

namespace dangerline::overlay {

/// TEXT of section 3.3.11: backslash, semicolon, comma and line breaks escaped, other control characters
/// dropped.
std::string calendar_text(std::string_view words);
/// "NAME:value" with CRLF, folded so that no line has more than 75 octets and no character of UTF-8 is cut.
std::string calendar_line(std::string_view name, std::string_view value);
/// "20260601T061200Z".
std::string calendar_time(Instant t);

} // namespace dangerline::overlay
