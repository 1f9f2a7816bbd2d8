// Tracks that a receiver recorded: places with their times.
#pragma once

#include <filesystem>
#include <optional>
#include <string>
#include <vector>

#include "dangerline/base/time.hpp"
#include "dangerline/geo/position.hpp"

namespace dangerline::files {

struct TrackFix {
    geo::Position place{};
    std::optional<Instant> at{}; ///< nothing where the file states no time, or one without its zone
    bool first = false;          ///< of a segment: nothing is known of what lies before it
};

struct RecordedTrack {
    std::string name{}; ///< may be empty
    std::vector<TrackFix> fixes{};
    std::string source{}; ///< "FILE: track N", N counted from 1
};

/// Every track (`trk`) of a GPX 1.0 or 1.1 file in file order, with the times of its points in UTC. Routes
/// and way-points are no record of a run and are left out. Failures (Fault::data), naming file and object:
/// file missing, empty, not a regular file, no GPX, damaged; no track in it; a coordinate that is no number
/// or out of range; times of a track that run backwards.
std::vector<RecordedTrack> read_tracks(const std::filesystem::path& path);

} // namespace dangerline::files
