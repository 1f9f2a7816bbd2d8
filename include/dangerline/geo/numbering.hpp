// A hash table that numbers values in the order they come.
#pragma once

#include <bit>
#include <cstdint>
#include <limits>
#include <stdexcept>
#include <vector>

#include "dangerline/geo/shape.hpp"

namespace dangerline::geo {

/// The number of nothing.
inline constexpr std::uint32_t no_number = std::numeric_limits<std::uint32_t>::max();

/// Takes a coordinate into a hash. -0 and 0 are the same place.
inline std::uint64_t mixed(std::uint64_t hash, double value) {
    hash ^= std::bit_cast<std::uint64_t>(value == 0.0 ? 0.0 : value);
    hash *= 0x9E3779B97F4A7C15U;
    return hash ^ (hash >> 29);
}

inline std::uint64_t hash_of(const Point& p) {
    return mixed(mixed(1, p.x), p.y);
}

/// Open addressing over a list, without an allocation an entry. Value needs operator== and a function
/// hash_of() in its own namespace. `most` is how many different values there can be; more throw.
template <typename Value>
class Numbering {
  public:
    explicit Numbering(std::size_t most) : slots_(std::bit_ceil(2 * most + 2), no_number) {
        values_.reserve(most);
    }
    /// The number of an equal value, or of this one, now kept.
    std::uint32_t number(const Value& value, bool& fresh) {
        const std::size_t mask = slots_.size() - 1;
        std::size_t at = hash_of(value) & mask;
        while (slots_[at] != no_number && !(values_[slots_[at]] == value))
            at = (at + 1) & mask;
        fresh = slots_[at] == no_number;
        if (fresh) {
            if (2 * values_.size() + 2 > slots_.size())
                throw std::length_error("more values than were told");
            slots_[at] = static_cast<std::uint32_t>(values_.size());
            values_.push_back(value);
        }
        return slots_[at];
    }
    /// `no_number` where there is no such value.
    std::uint32_t find(const Value& value) const {
        const std::size_t mask = slots_.size() - 1;
        std::size_t at = hash_of(value) & mask;
        while (slots_[at] != no_number && !(values_[slots_[at]] == value))
            at = (at + 1) & mask;
        return slots_[at];
    }
    std::vector<Value>& values() { return values_; }
    const std::vector<Value>& values() const { return values_; }

  private:
    std::vector<std::uint32_t> slots_;
    std::vector<Value> values_;
};

} // namespace dangerline::geo
