#include "dangerline/survey/compare.hpp"

#include <algorithm>
#include <cmath>
#include <random>

#include <gtest/gtest.h>

namespace dangerline::survey {
namespace {

using geo::Point;

Comparable point(double x, double y, double doubt = 10.0, std::optional<double> depth = {}) {
    Comparable c{
        "WRECKS", "", "", {std::make_shared<const geo::Shape>(geo::Shape::of_points({{x, y}}))}, depth};
    c.position_m = doubt;
    c.depth_doubt_m = 0.5;
    return c;
}

Comparable area(double west, double south, double east, double north, double doubt = 10.0) {
    Comparable c = point(0, 0, doubt);
    c.shapes = {std::make_shared<const geo::Shape>(
        geo::Shape::of_area({{{west, south}, {east, south}, {east, north}, {west, north}}}))};
    return c;
}

Comparable line(std::vector<Point> places, double doubt = 10.0) {
    Comparable c = point(0, 0, doubt);
    c.cls = "CBLSUB";
    c.shapes = {std::make_shared<const geo::Shape>(geo::Shape::of_lines({std::move(places)}))};
    return c;
}

CompareSettings everywhere() {
    CompareSettings s;
    s.covered = area(-1e5, -1e5, 1e5, 1e5).shapes.front();
    s.classes = {"WRECKS", "CBLSUB"};
    return s;
}

/// In words that tell nothing of numbers in the lists.
std::multiset<std::string> told(const std::vector<Difference>& all, const std::vector<Comparable>& newer,
                                const std::vector<Comparable>& charted) {
    std::multiset<std::string> out;
    const auto where = [](const Comparable& c) {
        const auto p = c.shapes.front()->points().front();
        return std::to_string(p.x) + "," + std::to_string(p.y);
    };
    for (const auto& d : all)
        out.insert(std::string(to_text(d.change)) + " " + (d.newer ? where(newer[*d.newer]) : "-") + " " +
                   (d.charted ? where(charted[*d.charted]) : "-") + " " +
                   (d.metres ? std::to_string(std::llround(*d.metres * 1000.0)) : "-"));
    return out;
}

std::vector<Change> changes(const std::vector<Difference>& all) {
    std::vector<Change> out;
    for (const auto& d : all)
        out.push_back(d.change);
    return out;
}

TEST(Compare, TellsWhatIsMissingGoneMovedAndOfAnotherDepth) {
    const std::vector<Comparable> newer{point(0, 0, 10, 4.0), point(5000, 0), point(300, 5000, 10, 6.0)};
    const std::vector<Comparable> charted{point(5, 0, 10, 4.0), point(9000, 9000), point(0, 5000, 10, 6.4)};
    const auto all = compare(newer, charted, everywhere());
    EXPECT_EQ(changes(all),
              (std::vector{Change::moved, Change::depth_differs, Change::missing, Change::gone}));
    EXPECT_NEAR(*all[0].metres, 300.0, 1e-9);
    EXPECT_NEAR(all[0].doubt_m, 20.0, 1e-9);
    EXPECT_NEAR(*all[1].metres, -0.4, 1e-9);
    EXPECT_NEAR(all[1].doubt_m, std::hypot(0.5, 0.5), 1e-9);
    EXPECT_TRUE(all[0].adds && all[1].adds && all[2].adds);
    EXPECT_FALSE(all[3].adds) << "what is gone from newer data takes nothing away";
    EXPECT_EQ(all[3].charted, 1U);
}

TEST(Compare, AddsNothingWhereTheNewerDepthIsGreater) {
    const auto deeper = compare({point(0, 0, 10, 5.0)}, {point(0, 0, 10, 4.0)}, everywhere());
    ASSERT_EQ(changes(deeper), std::vector{Change::depth_differs});
    EXPECT_FALSE(deeper[0].adds);
    const auto unstated = compare({point(0, 0, 10, 5.0)}, {point(0, 0)}, everywhere());
    ASSERT_EQ(changes(unstated), std::vector{Change::depth_differs});
    EXPECT_TRUE(unstated[0].adds) << "nobody knows which of the two is the shoaler";
    EXPECT_TRUE(compare({point(0, 0)}, {point(0, 0, 10, 4.0)}, everywhere()).empty());
    EXPECT_TRUE(compare({point(0, 0, 10, 4.04)}, {point(0, 0, 10, 4.0)}, everywhere()).empty());
}

TEST(Compare, HoldsTheToleranceToTheMillimetre) {
    const CompareSettings settings{500.0, everywhere().covered, {"WRECKS"}};
    const auto at = [&](double x) {
        return changes(compare({point(x, 0, 30)}, {point(0, 0, 20)}, settings));
    };
    EXPECT_TRUE(at(50.0).empty()) << "within both doubts it is the same place";
    EXPECT_EQ(at(50.001), std::vector{Change::moved});
    EXPECT_EQ(at(550.0), std::vector{Change::moved});
    EXPECT_EQ(at(550.001), (std::vector{Change::missing, Change::gone}));
    // Greater doubts of either side widen it.
    EXPECT_EQ(changes(compare({point(550.001, 0, 30.5)}, {point(0, 0, 20)}, settings)),
              std::vector{Change::moved});
    EXPECT_EQ(changes(compare({point(550.001, 0, 30)}, {point(0, 0, 20.5)}, settings)),
              std::vector{Change::moved});
}

TEST(Compare, PairsAnExactPlaceBeforeTwoThatMoved) {
    // Two moves of 300 m would pair more objects; one that stayed, one new and one gone is the likelier.
    const std::vector<Comparable> newer{point(0, 0), point(300, 0)};
    const std::vector<Comparable> charted{point(0, 0), point(-300, 0)};
    EXPECT_EQ(changes(compare(newer, charted, everywhere())), (std::vector{Change::missing, Change::gone}));
}

TEST(Compare, CopesWithAPointThatOthersDrawAsAnArea) {
    // A wreck in an area of 40 m; both doubts are 30 m.
    const auto inside = compare({point(0, 0, 15)}, {area(-20, -20, 20, 20, 15)}, everywhere());
    EXPECT_TRUE(inside.empty());
    const auto outside = compare({point(200, 0, 15)}, {area(-20, -20, 20, 20, 15)}, everywhere());
    ASSERT_EQ(changes(outside), std::vector{Change::moved});
    EXPECT_NEAR(*outside[0].metres, 180.0, 1e-9) << "from the nearest edge";
    // The other way round the newer area takes water that the chart gives to nothing.
    const auto wider = compare({area(-20, -20, 20, 20, 15)}, {point(0, 0, 15)}, everywhere());
    EXPECT_TRUE(wider.empty()) << "its corners are 28.3 m off";
    const auto widest = compare({area(-60, -20, 60, 20, 15)}, {point(0, 0, 15)}, everywhere());
    ASSERT_EQ(changes(widest), std::vector{Change::larger});
    EXPECT_NEAR(*widest[0].metres, std::hypot(60.0, 20.0), 1e-9);
    EXPECT_TRUE(widest[0].adds);
}

TEST(Compare, TellsHowFarACableRunsBesideItsCharted) {
    const auto all =
        compare({line({{0, 0}, {1000, 0}, {2000, 400}})}, {line({{0, 0}, {2000, 0}})}, everywhere());
    ASSERT_EQ(changes(all), std::vector{Change::larger});
    EXPECT_NEAR(*all[0].metres, 400.0, 1e-9);
    // Of two that meet at the shore the one that runs alike is the partner.
    const std::vector<Comparable> charted{line({{0, 0}, {2000, -900}}), line({{0, 0}, {2000, 0}})};
    EXPECT_EQ(compare({line({{0, 0}, {2000, 400}})}, charted, everywhere())[0].charted, 1U);
}

TEST(Compare, ComparesOneClassWithItselfOnly) {
    Comparable other = point(0, 0);
    other.cls = "OBSTRN";
    EXPECT_EQ(changes(compare({point(0, 0)}, {other}, everywhere())), std::vector{Change::missing})
        << "and of obstructions the newer data claim nothing";
}

TEST(Compare, FollowsAnIdentityHoweverFar) {
    Comparable moved = point(4000, 0), was = point(0, 0), near = point(3990, 0);
    moved.identity = was.identity = "FFFF0000000100AA";
    const auto all = compare({moved}, {near, was}, everywhere());
    ASSERT_EQ(changes(all), (std::vector{Change::moved, Change::gone}));
    EXPECT_EQ(all[0].charted, 1U);
    EXPECT_NEAR(*all[0].metres, 4000.0, 1e-9);
}

TEST(Compare, TellsOfWhatIsGoneOnlyWhereTheNewerDataAreWhole) {
    CompareSettings s = everywhere();
    s.covered = area(0, 0, 1000, 1000).shapes.front();
    const auto gone = [&](double x) { return changes(compare({}, {point(x, 500, 10)}, s)).size(); };
    EXPECT_EQ(gone(500), 1U);
    EXPECT_EQ(gone(11), 1U);
    EXPECT_EQ(gone(10), 0U) << "it may lie beyond the edge";
    EXPECT_EQ(gone(-500), 0U);
    s.covered = nullptr;
    EXPECT_EQ(gone(500), 0U);
    s = everywhere();
    s.classes.clear();
    EXPECT_TRUE(compare({}, {point(0, 0)}, s).empty());
}

TEST(Compare, RefusesWhatCannotBeCompared) {
    Comparable nowhere = point(0, 0), doubtful = point(0, 0, std::nan(""));
    nowhere.shapes.clear();
    EXPECT_THROW(compare({nowhere}, {}), std::invalid_argument);
    EXPECT_THROW(compare({}, {doubtful}), std::invalid_argument);
}

/// Random wrecks, some of them moved, on a grid so that many distances are equal.
struct World {
    std::vector<Comparable> newer, charted;
};
World world_of(std::mt19937& random, bool on_grid) {
    std::uniform_int_distribution<int> count(0, 7), cell(0, 8);
    std::uniform_real_distribution<double> anywhere(0.0, 2000.0), depth(-1.0, 8.0);
    const auto place = [&] { return on_grid ? cell(random) * 250.0 : anywhere(random); };
    World w;
    for (int i = count(random); i > 0; --i)
        w.newer.push_back(point(place(), place(), 20.0, depth(random)));
    for (int i = count(random); i > 0; --i)
        w.charted.push_back(point(place(), place(), 30.0, depth(random)));
    return w;
}

/// The least that any pairing costs: metres of each pair, and what an object alone costs.
double least_by_trying(const World& w, double alone_newer, double alone_charted, std::size_t row = 0,
                       unsigned used = 0) {
    if (row == w.newer.size()) {
        double cost = 0.0;
        for (std::size_t k = 0; k < w.charted.size(); ++k)
            cost += used & 1U << k ? 0.0 : alone_charted;
        return cost;
    }
    double best = alone_newer + least_by_trying(w, alone_newer, alone_charted, row + 1, used);
    for (std::size_t k = 0; k < w.charted.size(); ++k) {
        const double gap = gap_between(w.newer[row], w.charted[k], 1e9);
        if (!(used & 1U << k) && gap <= alone_newer + alone_charted)
            best =
                std::min(best, gap + least_by_trying(w, alone_newer, alone_charted, row + 1, used | 1U << k));
    }
    return best;
}

TEST(Compare, PairsWithTheLeastSumOfAll) {
    std::mt19937 random(7);
    for (int i = 0; i < 500; ++i) {
        const World w = world_of(random, false);
        const auto all = compare(w.newer, w.charted, everywhere());
        double cost = 0.0;
        std::vector<bool> alone(w.newer.size(), false);
        std::size_t gone = 0;
        for (const auto& d : all) {
            if (d.change == Change::missing)
                alone[*d.newer] = true;
            gone += d.change == Change::gone;
            cost += d.change == Change::missing ? 270.0 : d.change == Change::gone ? 280.0 : 0.0;
            if (d.change == Change::moved)
                cost += *d.metres;
        }
        // Pairs within both doubts tell of no move, so their metres (at most 50) are bounds only.
        const auto pairs = static_cast<std::size_t>(std::count(alone.begin(), alone.end(), false));
        ASSERT_EQ(pairs, w.charted.size() - gone);
        const double least = least_by_trying(w, 270.0, 280.0);
        const double slack = static_cast<double>(pairs) * 1.001; // how shapes agree counts up to a metre
        ASSERT_LE(cost, least + slack);
        ASSERT_GE(cost + 50.0 * static_cast<double>(pairs), least - 1e-6);
    }
}

TEST(Compare, DoesNotDependOnTheOrderOfTheLists) {
    std::mt19937 random(11);
    for (int i = 0; i < 200; ++i) {
        World w = world_of(random, true);
        const auto before = told(compare(w.newer, w.charted, everywhere()), w.newer, w.charted);
        for (int k = 0; k < 3; ++k) {
            std::shuffle(w.newer.begin(), w.newer.end(), random);
            std::shuffle(w.charted.begin(), w.charted.end(), random);
            ASSERT_EQ(told(compare(w.newer, w.charted, everywhere()), w.newer, w.charted), before);
        }
    }
}

} // namespace
} // namespace dangerline::survey
