// Every way to write a plan wrongly that was thought of, with what must be said about it.
#include "plan/spoiled.hpp"

namespace {

using namespace spoiled;

TEST(SpoiledPlan, UnknownKeys) {
    expect_refused({
        {"draught_m", "drauht_m", "line 5, boat.drauht_m", {"unknown key", "did you mean draught_m?"}},
        {"draught_m", "draft_m", "line 5, boat.draft_m", {"did you mean draught_m?"}},
        {"draught_m",
         "draught",
         "line 5, boat.draught",
         {"unit is missing", "mean draught_m?", "draught_m = "}},
        {"speed", "sped", "line 6, boat.sped", {"did you mean speed?", "one of name, draught_m"}},
        {"wind =",
         "rate_max = 2.5\nwind =",
         "line 9, water.rate_max",
         {"unit is missing", "did you mean rate_max_kn?", "rate_max_kn = 2.5"}},
        {"[water]", "[watre]", "line 8, watre", {"did you mean water?"}},
        {"[[route]]", "[[routes]]", "line 20, routes", {"did you mean route?"}},
        {"half_width", "halfwidth", "line 22, route[1].halfwidth", {"did you mean half_width?"}},
        {"code", "cod", "line 17, tide[1].link[1].cod", {"did you mean code?"}},
        {"datum", "datun", "line 15, tide[1].datun", {"did you mean datum?"}},
        {"[water]",
         "[water]\nsquat_m = 0.3",
         "line 9, water.squat_m",
         {"unknown key", "belongs into [boat]"}},
        {"[boat]", "[boat]\ntitle = \"a\"", "line 5, boat.title", {"head of the plan"}},
        {"[boat]", "[zones]\nwithin = 3\n[boat]", "line 5, zones.within", {"did you mean within_m?"}},
        {"[boat]",
         "[doubt]\ntide_time_mins = 3\n[boat]",
         "line 5, doubt.tide_time_mins",
         {"did you mean tide_time_min?"}},
        {"[boat]", "[boat]\n\"dra\\nught\" = 1", "line 5, boat.dra?ught", {"did you mean draught_m?"}},
    });
}

TEST(SpoiledPlan, MissingKeysPointToTheirTable) {
    expect_refused({
        {"zone = \"Atlantic/Azores\"", "", "line 1, zone", {"required key is missing"}},
        {"charts = [\"chart\"]", "", "line 1, charts", {"required key is missing"}},
        {"[boat]\ndraught_m = 0.6\nspeed = \"14 kn\"",
         "",
         "line 1, boat",
         {"required table is missing", "[boat]"}},
        {"draught_m = 0.6",
         "",
         "line 4, boat.draught_m",
         {"required key is missing", "above 0 and at most 5"}},
        {"speed = \"14 kn\"", "", "line 4, boat.speed", {"required key is missing", "14 kn"}},
        {"kind = \"harmonic\"", "", "line 10, tide[1].kind", {"required key is missing", "\"fixed\""}},
        {"constants = \"tide.csv\"", "", "line 10, tide[1].constants", {"required key is missing"}},
        {"mean_level_m = 2.6", "", "line 10, tide[1].mean_level_m", {"required key is missing"}},
        {"kind = \"harmonic\"\nconstants = \"tide.csv\"\nmean_level_m = 2.6",
         "kind = \"fixed\"",
         "line 10, tide[1].height_m",
         {"required key is missing"}},
        {"code = 17", "", "line 16, tide[1].link[1].code", {"required key is missing", "VERDAT"}},
        {"file = \"routes.gpx\"", "", "line 20, route[1].file", {"required key is missing"}},
    });
}

TEST(SpoiledPlan, WrongTypes) {
    expect_refused({
        {"0.6", "\"0.6\"", "line 5, boat.draught_m", {"wrong type", "the text \"0.6\"", "bare number"}},
        {"0.6", "true", "line 5, boat.draught_m", {"wrong type", "the word true"}},
        {"0.6", "[0.6]", "line 5, boat.draught_m", {"wrong type", "a list"}},
        {"0.6", "2026-06-01", "line 5, boat.draught_m", {"the date 2026-06-01"}},
        {"\"Atlantic/Azores\"", "1", "line 1, zone", {"wrong type", "the number 1"}},
        {"[\"chart\"]", "\"chart\"", "line 2, charts", {"wrong type", "square brackets"}},
        {"[\"chart\"]", "[]", "line 2, charts", {"the list is empty"}},
        {"[\"chart\"]", "[\n\"chart\",\n3]", "line 4, charts", {"wrong type", "the number 3"}},
        {"[\"chart\"]", "[\"\"]", "line 2, charts", {"names no file"}},
        {"[\"chart\"]", "[\"a\\u0000b\"]", "line 2, charts", {"names no file"}},
        {"[boat]", "as_of = 20260601\n[boat]", "line 4, as_of", {"wrong type", "2026-06-01"}},
        {"[boat]", "as_of = \"2026-02-30\"\n[boat]", "line 4, as_of", {"no such day"}},
        {"[boat]", "title = 3\n[boat]", "line 4, title", {"wrong type", "text in quotes"}},
        {"[boat]", "zones = 3\n[boat]", "line 4, zones", {"wrong type", "[zones]"}},
        {"[boat]", "[[boat]]", "line 4, boat", {"wrong type", "one table, [boat]"}},
        {"[[route]]", "[route]", "line 20, route", {"wrong type", "doubled brackets, [[route]]"}},
        {"[[tide.link]]", "[tide.link]", "line 16, tide[1].link", {"wrong type", "[[tide.link]]"}},
        {"datum = 23", "datum = 23.0", "line 15, tide[1].datum", {"wrong type", "whole number"}},
        {"code = 17", "code = \"17\"", "line 17, tide[1].link[1].code", {"wrong type", "whole number"}},
        {"half_width = 50", "half_width = []", "line 22, route[1].half_width", {"the list is empty"}},
        {"half_width = 50", "half_width = \"50\"", "line 22, route[1].half_width", {"wrong type"}},
        {"file = \"routes.gpx\"", "file = [\"routes.gpx\"]", "line 21, route[1].file", {"wrong type"}},
    });
}

TEST(SpoiledPlan, NumbersOutOfRange) {
    expect_refused({
        {"0.6", "0", "line 5, boat.draught_m", {"the number 0 is out of range", "above 0 and at most 5"}},
        {"0.6", "-0.6", "line 5, boat.draught_m", {"out of range"}},
        {"0.6", "5.01", "line 5, boat.draught_m", {"out of range"}},
        {"0.6", "nan", "line 5, boat.draught_m", {"nan is not finite"}},
        {"0.6", "inf", "line 5, boat.draught_m", {"inf is not finite"}},
        {"0.6", "0.6\nsquat_m = 2.1", "line 6, boat.squat_m", {"out of range", "from 0 to 2"}},
        {"0.6", "0.6\nair_draught_m = 0", "line 6, boat.air_draught_m", {"out of range"}},
        {"0.6", "0.6\noverhead_margin_m = -1", "line 6, boat.overhead_margin_m", {"out of range"}},
        {"[water]", "[water]\nunder_keel_m = -0.1", "line 9, water.under_keel_m", {"out of range"}},
        {"[water]", "[water]\nwave_height_m = nan", "line 9, water.wave_height_m", {"not finite"}},
        {"[water]", "[water]\nswell_m = -1", "line 9, water.swell_m", {"out of range"}},
        {"[water]", "[water]\nrate_max_kn = -2", "line 9, water.rate_max_kn", {"out of range", "knots"}},
        {"2.6", "260", "line 14, tide[1].mean_level_m", {"out of range"}},
        {"datum = 23", "datum = 31", "line 15, tide[1].datum", {"out of range", "from 1 to 30"}},
        {"datum = 23", "datum = 0", "line 15, tide[1].datum", {"out of range"}},
        {"code = 17", "code = 31", "line 17, tide[1].link[1].code", {"out of range"}},
        {"below_m = 0.3", "below_m = -0.3", "line 18, tide[1].link[1].below_m", {"out of range"}},
        {"half_width = 50",
         "half_width = 9.9",
         "line 22, route[1].half_width",
         {"out of range", "from 10 to"}},
        {"half_width = 50", "half_width = [50, 5]", "line 22, route[1].half_width", {"the number 5 is out"}},
        {"half_width",
         "shore_start_m = 2001\nhalf_width",
         "line 22, route[1].shore_start_m",
         {"out of range"}},
        {"half_width", "shore_end_m = -1\nhalf_width", "line 22, route[1].shore_end_m", {"out of range"}},
        {"[boat]", "[zones]\nwithin_m = 0\n[boat]", "line 5, zones.within_m", {"out of range"}},
        {"[boat]", "[doubt]\ntide_height_m = -1\n[boat]", "line 5, doubt.tide_height_m", {"out of range"}},
        {"[boat]", "[doubt]\ntime_margin_min = inf\n[boat]", "line 5, doubt.time_margin_min", {"not finite"}},
    });
}

TEST(SpoiledPlan, SpeedsWithoutUnitAreNeverGuessed) {
    expect_refused({
        {"\"14 kn\"", "14", "line 6, boat.speed", {"the unit is missing", "the number 14", "\"14 kn\""}},
        {"\"14 kn\"", "\"14\"", "line 6, boat.speed", {"the unit is missing", "\"14 kn\""}},
        {"\"14 kn\"", "\"14 mph\"", "line 6, boat.speed", {"unknown unit \"mph\""}},
        {"\"14 kn\"", "\"14 Kn\"", "line 6, boat.speed", {"unknown unit \"Kn\""}},
        {"\"14 kn\"", "\"14,5 kn\"", "line 6, boat.speed", {"decimals take a point"}},
        {"\"14 kn\"", "\"fast\"", "line 6, boat.speed", {"does not begin with a number"}},
        {"\"14 kn\"", "\"nan kn\"", "line 6, boat.speed", {"does not begin with a number"}},
        {"\"14 kn\"", "\"\"", "line 6, boat.speed", {"does not begin with a number"}},
        {"\"14 kn\"", "\"0 kn\"", "line 6, boat.speed", {"out of range", "above 0"}},
        {"\"14 kn\"", "\"-5 kn\"", "line 6, boat.speed", {"out of range"}},
        {"\"14 kn\"", "\"80.1 kn\"", "line 6, boat.speed", {"out of range", "at most 80 kn"}},
        {"\"14 kn\"", "\"42 m/s\"", "line 6, boat.speed", {"out of range"}},
        {"\"14 kn\"", "true", "line 6, boat.speed", {"wrong type"}},
        {"half_width", "speed = 12\nhalf_width", "line 22, route[1].speed", {"the unit is missing"}},
    });
}

TEST(SpoiledPlan, Winds) {
    expect_refused({
        {"SW 20 kn", "SW 20", "line 9, water.wind", {"the unit is missing", "\"SW 20 kn\""}},
        {"SW 20 kn", "225 20", "line 9, water.wind", {"the unit is missing"}},
        {"\"SW 20 kn\"", "20", "line 9, water.wind", {"unit are missing"}},
        {"SW 20 kn", "SW", "line 9, water.wind", {"speed of the wind is missing"}},
        {"SW 20 kn", "20 kn", "line 9, water.wind", {"direction or speed of the wind is missing"}},
        {"SW 20 kn", "20 kn from SW", "line 9, water.wind", {"direction or speed of the wind is missing"}},
        {"SW 20 kn", "SWS 20 kn", "line 9, water.wind", {"no direction", "where it comes from"}},
        {"SW 20 kn", "361 20 kn", "line 9, water.wind", {"no direction"}},
        {"SW 20 kn", "nan 20 kn", "line 9, water.wind", {"no direction"}},
        {"SW 20 kn", "", "line 9, water.wind", {"no direction"}},
        {"SW 20 kn", "SW -20 kn", "line 9, water.wind", {"negative"}},
        {"SW 20 kn", "SW 20 knots", "line 9, water.wind", {"unknown unit"}},
        {"SW 20 kn", "SW 1e6 kn", "line 9, water.wind", {"out of range"}},
    });
}

TEST(SpoiledPlan, Words) {
    expect_refused({
        {"Atlantic/Azores", "Atlantic/Azoren", "line 1, zone", {"no time zone", "Atlantic/Azoren", "IANA"}},
        {"Atlantic/Azores", "", "line 1, zone", {"no time zone"}},
        {"Atlantic/Azores", "../../etc/passwd", "line 1, zone", {"no time zone"}},
        {"[water]",
         "[water]\nexposure = \"Open\"",
         "line 9, water.exposure",
         {"unknown exposure", "\"sheltered\""}},
        {"\"harmonic\"",
         "\"tables\"",
         "line 12, tide[1].kind",
         {"unknown kind of tide \"tables\"", "\"fixed\""}},
    });
}

/// Clocks of the Azores (tz database): forward on 29 March 2026 at 00:00, back on 25 October 2026 at 01:00.
TEST(SpoiledPlan, LocalTimes) {
    expect_refused({
        {"2026-06-12 06:30",
         "2026-10-25 00:30",
         "line 23, route[1].depart",
         {"happens twice in Atlantic/Azores"}},
        {"2026-06-12 06:30",
         "2026-03-29 00:30",
         "line 23, route[1].depart",
         {"never happens in Atlantic/Azores"}},
        {"\"2026-06-12 06:30\"", "2026-10-25T00:30:00", "line 23, route[1].depart", {"happens twice"}},
        {"[boat]", "depart = \"2026-10-25 00:30\"\n[boat]", "line 4, depart", {"happens twice"}},
        {"2026-06-12 06:30", "12.6.2026 06:30", "line 23, route[1].depart", {"is not a time like"}},
        {"\"2026-06-12 06:30\"", "2026-06-12", "line 23, route[1].depart", {"wrong type", "the date"}},
        {"\"2026-06-12 06:30\"", "06:30:00", "line 23, route[1].depart", {"wrong type", "without its date"}},
        {"\"2026-06-12 06:30\"",
         "2026-06-12T06:30:00+02:00",
         "line 23, route[1].depart",
         {"offset from UTC"}},
        {"\"2026-06-12 06:30\"", "2026-06-12T06:30:00.5", "line 23, route[1].depart", {"is not a time like"}},
    });
}

TEST(SpoiledPlan, Syntax) {
    expect_refused({
        {"draught_m = 0.6", "draught_m = 0,6", "line 5, column 14", {"no TOML"}},
        {"draught_m = 0.6", "draught_m 0.6", "line 5, column 11", {"no TOML"}},
        {"speed = \"14 kn\"", "speed = \"14 kn", "line 6, column 15", {"no TOML"}},
        {"speed = \"14 kn\"", "draught_m = 0.7", "line 6, column 13", {"no TOML", "draught_m"}},
        {"datum = 23", "datum = 23\n[boat]", "line 16, column 1", {"no TOML", "boat"}},
    });
}

TEST(SpoiledPlan, FilesThatAreNoPlan) {
    const support::TemporaryFolder folder;
    const auto says = [](const std::filesystem::path& file, const std::string& words) {
        const auto failure = failure_of(file);
        ASSERT_TRUE(failure) << words;
        EXPECT_EQ(failure->fault(), Fault::plan);
        EXPECT_EQ(failure->complaint().file, file.string());
        EXPECT_NE(std::string(failure->what()).find(words), std::string::npos) << failure->what();
    };
    says(folder.path() / "none.toml", "no such file");
    says(folder.path(), "this is a folder");
    says("/dev/null", "no ordinary file");
    says(folder.file("empty.toml", ""), "the file is empty");
    says(folder.file("blank.toml", "# nothing\n"), "line 1, zone: required key is missing");
    says(folder.file("picture.toml", std::string("\x89PNG\r\n\x1a\n\0\0\0\rIHDR", 16)), "no TOML");
    says(folder.file("latin.toml", "title = \"Gro\xDF\"\n"), "no TOML");
    says(folder.file("long.toml", std::string(1'000'001, '#')), "too many for a plan");
    says(folder.file("deep.toml", "title = " + std::string(100'000, '[')), "no TOML");
}

TEST(SpoiledPlan, LongAndOddTextsKeepToOneLine) {
    const support::TemporaryFolder folder;
    const auto failure =
        failure_of(folder.file("plan.toml", "zone = \"a\\nb" + std::string(5000, 'x') + "\"\n"));
    ASSERT_TRUE(failure);
    const std::string message = failure->complaint().what;
    EXPECT_EQ(message.find('\n'), std::string::npos);
    EXPECT_LT(message.size(), 120U);
}

} // namespace
