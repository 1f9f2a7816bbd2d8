// What reading routes and zones has in common. Private to the room.
#pragma once

#include "dangerline/base/diagnostics.hpp"
#include "dangerline/geo/position.hpp"

#include <filesystem>
#include <string>
#include <vector>

class OGRLayer;

namespace dangerline::files {

/// A file somebody drew, and how its faults are told.
struct DrawnFile {
    std::string file;     ///< path as the user gave it
    std::string expected; ///< what should be in it, in words
    std::string again;    ///< what to try: "drawing and saving the route again"

    /// Failure (data).
    [[noreturn]] void fail(std::string object, std::string what, std::string expected,
                           std::string remedy) const;
    /// A regular file with something in it, or Failure.
    void check_file(const std::filesystem::path& path) const;
    /// WGS 84, or Failure.
    void check_reference(OGRLayer& layer) const;
    /// A place in range, or Failure naming its number, from 1.
    void check_place(const std::string& object, std::size_t number, const geo::Position& place,
                     double lon_limit) const;
};

/// Each longitude within 180 degrees of the one before.
void run_on(std::vector<geo::Position>& line);

} // namespace dangerline::files
