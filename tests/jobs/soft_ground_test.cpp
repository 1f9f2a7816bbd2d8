// Soft ground that a plan says moves is met by a passage as the survey tells of it.
#include <algorithm>

#include <gtest/gtest.h>

#include "cellwriter/cellwriter.hpp"
#include "dangerline/jobs/passage.hpp"
#include "support/support.hpp"

namespace dangerline {
namespace {

cellwriter::Ring box(double west, double east) {
    return {{west, 46.0}, {east, 46.0}, {east, 46.05}, {west, 46.05}};
}

/// Whether a passage along a fairway over mud meets a channel over a moving bottom.
bool meets_moved_channel(const std::string& survey) {
    cellwriter::CellDraft d;
    d.header.dsnm = "X14SOFT1.000";
    d.header.uadt = d.header.isdt = "20260601";
    d.add_area("M_COVR", {box(-28.0, -27.9)}, {{"CATCOV", "1"}});
    d.add_area("DEPARE", {box(-28.0, -27.9)}, {{"DRVAL1", "5"}, {"DRVAL2", "10"}});
    d.add_area("FAIRWY", {box(-27.97, -27.93)}, {});
    d.add_area("SBDARE", {box(-27.98, -27.92)}, {{"NATSUR", "1"}});
    const support::TemporaryFolder folder;
    folder.file("X14SOFT1.000", d.bytes());
    folder.file("r.geojson", R"({"type": "Feature", "properties": {"name": "over mud"}, "geometry":
        {"type": "LineString", "coordinates": [[-27.96, 46.025], [-27.94, 46.025]]}})");
    const auto plan = folder.file("plan.toml", R"(zone = "UTC"
depart = "2026-07-01 10:00"
charts = ["X14SOFT1.000"]
[boat]
draught_m = 0.6
speed = "12 kn"
[[tide]]
kind = "fixed"
height_m = 1.0
datum = 23
[[route]]
file = "r.geojson"
)" + survey);
    const auto report = jobs::run_passage(plan::read(plan), std::nullopt);
    const auto& findings = report.routes.at(0).check.findings;
    return std::any_of(findings.begin(), findings.end(), [](const auto& f) {
        return f.grade == hazard::Grade::unknown && f.reason.find("moving bottom") != std::string::npos;
    });
}

TEST(SoftGround, IsReadByAPassage) {
    EXPECT_TRUE(meets_moved_channel("[survey.soft]\nm_per_year = 20\n"));
    EXPECT_FALSE(meets_moved_channel("")); // taken to stay where nobody says that it moves
}

} // namespace
} // namespace dangerline
