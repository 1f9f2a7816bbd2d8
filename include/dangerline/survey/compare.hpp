// What a chart lacks: objects of newer data against charted ones, class by class.
#pragma once

#include <cstdint>
#include <memory>
#include <optional>
#include <set>
#include <string>
#include <vector>

#include "dangerline/geo/shape.hpp"

namespace dangerline::survey {

/// An object moved by more than this, beyond what both places may be out, is taken for another one: metres
/// (assumption of this project).
inline constexpr double moved_within_m = 500.0;
/// Depths are charted to a decimetre; what differs by less than half of one is the same.
inline constexpr double same_depth_m = 0.05;

/// One object of either side.
struct Comparable {
    std::string cls;      ///< S-57 acronym; only objects of one class are compared
    std::string identity; ///< LNAM where that tells an object over editions; empty: nothing does
    std::string name;
    /// In one plane, none null or empty; several where the object is drawn in parts.
    std::vector<std::shared_ptr<const geo::Shape>> shapes;
    std::optional<double> depth_m{}; ///< metres below a datum that both sides share
    double position_m = 0.0;         ///< 95 % doubt of its place, 0 or more
    double depth_doubt_m = 0.0;      ///< 95 % doubt of its depth, 0 or more
};

enum class Change : std::uint8_t {
    missing,       ///< the chart has nothing that may be it
    moved,         ///< both have it, at places further apart than both doubts
    larger,        ///< both have it, but the newer reaches beyond the charted by more than both doubts
    depth_differs, ///< both have it, at another depth, or the chart has none
    gone           ///< the newer data have nothing that may be it
};
/// "missing", "moved", "larger", "depth_differs", "gone".
const char* to_text(Change change);

struct Difference {
    Change change = Change::missing;
    std::optional<std::size_t> newer{};   ///< index into the newer objects; nothing for gone
    std::optional<std::size_t> charted{}; ///< into the charted ones; nothing for missing
    /// Moved: between the two. Larger: how far beyond. Depth differs: newer less charted, nothing where the
    /// chart has none.
    std::optional<double> metres{};
    /// What both together may be out, in place (a sum), or in depth (root-sum-square).
    double doubt_m = 0.0;
    /// The newer object is a hazard that the chart does not show so. Never of `gone`, nor where the newer
    /// depth is the greater: newer data take nothing away.
    bool adds = false;
};

struct CompareSettings {
    double moved_within_m = survey::moved_within_m; ///< 0 or more
    /// Where the newer data are whole, in the plane. Nothing: what is gone can't be told.
    std::shared_ptr<const geo::Shape> covered{};
    /// Classes the newer data are whole of; what is gone is told of these alone.
    std::set<std::string> classes{};
};

/// Every difference between the two, in an order that does not depend on the order of the lists (objects that
/// are equal in everything may stand for one another).
///
/// Objects of one class and identity are the same one, however far apart. Of the others each may be paired
/// with one of its class that is no further than both position doubts and `moved_within_m`; of all ways to
/// pair them one to one that with the least sum is taken, where a pair costs the distance between its shapes
/// (0 where they meet) and an object left alone its doubt and half of `moved_within_m`. Among equal distances
/// the better agreement of the shapes decides, which adds less than a metre. Distances count to the
/// millimetre. How far a shape reaches beyond another is looked at in its corners and every 50 m of its
/// edges, at most 2000 places.
///
/// A charted object is gone only where it lies in `covered` on all sides by its own position doubt.
/// std::invalid_argument for an object without a shape or a doubt that is no number of 0 or more.
std::vector<Difference> compare(const std::vector<Comparable>& newer, const std::vector<Comparable>& charted,
                                const CompareSettings& settings = {});

/// Metres between two objects, 0 where they meet; +infinity where more than `limit_m` (not told then).
double gap_between(const Comparable& a, const Comparable& b, double limit_m);
/// Whether two shapes come as near as that.
bool is_within(const geo::Shape& a, const geo::Shape& b, double metres);
/// Metres of the place of `a` that is farthest from `b`; 0 where `b` covers all of it.
double reach_beyond(const Comparable& a, const Comparable& b);

} // namespace dangerline::survey
