// Lines and rings cut into shared edges between nodes (S-57 part 2, chain-node topology).
#pragma once

#include "cellwriter/cellwriter.hpp"

#include <compare>
#include <map>
#include <set>
#include <utility>
#include <vector>

namespace cellwriter {

/// A position in units of 1e-7 degrees, so that equal vertices are equal.
struct GridPoint {
    std::int32_t x = 0, y = 0;
    auto operator<=>(const GridPoint&) const = default;
};

GridPoint to_grid(const Place& place);
Place to_place(const GridPoint& point);

struct EdgeUse {
    std::size_t edge = 0;
    bool forward = true;
};

class Topology {
  public:
    struct Edge {
        std::vector<GridPoint> points; // with both end nodes
        Quality quality;
    };

    /// Adds a line or a closed ring and returns its number.
    std::size_t add(const Ring& chain, bool closed, const Quality& quality);
    /// Cuts all chains at vertices where they meet, end or change quality.
    void build();

    const std::vector<EdgeUse>& path(std::size_t chain) const { return paths_[chain]; }
    const std::vector<Edge>& edges() const { return edges_; }
    const std::set<GridPoint>& nodes() const { return nodes_; }

  private:
    struct Chain {
        std::vector<GridPoint> points;
        bool closed = false;
    };
    std::vector<Chain> chains_;
    std::map<std::pair<GridPoint, GridPoint>, Quality> segments_;
    std::set<GridPoint> nodes_;
    std::vector<Edge> edges_;
    std::map<std::vector<GridPoint>, std::size_t> known_;
    std::vector<std::vector<EdgeUse>> paths_;

    void find_nodes();
    void cut(const Chain& chain);
    EdgeUse use(std::vector<GridPoint> piece);
    const Quality& quality_of(const GridPoint& a, const GridPoint& b) const;
};

/// The ring running clockwise (outer rings of S-57) or anticlockwise (holes).
Ring turned(const Ring& ring, bool clockwise);

} // namespace cellwriter
