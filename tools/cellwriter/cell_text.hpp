// A cell or an update written down as text, one statement a line; a line that begins with a blank goes on
// with the statement before. '#' begins a comment. Positions are EAST,NORTH in metres from the origin.
//
//   cell X14DEMO1.000                 name in the file (DSNM)
//   edition 3 · update 0 · issued 20260301 · applied 20260301 · usage 5 · agency 65535 · scale 20000
//                                     (each a statement of its own)
//   datums 2 17 23                    horizontal, vertical, sounding datum
//   comment Invented
//   origin 46.0 -28.0                 latitude and longitude of 0,0 in degrees
//   include other.txt
//   place NAME 100,200                a position with a name
//   chain NAME 100,200 300,250 NAME   vertices that lines and areas share; -NAME runs backwards
//   point CLASS ATTRIBUTE=VALUE … : POSITION
//   line CLASS … : POSITION CHAIN -CHAIN …
//   area CLASS … : POSITION CHAIN … hole CHAIN …
//   soundings … : EAST,NORTH,DEPTH …  depth in metres, drying negative
//
// ATTRIBUTE= with nothing behind it is present but unknown; a value with blanks stands in double quotes.
// Lower-case keys belong to the record: fidn=, fids= identity; quapos=, posacc= quality of the geometry
// records. An update begins with
//   follows FILE                      the text of the base or of the update before
// then has its header statements, features to insert (as above) and
//   change FIDN ATTRIBUTE=VALUE … -ATTRIBUTE
//   quality FIDN quapos=4             of the feature's geometry records
//   move FIDN : POSITION
//   delete FIDN
#pragma once

#include <filesystem>
#include <string>

namespace cellwriter {

/// Bytes of the base or update that the text describes. Throws std::invalid_argument with file and line.
std::string cell_from_text(const std::filesystem::path& text);

} // namespace cellwriter
