#include "dangerline/overlay/windows.hpp"

#include <gtest/gtest.h>

#include "overlay/calendar.hpp"

using namespace dangerline;
using namespace dangerline::overlay;

// RFC 5545, section 3.1: lines of at most 75 octets without the break, folded by CRLF and one space.
TEST(Calendar, FoldsAtSeventyFiveOctets) {
    const std::string exact = calendar_line("N", std::string(73, 'x'));
    EXPECT_EQ(exact, "N:" + std::string(73, 'x') + "\r\n");
    const std::string folded = calendar_line("N", std::string(73 + 74 + 1, 'x'));
    EXPECT_EQ(folded, "N:" + std::string(73, 'x') + "\r\n " + std::string(74, 'x') + "\r\n x\r\n");
}

TEST(Calendar, NeverCutsACharacter) {
    std::string umlauts;
    for (int i = 0; i < 100; ++i)
        umlauts += "\xc3\xa4";
    for (const std::string& name : {std::string("N"), std::string("NN")}) {
        const std::string line = calendar_line(name, umlauts);
        std::string unfolded;
        for (std::size_t at = 0; at < line.size();) {
            const auto end = line.find("\r\n", at);
            EXPECT_LE(end - at, 75U);
            const std::string part = line.substr(at, end - at);
            EXPECT_NE(static_cast<unsigned char>(part[part.starts_with(' ') ? 1 : 0]) & 0xC0U, 0x80U);
            unfolded += part.starts_with(' ') ? part.substr(1) : part;
            at = end + 2;
        }
        EXPECT_EQ(unfolded, name + ":" + umlauts);
    }
}

// RFC 5545, section 3.3.11.
TEST(Calendar, EscapesText) {
    EXPECT_EQ(calendar_text("a,b;c\\d\ne\r\x01"), "a\\,b\\;c\\\\d\\ne");
    EXPECT_EQ(calendar_time(start_of({2026, 6, 1}) + 3600.0 * 6.2), "20260601T061200Z");
}

// 01:30 happens twice on 25 October in London: each has its own offset.
TEST(WindowsTable, TellsTheTwoHalfPastOnesApart) {
    plan::Plan plan;
    plan.zone = TimeZone("Europe/London");
    jobs::SeasonReport report{plan, geo::Plane({0.0, 50.0})};
    passage::Route route;
    route.name = "A, \"B\"";
    route.places = {{0.0, 50.0}, {0.01, 50.0}};
    route.half_widths_m = {50.0};
    route.speeds_mps = {5.0};
    passage::Season season;
    passage::Window w;
    w.when = {start_of({2026, 10, 25}) + 1800.0, start_of({2026, 10, 25}) + 5400.0};
    season.windows.push_back(w);
    report.routes.push_back({passage::Track(route, report.plane), season, false, {}});
    EXPECT_NE(windows_csv(report).find(
                  "\r\n\"A, \"\"B\"\"\",2026-10-25T01:30+01:00,2026-10-25T01:30+00:00,Europe/London,"
                  "2026-10-25T00:30:00Z,2026-10-25T01:30:00Z,60,"),
              std::string::npos);
    EXPECT_NE(windows_ics(report, "1").find("SUMMARY:Departure window: A\\, \"B\"\r\n"), std::string::npos);
}
