// The inner loop of drift: one step of many particles, compiled for several instruction sets. Private.
#pragma once

#include <cstdint>

#include "dangerline/drift/dangers.hpp"
#include "dangerline/drift/level.hpp"
#include "dangerline/drift/water.hpp"

namespace dangerline::drift {

/// What a step must look at afterwards, particle by particle.
enum Attention : std::int32_t { none = 0, near_danger = 1, stream_unknown = 2, left_grid = 4 };

/// Streams on a square grid at equal times, laid out as StreamGrid keeps them.
struct StreamSlices {
    const StreamCell* cells = nullptr;
    std::int32_t columns = 0, rows = 0, slices = 0; ///< nodes
    float per_m = 0.0f;                             ///< columns a metre
    float per_s = 0.0f;                             ///< slices a second
};

struct StepInput {
    StreamSlices stream;
    const DistanceBounds* bounds = nullptr;
    float bounds_per_m = 0.0f; ///< cells a metre
    float t_s = 0.0f;          ///< since the first slice
    float dt_s = 0.0f;
    float walk_m = 0.0f; ///< full width of the uniform step of the eddies; 0: none
    std::uint32_t key[2] = {0, 0};
    std::uint32_t step = 0;
};

/// What moves a boat through the water.
struct Push {
    float wind_mps = 0.0f;
    float wind_x = 0.0f, wind_y = 0.0f; ///< unit vector, where the wind blows to
    float own_x = 0.0f, own_y = 0.0f;   ///< the boat's own way, m/s
};

/// Arrays end on a multiple of this; what lies behind the last particle is moved with it.
inline constexpr std::int32_t particles_together = 16;

/// Arrays of one length, none of them another one's memory; positions in metres from the south-west corner of
/// the grid.
struct Particles {
    float *x = nullptr, *y = nullptr;
    float *before_x = nullptr, *before_y = nullptr;           ///< positions before the step
    float *u = nullptr, *v = nullptr;                         ///< velocity of the step before
    float *push_u = nullptr, *push_v = nullptr;               ///< velocity through the water
    const float *stream_cos = nullptr, *stream_sin = nullptr; ///< factor and turn of the stream
    const float *lee_share = nullptr, *lee_offset = nullptr;
    const float *lee_cos = nullptr, *lee_sin = nullptr; ///< turn of wind and divergence
    const float* phase_s = nullptr;
    const std::uint32_t* in_zone = nullptr; ///< 0 before the boat has entered a zone, ~0 after
    const std::uint32_t* id = nullptr;
    float* free_m = nullptr;        ///< way that meets nothing, whatever the bounds say
    std::uint32_t* drawn = nullptr; ///< for the step after this one
    std::int32_t* attention = nullptr;
};

/// One instance of the inner loop.
struct Kernel {
    /// Lays the velocity through the water.
    void (*push)(const Push&, const Particles&, std::int32_t count);
    /// One Adams-Bashforth step (the first one Euler's). Steps must follow each other from 0: a draw serves
    /// two.
    void (*step)(const StepInput&, const Particles&, std::int32_t count);
};
Kernel kernel_at(Level level);

} // namespace dangerline::drift
