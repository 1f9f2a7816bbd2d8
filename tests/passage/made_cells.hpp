// Small cells made for a test, and a route over them: what a chart says, as findings.
#pragma once

#include <gtest/gtest.h>

#include <optional>
#include <string>
#include <vector>

#include "cellwriter/cellwriter.hpp"
#include "dangerline/chart/precedence.hpp"
#include "dangerline/hazard/build.hpp"
#include "dangerline/passage/check.hpp"
#include "support/support.hpp"

namespace made_cells {

using namespace dangerline;
using namespace dangerline::passage;
using cellwriter::CellDraft;
using cellwriter::Ring;

inline const geo::Plane& plane() {
    static const geo::Plane p({-28, 46});
    return p;
}

/// Degrees of a place so many metres east and north of 28 W 46 N, along its meridian and parallel.
inline cellwriter::Place at(double x, double y) {
    return {-28.0 + x / 77'470.0, 46.0 + y / 111'140.0};
}

inline Ring box(double west, double south, double east, double north) {
    return {at(west, south), at(east, south), at(east, north), at(west, north)};
}

inline chart::Cell laid(CellDraft draft, const std::string& name) {
    const support::TemporaryFolder folder;
    draft.header.dsnm = name + ".000";
    Diagnostics said;
    chart::Cell cell =
        chart::read_cell(chart::find_cells({folder.file(name + ".000", draft.bytes())}).at(0), said);
    chart::lay_out(cell, plane(), said);
    EXPECT_TRUE(cell.gaps.empty() && cell.distrust.empty()) << name;
    return cell;
}

struct Asked {
    double tide_m = 1.0;
    tide::DatumChain datums{23, {}};
    double y = 0.0; ///< of a line from west to east
    bool with_bottom = true;
    std::optional<tide::Curve> curve{}; ///< instead of the fixed height
    Boat boat{};
    std::vector<TriedRun> tried{};
    bool old_bars = false; ///< every hazard without data counts as an old bar
    Doubts doubts{0.3, 0.0, 0.0};
};

inline const Instant departure = Instant::from_unix_seconds(1.78e9);

struct Made {
    Track track;
    hazard::Hazards hazards;
    Conditions conditions;
};

inline Made make(std::vector<chart::Cell> cells, const Asked& asked) {
    chart::settle_scales(cells);
    Diagnostics said;
    hazard::BuildSettings settings;
    if (asked.with_bottom)
        settings.bottom = hazard::BottomWindow{{{-6000, -6000, 6000, 6000}}, -50, 60};
    auto hazards = hazard::build(cells, said, settings);
    for (auto& h : hazards.all)
        h.old_bar = asked.old_bars && h.kind == hazard::Kind::no_data && !h.uncovered;
    Route r;
    r.places = {plane().to_position(geo::Point{-2500.0, asked.y}),
                plane().to_position(geo::Point{2500.0, asked.y})};
    r.half_widths_m = {50.0};
    r.speeds_mps = {6.0 * mps_per_knot};
    r.shore_start_m = r.shore_end_m = 0.0;
    const Track track(r, plane());
    Conditions conditions{
        asked.boat,
        Water::from_metres(1.4),
        asked.doubts,
        Tides::one(asked.curve.value_or(tide::Curve::fixed(TideHeight::from_metres(asked.tide_m), "")),
                   asked.datums),
        {}};
    conditions.tried = std::make_shared<const std::vector<TriedRun>>(asked.tried);
    return {track, std::move(hazards), std::move(conditions)};
}

inline Check run(std::vector<chart::Cell> cells, const Asked& asked) {
    const Made made = make(std::move(cells), asked);
    return check(made.track, Timetable(made.track, departure), made.hazards, made.conditions);
}

/// One depth area of that range, CATZOC A1, so that only what is charted counts.
inline CellDraft sheet(std::uint32_t scale, double west, double east, const char* shoalest,
                       const char* deepest) {
    CellDraft d;
    d.header.cscl = scale;
    d.add_area("M_COVR", {box(west, -3000, east, 3000)}, {{"CATCOV", "1"}});
    d.add_area("DEPARE", {box(west, -3000, east, 3000)}, {{"DRVAL1", shoalest}, {"DRVAL2", deepest}});
    d.add_area("M_QUAL", {box(west, -3000, east, 3000)}, {{"CATZOC", "1"}});
    return d;
}

inline std::vector<const Finding*> of_class(const Check& c, const std::string& cls) {
    std::vector<const Finding*> out;
    for (const auto& f : c.findings)
        if (f.object.cls == cls)
            out.push_back(&f);
    return out;
}

} // namespace made_cells
