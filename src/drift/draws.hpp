// What each particle draws once. Private to the room.
#pragma once

#include <cstdint>
#include <vector>

#include "dangerline/drift/ensemble.hpp"
#include "drift/kernel.hpp"

namespace dangerline::drift {

/// The arrays of a block of particles, and the particles over them.
class Block {
  public:
    /// Particles `first` to `first + count` at `start` (metres from the corner of the grid).
    Block(std::uint64_t seed, std::uint32_t first, std::uint32_t count, const Errors& errors,
          const Leeway& leeway, geo::Point start);
    Particles view();
    std::int32_t alive() const { return alive_; }
    std::uint32_t id(std::int32_t i) const { return ids_[static_cast<std::size_t>(i)]; }
    double phase(std::int32_t i) const { return floats_[12][static_cast<std::size_t>(i)]; }
    geo::Point at(std::int32_t i) const;
    geo::Point before(std::int32_t i) const;
    /// Metres a second the stream carries the particle, as drawn.
    double stream_factor(std::int32_t i) const;
    std::int32_t attention(std::int32_t i) const { return attention_[static_cast<std::size_t>(i)]; }
    bool in_zone(std::int32_t i) const { return shift_[static_cast<std::size_t>(i)] != 0; }
    void enter_zone(std::int32_t i) { shift_[static_cast<std::size_t>(i)] = 16; }
    /// The last living particle takes its place.
    void remove(std::int32_t i);
    double least_phase() const { return least_phase_; }
    double greatest_phase() const { return greatest_phase_; }

  private:
    void draw(std::size_t i, std::uint64_t seed, const Errors& errors, const Leeway& leeway);
    std::vector<float> floats_[13];
    std::vector<std::int32_t> shift_, attention_;
    std::vector<std::uint32_t> ids_;
    std::int32_t alive_ = 0;
    double least_phase_ = 0.0, greatest_phase_ = 0.0;
};

} // namespace dangerline::drift
