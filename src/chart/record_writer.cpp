#include "dangerline/chart/record.hpp"

#include <algorithm>
#include <string>

namespace dangerline::chart {

namespace {

std::string digits(std::size_t value, std::size_t width) {
    std::string text = std::to_string(value);
    return text.size() >= width ? text : std::string(width - text.size(), '0') + text;
}

/// Leader, directory and field area put together. `head` are the leader bytes 5 to 11, `tail` bytes 17 to 19.
std::string assemble(const std::vector<std::pair<std::string, std::string>>& fields, const std::string& head,
                     const std::string& tail) {
    std::size_t longest = 1;
    std::size_t total = 0;
    for (const auto& [tag, bytes] : fields) {
        longest = std::max(longest, bytes.size());
        total += bytes.size();
    }
    const std::size_t size_length = std::to_string(longest).size();
    const std::size_t size_position = std::to_string(total).size();
    std::string directory;
    std::string area;
    for (const auto& [tag, bytes] : fields) {
        directory += tag + digits(bytes.size(), size_length) + digits(area.size(), size_position);
        area += bytes;
    }
    directory += field_terminator;
    const std::size_t base = 24 + directory.size();
    const std::size_t length = base + area.size();
    return digits(length > 99999 ? 0 : length, 5) + head + digits(base, 5) + tail +
           std::to_string(size_length) + std::to_string(size_position) + "04" + directory + area;
}

/// Field controls: structure and type of the data, then the two printable terminators and three blanks.
std::string controls(const FieldLayout& field) {
    if (field.parent.empty())
        return "0500;&   ";
    if (field.tag == "SG2D" || field.tag == "SG3D")
        return "2500;&   ";
    const bool text_and_numbers_repeat = field.labels.starts_with('*');
    return text_and_numbers_repeat ? "2600;&   " : "1600;&   ";
}

SubfieldWriter& little_endian(SubfieldWriter& writer, std::string& bytes, std::uint32_t value, int count) {
    for (int i = 0; i < count; ++i)
        bytes += static_cast<char>(value >> (8 * i) & 0xffU);
    return writer;
}

} // namespace

SubfieldWriter& SubfieldWriter::b11(std::uint32_t value) {
    return little_endian(*this, bytes_, value, 1);
}
SubfieldWriter& SubfieldWriter::b12(std::uint32_t value) {
    return little_endian(*this, bytes_, value, 2);
}
SubfieldWriter& SubfieldWriter::b14(std::uint32_t value) {
    return little_endian(*this, bytes_, value, 4);
}
SubfieldWriter& SubfieldWriter::b24(std::int32_t value) {
    return little_endian(*this, bytes_, static_cast<std::uint32_t>(value), 4);
}

SubfieldWriter& SubfieldWriter::text(std::string_view value, bool wide) {
    bytes_ += value;
    bytes_ += unit_terminator;
    if (wide)
        bytes_ += '\0';
    return *this;
}

SubfieldWriter& SubfieldWriter::fixed(std::string_view value, std::size_t length) {
    std::string padded(value.substr(0, length));
    padded.resize(length, ' ');
    bytes_ += padded;
    return *this;
}

const std::vector<FieldLayout>& s57_layout() {
    static const std::vector<FieldLayout> layout = {
        {"0001", "", "ISO/IEC 8211 Record Identifier", "", "(b12)"},
        {"DSID", "0001", "Data set identification field",
         "RCNM!RCID!EXPP!INTU!DSNM!EDTN!UPDN!UADT!ISDT!STED!PRSP!PSDN!PRED!PROF!AGEN!COMT",
         "(b11,b14,2b11,3A,2A(8),R(4),b11,2A,b11,b12,A)"},
        {"DSSI", "DSID", "Data set structure information field",
         "DSTR!AALL!NALL!NOMR!NOCR!NOGR!NOLR!NOIN!NOCN!NOED!NOFA", "(3b11,8b14)"},
        {"DSPM", "0001", "Data set parameter field",
         "RCNM!RCID!HDAT!VDAT!SDAT!CSCL!DUNI!HUNI!PUNI!COUN!COMF!SOMF!COMT",
         "(b11,b14,3b11,b14,4b11,2b14,A)"},
        {"VRID", "0001", "Vector record identifier field", "RCNM!RCID!RVER!RUIN", "(b11,b14,b12,b11)"},
        {"ATTV", "VRID", "Vector record attribute field", "*ATTL!ATVL", "(b12,A)"},
        {"VRPC", "VRID", "Vector record pointer control field", "VPUI!VPIX!NVPT", "(b11,2b12)"},
        {"VRPT", "VRID", "Vector record pointer field", "*NAME!ORNT!USAG!TOPI!MASK", "(B(40),4b11)"},
        {"SGCC", "VRID", "Coordinate control field", "CCUI!CCIX!CCNC", "(b11,2b12)"},
        {"SG2D", "VRID", "2-D coordinate field", "*YCOO!XCOO", "(2b24)"},
        {"SG3D", "VRID", "3-D coordinate (sounding array) field", "*YCOO!XCOO!VE3D", "(3b24)"},
        {"FRID", "0001", "Feature record identifier field", "RCNM!RCID!PRIM!GRUP!OBJL!RVER!RUIN",
         "(b11,b14,2b11,2b12,b11)"},
        {"FOID", "FRID", "Feature object identifier field", "AGEN!FIDN!FIDS", "(b12,b14,b12)"},
        {"ATTF", "FRID", "Feature record attribute field", "*ATTL!ATVL", "(b12,A)"},
        {"NATF", "FRID", "Feature record national attribute field", "*ATTL!ATVL", "(b12,A)"},
        {"FFPC", "FRID", "Feature record to feature object pointer control field", "FFUI!FFIX!NFPT",
         "(b11,2b12)"},
        {"FFPT", "FRID", "Feature record to feature object pointer field", "*LNAM!RIND!COMT",
         "(B(64),b11,A)"},
        {"FSPC", "FRID", "Feature record to spatial record pointer control field", "FSUI!FSIX!NSPT",
         "(b11,2b12)"},
        {"FSPT", "FRID", "Feature record to spatial record pointer field", "*NAME!ORNT!USAG!MASK",
         "(B(40),3b11)"},
    };
    return layout;
}

std::string describing_record(const std::vector<FieldLayout>& layout) {
    std::string tree = std::string("0000;&   ") + unit_terminator;
    for (const FieldLayout& field : layout)
        if (!field.parent.empty())
            tree += field.parent + field.tag;
    std::vector<std::pair<std::string, std::string>> fields = {{"0000", tree + field_terminator}};
    for (const FieldLayout& field : layout)
        fields.emplace_back(field.tag, controls(field) + field.name + unit_terminator + field.labels +
                                           unit_terminator + field.formats + field_terminator);
    return assemble(fields, "3LE1 09", " ! ");
}

std::string data_record(const std::vector<FieldContent>& contents) {
    std::vector<std::pair<std::string, std::string>> fields;
    for (const FieldContent& content : contents)
        fields.emplace_back(content.tag, content.bytes + field_terminator +
                                             (content.wide ? std::string(1, '\0') : std::string()));
    return assemble(fields, " D     ", "   ");
}

std::vector<std::string> spell_out_formats(std::string_view formats) {
    if (formats.size() < 2 || formats.front() != '(' || formats.back() != ')')
        throw RecordFault(0, "formats do not stand in brackets");
    formats = formats.substr(1, formats.size() - 2);
    std::vector<std::string> all;
    while (!formats.empty()) {
        std::size_t end = 0;
        int depth = 0;
        while (end < formats.size() && (depth > 0 || formats[end] != ',')) {
            depth += formats[end] == '(' ? 1 : formats[end] == ')' ? -1 : 0;
            ++end;
        }
        std::string_view part = formats.substr(0, end);
        formats.remove_prefix(std::min(formats.size(), end + 1));
        std::size_t count = 0;
        while (!part.empty() && part.front() >= '0' && part.front() <= '9' && count < 100) {
            count = count * 10 + static_cast<std::size_t>(part.front() - '0');
            part.remove_prefix(1);
        }
        count = std::max<std::size_t>(count, 1);
        if (part.empty() || count + all.size() > 100)
            throw RecordFault(0, "formats can't be read");
        all.insert(all.end(), count, std::string(part));
    }
    return all;
}

} // namespace dangerline::chart
