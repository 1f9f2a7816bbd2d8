// Marks of the demo, and of the demo with something changed.

#include <gtest/gtest.h>

#include <algorithm>
#include <regex>

#include "cellwriter/cell_text.hpp"

#include "dangerline/base/error.hpp"
#include "dangerline/jobs/anchor.hpp"
#include "support/support.hpp"

using namespace dangerline;
using namespace dangerline::jobs;

namespace {

plan::Plan demo() {
    return plan::read(support::testdata() / "demo/anchor.toml");
}

const AnchorMark& mark(const AnchorReport& report, const std::string& name) {
    const auto it = std::find_if(report.marks.begin(), report.marks.end(),
                                 [&](const AnchorMark& m) { return m.name == name; });
    if (it == report.marks.end())
        throw std::out_of_range(name);
    return *it;
}

bool says(const AnchorMark& m, const std::string& words) {
    return std::any_of(m.sentences.begin(), m.sentences.end(),
                       [&](const std::string& s) { return s.find(words) != std::string::npos; });
}

const FoulNote* fouling(const AnchorMark& m, const std::string& cls) {
    for (const auto& note : m.fouls)
        if (note.foul.object.cls == cls)
            return &note;
    return nullptr;
}

plan::Plan at(geo::Position place) {
    auto p = demo();
    p.marks.resize(1);
    p.marks.front().name = "There";
    p.marks.front().position = place;
    return p;
}

std::string refusal(const plan::Plan& plan, Fault fault = Fault::plan) {
    try {
        run_anchor(plan);
    } catch (const Failure& failure) {
        EXPECT_EQ(failure.fault(), fault);
        return failure.what();
    }
    return "taken";
}

} // namespace

TEST(AnchorJob, depth_is_deep_bound_tide_half_wave_and_bow) {
    const auto report = run_anchor(demo());
    ASSERT_EQ(report.marks.size(), 4u);
    for (const auto& m : report.marks) {
        ASSERT_TRUE(m.depth_m) << m.name;
        const double deep = m.bottom.no_deeper_than()->metres();
        ASSERT_EQ(m.tides.size(), 4u);
        for (const auto& row : m.tides) {
            EXPECT_NEAR(row.depth_m, deep + row.tide_m + 0.2 + 0.8, 1e-9);
            EXPECT_LE(row.least_m, row.in_proportion_m);
            EXPECT_LT(row.all_chain_m, row.in_proportion_m);
        }
        EXPECT_EQ(*m.depth_m, m.tides[1].depth_m);
        EXPECT_LE(m.tides[0].tide_m, m.tides[1].tide_m);
        EXPECT_LE(m.tides[2].tide_m, m.tides[0].tide_m); // a cycle reaches at least as low and high here
        EXPECT_GE(m.tides[3].tide_m, m.tides[1].tide_m);
        EXPECT_NE(m.sea.stream_mps, std::nullopt);
    }
    EXPECT_EQ(report.worst, hazard::Grade::danger);
}

// The last moment is reckoned with the boat's own leeway, however fast.
TEST(AnchorJob, deadline_by_own_leeway) {
    auto plan = demo();
    const auto slow = mark(run_anchor(plan), "Cable Deep");
    plan.drift.own = drift::Leeway{0.20, 0.0, 15.0};
    const auto fast = mark(run_anchor(plan), "Cable Deep");
    ASSERT_TRUE(slow.deadline && fast.deadline && slow.sea.wind_mps);
    EXPECT_NEAR(slow.deadline->drift_mps, *slow.sea.stream_mps + 0.0771 * *slow.sea.wind_mps, 1e-9);
    EXPECT_NEAR(fast.deadline->drift_mps, *slow.sea.stream_mps + 0.20 * *slow.sea.wind_mps, 1e-9);
    EXPECT_LT(fast.deadline->decide_within_s, slow.deadline->decide_within_s);
}

// The strongest wind of a series while she lies there; a series that ends before is not known, never calm.
TEST(AnchorJob, wind_of_a_series) {
    const support::TemporaryFolder folder;
    auto plan = demo();
    const auto rows = [&](const std::string& last) {
        return folder.file("wind.csv", "time,from_deg,speed_mps\n2026-06-16T10:00Z,225,4\n"
                                       "2026-06-16T11:00Z,225,9.5\n2026-06-16T12:00Z,225,5\n" +
                                           last);
    };
    plan.drift.wind_series = rows("2026-06-16T14:00Z,225,20\n");
    const auto report = run_anchor(plan);
    ASSERT_TRUE(mark(report, "Cable Deep").sea.wind_mps); // from 10 to 12
    EXPECT_NEAR(*mark(report, "Cable Deep").sea.wind_mps, 9.5, 1e-9);
    EXPECT_NE(report.wind_words.find("wind.csv"), std::string::npos) << report.wind_words;
    EXPECT_FALSE(mark(report, "Ledge Mark").sea.wind_mps) << "from 7 on";
    EXPECT_TRUE(mark(report, "Ledge Mark").sea.fresh_wind());
}

// A gust that a few minutes' rows tell of, between two whole tens of minutes.
TEST(AnchorJob, wind_between_tens_of_minutes) {
    const support::TemporaryFolder folder;
    auto plan = demo();
    plan.drift.wind_series =
        folder.file("wind.csv", "time,from_deg,speed_mps\n2026-06-16T10:00Z,225,4\n2026-06-16T10:05Z,225,20\n"
                                "2026-06-16T10:10Z,225,4\n2026-06-16T12:00Z,225,4\n");
    const auto report = run_anchor(plan);
    ASSERT_TRUE(mark(report, "Cable Deep").sea.wind_mps); // from 10 to 12
    EXPECT_NEAR(*mark(report, "Cable Deep").sea.wind_mps, 20.0, 1e-9);
}

// Bottom that moves: the deep and the shoal bound reach as far as it may have moved, what lay outside the
// circle may lie in it by now, and danger comes nearer.
TEST(AnchorJob, bottom_that_moves) {
    auto plan = demo();
    const auto stays = run_anchor(plan);
    plan::MovingEntry bank;
    bank.name = "Sands";
    bank.ring = {{-27.95, 46.05}, {-27.86, 46.05}, {-27.86, 46.079}, {-27.95, 46.079}};
    bank.metres_per_year = 10.0;
    plan.moving.push_back(bank);
    const auto moves = run_anchor(plan);
    const auto &before = mark(stays, "Ledge Mark"), &after = mark(moves, "Ledge Mark");
    EXPECT_EQ(before.moved_m, 0.0);
    EXPECT_GT(after.moved_m, 30.0);
    EXPECT_GE(after.bottom.no_deeper_than()->metres(), before.bottom.no_deeper_than()->metres());
    EXPECT_LT(after.bottom.no_shoaler_than()->metres(), before.bottom.no_shoaler_than()->metres());
    EXPECT_TRUE(says(after, "The bottom here moves, by "));
    EXPECT_FALSE(says(before, "The bottom here moves, by "));
    EXPECT_TRUE(says(after, "The boat may swing onto depth area"));
    EXPECT_FALSE(says(before, "The boat may swing onto depth area"));
    ASSERT_TRUE(before.deadline && after.deadline);
    EXPECT_LT(after.deadline->distance_m, before.deadline->distance_m);
    EXPECT_GE(after.grade, before.grade);
}

// The shoal of a bank 4.6 km off may have come within 3 km since it was surveyed; if it stays nothing is
// near.
TEST(AnchorJob, a_bank_beyond_all_that_is_asked_may_have_come_near) {
    auto plan = at({-27.9355, 46.0288});
    const auto stays = run_anchor(plan);
    plan::MovingEntry bank;
    bank.name = "Sallow Bank";
    bank.ring = {{-27.90, 46.015}, {-27.83, 46.015}, {-27.83, 46.042}, {-27.90, 46.042}};
    bank.metres_per_year = 20.0; // surveyed in 1936
    plan.moving.push_back(bank);
    const auto moves = run_anchor(plan);
    const auto &before = stays.marks.front(), &after = moves.marks.front();
    ASSERT_TRUE(before.deadline && after.deadline);
    EXPECT_EQ(before.deadline->danger, "");
    EXPECT_EQ(after.deadline->danger, "depth area 0.0 to 2.0 m");
    EXPECT_LT(after.deadline->distance_m, 3000.0);
    EXPECT_LT(after.deadline->decide_within_s, before.deadline->decide_within_s);
    plan.moving.clear(); // what the chart calls sand waves moves likewise
    for (auto& rule : plan.trust.moving)
        if (rule.kind == survey::Moving::sand_waves)
            rule.metres_per_year = 20.0;
    const auto waves = run_anchor(plan);
    ASSERT_TRUE(waves.marks.front().deadline);
    EXPECT_EQ(waves.marks.front().deadline->danger, "depth area 0.0 to 2.0 m");
    EXPECT_LT(waves.marks.front().deadline->distance_m, 3000.0);
}

// The stream is strongest at one of its nodes, at whole tens of minutes, whenever she comes.
TEST(AnchorJob, stream_at_its_nodes) {
    auto plan = demo();
    plan.marks = {plan.marks[0], plan.marks[0]};
    plan.marks[0].at = "2026-06-16 06:10";
    plan.marks[0].stay_s = 12.0 * 3600.0;
    plan.marks[1].at = "2026-06-16 06:05";
    plan.marks[1].stay_s = 12.0 * 3600.0 + 600.0;
    const auto report = run_anchor(plan);
    ASSERT_TRUE(report.marks[0].sea.stream_mps && report.marks[1].sea.stream_mps);
    EXPECT_GE(*report.marks[1].sea.stream_mps, *report.marks[0].sea.stream_mps);
}

TEST(AnchorJob, what_lies_in_the_circle_and_beside_it) {
    const auto report = run_anchor(demo());
    const auto& ground = mark(report, "Amaranth Ground");
    const auto* wreck = fouling(ground, "WRECKS");
    ASSERT_TRUE(wreck);
    EXPECT_EQ(wreck->lies, Lies::beside);
    EXPECT_EQ(wreck->foul.position_m, 50.0); // its place is approximate
    EXPECT_NEAR(wreck->outside_m, wreck->foul.distance_m - 50.0 - ground.swing_m, 1e-9);
    EXPECT_TRUE(says(ground, "Beside the circle: wreck \"Wreck of the Amaranth\""));
    const auto& outfall = mark(report, "Outfall");
    ASSERT_TRUE(fouling(outfall, "PIPSOL"));
    EXPECT_EQ(fouling(outfall, "PIPSOL")->lies, Lies::in_circle);
    EXPECT_EQ(outfall.grade, hazard::Grade::danger);
    EXPECT_TRUE(says(outfall, "No place to anchor: outfall pipe"));
    const auto& deep = mark(report, "Cable Deep");
    EXPECT_EQ(fouling(deep, "CBLARE")->foul.distance_m, 0.0);
    EXPECT_EQ(fouling(deep, "CBLSUB")->lies, Lies::in_circle);
    const auto& ledge = mark(report, "Ledge Mark");
    EXPECT_TRUE(ledge.natures.front().here);
    EXPECT_EQ(ledge.natures.front().words, "fine sand");
    EXPECT_EQ(ledge.holding, drift::Holding::suits);
    EXPECT_FALSE(ledge.sea.breaking);
}

TEST(AnchorJob, a_longer_rope_reaches_the_wreck) {
    auto plan = demo();
    plan.gear.anchor->line.rope_m = 300.0;
    const auto report = run_anchor(plan);
    const auto& ground = mark(report, "Amaranth Ground");
    EXPECT_EQ(ground.word, drift::RopeWord::in_proportion);
    EXPECT_NEAR(ground.paid_out_m, 8.0 * *ground.depth_m, 1e-9); // not all there is
    const auto* wreck = fouling(ground, "WRECKS");
    ASSERT_TRUE(wreck);
    EXPECT_NE(wreck->lies, Lies::beside);
    EXPECT_GE(ground.grade, hazard::Grade::caution);
}

TEST(AnchorJob, words_by_the_rope_aboard) {
    auto plan = demo();
    const double depth = *mark(run_anchor(plan), "Ledge Mark").depth_m;
    const auto word = [&](double rope_m) {
        plan.gear.anchor->line.rope_m = rope_m;
        return mark(run_anchor(plan), "Ledge Mark").word;
    };
    EXPECT_EQ(word(depth - 5.1), drift::RopeWord::too_short);
    EXPECT_EQ(word(depth - 4.9), drift::RopeWord::reaches);
    EXPECT_EQ(word(8.0 * depth - 4.9), drift::RopeWord::in_proportion);
    EXPECT_EQ(word(8.0 * depth - 5.1), drift::RopeWord::least);
}

TEST(AnchorJob, a_boat_swings_onto_what_dries) {
    // 60 m off the edge of the ledge, which dries up to two metres.
    const auto report = run_anchor(at({-27.8920, 46.0692}));
    const auto& m = report.marks.front();
    ASSERT_FALSE(m.touches.empty());
    EXPECT_EQ(m.touches.front().grade, hazard::Grade::danger);
    EXPECT_EQ(m.grade, hazard::Grade::danger);
    EXPECT_TRUE(says(m, "The boat swings onto"));
}

TEST(AnchorJob, off_the_chart_everything_is_unknown) {
    auto plan = demo();
    plan.marks[0].position = {-27.70, 45.90};
    const auto report = run_anchor(plan);
    const auto& m = report.marks.front();
    EXPECT_FALSE(m.depth_m || m.pull || m.deadline);
    EXPECT_EQ(m.word, drift::RopeWord::unknown);
    EXPECT_EQ(m.holding, drift::Holding::unknown);
    EXPECT_TRUE(m.tides.empty());
    EXPECT_FALSE(m.unknown_in_circle.empty());
    EXPECT_EQ(m.grade, hazard::Grade::unknown);
    EXPECT_EQ(m.swing_m, 85.0 + 5.6 + 10.0);
    EXPECT_TRUE(says(m, "Rope: unknown whether"));
}

TEST(AnchorJob, an_unsurveyed_circle_is_unknown) {
    const auto report = run_anchor(at({-27.8355, 46.0660})); // in the pocket nobody surveyed
    EXPECT_FALSE(report.marks.front().depth_m);
    EXPECT_GE(report.marks.front().grade, hazard::Grade::unknown);
}

TEST(AnchorJob, what_is_not_stated_asks_for_more_rope) {
    auto plan = demo();
    const auto factor = [](const AnchorMark& m) { return m.tides[1].in_proportion_m / m.tides[1].depth_m; };
    const std::string cable = "Cable Deep";
    EXPECT_NEAR(factor(mark(run_anchor(plan), cable)), 6.0, 1e-9);
    plan.wind.reset();
    plan.sea.wind_mps.reset();
    const auto windless = run_anchor(plan);
    EXPECT_NEAR(factor(mark(windless, cable)), 8.0, 1e-9);
    EXPECT_FALSE(mark(windless, cable).pull);
    EXPECT_FALSE(mark(windless, cable).deadline);
    plan = demo();
    plan.sea.swell_m.reset();
    plan.margins.waves_given = false;
    EXPECT_NEAR(factor(mark(run_anchor(plan), cable)), 8.0, 1e-9);
}

TEST(AnchorJob, a_tide_without_data_leaves_the_rope_unknown) {
    auto plan = demo();
    plan::TideSource& tide = plan.tides.front();
    tide.kind = plan::TideSource::Kind::table;
    tide.times = TimeZone("Atlantic/Azores");
    tide.file = support::testdata() / "demo/gannet-head.csv"; // one week of June
    for (auto& m : plan.marks)
        m.at = "2026-09-01 10:00";
    const auto report = run_anchor(plan);
    for (const auto& m : report.marks) {
        EXPECT_EQ(m.word, drift::RopeWord::unknown);
        EXPECT_GE(m.grade, hazard::Grade::unknown);
        EXPECT_NE(m.unknown.find("tide"), std::string::npos) << m.unknown;
    }
}

TEST(AnchorJob, refused) {
    auto plan = demo();
    plan.gear.anchor.reset();
    EXPECT_NE(refusal(plan).find("boat.anchor"), std::string::npos);
    plan = demo();
    plan.marks.clear();
    EXPECT_NE(refusal(plan).find("names no mark"), std::string::npos);
    plan = demo();
    plan.marks[1].at.reset();
    EXPECT_NE(refusal(plan).find("no time for this mark"), std::string::npos);
    plan = demo();
    plan.tides.front().datums.source_code = 5;
    EXPECT_NE(refusal(plan).find("not linked"), std::string::npos) << refusal(plan);
    EXPECT_NE(refusal(at({-27.70, 45.90}), Fault::data).find("does not lie on the charts"),
              std::string::npos);
}

// What the chart loses never lets a mark look better.
TEST(AnchorJob, a_chart_that_says_less_makes_no_mark_better) {
    const support::TemporaryFolder folder;
    const auto whole = run_anchor(demo());
    const std::string text = support::read_file(support::testdata() / "demo/X14DEMO1.000.txt");
    folder.file("soundings.txt", support::read_file(support::testdata() / "demo/soundings.txt"));
    const std::pair<const char*, const char*> losses[] = {{"\\n(area|point) SBDARE[^\\n]*", ""},
                                                          {"\\narea M_QUAL[^\\n]*(\\n  [^\\n]*)?", ""},
                                                          {" CATPIP=2", " CATPIP="},
                                                          {" RESTRN=1", " RESTRN="},
                                                          {" CATWRK=2", " CATWRK="},
                                                          {"\\npoint TS_PAD[^\\n]*\\n[^\\n]*", ""},
                                                          {" NATSUR=[0-9,]*", " NATSUR="},
                                                          {" DRVAL2=10", " DRVAL2="}};
    int worse = 0;
    for (const auto& [what, by] : losses) {
        const std::string less = std::regex_replace(text, std::regex(what), by);
        ASSERT_NE(less, text) << what;
        const auto cell = cellwriter::cell_from_text(folder.file("less.txt", less));
        auto plan = demo();
        plan.charts = {{folder.file("X14DEMO1.000", cell), {}, 0}};
        const auto report = run_anchor(plan);
        for (std::size_t i = 0; i < whole.marks.size(); ++i) {
            const auto& before = whole.marks[i];
            const auto& after = report.marks[i];
            EXPECT_GE(after.grade, before.grade) << what << ", " << before.name;
            EXPECT_LE(after.word, before.word) << what << ", " << before.name;
            EXPECT_GE(after.holding, before.holding) << what << ", " << before.name;
            worse += after.grade > before.grade || after.word < before.word || after.holding > before.holding;
        }
    }
    EXPECT_GT(worse, 5);
}

TEST(AnchorJob, words_of_the_program) {
    for (const auto& m : run_anchor(demo()).marks)
        for (const auto& sentence : m.sentences)
            for (const char* word : {"safe", " clear", "verdict", "will hold"})
                EXPECT_EQ(sentence.find(word), std::string::npos) << sentence;
}
