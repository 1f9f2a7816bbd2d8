// Which instructions the drift runs on. Results are the same on all of them, bit for bit.
#pragma once

#include <cstdint>
#include <span>

namespace dangerline::drift {

enum class Level : std::uint8_t { plain, avx2, avx512 };
const char* to_text(Level level);

/// Those this machine can run, the fastest last; `plain` always.
std::span<const Level> levels();

} // namespace dangerline::drift
