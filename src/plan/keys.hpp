// The keys a plan may have, and what is said about any other.
#pragma once

#include "plan/toml_value.hpp"

#include <filesystem>

namespace dangerline::plan {

/// Throws Failure (plan) for the first key that no table of a plan has: names its line, the nearest known key
/// of the same table, the unit that is missing from its name, or the table it belongs into. Values of another
/// type than a table are left to whoever reads them.
void refuse_unknown_keys(const std::filesystem::path& file, const TomlValue& document);

} // namespace dangerline::plan
