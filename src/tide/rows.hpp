// What rows of tide tables have in common.
#pragma once

#include <optional>

#include "dangerline/base/quantities.hpp"
#include "dangerline/base/time.hpp"
#include "dangerline/files/table.hpp"

namespace dangerline::tide {

/// Column `height_m`, -30 to 30 m.
TideHeight height_of(const files::TableRow& row);
/// Column `datum` of all rows, where there is one.
std::optional<int> datum_of(const files::Table& table);
[[noreturn]] void refuse_table(const files::Table& table, const std::string& what,
                               const std::string& expected);

} // namespace dangerline::tide
