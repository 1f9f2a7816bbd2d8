#include "dangerline/files/track.hpp"

#include "dangerline/base/error.hpp"
#include "support/support.hpp"

#include <gtest/gtest.h>

namespace dangerline::files {
namespace {

std::string gpx(const std::string& inside) {
    return "<?xml version=\"1.0\"?><gpx version=\"1.1\" creator=\"x\" "
           "xmlns=\"http://www.topografix.com/GPX/1/1\">" +
           inside + "</gpx>";
}

std::vector<RecordedTrack> read(const std::string& content) {
    const support::TemporaryFolder folder;
    return read_tracks(folder.file("run.gpx", content));
}

std::string complaint(const std::string& content) {
    try {
        read(content);
    } catch (const Failure& failure) {
        EXPECT_EQ(failure.fault(), Fault::data);
        return failure.what();
    }
    return "nothing";
}

TEST(Track, GivesPlacesTimesAndWhereASegmentBegins) {
    const auto tracks = read(
        gpx("<trk><name>Out</name><trkseg>"
            "<trkpt lat=\"46\" lon=\"-27.9\"><time>2026-05-30T06:00:00Z</time></trkpt>"
            "<trkpt lat=\"46.001\" "
            "lon=\"-27.9\"><time>2026-05-30T08:00:30.5+02:00</time></trkpt></trkseg><trkseg>"
            "<trkpt lat=\"46.002\" lon=\"-27.9\"><time>2026-05-30T06:02:00Z</time></trkpt></trkseg></trk>"
            "<trk><trkseg><trkpt lat=\"46\" lon=\"-27.8\"></trkpt></trkseg></trk>"));
    ASSERT_EQ(tracks.size(), 2U);
    EXPECT_EQ(tracks[0].name, "Out");
    ASSERT_EQ(tracks[0].fixes.size(), 3U);
    EXPECT_EQ(tracks[0].fixes[1].place, (geo::Position{-27.9, 46.001}));
    EXPECT_EQ(to_iso_utc(*tracks[0].fixes[0].at), "2026-05-30T06:00:00Z");
    EXPECT_NEAR(*tracks[0].fixes[1].at - *tracks[0].fixes[0].at, 30.5, 0.01);
    EXPECT_TRUE(tracks[0].fixes[0].first);
    EXPECT_FALSE(tracks[0].fixes[1].first);
    EXPECT_TRUE(tracks[0].fixes[2].first);
    EXPECT_FALSE(tracks[1].fixes[0].at) << "a fix without a time has none";
    EXPECT_NE(tracks[1].source.find("track 2"), std::string::npos);
}

TEST(Track, TakesNoTimeWithoutItsZone) {
    const auto tracks =
        read(gpx("<trk><trkseg><trkpt lat=\"46\" lon=\"-27.9\"><time>2026-05-30T06:00:00</time>"
                 "</trkpt></trkseg></trk>"));
    EXPECT_FALSE(tracks.at(0).fixes.at(0).at);
}

TEST(Track, RefusesWhatIsNoTrack) {
    const std::string fix = "<trkpt lat=\"46\" lon=\"-27.9\"><time>2026-05-30T06:00:00Z</time></trkpt>";
    EXPECT_NE(complaint(gpx("<rte><rtept lat=\"46\" lon=\"-27.9\"/></rte>")).find("no track"),
              std::string::npos);
    EXPECT_NE(complaint("{}").find("GPX"), std::string::npos);
    EXPECT_NE(complaint("").find("empty"), std::string::npos);
    EXPECT_NE(complaint(gpx("<trk><trkseg>" + fix +
                            "<trkpt lat=\"46\" lon=\"-27.9\">"
                            "<time>2026-05-30T05:59:00Z</time></trkpt></trkseg></trk>"))
                  .find("before the last"),
              std::string::npos);
    EXPECT_NE(complaint(gpx("<trk><trkseg>" + fix + "<trkpt lat=\"46,1\" lon=\"-27.9\"/></trkseg></trk>"))
                  .find("no number"),
              std::string::npos);
    EXPECT_NE(complaint(gpx("<trk><trkseg>" + fix + "<trkpt lat=\"96\" lon=\"-27.9\"/></trkseg></trk>"))
                  .find("out of range"),
              std::string::npos);
}

} // namespace
} // namespace dangerline::files
