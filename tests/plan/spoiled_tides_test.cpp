// Every way to write tides wrongly that was thought of, with what must be said about it.
#include "plan/spoiled.hpp"

namespace {

using namespace spoiled;

TEST(SpoiledPlan, Tides) {
    expect_refused({
        {"datum = 23",
         "height_m = 2",
         "line 15, tide[1].height_m",
         {"no meaning", "\"harmonic\"", "change the kind"}},
        {"kind = \"harmonic\"",
         "kind = \"fixed\"\nheight_m = 2",
         "line 14, tide[1].constants",
         {"no meaning", "\"fixed\""}},
        {"kind = \"harmonic\"\nconstants = \"tide.csv\"",
         "kind = \"fixed\"\nheight_m = 2",
         "line 14, tide[1].mean_level_m",
         {"no meaning"}},
        {"below_m = 0.3", "", "line 16, tide[1].link[1].below_m", {"neither below_m nor above_m"}},
        {"below_m = 0.3", "below_m = 0.3\nabove_m = 0.3", "line 19, tide[1].link[1].above_m", {"both given"}},
        {"[[tide.link]]",
         "[[tide.link]]\ncode = 17\nabove_m = 1\n[[tide.link]]",
         "line 20, tide[1].link[2].code",
         {"17 (mean high water springs)", "linked twice"}},
        {"code = 17",
         "code = 23",
         "line 17, tide[1].link[1].code",
         {"23 (lowest astronomical tide)", "itself"}},
    });
}

TEST(SpoiledPlan, SeveralTides) {
    const char* datum = "datum = 23";
    expect_refused({
        {datum,
         "datum = 23\n[[tide]]\nname = \"B\"\nkind = \"fixed\"\nheight_m = 1\nposition = [0, 0]",
         "line 10, tide[1].name",
         {"required key is missing", "several tides"}},
        {"kind = \"harmonic\"",
         "name = \"A\"\nkind = \"harmonic\"\n[[tide.link]]\ncode = 3\nabove_m = 1\n[[tide]]\nname = "
         "\"A\"\nposition = [0, 0]\nkind = \"harmonic\"",
         "line 10, tide[1].constants",
         {"required key is missing"}},
        {"[water]",
         "[[tide]]\nname = \"A\"\nkind = \"fixed\"\nheight_m = 1\n[water]",
         "line 14, tide[2].name",
         {"several tides"}},
        {"position = [-27.93, 46.08]",
         "position = [-27.93, 46.08]\nname = \"A\"\nzone = [[0, 0], [1, 1]]",
         "line 13, tide[1].zone",
         {"2 corners bound nothing"}},
        {"position = [-27.93, 46.08]",
         "zone = [[0, 0], [1, 1], [2, 0]]",
         "line 10, tide[1].position",
         {"required key is missing"}},
        {"position = [-27.93, 46.08]",
         "position = [46.08, -127.93]",
         "line 11, tide[1].position",
         {"46.08, -127.93 is out of range", "look swapped"}},
        {"position = [-27.93, 46.08]",
         "position = [46.08, nan]",
         "line 11, tide[1].position",
         {"out of range"}},
        {"position = [-27.93, 46.08]", "position = \"46 N\"", "line 11, tide[1].position", {"no position"}},
        {"position = [-27.93, 46.08]", "position = [46.08]", "line 11, tide[1].position", {"no position"}},
        {datum, "weather = \"yes\"", "line 15, tide[1].weather", {"unknown word \"yes\"", "included"}},
        {datum, "gap_h = 9", "line 15, tide[1].gap_h", {"no meaning", "\"harmonic\""}},
        {datum, "gap = 9", "line 15, tide[1].gap", {"unit is missing", "gap_h = 9"}},
        {"wind = \"SW 20 kn\"",
         "pressure_hpa = 1020",
         "line 8, water.mean_pressure_hpa",
         {"required key is missing", "mean it is compared with"}},
        {"wind = \"SW 20 kn\"", "mean_pressure_hpa = 1013", "line 8, water.pressure_hpa", {"required key"}},
        {"wind = \"SW 20 kn\"",
         "pressure_hpa = 29.92\nmean_pressure_hpa = 1013",
         "line 9, water.pressure_hpa",
         {"out of range", "hectopascals"}},
        {"wind = \"SW 20 kn\"",
         "pressure = 1020",
         "line 9, water.pressure",
         {"unit is missing", "pressure_hpa"}},
        {"wind = \"SW 20 kn\"", "surge_m = 11", "line 9, water.surge_m", {"out of range"}},
    });
}

TEST(SpoiledPlan, SecondaryAndTable) {
    const char* harmonic = "kind = \"harmonic\"\nconstants = \"tide.csv\"\nmean_level_m = 2.6";
    expect_refused({
        {harmonic,
         "kind = \"table\"\ntable = \"week.csv\"\ntimes = \"Azores\"",
         "line 14, tide[1].times",
         {"no time zone named \"Azores\""}},
        {harmonic, "kind = \"table\"", "line 10, tide[1].table", {"required key is missing"}},
        {harmonic,
         "kind = \"curve\"\ntable = \"week.csv\"",
         "line 13, tide[1].table",
         {"no meaning", "\"curve\""}},
        {harmonic,
         "kind = \"curve\"\ncurve = \"week.csv\"\ngap_h = 0",
         "line 14, tide[1].gap_h",
         {"out of range"}},
        {harmonic,
         "kind = \"secondary\"\ndifferences = \"d.csv\"\nof = \"Port\"",
         "line 14, tide[1].of",
         {"no tide of this plan is named \"Port\""}},
        {harmonic,
         "name = \"A\"\nkind = \"secondary\"\ndifferences = \"d.csv\"\nof = \"A\"",
         "line 15, tide[1].of",
         {"\"A\" is a tide of kind \"secondary\"", "harmonic, table or curve"}},
        {harmonic,
         "kind = \"secondary\"\ndifferences = \"d.csv\"\nof = \"\"",
         "line 14, tide[1].of",
         {"no tide"}},
        {harmonic, "kind = \"secondary\"\nof = \"Port\"", "line 10, tide[1].differences", {"required key"}},
    });
}

} // namespace
