// Cells of comma-separated tables by RFC 4180. Private to the room.
#pragma once

#include <string>

namespace dangerline::overlay {

/// The text, in quotes where it needs them.
std::string csv_cell(const std::string& words);

} // namespace dangerline::overlay
