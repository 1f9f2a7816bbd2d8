#include "drift/kernel.hpp"

#include <Random123/threefry.h>

#include <algorithm>
#include <array>

#include "drift/kernel_fetch.hpp"

// One kernel, three instances: the attribute lets each be compiled with its own instructions, and a table
// chooses. Contraction is off, so all give the same bits.
// No array is another one's memory; said once more than by __restrict, since gathers are else feared to read
// what was written.
#if defined(__GNUC__) && !defined(__clang__)
#define DANGERLINE_INDEPENDENT _Pragma("GCC ivdep")
#else
#define DANGERLINE_INDEPENDENT
#endif

namespace dangerline::drift {

namespace {

constexpr int rounds = 13; // the least that passes the statistical tests of the library's authors
constexpr std::int32_t together = particles_together; // a loop of so many becomes a few instructions
constexpr std::uint32_t side = DistanceBounds::side;
constexpr float cell_m = Dangers::cell_m;
constexpr float rounding_m = 0.02f; // of a place, in a box of up to 200 km

__attribute__((always_inline)) inline void whole_only(std::int32_t count) {
    if (count % together != 0)
        __builtin_unreachable(); // no code for what is left over
}
inline std::int32_t whole(std::int32_t left) {
    return std::min(batch, (left + together - 1) / together * together);
}

__attribute__((always_inline)) inline float clamped(float value, float most) {
    const float above = value > 0.0f ? value : 0.0f;
    return above < most ? above : most;
}

/// A length, never less: as it is along an axis and a diagonal, up to 8 % more between.
__attribute__((always_inline)) inline float at_most(float x, float y) {
    const float ax = __builtin_fabsf(x), ay = __builtin_fabsf(y);
    const float more = ax > ay ? ax : ay, less = ax > ay ? ay : ax;
    return more + 0.41422f * less;
}

__attribute__((always_inline)) inline void find(const StepInput& in, const Particles& p, std::int32_t first,
                                                std::int32_t count, Batch& t) {
    const std::int32_t row_cells = in.stream.columns - 1, slices = in.stream.slices;
    const float per_m = in.stream.per_m, per_s = in.stream.per_s;
    const float last_x = static_cast<float>(in.stream.columns) - 1.001f;
    const float last_y = static_cast<float>(in.stream.rows) - 1.001f;
    const float last_t = static_cast<float>(in.stream.slices) - 1.001f;
    const float t_s = in.t_s;
    const float* __restrict x = p.x + first;
    const float* __restrict y = p.y + first;
    const float* __restrict phase_s = p.phase_s + first;
    whole_only(count);
    for (std::int32_t i = 0; i < count; ++i) {
        const float gx = x[i] * per_m, gy = y[i] * per_m, gt = (t_s + phase_s[i]) * per_s;
        const float cx = clamped(gx, last_x), cy = clamped(gy, last_y), ct = clamped(gt, last_t);
        const auto ix = static_cast<std::int32_t>(cx), iy = static_cast<std::int32_t>(cy);
        const auto it = static_cast<std::int32_t>(ct);
        t.cell[i] = static_cast<std::uint32_t>((iy * row_cells + ix) * slices + it) * sizeof(StreamCell);
        t.fx[i] = cx - static_cast<float>(ix);
        t.fy[i] = cy - static_cast<float>(iy);
        const auto after = static_cast<std::int32_t>((ct - static_cast<float>(it)) * whole_slice + 0.5f);
        t.slice_weights[i] = (after << 16) + (whole_slice - after);
        t.flags[i] = (((gx != cx) | (gy != cy)) ? left_grid : none) | (gt != ct ? stream_unknown : none);
    }
}

enum class Walk { none, drawn_now, drawn_before };

template <Walk walk>
__attribute__((always_inline)) inline void move(const StepInput& in, const Particles& p, std::int32_t first,
                                                std::int32_t count, Batch& t) {
    // Everything in locals of its own: what is written through the arrays could else be taken to change them.
    const float now = in.step == 0 ? 1.0f : 1.5f, before = in.step == 0 ? 0.0f : 0.5f;
    const float dt_s = in.dt_s, width = in.walk_m * 0x1p-32f;
    const std::uint32_t key0 = in.key[0], key1 = in.key[1], number = in.step / 2;
    constexpr float unit = 0.001f / whole_slice;
    float* __restrict x = p.x + first;
    float* __restrict y = p.y + first;
    float* __restrict before_x = p.before_x + first;
    float* __restrict before_y = p.before_y + first;
    float* __restrict u = p.u + first;
    float* __restrict v = p.v + first;
    std::uint32_t* __restrict later = p.drawn + first;
    const float* __restrict push_u = p.push_u + first;
    const float* __restrict push_v = p.push_v + first;
    const float* __restrict stream_cos = p.stream_cos + first;
    const float* __restrict stream_sin = p.stream_sin + first;
    const std::uint32_t* __restrict id = p.id + first;
    const std::uint32_t* __restrict in_zone = p.in_zone + first;
    const auto to_touches = static_cast<std::uint32_t>(in.bounds->touches() - in.bounds->zones());
    const std::uint32_t square_row = static_cast<std::uint32_t>(in.bounds->squares_in_row) * (side * side);
    const float bounds_per_m = in.bounds_per_m;
    const float bounds_last_x = static_cast<float>(in.bounds->columns) - 1.0f;
    const float bounds_last_y = static_cast<float>(in.bounds->rows) - 1.0f;

    whole_only(count);
    DANGERLINE_INDEPENDENT
    for (std::int32_t i = 0; i < count; ++i) {
        const float fx = t.fx[i], fy = t.fy[i];
        const float wa = (1.0f - fx) * (1.0f - fy), wb = fx * (1.0f - fy), wc = (1.0f - fx) * fy,
                    wd = fx * fy;
        const auto number_of = [](std::int32_t sum) { return static_cast<float>(sum); };
        const float east = unit * (wa * number_of(t.east[0][i]) + wb * number_of(t.east[1][i]) +
                                   wc * number_of(t.east[2][i]) + wd * number_of(t.east[3][i]));
        const float north = unit * (wa * number_of(t.north[0][i]) + wb * number_of(t.north[1][i]) +
                                    wc * number_of(t.north[2][i]) + wd * number_of(t.north[3][i]));
        const float new_u = push_u[i] + stream_cos[i] * east - stream_sin[i] * north;
        const float new_v = push_v[i] + stream_sin[i] * east + stream_cos[i] * north;
        float dx = dt_s * (now * new_u - before * u[i]);
        float dy = dt_s * (now * new_v - before * v[i]);
        if constexpr (walk != Walk::none) {
            // 16 bits are a thousandth of a metre and more than enough: a draw of 64 serves two steps.
            std::uint32_t drawn = later[i];
            if constexpr (walk == Walk::drawn_now) {
                const auto both = threefry2x32_R(rounds, threefry2x32_ctr_t{{number, id[i]}},
                                                 threefry2x32_key_t{{key0, key1}});
                drawn = both.v[0];
                later[i] = both.v[1];
            }
            dx += width * static_cast<float>(static_cast<std::int32_t>((drawn & 0xffff0000u) | 0x8000u));
            dy += width * static_cast<float>(static_cast<std::int32_t>((drawn << 16) | 0x8000u));
        }

        t.flags[i] |= t.least[i] < (StreamCell::unknown + 1) * 65536 ? stream_unknown : none;
        t.flags[i] |= static_cast<std::int32_t>(static_cast<std::uint32_t>(t.least[i]) << 16) <
                              (StreamCell::unknown + 1) * 65536
                          ? stream_unknown
                          : none;
        // All of a straight way lies within half its length of its middle.
        t.half_run[i] = 0.5f * at_most(dx, dy);
        const float gx = (x[i] + 0.5f * dx) * bounds_per_m, gy = (y[i] + 0.5f * dy) * bounds_per_m;
        const auto jx = static_cast<std::int32_t>(clamped(gx, bounds_last_x));
        const auto jy = static_cast<std::int32_t>(clamped(gy, bounds_last_y));
        t.off_middle[i] =
            cell_m * at_most(gx - 0.5f - static_cast<float>(jx), gy - 0.5f - static_cast<float>(jy));
        const auto column = static_cast<std::uint32_t>(jx), row = static_cast<std::uint32_t>(jy);
        t.near[i] = (row / side) * square_row + (column / side) * (side * side) + (row % side) * side +
                    column % side + (in_zone[i] & to_touches);
        before_x[i] = x[i];
        before_y[i] = y[i];
        u[i] = new_u;
        v[i] = new_v;
        x[i] += dx;
        y[i] += dy;
    }
}

/// Which of them may meet something on their way.
__attribute__((always_inline)) inline void judge(const StepInput& in, const Particles& p, std::int32_t first,
                                                 std::int32_t count, Batch& t) {
    const std::uint8_t* const zones = in.bounds->zones();
    for (std::int32_t from = 0; from < count; from += together)
#pragma GCC unroll 16
        for (std::int32_t i = from; i < from + together; ++i)
            t.bound[i] =
                __atomic_load_n(zones + t.near[i], __ATOMIC_RELAXED); // they are made exact meanwhile
    std::int32_t* __restrict attention = p.attention + first;
    float* __restrict free_m = p.free_m + first;
    whole_only(count);
    DANGERLINE_INDEPENDENT
    for (std::int32_t i = 0; i < count; ++i) {
        const float bound =
            static_cast<float>(t.bound[i] * DistanceBounds::unit_m + DistanceBounds::least_m) -
            t.off_middle[i];
        const float kept = free_m[i] - t.half_run[i];
        const float free = bound > kept ? bound : kept; // half way
        free_m[i] = free - t.half_run[i] - rounding_m;
        attention[i] = t.flags[i] | (free <= t.half_run[i] ? near_danger : none);
    }
}

__attribute__((always_inline)) inline void move_any(const StepInput& in, const Particles& p,
                                                    std::int32_t first, std::int32_t count, Batch& t) {
    if (!(in.walk_m > 0.0f))
        move<Walk::none>(in, p, first, count, t);
    else if (in.step % 2 == 0)
        move<Walk::drawn_now>(in, p, first, count, t);
    else
        move<Walk::drawn_before>(in, p, first, count, t);
}

__attribute__((always_inline)) inline void push(const Push& in, const Particles& p, std::int32_t count) {
    const float wind = in.wind_mps, wind_x = in.wind_x, wind_y = in.wind_y;
    const float own_x = in.own_x, own_y = in.own_y, any_wind = in.wind_mps > 0.0f ? 1.0f : 0.0f;
    float* __restrict u = p.push_u;
    float* __restrict v = p.push_v;
    const float* __restrict share = p.lee_share;
    const float* __restrict offset = p.lee_offset;
    const float* __restrict cosine = p.lee_cos;
    const float* __restrict sine = p.lee_sin;
    for (std::int32_t i = 0; i < count; ++i) {
        const float blown = share[i] * wind + offset[i];
        const float lee = any_wind * (blown > 0.0f ? blown : 0.0f);
        u[i] = own_x + lee * (cosine[i] * wind_x - sine[i] * wind_y);
        v[i] = own_y + lee * (sine[i] * wind_x + cosine[i] * wind_y);
    }
}

void push_plain(const Push& in, const Particles& p, std::int32_t count) {
    push(in, p, count);
}
void step_plain(const StepInput& in, const Particles& p, std::int32_t count) {
    Batch t;
    for (std::int32_t first = 0; first < count; first += batch) {
        const std::int32_t lanes = whole(count - first);
        find(in, p, first, lanes, t);
        fetch(in, lanes, t);
        move_any(in, p, first, lanes, t);
        judge(in, p, first, lanes, t);
    }
}

#if defined(__x86_64__)
DANGERLINE_FOR("avx2")
void push_avx2(const Push& in, const Particles& p, std::int32_t count) {
    push(in, p, count);
}
DANGERLINE_FOR("avx2")
void step_avx2(const StepInput& in, const Particles& p, std::int32_t count) {
    Batch t;
    for (std::int32_t first = 0; first < count; first += batch) {
        const std::int32_t lanes = whole(count - first);
        find(in, p, first, lanes, t);
        fetch_avx2(in, lanes, t);
        move_any(in, p, first, lanes, t);
        judge(in, p, first, lanes, t);
    }
}
DANGERLINE_FOR("avx512f,avx512bw,avx512dq,avx512vl" DANGERLINE_WIDE)
void push_avx512(const Push& in, const Particles& p, std::int32_t count) {
    push(in, p, count);
}
DANGERLINE_FOR("avx512f,avx512bw,avx512dq,avx512vl" DANGERLINE_WIDE)
void step_avx512(const StepInput& in, const Particles& p, std::int32_t count) {
    Batch t;
    for (std::int32_t first = 0; first < count; first += batch) {
        const std::int32_t lanes = whole(count - first);
        find(in, p, first, lanes, t);
        fetch_avx512(in, lanes, t);
        move_any(in, p, first, lanes, t);
        judge(in, p, first, lanes, t);
    }
}

constexpr std::array all{Level::plain, Level::avx2, Level::avx512};

std::size_t runnable() {
    if (!__builtin_cpu_supports("avx2"))
        return 1;
    const bool wide = __builtin_cpu_supports("avx512f") && __builtin_cpu_supports("avx512bw") &&
                      __builtin_cpu_supports("avx512dq") && __builtin_cpu_supports("avx512vl");
    return wide ? 3 : 2;
}
#else
constexpr std::array all{Level::plain};
std::size_t runnable() {
    return 1;
}
#endif

} // namespace

const char* to_text(Level level) {
    switch (level) {
    case Level::plain:
        return "plain";
    case Level::avx2:
        return "AVX2";
    case Level::avx512:
        return "AVX-512";
    }
    return "";
}

std::span<const Level> levels() {
    static const std::size_t count = runnable();
    return std::span(all).first(count);
}

Kernel kernel_at(Level level) {
#if defined(__x86_64__)
    if (level == Level::avx512)
        return {push_avx512, step_avx512};
    if (level == Level::avx2)
        return {push_avx2, step_avx2};
#endif
    return level == Level::plain ? Kernel{push_plain, step_plain} : Kernel{};
}

} // namespace dangerline::drift
