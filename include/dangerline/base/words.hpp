// Heights and sentences as a skipper reads them.
#pragma once

#include <string>
#include <string_view>

namespace dangerline {

/// Metres to a tenth, "0.4", "-1.2"; never "-0.0".
std::string tenths(double metres);

/// Metres to spare to a tenth, with its sign: "+0.4", "-1.2". A lack is never rounded away: half a millimetre
/// and more below zero reads at least "-0.1".
std::string spare_tenths(double metres);

/// The words as a sentence or title begins: with a capital, where the first letter is one of ASCII.
std::string capitalised(std::string_view words);

} // namespace dangerline
