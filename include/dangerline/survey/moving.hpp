// Bottoms that move: charted, drawn by the user, or at river mouths the plan names.
#pragma once

#include <memory>
#include <optional>
#include <string>
#include <string_view>
#include <vector>

#include "dangerline/chart/cell.hpp"
#include "dangerline/geo/shape.hpp"
#include "dangerline/survey/dates.hpp"
#include "dangerline/survey/rules.hpp"

namespace dangerline::survey {

/// An area a plan draws, in the plane of the cells.
struct DrawnMoving {
    Moving kind = Moving::bank; ///< bank, bar, channel or river_mouth
    std::string name{};
    std::shared_ptr<const geo::Shape> where{};
    std::optional<double> metres_per_year{}; ///< nothing: of its kind
    std::optional<double> years{};           ///< a survey is believed; nothing: of its kind
    std::optional<PartialDate> surveyed{};   ///< nothing: as the chart's quality zones say
};

struct MovingArea {
    Moving kind = Moving::no;
    std::string name{};                ///< OBJNAM, or as the plan calls it
    std::string cls{}, lnam{}, cell{}; ///< of the charted object; empty for what a plan draws
    double metres_per_year = 0.0;
    double years = 0.0; ///< a survey is believed; of bars: before they are unknown
    std::optional<PartialDate> surveyed{};
    std::shared_ptr<const geo::Shape> where{};
    std::string_view rate_source{};
    bool drawn() const { return lnam.empty(); } ///< by the plan
};

/// What moves stays about where such ground is: no farther than the area is long, the diagonal of its bounds
/// (an assumption of this project).
double farthest_m(const MovingArea& area);

/// Sand waves (SNDWAV; points and lines grown by crest_spacing_m), soft ground (SBDARE areas of mud, silt or
/// sand without stone or rock), drawn areas, and of a drawn river mouth the ground that the chart shows less
/// than mouth_depth_m over. Cells laid out and settled.
std::vector<MovingArea> moving_areas(const std::vector<chart::Cell>& cells,
                                     const std::vector<DrawnMoving>& drawn, const TrustSettings& settings);

/// Bars among them: drawn ones; sand waves where the chart shows less than bar_depth_m; of a drawn river
/// mouth the drying ground. Of what a better chart covers nothing.
std::vector<MovingArea> bars(const std::vector<chart::Cell>& cells, const std::vector<DrawnMoving>& drawn,
                             const TrustSettings& settings);

/// Channels whose edges may have moved: dredged areas, fairways and drawn channels.
std::vector<MovingArea> channels(const std::vector<chart::Cell>& cells, const std::vector<DrawnMoving>& drawn,
                                 const TrustSettings& settings);

} // namespace dangerline::survey
