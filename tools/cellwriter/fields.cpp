#include "cellwriter/fields.hpp"

#include <array>
#include <cmath>
#include <stdexcept>

namespace cellwriter {

using dangerline::chart::FieldContent;
using dangerline::chart::SubfieldWriter;

namespace {

/// Code points of UTF-8 text up to FFFF, which is all S-57 can hold.
std::vector<unsigned> code_points(const std::string& text) {
    std::vector<unsigned> points;
    for (std::size_t i = 0; i < text.size();) {
        const auto lead = static_cast<unsigned char>(text[i]);
        const std::size_t more = lead < 0x80 ? 0 : lead < 0xe0 ? 1 : lead < 0xf0 ? 2 : 3;
        if (more == 3 || i + more >= text.size() || (lead >= 0x80 && lead < 0xc0))
            throw std::invalid_argument("text can't be written in S-57: " + text);
        unsigned point = more == 0 ? lead : more == 1 ? lead & 0x1fU : lead & 0x0fU;
        for (std::size_t k = 1; k <= more; ++k)
            point = point << 6 | (static_cast<unsigned char>(text[i + k]) & 0x3fU);
        points.push_back(point);
        i += more + 1;
    }
    return points;
}

/// Text at a lexical level: 0 ASCII, 1 Latin-1, 2 UCS-2 with the low byte first.
std::string encode(const std::string& text, int level) {
    static constexpr std::array<unsigned, 3> limits = {0x7f, 0xff, 0xffff};
    std::string bytes;
    for (const unsigned point : code_points(text)) {
        if (point > limits.at(static_cast<std::size_t>(level)))
            throw std::invalid_argument("text does not fit the lexical level: " + text);
        bytes += static_cast<char>(point & 0xffU);
        if (level == 2)
            bytes += static_cast<char>(point >> 8);
    }
    return bytes;
}

bool is_national(std::uint16_t code) {
    return code >= 300 && code <= 304;
} // NINFOM to NTXTDS

std::int32_t scaled(double value, std::uint32_t factor, std::uint32_t usual) {
    return static_cast<std::int32_t>(std::lround(value * (factor == 0 ? usual : factor)));
}

FieldContent pointer_field(const char* tag, const std::vector<Pointer>& pointers, bool with_topology) {
    SubfieldWriter out;
    for (const Pointer& p : pointers) {
        out.b11(static_cast<unsigned>(p.rcnm)).b14(p.rcid);
        out.b11(static_cast<unsigned>(p.ornt)).b11(static_cast<unsigned>(p.usag));
        if (with_topology)
            out.b11(static_cast<unsigned>(p.topi));
        out.b11(static_cast<unsigned>(p.mask));
    }
    return {tag, out.bytes()};
}

struct Counts {
    std::uint32_t meta = 0, geo = 0, collection = 0, isolated = 0, connected = 0, edges = 0, faces = 0;
};

Counts count(const std::vector<Fields>& records) {
    Counts counts;
    for (const Fields& record : records) {
        const FieldContent& first = record.front();
        const auto byte = [&](std::size_t at) { return static_cast<unsigned char>(first.bytes.at(at)); };
        if (first.tag == "VRID") {
            const int rcnm = byte(0);
            ++(rcnm == 110   ? counts.isolated
               : rcnm == 120 ? counts.connected
               : rcnm == 130 ? counts.edges
                             : counts.faces);
        } else if (first.tag == "FRID") {
            const int objl = byte(7) | byte(8) << 8;
            ++(objl >= 300 && objl < 400   ? counts.meta
               : objl >= 400 && objl < 500 ? counts.collection
                                           : counts.geo);
        }
    }
    return counts;
}

} // namespace

FieldContent vector_name(const VectorRecord& r, int ruin) {
    SubfieldWriter out;
    out.b11(static_cast<unsigned>(r.rcnm))
        .b14(r.rcid)
        .b12(static_cast<unsigned>(r.rver))
        .b11(static_cast<unsigned>(ruin));
    return {"VRID", out.bytes()};
}

FieldContent feature_name(const FeatureRecord& r, int ruin) {
    SubfieldWriter out;
    out.b11(100)
        .b14(r.rcid)
        .b11(static_cast<unsigned>(r.prim))
        .b11(static_cast<unsigned>(r.grup))
        .b12(r.objl);
    out.b12(static_cast<unsigned>(r.rver)).b11(static_cast<unsigned>(ruin));
    return {"FRID", out.bytes()};
}

FieldContent quality_field(const Quality& quality) {
    SubfieldWriter out;
    if (!quality.posacc.empty())
        out.b12(attribute_code("POSACC")).text(quality.posacc);
    if (quality.quapos != 0)
        out.b12(attribute_code("QUAPOS")).text(std::to_string(quality.quapos));
    return {"ATTV", out.bytes()};
}

FieldContent coordinate_field(const std::vector<Place>& places, const Header& header) {
    SubfieldWriter out;
    for (const Place& place : places)
        out.b24(scaled(place.lat_deg, header.comf, 10'000'000))
            .b24(scaled(place.lon_deg, header.comf, 10'000'000));
    return {"SG2D", out.bytes()};
}

FieldContent control_field(const char* tag, int instruction, int index, int count) {
    SubfieldWriter out;
    out.b11(static_cast<unsigned>(instruction))
        .b12(static_cast<unsigned>(index))
        .b12(static_cast<unsigned>(count));
    return {tag, out.bytes()};
}

void append_attributes(Fields& fields, const Attributes& attributes, const Header& header) {
    SubfieldWriter plain;
    SubfieldWriter national;
    const bool wide = header.nall == 2;
    for (const Attribute& attribute : attributes) {
        const std::uint16_t code = attribute_code(attribute.acronym);
        const bool is_nat = is_national(code);
        const std::string value = attribute.removed ? "\x7f" : attribute.value;
        (is_nat ? national : plain)
            .b12(code)
            .text(encode(value, is_nat ? header.nall : header.aall), is_nat && wide);
    }
    if (!plain.bytes().empty())
        fields.push_back({"ATTF", plain.bytes()});
    if (!national.bytes().empty())
        fields.push_back({"NATF", national.bytes(), wide});
}

Fields vector_fields(const VectorRecord& record, const Header& header) {
    Fields fields{vector_name(record, 1)};
    if (!(record.quality == Quality{}))
        fields.push_back(quality_field(record.quality));
    if (!record.nodes.empty())
        fields.push_back(pointer_field("VRPT", record.nodes, true));
    if (!record.vertices.empty())
        fields.push_back(coordinate_field(record.vertices, header));
    if (!record.soundings.empty()) {
        SubfieldWriter out;
        for (const Sounding& s : record.soundings) {
            out.b24(scaled(s.place.lat_deg, header.comf, 10'000'000));
            out.b24(scaled(s.place.lon_deg, header.comf, 10'000'000));
            out.b24(scaled(s.depth_m, header.somf, 10));
        }
        fields.push_back({"SG3D", out.bytes()});
    }
    return fields;
}

Fields feature_fields(const FeatureRecord& record, const Header& header) {
    SubfieldWriter name;
    name.b12(static_cast<unsigned>(record.agen)).b14(record.fidn).b12(static_cast<unsigned>(record.fids));
    Fields fields{feature_name(record, 1), {"FOID", name.bytes()}};
    append_attributes(fields, record.attributes, header);
    if (!record.geometry.empty())
        fields.push_back(pointer_field("FSPT", record.geometry, false));
    return fields;
}

Fields identification_fields(const Header& h, const std::vector<Fields>& records, bool base) {
    SubfieldWriter dsid;
    dsid.b11(10).b14(1).b11(base ? 1 : 2).b11(static_cast<unsigned>(h.intu));
    dsid.text(h.dsnm).text(std::to_string(h.edition)).text(std::to_string(h.update));
    dsid.fixed(base ? h.uadt : "", 8).fixed(h.isdt, 8).fixed("03.1", 4);
    dsid.b11(1).text("").text("2.0").b11(base ? 1 : 2).b12(static_cast<unsigned>(h.agen));
    dsid.text(encode(h.comment, h.aall));
    const Counts counts = count(records);
    SubfieldWriter dssi;
    dssi.b11(2).b11(static_cast<unsigned>(h.aall)).b11(static_cast<unsigned>(h.nall));
    dssi.b14(counts.meta).b14(0).b14(counts.geo).b14(counts.collection);
    dssi.b14(counts.isolated).b14(counts.connected).b14(counts.edges).b14(counts.faces);
    return {{"DSID", dsid.bytes()}, {"DSSI", dssi.bytes()}};
}

Fields parameter_fields(const Header& h) {
    SubfieldWriter out;
    out.b11(20).b14(2).b11(static_cast<unsigned>(h.hdat)).b11(static_cast<unsigned>(h.vdat));
    out.b11(static_cast<unsigned>(h.sdat)).b14(h.cscl).b11(static_cast<unsigned>(h.duni));
    out.b11(static_cast<unsigned>(h.huni))
        .b11(static_cast<unsigned>(h.puni))
        .b11(static_cast<unsigned>(h.coun));
    out.b14(h.comf).b14(h.somf).text(encode(h.comment, h.aall));
    return {{"DSPM", out.bytes()}};
}

std::string file_bytes(const std::vector<Fields>& records) {
    std::string bytes = dangerline::chart::describing_record(dangerline::chart::s57_layout());
    unsigned number = 0;
    for (const Fields& record : records) {
        SubfieldWriter running;
        running.b12(++number & 0xffffU);
        Fields fields{{"0001", running.bytes()}};
        fields.insert(fields.end(), record.begin(), record.end());
        bytes += dangerline::chart::data_record(fields);
    }
    return bytes;
}

} // namespace cellwriter
