// The inner loop of drift: one step of many particles, compiled for several instruction sets. Private.
#pragma once

#include <cstdint>

#include "dangerline/drift/level.hpp"

namespace dangerline::drift {

/// Marks an unknown stream in StreamSlices::packed.
inline constexpr std::int32_t unknown_component = -32768;

/// What a step must look at afterwards, particle by particle.
enum Attention : std::int32_t { none = 0, near_danger = 1, stream_unknown = 2, left_grid = 4 };

/// Streams on a square grid at equal times; east in the low 16 bits, north in the high ones, mm/s.
struct StreamSlices {
    const std::int32_t* packed = nullptr; ///< time, row from the south, column
    std::int32_t columns = 0, rows = 0, slices = 0;
    float per_m = 0.0f; ///< columns a metre
    float per_s = 0.0f; ///< slices a second
};

/// Metres to the nearest danger zone (low 16 bits) and to the nearest place where the boat touches (high
/// ones), never more than it is from anywhere in the cell.
struct Bounds {
    const std::int32_t* packed = nullptr; ///< row from the south, column
    std::int32_t columns = 0, rows = 0;
    float per_m = 0.0f;
};

struct StepInput {
    StreamSlices stream;
    Bounds bounds;
    float t_s = 0.0f; ///< since the first slice
    float dt_s = 0.0f;
    float wind_mps = 0.0f;
    float wind_x = 0.0f, wind_y = 0.0f; ///< unit vector, where the wind blows to
    float own_x = 0.0f, own_y = 0.0f;   ///< the boat's own way through the water, m/s
    float walk_m = 0.0f;                ///< full width of the uniform step of the eddies; 0: none
    std::uint32_t key[2] = {0, 0};
    std::uint32_t step = 0;
    bool first = false;
};

/// Arrays of one length; positions in metres from the south-west corner of the grid.
struct Particles {
    float *x = nullptr, *y = nullptr;
    float *before_x = nullptr, *before_y = nullptr;           ///< positions before the step
    float *u = nullptr, *v = nullptr;                         ///< velocity of the step before
    const float *stream_cos = nullptr, *stream_sin = nullptr; ///< factor and turn of the stream
    const float *lee_share = nullptr, *lee_offset = nullptr;
    const float *lee_cos = nullptr, *lee_sin = nullptr; ///< turn of wind and divergence
    const float* phase_s = nullptr;
    const std::int32_t* bounds_shift = nullptr; ///< 0 before the boat has entered a zone, 16 after
    const std::uint32_t* id = nullptr;
    std::int32_t* attention = nullptr;
};

/// One Adams-Bashforth step (the first one Euler's) of `count` particles.
using Step = void (*)(const StepInput&, const Particles&, std::int32_t count);
Step step_at(Level level);

} // namespace dangerline::drift
