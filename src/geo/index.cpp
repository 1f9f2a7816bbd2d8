#include "dangerline/geo/index.hpp"

#include <algorithm>
#include <iterator>

#define BOOST_ALLOW_DEPRECATED_HEADERS // Boost 1.74 warns of its own
#include <boost/geometry.hpp>
#include <boost/geometry/index/rtree.hpp>

namespace dangerline::geo {

namespace bg = boost::geometry;
namespace bgi = boost::geometry::index;

namespace {

using Corner = bg::model::point<double, 2, bg::cs::cartesian>;
using Rectangle = bg::model::box<Corner>;
using Entry = std::pair<Rectangle, std::uint32_t>;

Rectangle rectangle(const Box& box) {
    return {{box.min_x, box.min_y}, {box.max_x, box.max_y}};
}

std::vector<Entry> entries(std::span<const Box> boxes) {
    std::vector<Entry> all;
    all.reserve(boxes.size());
    for (const Box& box : boxes)
        all.emplace_back(rectangle(box), static_cast<std::uint32_t>(all.size()));
    return all;
}

} // namespace

struct BoxIndex::Implementation {
    bgi::rtree<Entry, bgi::rstar<16>> tree;
};

// The range constructor packs the tree: faster to build and to search than one insertion after another.
BoxIndex::BoxIndex(std::span<const Box> boxes)
    : self_(std::make_unique<Implementation>(
          Implementation{bgi::rtree<Entry, bgi::rstar<16>>(entries(boxes))})) {}
BoxIndex::~BoxIndex() = default;
BoxIndex::BoxIndex(BoxIndex&&) noexcept = default;
BoxIndex& BoxIndex::operator=(BoxIndex&&) noexcept = default;

std::vector<std::uint32_t> BoxIndex::meeting(const Box& box) const {
    std::vector<std::uint32_t> numbers;
    const auto query = bgi::intersects(rectangle(box));
    for (auto it = self_->tree.qbegin(query); it != self_->tree.qend(); ++it)
        numbers.push_back(it->second);
    std::sort(numbers.begin(), numbers.end());
    return numbers;
}

} // namespace dangerline::geo
