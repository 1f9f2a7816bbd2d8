// Dates of surveys, what they are worth, and what flags them.
#include "dangerline/survey/trust.hpp"

#include <gtest/gtest.h>

#include <algorithm>
#include <filesystem>
#include <random>
#include <set>

#include "dangerline/survey/zones.hpp"
#include "support/support.hpp"

using namespace dangerline;
using namespace dangerline::survey;

namespace {

Facts facts(const char* begun, const char* ended, const char* sourced = "",
            std::initializer_list<int> techniques = {}) {
    chart::Feature f;
    f.attributes.set("SURSTA", begun);
    f.attributes.set("SUREND", ended);
    f.attributes.set("SORDAT", sourced);
    std::string codes;
    for (const int t : techniques)
        codes += (codes.empty() ? "" : ",") + std::to_string(t);
    f.attributes.set("TECSOU", codes);
    return facts_of(f);
}

constexpr CalendarDay day{2026, 6, 16};

QualityZone zone(int catzoc, Facts f) {
    QualityZone z;
    z.catzoc = catzoc;
    z.facts = f;
    return z;
}

} // namespace

TEST(Dates, of_every_precision_and_none_of_junk) {
    const auto year = read_date("1934"), month = read_date("200302"), one = read_date("2003-04-01");
    EXPECT_EQ(year->earliest, (CalendarDay{1934, 1, 1}));
    EXPECT_EQ(year->latest, (CalendarDay{1934, 12, 31}));
    EXPECT_EQ(month->earliest, (CalendarDay{2003, 2, 1}));
    EXPECT_EQ(month->latest, (CalendarDay{2003, 2, 28}));
    EXPECT_EQ(one->earliest, one->latest);
    EXPECT_EQ(one->precision, PartialDate::Precision::day);
    for (const auto* junk : {"", "--0315", "00000415", "12312017", "JULY0918", "00122016", "20030230", "17"})
        EXPECT_FALSE(read_date(junk)) << junk;
}

TEST(Age, counts_from_the_oldest_part) {
    const auto age = age_of(facts("19400601", "19491231"), day);
    EXPECT_EQ(age.how, DateKnown::begun);
    EXPECT_NEAR(*age.years, 86.04, 0.01);
    EXPECT_EQ(when_words(facts("19400601", "19491231")), "1940–49");
    // A year alone may mean its first day.
    EXPECT_NEAR(*age_of(facts("1940", "1949"), day).years, 86.45, 0.01);
}

TEST(Age, of_an_end_alone_is_a_least_one) {
    const auto age = age_of(facts("", "1936"), day);
    EXPECT_FALSE(age.years);
    EXPECT_EQ(age.how, DateKnown::ended_only);
    EXPECT_NEAR(age.at_least_years, 89.46, 0.01);
    EXPECT_TRUE(age.may_exceed(500.0));
    EXPECT_EQ(when_words(facts("", "1936")), "ended 1936, begun at an unknown date");
}

// No dates, over a source of 2003: undated, not 23 years old.
TEST(Age, a_source_date_is_a_bound_only) {
    const auto age = age_of(facts("", "", "200303"), day);
    EXPECT_FALSE(age.years);
    EXPECT_EQ(age.how, DateKnown::bound_only);
    EXPECT_GT(age.at_least_years, 23.0);
    EXPECT_EQ(when_words(facts("", "", "200303")), "undated, not surveyed after 2003");
    const auto flags = flags_of(2, facts("", "", "200303"));
    EXPECT_EQ(flags, std::vector{Flag::undated});
}

TEST(Age, contradictions_go_to_the_older_side) {
    EXPECT_GT(*age_of(facts("1990", "1936"), day).years, 90.0);
    EXPECT_GT(*age_of(facts("2010", "2011", "1936"), day).years, 89.0);
    // Not begun on the day of use: that is no date.
    EXPECT_FALSE(age_of(facts("2030", "2031"), day).years);
    EXPECT_FALSE(age_of(facts("1990", "1991"), std::nullopt).years);
}

// Dates taken away, whichever, never make a survey younger, less flagged or better in its figures.
TEST(Trust, nothing_missing_makes_a_survey_better) {
    std::mt19937 random(6);
    const auto some_year = [&] { return std::to_string(1900 + random() % 125); };
    int changed = 0;
    for (int i = 0; i < 2000; ++i) {
        const std::string a = some_year(), b = some_year();
        const Facts whole = facts(std::min(a, b).c_str(), std::max(a, b).c_str());
        for (const Facts& less :
             {facts("", std::max(a, b).c_str()), facts(std::min(a, b).c_str(), ""), facts("", "")}) {
            for (int catzoc = 1; catzoc <= 6; ++catzoc) {
                const TrustSettings s;
                EXPECT_EQ(worse_zone(figures_for(catzoc, whole, s), figures_for(catzoc, less, s)),
                          figures_for(catzoc, less, s));
                changed += figures_for(catzoc, whole, s) != figures_for(catzoc, less, s);
            }
            EXPECT_FALSE(flags_of(2, less).empty() && !flags_of(2, whole).empty()) << a << ' ' << b;
            const Age full = age_of(whole, day), poor = age_of(less, day);
            for (const double limit : {1.0, 10.0, 25.0})
                EXPECT_TRUE(!full.may_exceed(limit) || poor.may_exceed(limit));
        }
    }
    EXPECT_GT(changed, 0);
}

// Practice by IHO S-68 Ed 1.0.0 Annex B Table B-1: lead line C (United Kingdom); before 1950 C (Norway),
// 1935 to 1970 C (France).
TEST(Trust, figures_of_old_surveys) {
    const TrustSettings s;
    EXPECT_EQ(figures_for(3, facts("1949", "1960"), s), 4);
    EXPECT_EQ(figures_for(3, facts("1950", "1960"), s), 3);
    EXPECT_EQ(figures_for(3, facts("", ""), s), 4);
    EXPECT_EQ(figures_for(3, facts("1990", "1991", "1936"), s), 4);
    EXPECT_EQ(figures_for(3, facts("1990", "1991", "", {5}), s), 4);
    EXPECT_EQ(figures_for(1, facts("1990", "1991", "", {5}), s), 4);
    EXPECT_EQ(figures_for(1, facts("", ""), s), 1);
    for (const int worse : {0, 4, 5, 6})
        EXPECT_EQ(figures_for(worse, facts("1990", "1991"), s), worse);
}

TEST(Trust, orders_surveys_by_date_and_technique) {
    const std::vector<QualityZone> ordered{
        zone(0, facts("", "1935", "", {5})), zone(0, facts("", "1960", "", {1})),
        zone(0, facts("", "1989", "", {1})), zone(0, facts("", "2005", "", {3}))};
    for (std::size_t i = 0; i < ordered.size(); ++i)
        for (std::size_t k = 0; k < ordered.size(); ++k)
            EXPECT_EQ(less_trusted(ordered[i], ordered[k]), i < k) << i << ' ' << k;
    EXPECT_TRUE(less_trusted(zone(4, facts("2005", "2005")), zone(3, facts("2005", "2005"))));
    EXPECT_TRUE(less_trusted(zone(2, facts("", "")), zone(2, facts("1990", "1991"))));
    EXPECT_TRUE(less_trusted(zone(2, facts("1990", "", "", {1})), zone(2, facts("1990", "", "", {3}))));
}

TEST(Rules, every_flag_has_one_row_in_order_and_a_source) {
    std::set<std::string_view> names;
    for (std::size_t i = 0; i < flag_rules().size(); ++i) {
        const auto& row = flag_rules()[i];
        EXPECT_EQ(static_cast<std::size_t>(row.flag), i);
        EXPECT_FALSE(row.when.empty() || row.source.empty());
        EXPECT_TRUE(names.insert(row.name).second);
    }
    EXPECT_EQ(flag_rules().size(), static_cast<std::size_t>(Flag::chart_not_updated) + 1);
}

TEST(Rules, readme_has_the_same_table) {
    const std::string readme = support::read_file(std::filesystem::path(DANGERLINE_SOURCE) / "README.md");
    for (const auto& row : flag_rules()) {
        const std::string line = "| `" + std::string(row.name) + "` | " + std::string(row.when) + " | " +
                                 std::string(row.source) + " |";
        EXPECT_NE(readme.find(line), std::string::npos) << line;
    }
    for (const auto& row : moving_rules()) {
        const std::string line = "| " + std::string(to_text(row.kind)) + " | " +
                                 std::to_string(static_cast<int>(row.metres_per_year)) + " | " +
                                 std::to_string(static_cast<int>(row.years)) + " | " +
                                 std::string(row.source) + " |";
        EXPECT_NE(readme.find(line), std::string::npos) << line;
    }
}

// Southern North Sea: 0 to 5 m a year on average, to 19 near Texel (van Dijk et al. 2011); Marsdiep inlet: to
// 90 m a year (Buijsman and Ridderinkhof 2008).
TEST(Rules, rates_are_the_published_ones) {
    EXPECT_EQ(moving_rule(Moving::sand_waves).metres_per_year, 5.0);
    EXPECT_EQ(moving_rule(Moving::bank).metres_per_year, 19.0);
    EXPECT_EQ(moving_rule(Moving::bar).metres_per_year, 90.0);
    EXPECT_EQ(moving_rule(Moving::no).metres_per_year, 0.0);
    // 5 m a year for 20 years: 100 m, more than the 50 m of CATZOC B.
    EXPECT_GT(moving_rule(Moving::sand_waves).metres_per_year * 20.0, zone_of_confidence(3).position_m);
}

// A coarser chart has a hole where a better one lies: its zone says nothing of what lies in there, or every
// object of the better chart would have its doubts.
TEST(Zones, what_lies_in_a_hole_is_not_in_the_zone) {
    const auto square = [](double half) {
        return std::vector<geo::Point>{
            {-half, -half}, {half, -half}, {half, half}, {-half, half}, {-half, -half}};
    };
    const auto ring = geo::Shape::of_area({square(10'000.0), square(5000.0)});
    EXPECT_FALSE(may_lie_in(geo::Shape::of_points({{100.0, 100.0}}), ring));
    EXPECT_FALSE(may_lie_in(geo::Shape::of_lines({{{-4000.0, -4000.0}, {4900.0, 4900.0}}}), ring));
    EXPECT_FALSE(may_lie_in(geo::Shape::of_points({{12'000.0, 100.0}}), ring));
    EXPECT_TRUE(may_lie_in(geo::Shape::of_points({{7000.0, 100.0}}), ring));
    EXPECT_TRUE(may_lie_in(geo::Shape::of_points({{4999.5, 100.0}}), ring)) << "within a metre of the edge";
    EXPECT_TRUE(may_lie_in(geo::Shape::of_lines({{{0.0, 0.0}, {6000.0, 0.0}}}), ring));
    EXPECT_TRUE(may_lie_in(geo::Shape::of_lines({{{0.0, 0.0}, {40'000.0, 0.0}}}), ring))
        << "right through it";
    EXPECT_TRUE(may_lie_in(geo::Shape::of_area({square(20'000.0)}), ring)) << "it lies within";
    // Beside the slope of a triangle, within its bounds.
    const auto slope = geo::Shape::of_area({{{0.0, 0.0}, {1000.0, 0.0}, {0.0, 1000.0}, {0.0, 0.0}}});
    EXPECT_FALSE(may_lie_in(geo::Shape::of_points({{800.0, 800.0}}), slope));
    EXPECT_TRUE(may_lie_in(geo::Shape::of_points({{200.0, 200.0}}), slope));
}

// Whatever is nearer than a metre, or inside, is never missed.
TEST(Zones, errs_to_yes) {
    std::mt19937 random(7);
    std::uniform_real_distribution<double> anywhere(-1000.0, 1000.0);
    int inside = 0;
    for (int n = 0; n < 2000; ++n) {
        std::vector<geo::Point> corners;
        for (int i = 0; i < 3 + n % 9; ++i)
            corners.push_back({anywhere(random), anywhere(random)});
        const auto area = geo::Shape::of_area({corners});
        const geo::Point a{anywhere(random), anywhere(random)}, b{anywhere(random), anywhere(random)};
        if (area.distance(a) < 1.0) {
            EXPECT_TRUE(may_lie_in(geo::Shape::of_points({a}), area)) << n;
            ++inside;
        }
        const auto line = geo::Shape::of_lines({{a, b}});
        for (int k = 0; k <= 20; ++k)
            if (area.contains({a.x + (b.x - a.x) * k / 20.0, a.y + (b.y - a.y) * k / 20.0})) {
                EXPECT_TRUE(may_lie_in(line, area)) << n;
                break;
            }
    }
    EXPECT_GT(inside, 100);
}

// A bar that the plan draws may be believed for longer, or for less, than others.
TEST(Trust, a_drawn_bar_is_unknown_after_the_years_it_says) {
    const auto where = std::make_shared<const geo::Shape>(
        geo::Shape::of_area({{{0.0, 0.0}, {100.0, 0.0}, {100.0, 100.0}, {0.0, 0.0}}}));
    DrawnMoving bar{Moving::bar, "Withy Bar", where, {}, {}, read_date("20240616")};
    TrustSettings settings;
    settings.as_of = day;
    const auto old = [&] {
        const Trust trust({}, {}, settings, {bar});
        return trust.old_bars().size();
    };
    EXPECT_EQ(old(), 1U) << "two years old";
    bar.years = 3.0;
    EXPECT_EQ(old(), 0U);
    bar.years = 0.5;
    EXPECT_EQ(old(), 1U);
    bar.kind = Moving::river_mouth; // its years are those of its shoal water, not of its bar
    EXPECT_EQ(bars({}, {bar}, settings).size(), 0U) << "nothing dries there";
}
