#include "catalogue.hpp"

#include "dangerline/chart/record.hpp"
#include "dangerline/files/packed.hpp"

#include <cstdio>

namespace cellwriter {

namespace chart = dangerline::chart;

std::string catalogue(const std::vector<CatalogueLine>& lines) {
    std::string bytes = chart::describing_record(
        {{"0001", "", "ISO/IEC 8211 Record Identifier", "", "(I(5))"},
         {"CATD", "0001", "Catalogue directory field",
          "RCNM!RCID!FILE!LFIL!VOLM!IMPL!SLAT!WLON!NLAT!ELON!CRCS!COMT", "(A(2),I(10),3A,A(3),4R,2A)"}});
    int number = 0;
    for (const auto& line : lines) {
        char digits[16];
        chart::SubfieldWriter identifier, field;
        std::snprintf(digits, sizeof digits, "%05d", number);
        identifier.fixed(digits, 5);
        std::snprintf(digits, sizeof digits, "%010d", ++number);
        field.fixed("CD", 2).fixed(digits, 10).text(line.file).text("").text("V01X01");
        field.fixed(line.implementation, 3).text(line.south).text(line.west).text(line.north);
        field.text(line.east).text(line.checksum).text("");
        bytes += chart::data_record({{"0001", identifier.bytes()}, {"CATD", field.bytes()}});
    }
    return bytes;
}

std::string checksum_text(const std::string& bytes) {
    char digits[16];
    std::snprintf(digits, sizeof digits, "%08X", static_cast<unsigned>(dangerline::files::crc32(bytes)));
    return digits;
}

} // namespace cellwriter
