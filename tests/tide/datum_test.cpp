#include <gtest/gtest.h>

#include <algorithm>
#include <cctype>

#include "dangerline/tide/datum.hpp"
#include "dangerline/tide/summary.hpp"
#include "tide/stations.hpp"

using namespace dangerline;
using namespace dangerline::tide;

namespace {

std::string lower(std::string text) {
    std::transform(text.begin(), text.end(), text.begin(),
                   [](unsigned char c) { return static_cast<char>(std::tolower(c)); });
    return text;
}

constexpr int lowest_astronomical_tide = 23;
constexpr int mean_sea_level = 3;

} // namespace

// S-57 Edition 3.1 Appendix A, attribute VERDAT.
TEST(Datum, names_of_the_codes) {
    const auto rows = support::read_table(support::testdata() / "tide/verdat.csv");
    ASSERT_EQ(rows.size(), 29U);
    for (const auto& row : rows) {
        const int code = std::stoi(row.at("code"));
        EXPECT_EQ(lower(datum_name(code).value()), lower(row.at("name")));
        EXPECT_EQ(is_approximate(code), row.at("name").starts_with("Approximate")) << code;
    }
    EXPECT_TRUE(datum_name(30));
    EXPECT_FALSE(datum_name(0));
    EXPECT_FALSE(datum_name(31));
    EXPECT_FALSE(is_approximate(30));
    EXPECT_EQ(datum_text(23), "23 (lowest astronomical tide)");
    EXPECT_EQ(datum_text(99), "99 (no such code)");
}

// A station predicts +1.0 m above land datum; chart datum lies 2.9 m below it; a bank dries 2.8 m.
TEST(Datum, chart_datum_below_the_source_raises_the_tide) {
    const DatumChain chain{.metres_below_source = {{lowest_astronomical_tide, 2.9}}};
    const auto tide = chain.above(lowest_astronomical_tide, TideHeight::from_metres(1.0));
    ASSERT_TRUE(tide);
    EXPECT_NEAR(tide->metres(), 3.9, 1e-12);
    EXPECT_NEAR((Depth::from_metres(-2.8) + *tide).metres(), 1.1, 1e-12); // less than the 1.4 m required
}

// The mirror: chart datum lies 2.9 m above land datum, sounding 2.0 m; a slip of sign gives 3.9 m.
TEST(Datum, chart_datum_above_the_source_lowers_the_tide) {
    const DatumChain chain{.metres_below_source = {{lowest_astronomical_tide, -2.9}}};
    const auto tide = chain.above(lowest_astronomical_tide, TideHeight::from_metres(1.0));
    ASSERT_TRUE(tide);
    EXPECT_NEAR(tide->metres(), -1.9, 1e-12);
    EXPECT_NEAR((Depth::from_metres(2.0) + *tide).metres(), 0.1, 1e-12);
}

TEST(Datum, unequal_codes_without_a_number_are_not_linked) {
    const DatumChain chain{.source_code = mean_sea_level, .metres_below_source = {{12, 1.387}}};
    EXPECT_EQ(chain.offset_to(mean_sea_level), 0.0);
    EXPECT_EQ(chain.offset_to(12), 1.387);
    EXPECT_FALSE(chain.offset_to(lowest_astronomical_tide));
    EXPECT_FALSE(chain.above(lowest_astronomical_tide, TideHeight::from_metres(1.0)));
    EXPECT_FALSE(DatumChain{}.offset_to(lowest_astronomical_tide));
}

TEST(Datum, a_local_datum_is_linked_by_a_number_only) {
    EXPECT_FALSE(DatumChain{.source_code = 24}.offset_to(24));
    EXPECT_EQ((DatumChain{.source_code = 24, .metres_below_source = {{24, 0.0}}}.offset_to(24)), 0.0);
    EXPECT_FALSE(DatumChain{.source_code = 77}.offset_to(77)); // no such datum
}

// NOAA's lowest and highest astronomical tide of Boston are 0.428 and 4.831 m above station zero, MLLW 1.074
// m. They were found over 19 years, so one year near the largest f of M2 comes close and never beyond by
// much.
TEST(Summary, years_of_boston_lie_within_its_astronomical_tides) {
    const Constants c = stations::noaa(stations::boston);
    const double z0 = stations::msl_above_mllw(stations::boston);
    const Summary s = summarise(c, z0, 0.0, 2014, 2016);
    EXPECT_EQ(s.first_year, 2014);
    EXPECT_EQ(s.last_year, 2016);
    EXPECT_NEAR(s.lowest.metres(), 0.428 - 1.074, 0.08);
    EXPECT_NEAR(s.highest.metres(), 4.831 - 1.074, 0.08);
    EXPECT_NEAR(s.mean.metres(), z0, 0.005);
    EXPECT_TRUE(s.warnings.empty());
    const Summary shifted = summarise(c, z0, 0.5, 2014, 2016);
    EXPECT_NEAR(shifted.lowest.metres(), s.lowest.metres() + 0.5, 1e-9);
    EXPECT_NEAR(shifted.mean.metres(), s.mean.metres() + 0.5, 1e-9);
    EXPECT_NEAR(shifted.highest.metres(), s.highest.metres() + 0.5, 1e-9);
    EXPECT_THROW(summarise(c, z0, 0.0, 2016, 2014), std::invalid_argument);
}

TEST(Summary, a_wrong_mean_level_or_sign_is_warned_of) {
    const Constants c = stations::noaa(stations::boston);
    const auto forgotten = summarise(c, 0.0, 0.0, 2026, 2026).warnings;
    ASSERT_EQ(forgotten.size(), 2U);
    EXPECT_NE(forgotten[0].find("less than -1.5 m"), std::string::npos);
    EXPECT_NE(forgotten[1].find("not positive"), std::string::npos);
    const auto twice = summarise(c, 2 * 1.586, 0.0, 2026, 2026).warnings;
    ASSERT_EQ(twice.size(), 1U);
    EXPECT_NE(twice[0].find("more than +0.8 m"), std::string::npos);
}

TEST(Summary, thresholds) {
    const auto count = [](double lowest, double mean) {
        return datum_warnings(TideHeight::from_metres(lowest), TideHeight::from_metres(mean)).size();
    };
    EXPECT_EQ(count(0.8, 1.0), 0U);
    EXPECT_EQ(count(0.81, 1.0), 1U);
    EXPECT_EQ(count(-1.5, 1.0), 0U);
    EXPECT_EQ(count(-1.51, 1.0), 1U);
    EXPECT_EQ(count(0.0, 0.0), 1U);
    EXPECT_EQ(count(0.0, 0.01), 0U);
}
