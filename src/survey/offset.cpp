#include "dangerline/survey/offset.hpp"

#include <algorithm>
#include <cmath>
#include <stdexcept>

namespace dangerline::survey {

double median(std::vector<double> values) {
    const auto middle = values.begin() + static_cast<std::ptrdiff_t>(values.size() / 2);
    std::nth_element(values.begin(), middle, values.end());
    if (values.size() % 2 == 1)
        return *middle;
    return (*std::max_element(values.begin(), middle) + *middle) / 2.0;
}

std::optional<CommonOffset> common_offset(std::span<const double> differences) {
    if (!std::all_of(differences.begin(), differences.end(), [](double d) { return std::isfinite(d); }))
        throw std::invalid_argument("a difference that is no number");
    if (differences.size() < least_soundings)
        return std::nullopt;
    CommonOffset offset;
    offset.metres = median({differences.begin(), differences.end()});
    std::vector<double> away;
    for (const double d : differences)
        away.push_back(std::abs(d - offset.metres));
    constexpr double of_normal_law = 1.4826;
    offset.spread_m = of_normal_law * median(std::move(away));
    return offset;
}

bool is_local_change(double difference, const CommonOffset& offset) {
    return std::abs(difference - offset.metres) > std::max(local_change_m, 3.0 * offset.spread_m);
}

} // namespace dangerline::survey
