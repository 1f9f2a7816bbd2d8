// A season's windows as JSON, as a table and as a calendar.
#pragma once

#include <string>

#include "dangerline/jobs/season.hpp"

namespace dangerline::overlay {

/// One JSON object: what passage_geojson() says in its head, and per route calculated closures, offered
/// windows, what limits it. Layout: src/overlay/schema/windows.schema.json. Times UTC; the same report gives
/// the same bytes.
std::string windows_json(const jobs::SeasonReport& report, const std::string& program_version);

/// Offered windows as CSV (RFC 4180, CRLF): local time with its offset, zone, UTC, minutes, what opens and
/// closes.
std::string windows_csv(const jobs::SeasonReport& report);

/// Offered windows as a calendar (RFC 5545): times in UTC, lines folded at 75 octets, CRLF. DTSTAMP is the
/// day ages are reckoned at, so that the same report gives the same bytes.
std::string windows_ics(const jobs::SeasonReport& report, const std::string& program_version);

/// "rock, covers and uncovers \"Gull\" (charted 2.1 m), 1.3 NM from the start, below 3.4 m of tide at Lanner
/// Bay"; "the season ends" for none.
std::string reason_words(const passage::Season& season, passage::ReasonNumber number);

} // namespace dangerline::overlay
