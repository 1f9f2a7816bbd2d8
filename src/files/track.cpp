#include "dangerline/files/track.hpp"

#include "dangerline/files/gdal_quiet.hpp"
#include "files/drawn_file.hpp"
#include "files/gpx_numbers.hpp"

#include <cmath>
#include <fmt/format.h>
#include <map>
#include <ogrsf_frmts.h>

namespace dangerline::files {

namespace fs = std::filesystem;

namespace {

constexpr const char* a_track = "a recorded track (trk) in GPX";

/// GDAL's code of a time that ends in Z; each step from it is a quarter of an hour.
constexpr int utc_flag = 100;

std::optional<Instant> time_of(const OGRFeature& point, int field) {
    if (field < 0 || !point.IsFieldSetAndNotNull(field))
        return std::nullopt;
    int year = 0, month = 0, day = 0, hour = 0, minute = 0, zone = 0;
    float second = 0.0F;
    if (!point.GetFieldAsDateTime(field, &year, &month, &day, &hour, &minute, &second, &zone) ||
        zone <= 1) // no zone, or "local"
        return std::nullopt;
    const CalendarDay date{year, static_cast<unsigned>(month), static_cast<unsigned>(day)};
    return start_of(date) + (hour * 3600.0 + minute * 60.0 + static_cast<double>(second)) -
           (zone - utc_flag) * 900.0;
}

GDALDatasetUniquePtr open(const DrawnFile& file, const fs::path& path) {
    register_drivers();
    GdalMessages messages;
    const char* const drivers[] = {"GPX", nullptr};
    GDALDatasetUniquePtr dataset(GDALDataset::Open(
        fs::absolute(path).c_str(), GDAL_OF_VECTOR | GDAL_OF_READONLY, drivers, nullptr, nullptr));
    if (!dataset || messages.failed())
        file.fail("", "can't be read as GPX" + (messages.empty() ? "" : ": " + messages.text()), a_track,
                  "exporting the track as GPX");
    return dataset;
}

std::string object_of(std::size_t number, const std::string& name) {
    return name.empty() ? fmt::format("track {}", number) : fmt::format("track {} '{}'", number, name);
}

void check(const DrawnFile& file, const RecordedTrack& track, std::size_t number) {
    std::optional<Instant> before;
    for (std::size_t i = 0; i < track.fixes.size(); ++i) {
        const auto& fix = track.fixes[i];
        file.check_place(object_of(number, track.name), i + 1, fix.place, 180.0);
        if (fix.at && before && *fix.at < *before)
            file.fail(object_of(number, track.name),
                      fmt::format("the time of fix {} is before the last", i + 1), "times that increase",
                      "splitting the track where it was joined");
        before = fix.at ? fix.at : before;
    }
}

} // namespace

std::vector<RecordedTrack> read_tracks(const fs::path& path) {
    const DrawnFile file{path.string(), a_track, "saving the track again"};
    file.check_file(path);
    const auto dataset = open(file, path);
    const GpxPoints written = scan_gpx_points(path);
    if (!written.bad.empty())
        file.fail(written.bad[0].object, written.bad[0].what, "decimal degrees such as 43.5",
                  "correcting that place");
    GdalMessages messages;
    std::vector<RecordedTrack> tracks;
    std::map<GIntBig, std::size_t> by_id;
    for (const auto& feature : *dataset->GetLayerByName("tracks")) {
        by_id[feature->GetFID()] = tracks.size();
        auto& track = tracks.emplace_back();
        if (const int name = feature->GetFieldIndex("name"); name >= 0)
            track.name = feature->GetFieldAsString(name);
        track.source = fmt::format("{}: track {}", file.file, tracks.size());
    }
    std::size_t read = 0;
    for (const auto& point : *dataset->GetLayerByName("track_points")) {
        const auto found = by_id.find(point->GetFieldAsInteger64("track_fid"));
        const auto* geometry = point->GetGeometryRef();
        if (found == by_id.end() || !geometry)
            continue;
        ++read;
        const auto& place = *geometry->toPoint();
        tracks[found->second].fixes.push_back({{place.getX(), place.getY()},
                                               time_of(*point, point->GetFieldIndex("time")),
                                               point->GetFieldAsInteger64("track_seg_point_id") == 0});
    }
    if (messages.failed() || read != written.track_points)
        file.fail("tracks",
                  messages.failed() ? messages.text()
                                    : fmt::format("{} places stand in the file, {} could be read",
                                                  written.track_points, read),
                  "places inside trkseg, text in UTF-8", "saving the track again");
    if (tracks.empty())
        file.fail("", "there is no track in it", a_track, "exporting what was recorded, not the route");
    for (std::size_t i = 0; i < tracks.size(); ++i)
        check(file, tracks[i], i + 1);
    return tracks;
}

} // namespace dangerline::files
