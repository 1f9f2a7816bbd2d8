#include "dangerline/survey/standards.hpp"

#include <array>
#include <cmath>

namespace dangerline::survey {

namespace {

constexpr std::array<ZoneOfConfidence, 7> zones{{
    {0, "none", 500.0, 0.0, {2.0, 0.05}, true, "survey of unstated quality"},
    {1, "A1", 5.0, 0.05, {0.5, 0.01}, false, "full survey"},
    {2, "A2", 20.0, 0.0, {1.0, 0.02}, false, "full survey"},
    {3, "B", 50.0, 0.0, {1.0, 0.02}, false, "lines-only survey"},
    {4, "C", 500.0, 0.0, {2.0, 0.05}, false, "sparse survey"},
    {5, "D", 500.0, 0.0, {2.0, 0.05}, true, "very poor survey"},
    {6, "U", 500.0, 0.0, {2.0, 0.05}, true, "survey not assessed"},
}};

struct Order {
    std::string_view name;
    double thu_m, thu_of_depth, tvu_a_m, tvu_b;
};

constexpr std::array<Order, 5> orders{{
    {"Exclusive", 1.0, 0.0, 0.15, 0.0075},
    {"Special", 2.0, 0.0, 0.25, 0.0075},
    {"1a", 5.0, 0.05, 0.5, 0.013},
    {"1b", 5.0, 0.05, 0.5, 0.013},
    {"2", 20.0, 0.10, 1.0, 0.023},
}};

const Order* find_order(std::string_view name) {
    for (const auto& order : orders)
        if (order.name == name)
            return &order;
    return nullptr;
}

} // namespace

const ZoneOfConfidence& zone_of_confidence(int catzoc) {
    return zones[catzoc >= 1 && catzoc <= 6 ? static_cast<std::size_t>(catzoc) : 0U];
}

double position_doubt(const ZoneOfConfidence& zone, double depth_m) {
    return zone.position_m + zone.position_of_depth * (depth_m > 0.0 ? depth_m : 0.0);
}

std::optional<double> s44_vertical(std::string_view order, double depth_m) {
    const Order* o = find_order(order);
    return o ? std::optional(std::hypot(o->tvu_a_m, o->tvu_b * depth_m)) : std::nullopt;
}

std::optional<double> s44_horizontal(std::string_view order, double depth_m) {
    const Order* o = find_order(order);
    return o ? std::optional(o->thu_m + o->thu_of_depth * depth_m) : std::nullopt;
}

} // namespace dangerline::survey
