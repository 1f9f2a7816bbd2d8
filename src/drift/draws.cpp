#include "drift/draws.hpp"

#include <Random123/boxmuller.hpp>
#include <Random123/threefry.h>

#include <algorithm>
#include <cmath>
#include <numbers>

namespace dangerline::drift {

namespace {

std::size_t whole(std::uint32_t count) {
    constexpr auto one = static_cast<std::size_t>(particles_together);
    return (count + one - 1) / one * one;
}

/// Normal draws of one particle, in a fixed order; another generator than that of its steps.
class Normals {
  public:
    Normals(std::uint64_t seed, std::uint32_t id)
        : key_{{static_cast<std::uint32_t>(seed), static_cast<std::uint32_t>(seed >> 32), 0, 0}}, id_(id) {}
    float next() {
        if (left_ == 0) {
            const auto drawn = r123::Threefry4x32()({{id_, round_++, 0, 0}}, key_);
            for (std::size_t k = 0; k < 4; k += 2) {
                const auto pair = r123::boxmuller(drawn.v[k], drawn.v[k + 1]);
                values_[k] = pair.x;
                values_[k + 1] = pair.y;
            }
            left_ = 4;
        }
        return values_[4 - left_--];
    }

  private:
    r123::Threefry4x32::key_type key_;
    std::uint32_t id_, round_ = 0;
    float values_[4] = {};
    std::size_t left_ = 0;
};

float radians(double degrees) {
    return static_cast<float>(degrees * std::numbers::pi / 180.0);
}

} // namespace

Block::Block(std::uint64_t seed, std::uint32_t first, std::uint32_t count, const Errors& errors,
             const Leeway& leeway, geo::Point start)
    : floats_(float_rows, whole(count)), flags_(flag_rows, whole(count)), words_(word_rows, whole(count)),
      alive_(static_cast<std::int32_t>(count)) {
    for (std::uint32_t i = 0; i < count; ++i) {
        words_[ids][i] = first + i;
        floats_[x][i] = floats_[before_x][i] = static_cast<float>(start.x);
        floats_[y][i] = floats_[before_y][i] = static_cast<float>(start.y);
        draw(i, seed, errors, leeway);
    }
    if (count == 0)
        return;
    const auto [least, greatest] = std::minmax_element(floats_[clock], floats_[clock] + count);
    least_phase_ = *least;
    greatest_phase_ = *greatest;
}

void Block::draw(std::size_t i, std::uint64_t seed, const Errors& errors, const Leeway& leeway) {
    Normals normals(seed, words_[ids][i]);
    const auto factor = [&](double share) {
        return std::max(1.0f + static_cast<float>(share) * normals.next(), least_drawn_factor);
    };
    const float stream = factor(errors.stream_share);
    const float stream_turn = radians(errors.stream_turn_deg) * normals.next();
    const float wind = factor(errors.wind_share);
    const float wind_turn = radians(errors.wind_turn_deg) * normals.next();
    const float late = static_cast<float>(errors.tide_clock_s) * normals.next();
    const float slope = factor(errors.leeway_share);
    const float fall_off =
        std::max(0.0f, 1.0f + static_cast<float>(errors.divergence_share) * normals.next());
    // Half to the right, half to the left; without any doubt straight before the wind.
    const float side = normals.next() < 0.0f ? -1.0f : 1.0f;
    const float divergence =
        errors.divergence_share > 0.0 ? side * fall_off * radians(leeway.divergence_deg) : 0.0f;
    // Turns are clockwise, as compass directions are; the plane's angles run the other way.
    floats_[stream_cos][i] = stream * std::cos(stream_turn);
    floats_[stream_sin][i] = -stream * std::sin(stream_turn);
    floats_[lee_share][i] = static_cast<float>(leeway.share) * slope * wind;
    floats_[lee_offset][i] = static_cast<float>(leeway.offset_mps);
    floats_[lee_cos][i] = std::cos(wind_turn + divergence);
    floats_[lee_sin][i] = -std::sin(wind_turn + divergence);
    floats_[clock][i] = late;
}

Particles Block::view() {
    Particles p;
    p.x = floats_[x];
    p.y = floats_[y];
    p.before_x = floats_[before_x];
    p.before_y = floats_[before_y];
    p.u = floats_[u];
    p.v = floats_[v];
    p.push_u = floats_[push_u];
    p.push_v = floats_[push_v];
    p.stream_cos = floats_[stream_cos];
    p.stream_sin = floats_[stream_sin];
    p.lee_share = floats_[lee_share];
    p.lee_offset = floats_[lee_offset];
    p.lee_cos = floats_[lee_cos];
    p.lee_sin = floats_[lee_sin];
    p.phase_s = floats_[clock];
    p.in_zone = words_[in_zones];
    p.id = words_[ids];
    p.free_m = floats_[free];
    p.drawn = words_[drawn];
    p.attention = flags_[attentions];
    return p;
}

double Block::stream_factor(std::int32_t i) const {
    return std::hypot(floats_[stream_cos][i], floats_[stream_sin][i]);
}

std::int32_t Block::to_look_at(bool all, std::int32_t* numbers) const {
    constexpr std::int32_t together = particles_together;
    const std::int32_t* const flags = flags_[attentions];
    std::int32_t found = 0;
    for (std::int32_t first = 0; first < alive_; first += together) {
        std::int32_t any = all ? 1 : 0;
        for (std::int32_t i = 0; i < together; ++i)
            any |= flags[first + i];
        if (any == Attention::none)
            continue; // as most are
        // Nobody can foretell which it is: no branch.
        for (std::int32_t i = first; i < std::min(first + together, alive_); ++i) {
            numbers[found] = i;
            found += all || flags[i] != Attention::none ? 1 : 0;
        }
    }
    return found;
}

void Block::remove(std::int32_t i) {
    --alive_;
    for (std::size_t row = 0; row < float_rows; ++row)
        floats_[row][i] = floats_[row][alive_];
    for (std::size_t row = 0; row < flag_rows; ++row)
        flags_[row][i] = flags_[row][alive_];
    for (std::size_t row = 0; row < word_rows; ++row)
        words_[row][i] = words_[row][alive_];
}

} // namespace dangerline::drift
