#include "dangerline/drift/outcomes.hpp"

#include <algorithm>
#include <array>
#include <cmath>

#include "dangerline/geo/triangulation.hpp"

namespace dangerline::drift {

namespace {

constexpr std::size_t fewest_points = 10;
constexpr double narrowest_m = 30.0; // no smoothing is finer than that
constexpr int widest_grid = 240;

/// Points counted on a grid and smoothed by a Gaussian.
class Density {
  public:
    explicit Density(const std::vector<geo::Point>& points) {
        geo::Box box{points[0].x, points[0].y, points[0].x, points[0].y};
        geo::Point mean{};
        const auto count = static_cast<double>(points.size());
        for (const auto& p : points) {
            box = {std::min(box.min_x, p.x), std::min(box.min_y, p.y), std::max(box.max_x, p.x),
                   std::max(box.max_y, p.y)};
            mean.x += p.x / count;
            mean.y += p.y / count;
        }
        double variance = 0.0;
        for (const auto& p : points)
            variance += (std::pow(p.x - mean.x, 2) + std::pow(p.y - mean.y, 2)) / (2.0 * count);
        // Half the usual rule for two dimensions (Silverman 1986), which is meant for one cloud: drifting
        // boats part in two at every headland.
        const double width = std::max(narrowest_m, 0.5 * std::sqrt(variance) * std::pow(count, -1.0 / 6.0));
        const double longest = std::max(box.max_x - box.min_x, box.max_y - box.min_y) + 8.0 * width;
        cell_ = std::max(width / 3.0, longest / widest_grid);
        corner_ = {box.min_x - 4.0 * width, box.min_y - 4.0 * width};
        columns_ = static_cast<int>(std::ceil((box.max_x - box.min_x + 8.0 * width) / cell_)) + 1;
        rows_ = static_cast<int>(std::ceil((box.max_y - box.min_y + 8.0 * width) / cell_)) + 1;
        values_.assign(static_cast<std::size_t>(columns_) * static_cast<std::size_t>(rows_), 0.0);
        for (const auto& p : points)
            spread(p);
        smooth(width / cell_);
    }
    int columns() const { return columns_; }
    int rows() const { return rows_; }
    double at(int column, int row) const { return values_[index(column, row)]; }
    double between(geo::Point p) const {
        const auto [x, y] = place(p);
        const auto i = static_cast<int>(x), j = static_cast<int>(y);
        const double fx = x - i, fy = y - j;
        return (1.0 - fx) * (1.0 - fy) * at(i, j) + fx * (1.0 - fy) * at(i + 1, j) +
               (1.0 - fx) * fy * at(i, j + 1) + fx * fy * at(i + 1, j + 1);
    }
    geo::Point node(double column, double row) const {
        return {corner_.x + column * cell_, corner_.y + row * cell_};
    }

  private:
    std::size_t index(int column, int row) const {
        return static_cast<std::size_t>(row) * static_cast<std::size_t>(columns_) +
               static_cast<std::size_t>(column);
    }
    std::pair<double, double> place(geo::Point p) const {
        return {(p.x - corner_.x) / cell_, (p.y - corner_.y) / cell_};
    }
    void spread(geo::Point p) {
        const auto [x, y] = place(p);
        const auto i = static_cast<int>(x), j = static_cast<int>(y);
        const double fx = x - i, fy = y - j;
        values_[index(i, j)] += (1.0 - fx) * (1.0 - fy);
        values_[index(i + 1, j)] += fx * (1.0 - fy);
        values_[index(i, j + 1)] += (1.0 - fx) * fy;
        values_[index(i + 1, j + 1)] += fx * fy;
    }
    void smooth(double sd_cells) {
        const int reach = static_cast<int>(std::ceil(3.0 * sd_cells));
        std::vector<double> weights;
        double sum = 0.0;
        for (int k = -reach; k <= reach; ++k)
            sum += weights.emplace_back(std::exp(-0.5 * std::pow(k / sd_cells, 2)));
        std::vector<double> once(values_.size(), 0.0), twice(values_.size(), 0.0);
        const auto pass = [&](const std::vector<double>& from, std::vector<double>& to, bool along_rows) {
            for (int row = 0; row < rows_; ++row)
                for (int column = 0; column < columns_; ++column)
                    for (int k = -reach; k <= reach; ++k) {
                        const int i = along_rows ? column + k : column, j = along_rows ? row : row + k;
                        if (i >= 0 && j >= 0 && i < columns_ && j < rows_)
                            to[index(column, row)] +=
                                from[index(i, j)] * weights[static_cast<std::size_t>(k + reach)] / sum;
                    }
        };
        pass(values_, once, true);
        pass(once, twice, false);
        values_ = std::move(twice);
    }
    geo::Point corner_{};
    double cell_ = 1.0;
    int columns_ = 0, rows_ = 0;
    std::vector<double> values_;
};

/// The line of a level through one square of the grid: each side it crosses is cut at the same place from
/// both its squares. At a saddle the two high corners are kept apart.
class Squared {
  public:
    Squared(const Density& density, double level) : density_(density), level_(level) {
        for (int row = 0; row + 1 < density.rows(); ++row)
            for (int column = 0; column + 1 < density.columns(); ++column)
                square(column, row);
    }
    std::vector<std::pair<geo::Point, geo::Point>> sides;

  private:
    bool high(int column, int row) const { return density_.at(column, row) >= level_; }
    /// Between a node and its right (upper) neighbour.
    geo::Point cut(int column, int row, bool upwards) const {
        const double a = density_.at(column, row);
        const double b = density_.at(column + (upwards ? 0 : 1), row + (upwards ? 1 : 0));
        const double share = (level_ - a) / (b - a);
        return density_.node(column + (upwards ? 0.0 : share), row + (upwards ? share : 0.0));
    }
    void square(int c, int r) {
        const std::array<bool, 4> in{high(c, r), high(c + 1, r), high(c + 1, r + 1), high(c, r + 1)};
        // Side k joins corner k to corner k + 1, counter-clockwise from the south.
        const auto crossing = [&](int k) {
            switch (k) {
            case 0:
                return cut(c, r, false);
            case 1:
                return cut(c + 1, r, true);
            case 2:
                return cut(c, r + 1, false);
            default:
                return cut(c, r, true);
            }
        };
        std::vector<int> crossed;
        for (int k = 0; k < 4; ++k)
            if (in[static_cast<std::size_t>(k)] != in[static_cast<std::size_t>((k + 1) % 4)])
                crossed.push_back(k);
        if (crossed.size() == 2)
            sides.emplace_back(crossing(crossed[0]), crossing(crossed[1]));
        if (crossed.size() == 4) {
            const int first = in[0] ? 3 : 0; // round each high corner
            sides.emplace_back(crossing(first), crossing((first + 1) % 4));
            sides.emplace_back(crossing((first + 2) % 4), crossing((first + 3) % 4));
        }
    }
    const Density& density_;
    double level_;
};

} // namespace

std::vector<geo::PolygonRings> outline(const std::vector<geo::Point>& points, double share) {
    if (points.size() < fewest_points)
        return {};
    const Density density(points);
    std::vector<double> values;
    for (const auto& p : points)
        values.push_back(density.between(p));
    // Points in thinner places than this are left out; a little less, so that the last one is inside.
    const double level = 0.999 * quantile(std::move(values), 1.0 - share);
    return geo::polygons_of(geo::area_within(Squared(density, level).sides));
}

std::vector<Outline> outlines(const Ensemble& ensemble) {
    std::vector<Outline> out;
    for (std::size_t hour = 0; hour < ensemble.hourly.size(); ++hour)
        for (const double share : {0.9, 0.5})
            out.push_back({static_cast<int>(hour) + 1, share, outline(ensemble.hourly[hour], share)});
    return out;
}

} // namespace dangerline::drift
