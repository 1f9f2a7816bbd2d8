// What each particle draws once. Private to the room.
#pragma once

#include <algorithm>
#include <cstdint>
#include <vector>

#include "dangerline/drift/ensemble.hpp"
#include "drift/kernel.hpp"

namespace dangerline::drift {

/// Rows of equal length, each on a cache line of its own.
template <class T>
class Rows {
  public:
    Rows(std::size_t rows, std::size_t length) : pitch_((length + line - 1) / line), lines_(rows * pitch_) {}
    T* operator[](std::size_t row) { return lines_[row * pitch_].values; }
    const T* operator[](std::size_t row) const { return lines_[row * pitch_].values; }

  private:
    static constexpr std::size_t line = 64 / sizeof(T);
    struct alignas(64) Line {
        T values[line] = {};
    };
    std::size_t pitch_;
    std::vector<Line> lines_;
};

/// The arrays of a block of particles, and the particles over them. They end on whole tiles; what lies behind
/// the living is moved with them and means nothing.
class Block {
  public:
    /// Particles `first` to `first + count` at `start` (metres from the corner of the grid).
    Block(std::uint64_t seed, std::uint32_t first, std::uint32_t count, const Errors& errors,
          const Leeway& leeway, geo::Point start);
    Particles view();
    std::int32_t alive() const { return alive_; }
    std::uint32_t id(std::int32_t i) const { return words_[ids][i]; }
    double phase(std::int32_t i) const { return floats_[clock][i]; }
    geo::Point at(std::int32_t i) const { return {floats_[x][i], floats_[y][i]}; }
    geo::Point before(std::int32_t i) const { return {floats_[before_x][i], floats_[before_y][i]}; }
    /// Metres a second the stream carries the particle, as drawn.
    double stream_factor(std::int32_t i) const;
    /// Particles with any attention, or all of them, in rising order; returns how many.
    std::int32_t to_look_at(bool all, std::int32_t* numbers) const;
    std::int32_t attention(std::int32_t i) const { return flags_[attentions][i]; }
    bool in_zone(std::int32_t i) const { return words_[in_zones][i] != 0; }
    void enter_zone(std::int32_t i) { words_[in_zones][i] = ~0u; }
    /// Until it has gone so far the particle need not be looked at.
    void set_free(std::int32_t i, double metres) { floats_[free][i] = static_cast<float>(metres); }
    void forget_free() { std::fill_n(floats_[free], alive_, 0.0f); }
    /// The last living particle takes its place.
    void remove(std::int32_t i);
    double least_phase() const { return least_phase_; }
    double greatest_phase() const { return greatest_phase_; }

  private:
    enum FloatRow {
        x,
        y,
        before_x,
        before_y,
        u,
        v,
        push_u,
        push_v,
        stream_cos,
        stream_sin,
        lee_share,
        lee_offset,
        lee_cos,
        lee_sin,
        clock,
        free,
        float_rows
    };
    enum FlagRow { attentions, flag_rows };
    enum WordRow { ids, drawn, in_zones, word_rows };
    void draw(std::size_t i, std::uint64_t seed, const Errors& errors, const Leeway& leeway);
    Rows<float> floats_;
    Rows<std::int32_t> flags_;
    Rows<std::uint32_t> words_;
    std::int32_t alive_ = 0;
    double least_phase_ = 0.0, greatest_phase_ = 0.0;
};

} // namespace dangerline::drift
