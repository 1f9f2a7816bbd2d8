#include <algorithm>
#include <set>

#include "dangerline/passage/windows.hpp"
#include "passage/made_cells.hpp"

namespace {

using namespace made_cells;
using hazard::Cause;
using hazard::Grade;

/// A straight run from west to east at y, with that much water at that tide.
TriedRun run_at(double y, double west, double east, double water_m, double tide_m, bool sounded = false) {
    TriedRun run{"A. Nother", {2026, 5, 30}};
    for (double x = west; x < east; x += 80.0)
        run.pieces.push_back({{{x, y}, {std::min(x + 80.0, east), y}}, water_m, sounded, {{23, tide_m}}});
    return run;
}

/// 2 m of sparse survey: with a tide of 1 m only its doubt makes it a caution.
CellDraft doubtful_sheet() {
    CellDraft d;
    d.header.cscl = 20'000;
    d.add_area("M_COVR", {box(-4000, -3000, 4000, 3000)}, {{"CATCOV", "1"}});
    d.add_area("DEPARE", {box(-4000, -3000, 4000, 3000)}, {{"DRVAL1", "2"}, {"DRVAL2", "2"}});
    d.add_area("M_QUAL", {box(-4000, -3000, 4000, 3000)}, {{"CATZOC", "4"}});
    return d;
}

Check with(const TriedRun& run, double draught_m = 0.6, double tide_m = 1.0) {
    Asked asked;
    asked.tide_m = tide_m;
    asked.boat.draught_m = draught_m;
    asked.tried = {run};
    return made_cells::run({laid(doubtful_sheet(), "X14TEST1")}, asked);
}

const Finding* survey_line(const Check& c) {
    for (const auto& f : c.findings)
        if (f.kind == hazard::Kind::survey)
            return &f;
    return nullptr;
}

bool eased(const Check& c) {
    return survey_line(c) && survey_line(c)->grade == Grade::note;
}

TEST(Tried, TurnsTheLineOfASurveyIntoANote) {
    const Check without = with({});
    ASSERT_TRUE(survey_line(without));
    EXPECT_EQ(survey_line(without)->cause, Cause::survey);
    EXPECT_EQ(without.worst, Grade::caution);
    const Check all = with(run_at(0, -2600, 2600, 0.6, 1.0));
    ASSERT_TRUE(eased(all));
    EXPECT_EQ(survey_line(all)->cause, Cause::none);
    EXPECT_NE(survey_line(all)->reason.find(
                  "run by A. Nother on 2026-05-30, least water 0.6 m (the draught of that "
                  "boat) at tide 1.0 m"),
              std::string::npos)
        << survey_line(all)->reason;
    EXPECT_EQ(all.worst, Grade::none_found);
}

// A wreck 300 m off, that a survey of this kind may have misplaced by 500 m, was not passed by a run along
// the line.
TEST(Tried, LeavesALineThatNamesAnObjectNobodyPassed) {
    const auto with_wreck = [] {
        CellDraft d = doubtful_sheet();
        d.add_point("WRECKS", {at(0, 300)}, {{"VALSOU", "0.5"}, {"WATLEV", "3"}, {"QUASOU", "6"}});
        Asked asked;
        asked.boat.draught_m = 0.6;
        asked.tried = {run_at(0, -2600, 2600, 0.6, 1.0)};
        return made_cells::run({laid(std::move(d), "X14TEST1")}, asked);
    };
    const Check c = with_wreck();
    ASSERT_TRUE(survey_line(c));
    EXPECT_NE(survey_line(c)->reason.find("among them wreck"), std::string::npos) << survey_line(c)->reason;
    EXPECT_FALSE(eased(c));
    EXPECT_EQ(c.worst, Grade::caution);
}

TEST(Tried, LeavesTheRestOfALineACaution) {
    const Check c = with(run_at(0, -2600, 0, 0.6, 1.0));
    ASSERT_TRUE(survey_line(c));
    EXPECT_EQ(survey_line(c)->grade, Grade::caution);
    EXPECT_NEAR(survey_line(c)->length_m, 2500.0 - tried_within_m, 1.0);
    EXPECT_NE(survey_line(c)->reason.find("1.4 NM more run by A. Nother"), std::string::npos)
        << survey_line(c)->reason;
    ASSERT_EQ(c.stretches.size(), 2U);
    EXPECT_TRUE(c.stretches[0].marks.empty());
    EXPECT_EQ(c.stretches[1].marks.front().cause, Cause::survey);
}

// The route is a rhumb line of 5 km, which bends 0.5 m away from a straight run.
TEST(Tried, TellsOfTwentyMetresToEitherSide) {
    EXPECT_TRUE(eased(with(run_at(19.4, -2600, 2600, 0.6, 1.0))));
    EXPECT_FALSE(eased(with(run_at(20.6, -2600, 2600, 0.6, 1.0))));
    EXPECT_FALSE(eased(with(run_at(-20.6, -2600, 2600, 0.6, 1.0))));
}

TEST(Tried, TellsNothingOfALowerTideOrADeeperBoat) {
    EXPECT_TRUE(eased(with(run_at(0, -2600, 2600, 0.6, 0.9))));
    EXPECT_FALSE(eased(with(run_at(0, -2600, 2600, 0.6, 1.1))));
    EXPECT_FALSE(eased(with(run_at(0, -2600, 2600, 0.6, 1.0), 0.7)));
    EXPECT_TRUE(eased(with(run_at(0, -2600, 2600, 0.7, 1.0), 0.7)));
    // What a sounder measured must float the boat at its hump: 0.6 m and 0.3 m of squat.
    EXPECT_FALSE(eased(with(run_at(0, -2600, 2600, 0.89, 1.0, true))));
    EXPECT_TRUE(eased(with(run_at(0, -2600, 2600, 0.91, 1.0, true))));
    EXPECT_TRUE(eased(with(run_at(0, -2600, 2600, 1.91, 2.0, true))));
}

TEST(Tried, CountsOnlyWhereItsTideIsKnownAboveTheDatum) {
    TriedRun other = run_at(0, -2600, 2600, 5.0, 1.0);
    for (auto& piece : other.pieces)
        piece.tide_m = {{3, 1.0}};
    EXPECT_FALSE(eased(with(other)));
    for (auto& piece : other.pieces)
        piece.tide_m.clear();
    EXPECT_FALSE(eased(with(other)));
}

/// Depth for which only the doubt of a survey A1 (0.5 m and 1 %) makes it a caution at a tide of 1 m.
Check beside_a_rock(double rock_y, double run_y, const char* found = "1968") {
    CellDraft d = sheet(20'000, -4000, 4000, "20", "30");
    d.add_point("UWTROC", {at(0, rock_y)},
                {{"VALSOU", "0.8"}, {"WATLEV", "3"}, {"QUASOU", "6"}, {"SORDAT", found}});
    Asked asked;
    asked.boat.draught_m = 0.6;
    asked.doubts.tide_height_m = 0.1;
    asked.tried = {run_at(run_y, -2600, 2600, 0.6, 1.0)};
    return made_cells::run({laid(std::move(d), "X14TEST1")}, asked);
}

TEST(Tried, EasesTheDoubtOfARockOnlyBesideIt) {
    const auto grade = [](const Check& c) { return of_class(c, "UWTROC").at(0)->grade; };
    EXPECT_EQ(of_class(beside_a_rock(35, 500), "UWTROC").at(0)->cause, Cause::survey);
    EXPECT_EQ(grade(beside_a_rock(35, 0)), Grade::caution) << "the run passed it 35 m off";
    const Check c = beside_a_rock(35, 18);
    EXPECT_EQ(grade(c), Grade::note);
    EXPECT_NE(of_class(c, "UWTROC").at(0)->reason.find("run by A. Nother"), std::string::npos);
}

TEST(Tried, TellsNothingOfWhatWasFoundLater) {
    const auto grade = [](const char* found) {
        return of_class(beside_a_rock(35, 18, found), "UWTROC").at(0)->grade;
    };
    EXPECT_EQ(grade("20260529"), Grade::note);
    EXPECT_EQ(grade("20260530"), Grade::caution) << "the day of the run";
    EXPECT_EQ(grade("2026"), Grade::caution) << "which may be its last day";
}

TEST(Tried, NeverEasesAnythingButTheSurvey) {
    CellDraft d = sheet(20'000, -4000, 4000, "20", "30");
    d.add_point("UWTROC", {at(-1500, 10)}, {{"VALSOU", "-1"}, {"WATLEV", "4"}, {"QUASOU", "6"}});
    d.add_point("UWTROC", {at(-500, 10)}, {{"WATLEV", "3"}});
    d.add_point("UWTROC", {at(-1000, 10)}, {{"VALSOU", "9"}, {"WATLEV", "3"}, {"QUASOU", "2"}});
    d.add_point("UWTROC", {at(500, 55)}, {{"VALSOU", "-1"}, {"WATLEV", "4"}, {"QUASOU", "6"}});
    d.add_point("WRECKS", {at(1000, 0)}, {{"VALSOU", "0.5"}, {"WATLEV", "3"}, {"QUASOU", "6"}});
    d.add_area("RESARE", {box(1500, -100, 1800, 100)}, {{"RESTRN", "7"}});
    Asked asked;
    asked.boat.draught_m = 0.1;
    const auto before = made_cells::run({laid(d, "X14TEST1")}, asked);
    for (const double y : {-15.0, 0.0, 15.0})
        asked.tried.push_back(run_at(y, -2600, 2600, 99.0, -9.0, true));
    const auto after = made_cells::run({laid(d, "X14TEST1")}, asked);
    const auto rest = [](const Check& c) {
        std::vector<std::string> out;
        for (const auto& f : c.findings)
            // What is eased was a caution of survey before.
            if (f.cause != Cause::survey && f.reason.find("run by") == std::string::npos)
                out.push_back(std::string(to_text(f.grade)) + to_text(f.cause) + f.reason);
        return out;
    };
    EXPECT_EQ(rest(before), rest(after));
    std::set<Cause> causes;
    for (const auto& f : after.findings)
        causes.insert(f.cause);
    EXPECT_TRUE(causes.contains(Cause::margin) && causes.contains(Cause::position) &&
                causes.contains(Cause::assumed) && causes.contains(Cause::rule));
}

TEST(Tried, TurnsAnOldBarIntoANoteAndNothingElseUnknown) {
    CellDraft d;
    d.header.cscl = 20'000;
    d.add_area("M_COVR", {box(-4000, -3000, 4000, 3000)}, {{"CATCOV", "1"}});
    d.add_area("DEPARE", {box(-4000, -3000, 0, 3000)}, {{"DRVAL1", "20"}, {"DRVAL2", "30"}});
    d.add_area("UNSARE", {box(0, -3000, 4000, 3000)}, {});
    d.add_area("M_QUAL", {box(-4000, -3000, 4000, 3000)}, {{"CATZOC", "1"}});
    Asked asked;
    asked.boat.draught_m = 0.6;
    asked.tried = {run_at(0, -2600, 2600, 0.6, 1.0)};
    const auto cell = laid(std::move(d), "X14TEST1");
    EXPECT_EQ(of_class(made_cells::run({cell}, asked), "UNSARE").at(0)->grade, Grade::unknown);
    asked.old_bars = true;
    const auto eased_bar = made_cells::run({cell}, asked);
    EXPECT_EQ(of_class(eased_bar, "UNSARE").at(0)->grade, Grade::note);
    EXPECT_NE(of_class(eased_bar, "UNSARE").at(0)->reason.find("run by"), std::string::npos);
    asked.tried.clear();
    EXPECT_EQ(of_class(made_cells::run({cell}, asked), "UNSARE").at(0)->grade, Grade::unknown);
}

/// Causes named on the windows of a day, by default at a fixed tide of 1 m, over doubtful ground.
std::set<Cause> named_with(const TriedRun& run, double wreck_y = 0.0,
                           const std::optional<tide::Curve>& curve = {}) {
    CellDraft d = doubtful_sheet();
    if (wreck_y > 0.0)
        d.add_point("WRECKS", {at(0, wreck_y)}, {{"VALSOU", "0.5"}, {"WATLEV", "3"}, {"QUASOU", "6"}});
    Asked asked;
    asked.boat.draught_m = 0.6;
    asked.tried = {run};
    asked.curve = curve;
    const Made made = make({laid(std::move(d), "X14TEST1")}, asked);
    const VoyageMaker voyages = [](const Track& t, double share, const Interval&) {
        Voyage::Settings s;
        s.speed_factor = share;
        return Voyage(t, s);
    };
    const Season s = season(made.track, voyages, made.hazards, made.conditions,
                            {.departures = {departure, departure + 86400.0}});
    EXPECT_FALSE(s.windows.empty());
    std::set<Cause> causes;
    for (const auto& w : s.windows)
        for (const auto n : w.named)
            causes.insert(s.reasons[n].cause);
    return causes;
}

TEST(Tried, TakesTheSurveyOffTheWindowsOfASeason) {
    EXPECT_EQ(named_with({}), std::set{Cause::survey});
    EXPECT_TRUE(named_with(run_at(0, -2600, 2600, 0.6, 1.0)).empty());
    EXPECT_EQ(named_with(run_at(0, -2600, 2600, 0.6, 1.1)), std::set{Cause::survey}) << "at a higher tide";
    EXPECT_EQ(named_with(run_at(0, -2600, 0, 0.6, 1.0)), std::set{Cause::survey}) << "half of it";
    EXPECT_EQ(named_with(run_at(0, -2600, 2600, 0.6, 1.0), 300.0), std::set{Cause::survey})
        << "the line names a wreck that was not passed";
}

// With 3 m of tide the doubt of the survey leaves enough water; with 1 m, twelve hours on, it does not.
TEST(Season, NamesASurveyThatMattersAtAnyTideOfIt) {
    const auto level = [](double from_h, double to_h, double metres) {
        return tide::Piece{
            departure + from_h * 3600.0, (to_h - from_h) * 3600.0, {metres, metres}, {0.0, 0.0}};
    };
    const auto falling = tide::Curve::from_pieces({level(-24.0, 12.0, 3.0), level(12.0, 96.0, 1.0)}, "steps");
    EXPECT_TRUE(named_with({}, 0.0, tide::Curve::fixed(TideHeight::from_metres(3.0), "")).empty());
    EXPECT_EQ(named_with({}, 0.0, falling), std::set{Cause::survey});
}

} // namespace
