#include "prescan_file.hpp"

#include <algorithm>
#include <array>
#include <charconv>

namespace dangerline::chart::detail {

namespace {

/// A kind of file by its first bytes, for the message.
const char* other_kind(std::string_view bytes) {
    using namespace std::string_view_literals;
    static constexpr std::array<std::pair<std::string_view, const char*>, 8> kinds = {{
        {"\x89PNG"sv, "a PNG picture"},
        {"\xff\xd8\xff"sv, "a JPEG picture"},
        {"II*\0"sv, "a TIFF picture"},
        {"%PDF"sv, "a PDF document"},
        {"PK\x03\x04"sv, "a ZIP archive; unpack it first"},
        {"SQLite format 3"sv, "a SQLite or GeoPackage database"},
        {"<"sv, "XML or HTML text"},
        {"{"sv, "JSON text"},
    }};
    for (const auto& [head, name] : kinds)
        if (bytes.starts_with(head))
            return name;
    return nullptr;
}

bool looks_like_leader(std::string_view bytes) {
    return bytes.size() >= 7 && bytes[6] == 'L' &&
           std::all_of(bytes.begin(), bytes.begin() + 5, [](char c) { return c >= '0' && c <= '9'; });
}

/// Field tags only S-101 has (S-100 part 10a: CRS, information type and attribute fields).
bool is_s101(const Record& ddr, std::string_view bytes) {
    for (const char* tag : {"CSID", "CRSH", "SPAS", "MRID", "CRID", "C2IT", "ITCS", "ARCS"})
        if (ddr.find(tag))
            return true;
    return bytes.substr(0, 4096).find("S-101") != std::string_view::npos;
}

/// Labels and formats of a describing record's field, split at the unit terminators.
std::string layout_difference(const Field& field, std::size_t control_length) {
    const auto& layout = s57_layout();
    const auto standard =
        std::find_if(layout.begin(), layout.end(), [&](const FieldLayout& f) { return f.tag == field.tag; });
    if (standard == layout.end())
        return {};
    const std::string tag(field.tag);
    SubfieldReader in(field);
    in.fixed(std::min(control_length, in.remaining()));
    in.text();
    const std::string_view labels = in.text();
    const std::string_view formats = in.fixed(in.remaining());
    if (standard->tag != "0001" && labels != standard->labels)
        return "field " + tag + " has other subfields than in S-57";
    if (spell_out_formats(formats) != spell_out_formats(standard->formats))
        return "field " + tag + " has other subfield formats than in S-57";
    return {};
}

std::size_t control_length(std::string_view bytes) {
    return whole_number(bytes.substr(10, 2)) ? static_cast<std::size_t>(*whole_number(bytes.substr(10, 2)))
                                             : 9;
}

} // namespace

std::optional<int> whole_number(std::string_view text) {
    while (!text.empty() && text.front() == ' ')
        text.remove_prefix(1);
    while (!text.empty() && text.back() == ' ')
        text.remove_suffix(1);
    int value = 0;
    const auto [end, error] = std::from_chars(text.data(), text.data() + text.size(), value);
    if (text.empty() || error != std::errc() || end != text.data() + text.size() || value < 0)
        return std::nullopt;
    return value;
}

std::string stem(std::string_view name) {
    if (const auto slash = name.find_last_of("/\\"); slash != std::string_view::npos)
        name.remove_prefix(slash + 1);
    name = name.substr(0, name.find_last_of('.'));
    std::string text(name);
    std::transform(text.begin(), text.end(), text.begin(),
                   [](char c) { return c >= 'a' && c <= 'z' ? static_cast<char>(c - 'a' + 'A') : c; });
    return text;
}

std::optional<FileFault> inspect_start(std::string_view bytes, RecordReader& reader) {
    if (bytes.empty())
        return FileFault{CellFaultKind::empty_file, "the file is empty"};
    if (!looks_like_leader(bytes)) {
        const char* kind = other_kind(bytes);
        return FileFault{CellFaultKind::not_iso8211,
                         kind ? std::string("this is no S-57 file but ") + kind : "this is no ISO 8211 file"};
    }
    Record ddr;
    reader.next(ddr);
    if (is_s101(ddr, bytes))
        return FileFault{CellFaultKind::s101,
                         "this is a cell of the newer standard S-101, which is not read"};
    for (const Field& field : ddr.fields)
        if (const std::string text = layout_difference(field, control_length(bytes)); !text.empty())
            return FileFault{CellFaultKind::unusual_layout, text};
    return std::nullopt;
}

bool read_identification(const Record& record, CellHeader& h, bool& has_structure) {
    const Field* dsid = record.find("DSID");
    if (!dsid)
        return false;
    SubfieldReader in(*dsid);
    in.fixed(5);
    h.expp = in.b11();
    h.intu = in.b11();
    h.dsnm = in.text();
    h.edtn = in.text();
    h.updn = in.text();
    h.uadt = in.fixed(8);
    h.isdt = in.fixed(8);
    h.sted = in.fixed(4);
    h.prsp = in.b11();
    in.text();
    in.text();
    in.b11();
    h.agen = in.b12();
    if (const Field* dssi = record.find("DSSI")) {
        SubfieldReader counts(*dssi);
        counts.b11();
        h.aall = counts.b11();
        h.nall = counts.b11();
        for (std::uint32_t* count : {&h.nomr, &h.nocr, &h.nogr, &h.nolr, &h.noin, &h.nocn, &h.noed, &h.nofa})
            *count = counts.b14();
        has_structure = true;
    }
    return true;
}

bool read_parameters(const Record& record, CellHeader& h) {
    const Field* dspm = record.find("DSPM");
    if (!dspm)
        return false;
    SubfieldReader in(*dspm);
    in.fixed(5);
    h.hdat = in.b11();
    h.vdat = in.b11();
    h.sdat = in.b11();
    h.cscl = in.b14();
    h.duni = in.b11();
    h.huni = in.b11();
    h.puni = in.b11();
    h.coun = in.b11();
    h.comf = in.b14();
    h.somf = in.b14();
    return true;
}

} // namespace dangerline::chart::detail
