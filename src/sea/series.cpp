#include "dangerline/sea/series.hpp"

#include <cmath>
#include <limits>

namespace dangerline::sea {

Series::Series(Instant from, Instant to, const std::function<std::optional<Stream>(Instant)>& at)
    : start_(Instant::from_unix_seconds(std::floor(from.unix_seconds() / series_step_s) * series_step_s)) {
    const auto count = static_cast<std::size_t>(std::ceil((to - start_) / series_step_s)) + 1;
    for (std::size_t i = 0; i < count; ++i) {
        const auto there = at(start_ + series_step_s * static_cast<double>(i));
        const float none = std::numeric_limits<float>::quiet_NaN();
        east_.push_back(there ? static_cast<float>(there->east_mps) : none);
        north_.push_back(there ? static_cast<float>(there->north_mps) : none);
    }
}

std::optional<Stream> Series::value(Instant t) const {
    const double position = (t - start_) / series_step_s;
    if (!(position >= 0.0) || !(position <= static_cast<double>(east_.size()) - 1.0))
        return std::nullopt;
    const auto i = static_cast<std::size_t>(position);
    const double share = position - static_cast<double>(i);
    if (share == 0.0) // of a node alone
        return std::isnan(east_[i]) ? std::nullopt : std::optional(Stream{east_[i], north_[i]});
    const double east = east_[i] + share * (east_[i + 1] - east_[i]);
    const double north = north_[i] + share * (north_[i + 1] - north_[i]);
    if (std::isnan(east))
        return std::nullopt;
    return Stream{east, north};
}

} // namespace dangerline::sea
