// Makes the CATALOG.031 of an exchange set.
#pragma once

#include <string>
#include <vector>

namespace cellwriter {

struct CatalogueLine {
    std::string file; ///< as the standard writes it: "X14TEST1\\0\\X14TEST1.000"
    std::string implementation = "BIN";
    std::string south, west, north, east; ///< degrees as text; empty: not stated
    std::string checksum;                 ///< eight hexadecimal digits; empty: not stated
};

std::string catalogue(const std::vector<CatalogueLine>& lines);

/// CRC-32 of the bytes as the catalogue writes it.
std::string checksum_text(const std::string& bytes);

} // namespace cellwriter
