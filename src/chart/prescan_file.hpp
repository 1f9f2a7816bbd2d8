// What the pre-scan asks of one file before its records are replayed.
#pragma once

#include "dangerline/chart/prescan.hpp"
#include "dangerline/chart/record.hpp"

#include <optional>
#include <string>
#include <string_view>

namespace dangerline::chart::detail {

/// What speaks against a file as a whole: empty, no ISO 8211, S-101, fields of another form. The reader
/// stands behind the describing record afterwards. Throws RecordFault where a describing record is broken.
struct FileFault {
    CellFaultKind kind{};
    std::string text;
};
std::optional<FileFault> inspect_start(std::string_view bytes, RecordReader& reader);

/// DSID and DSSI of a record into the header; false where the record has no DSID.
bool read_identification(const Record& record, CellHeader& header, bool& has_structure);
/// DSPM of a record; false where it has none.
bool read_parameters(const Record& record, CellHeader& header);

/// A whole number out of digits with blanks around it.
std::optional<int> whole_number(std::string_view text);

/// Name without folder and extension, in capitals.
std::string stem(std::string_view name);

} // namespace dangerline::chart::detail
