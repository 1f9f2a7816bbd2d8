#include "drift/kernel.hpp"

#include <Random123/threefry.h>

#include <algorithm>
#include <array>

// One kernel, three instances: the attribute lets each be compiled with its own instructions, and a table
// chooses. Contraction is off, so all give the same bits.
// Vectors as wide as the instructions allow; clang knows no such wish.
#if defined(__clang__)
#define DANGERLINE_WIDE ""
#else
#define DANGERLINE_WIDE ",prefer-vector-width=512"
#endif
#if defined(__x86_64__)
#define DANGERLINE_FOR(instructions) __attribute__((target(instructions)))
#endif

namespace dangerline::drift {

namespace {

constexpr int rounds = 13; // the least that passes the statistical tests of the library's authors

__attribute__((always_inline)) inline float low_half(std::int32_t packed) {
    return static_cast<float>(static_cast<std::int32_t>(static_cast<std::uint32_t>(packed) << 16) >> 16);
}
__attribute__((always_inline)) inline float high_half(std::int32_t packed) {
    return static_cast<float>(packed >> 16);
}
__attribute__((always_inline)) inline float clamped(float value, float most) {
    const float above = value > 0.0f ? value : 0.0f;
    return above < most ? above : most;
}

__attribute__((always_inline)) inline std::int64_t pair_at(const std::int32_t* place) {
    std::int64_t both;
    __builtin_memcpy(&both, place, sizeof both);
    return both;
}
__attribute__((always_inline)) inline std::int32_t first_of(std::int64_t both) {
    return static_cast<std::int32_t>(both);
}
__attribute__((always_inline)) inline std::int32_t second_of(std::int64_t both) {
    return static_cast<std::int32_t>(both >> 32);
}

template <bool walk>
__attribute__((always_inline)) inline void step(const StepInput& in, const Particles& p, std::int32_t count) {
    // Everything in locals of its own: what is written through the arrays could else be taken to change them.
    const std::int32_t* __restrict stream = in.stream.packed;
    const std::int32_t* __restrict bounds = in.bounds.packed;
    const std::int32_t columns = in.stream.columns, slice = columns * in.stream.rows;
    const std::int32_t bounds_columns = in.bounds.columns;
    const float per_m = in.stream.per_m, per_s = in.stream.per_s, bounds_per_m = in.bounds.per_m;
    const float last_x = static_cast<float>(in.stream.columns) - 1.001f;
    const float last_y = static_cast<float>(in.stream.rows) - 1.001f;
    const float last_t = static_cast<float>(in.stream.slices) - 1.001f;
    const float bounds_last_x = static_cast<float>(in.bounds.columns) - 1.0f;
    const float bounds_last_y = static_cast<float>(in.bounds.rows) - 1.0f;
    const float now = in.first ? 1.0f : 1.5f, before = in.first ? 0.0f : 0.5f;
    const float t_s = in.t_s, dt_s = in.dt_s, wind = in.wind_mps, wind_x = in.wind_x, wind_y = in.wind_y;
    const float own_x = in.own_x, own_y = in.own_y;
    const float any_wind = in.wind_mps > 0.0f ? 1.0f : 0.0f;
    const float width = in.walk_m * 0x1p-32f;
    const std::uint32_t key0 = in.key[0], key1 = in.key[1], number = in.step;
    const float mm = 0.001f;
    float* __restrict x = p.x;
    float* __restrict y = p.y;
    float* __restrict before_x = p.before_x;
    float* __restrict before_y = p.before_y;
    float* __restrict u = p.u;
    float* __restrict v = p.v;
    std::int32_t* __restrict attention = p.attention;
    const float* __restrict stream_cos = p.stream_cos;
    const float* __restrict stream_sin = p.stream_sin;
    const float* __restrict lee_share = p.lee_share;
    const float* __restrict lee_offset = p.lee_offset;
    const float* __restrict lee_cos = p.lee_cos;
    const float* __restrict lee_sin = p.lee_sin;
    const float* __restrict phase_s = p.phase_s;
    const std::int32_t* __restrict bounds_shift = p.bounds_shift;
    const std::uint32_t* __restrict id = p.id;

    // No array is another one's memory; said once more, since gathers are else feared to read what was
    // written.
#if defined(__GNUC__) && !defined(__clang__)
#pragma GCC ivdep
#endif
    for (std::int32_t i = 0; i < count; ++i) {
        const float gx = x[i] * per_m, gy = y[i] * per_m;
        const float gt = (t_s + phase_s[i]) * per_s;
        const float cx = clamped(gx, last_x), cy = clamped(gy, last_y), ct = clamped(gt, last_t);
        const auto ix = static_cast<std::int32_t>(cx), iy = static_cast<std::int32_t>(cy);
        const auto it = static_cast<std::int32_t>(ct);
        const float fx = cx - static_cast<float>(ix), fy = cy - static_cast<float>(iy);
        const float ft = ct - static_cast<float>(it);
        const std::int32_t base = it * slice + iy * columns + ix;

        // Neighbours in a row are fetched together: half as many loads from scattered places.
        const std::int64_t ab0 = pair_at(stream + base), cd0 = pair_at(stream + base + columns);
        const std::int64_t ab1 = pair_at(stream + base + slice),
                           cd1 = pair_at(stream + base + slice + columns);
        const std::int32_t a0 = first_of(ab0), b0 = second_of(ab0), c0 = first_of(cd0), d0 = second_of(cd0);
        const std::int32_t a1 = first_of(ab1), b1 = second_of(ab1), c1 = first_of(cd1), d1 = second_of(cd1);
        const float wa = (1.0f - fx) * (1.0f - fy), wb = fx * (1.0f - fy), wc = (1.0f - fx) * fy,
                    wd = fx * fy;
        const float east0 = wa * low_half(a0) + wb * low_half(b0) + wc * low_half(c0) + wd * low_half(d0);
        const float east1 = wa * low_half(a1) + wb * low_half(b1) + wc * low_half(c1) + wd * low_half(d1);
        const float north0 =
            wa * high_half(a0) + wb * high_half(b0) + wc * high_half(c0) + wd * high_half(d0);
        const float north1 =
            wa * high_half(a1) + wb * high_half(b1) + wc * high_half(c1) + wd * high_half(d1);
        const float east = mm * (east0 + ft * (east1 - east0));
        const float north = mm * (north0 + ft * (north1 - north0));
        // A node that is not known holds the least number there is in its high half.
        const std::int32_t least = std::min(std::min(std::min(a0, b0), std::min(c0, d0)),
                                            std::min(std::min(a1, b1), std::min(c1, d1)));

        const float blown = lee_share[i] * wind + lee_offset[i];
        const float lee = any_wind * (blown > 0.0f ? blown : 0.0f);
        const float new_u = own_x + stream_cos[i] * east - stream_sin[i] * north +
                            lee * (lee_cos[i] * wind_x - lee_sin[i] * wind_y);
        const float new_v = own_y + stream_sin[i] * east + stream_cos[i] * north +
                            lee * (lee_sin[i] * wind_x + lee_cos[i] * wind_y);
        float dx = dt_s * (now * new_u - before * u[i]);
        float dy = dt_s * (now * new_v - before * v[i]);
        if constexpr (walk) {
            const threefry2x32_ctr_t drawn =
                threefry2x32_R(rounds, threefry2x32_ctr_t{{number, id[i]}}, threefry2x32_key_t{{key0, key1}});
            dx += width * static_cast<float>(static_cast<std::int32_t>(drawn.v[0]));
            dy += width * static_cast<float>(static_cast<std::int32_t>(drawn.v[1]));
        }

        const float bx = clamped(x[i] * bounds_per_m, bounds_last_x);
        const float by = clamped(y[i] * bounds_per_m, bounds_last_y);
        const std::int32_t packed =
            bounds[static_cast<std::int32_t>(by) * bounds_columns + static_cast<std::int32_t>(bx)];
        const std::int32_t metres =
            static_cast<std::int32_t>((static_cast<std::uint32_t>(packed) >> bounds_shift[i]) & 0x7fffu);
        const float run = (dx < 0.0f ? -dx : dx) + (dy < 0.0f ? -dy : dy);

        std::int32_t flags = static_cast<float>(metres) <= run ? near_danger : none;
        flags |= least < (unknown_component + 1) * 65536 ? stream_unknown : none;
        flags |= ((gx != cx) | (gy != cy)) ? left_grid : none;
        flags |= gt != ct ? stream_unknown : none;
        attention[i] = flags;
        before_x[i] = x[i];
        before_y[i] = y[i];
        u[i] = new_u;
        v[i] = new_v;
        x[i] += dx;
        y[i] += dy;
    }
}

__attribute__((always_inline)) inline void either(const StepInput& in, const Particles& p,
                                                  std::int32_t count) {
    if (in.walk_m > 0.0f)
        step<true>(in, p, count);
    else
        step<false>(in, p, count);
}

void plain(const StepInput& in, const Particles& p, std::int32_t count) {
    either(in, p, count);
}

#if defined(__x86_64__)
DANGERLINE_FOR("avx2")
void with_avx2(const StepInput& in, const Particles& p, std::int32_t count) {
    either(in, p, count);
}
DANGERLINE_FOR("avx512f,avx512bw,avx512dq,avx512vl" DANGERLINE_WIDE)
void with_avx512(const StepInput& in, const Particles& p, std::int32_t count) {
    either(in, p, count);
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

Step step_at(Level level) {
#if defined(__x86_64__)
    if (level == Level::avx512)
        return with_avx512;
    if (level == Level::avx2)
        return with_avx2;
#endif
    return level == Level::plain ? plain : nullptr;
}

} // namespace dangerline::drift
