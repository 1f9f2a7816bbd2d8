// What a plan may ask of a season, and every way to ask it wrongly that was thought of.
#include "dangerline/plan/plan.hpp"

#include "dangerline/base/error.hpp"
#include "support/support.hpp"

#include <gtest/gtest.h>

namespace {

using namespace dangerline;

const std::string head = R"(zone = "Europe/Berlin"
charts = ["chart"]
[boat]
draught_m = 0.6
speed = "14 kn"
[[tide]]
kind = "fixed"
height_m = 1.0
datum = 23
[[route]]
file = "routes.gpx"
)";

plan::Plan read(const std::string& season) {
    const support::TemporaryFolder folder;
    return plan::read(folder.file("plan.toml", head + season));
}

const std::string days = "[season]\nfrom = 2026-03-28\nto = 2026-03-30\n";

struct Refused {
    const char* name;
    std::string season;
    const char* object;            ///< in the complaint
    std::vector<const char*> said; ///< in the message
};

class SeasonRefused : public testing::TestWithParam<Refused> {};

} // namespace

TEST_P(SeasonRefused, SaysWhatIsExpected) {
    try {
        read(GetParam().season);
        FAIL() << "taken: " << GetParam().season;
    } catch (const Failure& failure) {
        EXPECT_EQ(failure.fault(), Fault::plan);
        EXPECT_NE(failure.complaint().object.find(GetParam().object), std::string::npos) << failure.what();
        for (const char* words : GetParam().said)
            EXPECT_NE(std::string(failure.what()).find(words), std::string::npos) << failure.what();
    }
}

INSTANTIATE_TEST_SUITE_P(
    All, SeasonRefused,
    testing::Values(
        Refused{"NoFrom",
                "[season]\nto = 2026-03-30\n",
                "season.from",
                {"required key is missing", "a day like"}},
        Refused{"NoTo", "[season]\nfrom = 2026-03-30\n", "season.to", {"required key is missing"}},
        Refused{"NoDay", "[season]\nfrom = \"spring\"\nto = 2026-03-30\n", "season.from", {}},
        Refused{"EndsBeforeItBegins",
                "[season]\nfrom = 2026-03-30\nto = 2026-03-29\n",
                "season.to",
                {"ends before it begins"}},
        Refused{"LongerThan400Days",
                "[season]\nfrom = 2026-01-01\nto = 2027-02-06\n",
                "season.to",
                {"longer than 400 days"}},
        Refused{"UnknownKey", days + "tide_m = 2\n", "season.tide_m", {"unknown key"}},
        Refused{"UnknownWeekday", days + "days = \"Sat Sunday\"\n", "season.days", {"\"Sunday\"", "Sat Sun"}},
        Refused{"NoWeekday", days + "days = \" , \"\n", "season.days", {"no day named"}},
        Refused{
            "UnknownDaylight", days + "daylight = \"bright\"\n", "season.daylight", {"bright", "twilight"}},
        Refused{
            "NotBeforeIsNoTime", days + "not_before = \"7:00\"\n", "season.not_before", {"no clock time"}},
        Refused{"NotBeforeAt24", days + "not_before = \"24:00\"\n", "season.not_before", {"no clock time"}},
        Refused{"HomeByAt60Minutes", days + "home_by = \"20:60\"\n", "season.home_by", {"no clock time"}},
        Refused{"HomeByLetters", days + "home_by = \"ab:cd\"\n", "season.home_by", {"no clock time"}},
        Refused{"NoTimeAtAll", days + "longest_h = 0\n", "season.longest_h", {}},
        Refused{"TooLong", days + "longest_h = 241\n", "season.longest_h", {}},
        Refused{"LaunchTooLow", days + "[season.launch]\nat_least_m = -31\n", "at_least_m", {}},
        Refused{"RecoveryTooHigh", days + "[season.recovery]\nat_most_m = 31\n", "at_most_m", {}},
        Refused{"LaunchAtNoTide",
                days + "[season.launch]\nat_least_m = 3\nat_most_m = 3\n",
                "at_most_m",
                {"not above at_least_m"}},
        Refused{"RecoveryUnknownKey", days + "[season.recovery]\nfrom_m = 3\n", "from_m", {"unknown key"}},
        Refused{"Early", days + "early_min = -1\n", "season.early_min", {}},
        Refused{"Late", days + "late_min = 721\n", "season.late_min", {}},
        Refused{"Shortest", days + "shortest_min = -5\n", "season.shortest_min", {}},
        Refused{"Slower", days + "slower_percent = 95\n", "season.slower_percent", {}}),
    [](const auto& row) { return std::string(row.param.name); });

TEST(SeasonPlan, TakesEveryKey) {
    const auto asked =
        read(days + "days = \"Sat, Sun\"\ndaylight = \"sun\"\nnot_before = \"06:05\"\nhome_by = \"21:30\"\n"
                    "longest_h = 4.5\nearly_min = 5\nlate_min = 20\nshortest_min = 45\n"
                    "slower_percent = 10\n[season.launch]\nat_least_m = 1.5\n"
                    "[season.recovery]\nat_least_m = 1\nat_most_m = 4\n")
            .season.value();
    EXPECT_EQ(asked.weekdays, (std::array<bool, 7>{true, false, false, false, false, false, true}));
    EXPECT_EQ(asked.daylight, plan::SeasonAsked::Daylight::sun);
    EXPECT_EQ(asked.not_before_min, 6 * 60 + 5);
    EXPECT_EQ(asked.home_by_min, 21 * 60 + 30);
    EXPECT_EQ(asked.longest_s, 4.5 * 3600.0);
    EXPECT_EQ(asked.launch.at_least_m, 1.5);
    EXPECT_EQ(asked.launch.at_most_m, std::nullopt);
    EXPECT_EQ(asked.recovery.at_least_m, 1.0);
    EXPECT_EQ(asked.recovery.at_most_m, 4.0);
    EXPECT_EQ(asked.robustness.early_s, 300.0);
    EXPECT_EQ(asked.robustness.late_s, 1200.0);
    EXPECT_EQ(asked.robustness.shortest_s, 2700.0);
    EXPECT_EQ(asked.robustness.slower, 0.1);
}

TEST(SeasonPlan, SaysWhatItAssumes) {
    EXPECT_EQ(read(days).season_assumptions.size(), 5U);
    EXPECT_EQ(read(days + "early_min = 5\nlate_min = 20\nshortest_min = 45\nslower_percent = 10\n")
                  .season_assumptions.size(),
              1U);
}
