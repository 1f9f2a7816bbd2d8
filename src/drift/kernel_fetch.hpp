// How a step of drift gets at the streams, instructions by instructions. Private to the kernel, which
// includes it once.
#pragma once

#if defined(__x86_64__)
#include <immintrin.h>
#endif

#include <algorithm>
#include <cstdint>

#include "drift/kernel.hpp"

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

constexpr std::int32_t batch = 64;
constexpr std::int32_t whole_slice = 1 << 14; // of the weights of the slices before and after

/// What up to a batch of particles passes from one part of a step to the next.
struct alignas(64) Batch {
    std::uint32_t cell[batch];         ///< bytes to their streams in the slice before
    std::int32_t slice_weights[batch]; ///< of the slice before (low half) and after
    float fx[batch], fy[batch];
    std::int32_t flags[batch];
    std::int32_t east[4][batch], north[4][batch]; ///< by corner, sums over the slices
    std::int32_t least[batch];                    ///< of north of the corners, in the slice before and after
    float half_run[batch];                        ///< half the way of the step, never too short
    std::uint32_t near[batch];                    ///< bytes to the bounds
    float off_middle[batch]; ///< of half way from the middle of the bounds' cell, never too little
    std::int32_t bound[batch];
};

// Streams and bounds lie at scattered places. On some machines gather instructions take longer than all the
// rest of a step, so the eight corners of a particle are loaded as one and turned in registers.
__attribute__((always_inline)) inline const StreamCell* cells_of(const StepInput& in, const Batch& t,
                                                                 std::int32_t i) {
    return reinterpret_cast<const StreamCell*>(reinterpret_cast<const char*>(in.stream.cells) + t.cell[i]);
}

void fetch(const StepInput& in, std::int32_t count, Batch& t) {
    for (std::int32_t i = 0; i < count; ++i) {
        const StreamCell* const at = cells_of(in, t, i);
        const StreamCell &before = at[0], &after = at[1];
        const std::int32_t share = t.slice_weights[i] >> 16, rest = t.slice_weights[i] & 0xffff;
        std::int32_t least_before = 0, least_after = 0;
        for (int k = 0; k < 4; ++k) {
            t.east[k][i] = rest * before.east[k] + share * after.east[k];
            t.north[k][i] = rest * before.north[k] + share * after.north[k];
            least_before = std::min<std::int32_t>(least_before, before.north[k]);
            least_after = std::min<std::int32_t>(least_after, after.north[k]);
        }
        t.least[i] = (least_after * 65536) | (least_before & 0xffff);
    }
}

#if defined(__x86_64__)
#define DANGERLINE_AVX2 DANGERLINE_FOR("avx2") inline
#define DANGERLINE_AVX512 DANGERLINE_FOR("avx512f,avx512bw,avx512dq,avx512vl" DANGERLINE_WIDE) inline

DANGERLINE_AVX2 __m256i lanes(const StreamCell* a, const StreamCell* b) {
    const auto load = [](const StreamCell* at) {
        return _mm_load_si128(reinterpret_cast<const __m128i*>(at));
    };
    return _mm256_inserti128_si256(_mm256_castsi128_si256(load(a)), load(b), 1);
}

/// Rows of four in each lane become columns.
DANGERLINE_AVX2 void turn(const __m256i* row, __m256i* column) {
    const __m256i a = _mm256_unpacklo_epi32(row[0], row[1]), b = _mm256_unpacklo_epi32(row[2], row[3]);
    const __m256i c = _mm256_unpackhi_epi32(row[0], row[1]), d = _mm256_unpackhi_epi32(row[2], row[3]);
    column[0] = _mm256_unpacklo_epi64(a, b);
    column[1] = _mm256_unpackhi_epi64(a, b);
    column[2] = _mm256_unpacklo_epi64(c, d);
    column[3] = _mm256_unpackhi_epi64(c, d);
}

DANGERLINE_AVX2 void fetch_avx2(const StepInput& in, std::int32_t count, Batch& t) {
    for (std::int32_t i = 0; i < count; i += 8) {
        __m256i east[4], north[4], column[4];
        for (int k = 0; k < 4; ++k) {
            const StreamCell* const a = cells_of(in, t, i + k);
            const StreamCell* const b = cells_of(in, t, i + k + 4);
            const __m256i before = lanes(a, b), after = lanes(a + 1, b + 1);
            east[k] = _mm256_unpacklo_epi16(before, after);
            north[k] = _mm256_unpackhi_epi16(before, after);
        }
        const __m256i weights = _mm256_load_si256(reinterpret_cast<const __m256i*>(t.slice_weights + i));
        const auto to = [i](std::int32_t* row) { return reinterpret_cast<__m256i*>(row + i); };
        turn(east, column);
        for (int k = 0; k < 4; ++k)
            _mm256_store_si256(to(t.east[k]), _mm256_madd_epi16(column[k], weights));
        turn(north, column);
        for (int k = 0; k < 4; ++k)
            _mm256_store_si256(to(t.north[k]), _mm256_madd_epi16(column[k], weights));
        _mm256_store_si256(to(t.least), _mm256_min_epi16(_mm256_min_epi16(column[0], column[1]),
                                                         _mm256_min_epi16(column[2], column[3])));
    }
}

DANGERLINE_AVX512 __m512i lanes(const StreamCell* a, const StreamCell* b, const StreamCell* c,
                                const StreamCell* d) {
    const auto load = [](const StreamCell* at) {
        return _mm_load_si128(reinterpret_cast<const __m128i*>(at));
    };
    __m512i all = _mm512_castsi128_si512(load(a));
    all = _mm512_mask_broadcast_i32x4(all, 0x00f0, load(b));
    all = _mm512_mask_broadcast_i32x4(all, 0x0f00, load(c));
    return _mm512_mask_broadcast_i32x4(all, 0xf000, load(d));
}

/// With masks of ones: without, g++ 12 warns of what its own header leaves open on purpose.
DANGERLINE_AVX512 void turn(const __m512i* row, __m512i* column) {
    const __m512i a = _mm512_maskz_unpacklo_epi32(0xffff, row[0], row[1]),
                  b = _mm512_maskz_unpacklo_epi32(0xffff, row[2], row[3]),
                  c = _mm512_maskz_unpackhi_epi32(0xffff, row[0], row[1]),
                  d = _mm512_maskz_unpackhi_epi32(0xffff, row[2], row[3]);
    column[0] = _mm512_maskz_unpacklo_epi64(0xff, a, b);
    column[1] = _mm512_maskz_unpackhi_epi64(0xff, a, b);
    column[2] = _mm512_maskz_unpacklo_epi64(0xff, c, d);
    column[3] = _mm512_maskz_unpackhi_epi64(0xff, c, d);
}

DANGERLINE_AVX512 void fetch_avx512(const StepInput& in, std::int32_t count, Batch& t) {
    for (std::int32_t i = 0; i < count; i += 16) {
        __m512i east[4], north[4], column[4];
        for (int k = 0; k < 4; ++k) {
            const StreamCell* const a = cells_of(in, t, i + k);
            const StreamCell* const b = cells_of(in, t, i + k + 4);
            const StreamCell* const c = cells_of(in, t, i + k + 8);
            const StreamCell* const d = cells_of(in, t, i + k + 12);
            const __m512i before = lanes(a, b, c, d), after = lanes(a + 1, b + 1, c + 1, d + 1);
            east[k] = _mm512_unpacklo_epi16(before, after);
            north[k] = _mm512_unpackhi_epi16(before, after);
        }
        const __m512i weights = _mm512_load_si512(t.slice_weights + i);
        turn(east, column);
        for (int k = 0; k < 4; ++k)
            _mm512_store_si512(t.east[k] + i, _mm512_madd_epi16(column[k], weights));
        turn(north, column);
        for (int k = 0; k < 4; ++k)
            _mm512_store_si512(t.north[k] + i, _mm512_madd_epi16(column[k], weights));
        _mm512_store_si512(t.least + i, _mm512_min_epi16(_mm512_min_epi16(column[0], column[1]),
                                                         _mm512_min_epi16(column[2], column[3])));
    }
}
#endif

} // namespace

} // namespace dangerline::drift
