// A box index (R-tree) for shapes in the working plane.
#pragma once

#include <cstdint>
#include <memory>
#include <span>
#include <vector>

#include "dangerline/geo/shape.hpp"

namespace dangerline::geo {

/// Static R-tree over boxes; box i answers with the number i.
class BoxIndex {
  public:
    explicit BoxIndex(std::span<const Box> boxes);
    ~BoxIndex();
    BoxIndex(BoxIndex&&) noexcept;
    BoxIndex& operator=(BoxIndex&&) noexcept;
    /// Numbers of the boxes that meet `box`, ascending.
    std::vector<std::uint32_t> meeting(const Box& box) const;

  private:
    struct Implementation;
    std::unique_ptr<Implementation> self_;
};

} // namespace dangerline::geo
