#include "cellwriter/fields.hpp"

#include <algorithm>
#include <iomanip>
#include <sstream>
#include <stdexcept>

namespace cellwriter {

namespace {

constexpr int delete_code = 2;
constexpr int modify_code = 3;

/// X14TEST1.000 with another number.
std::string numbered(const std::string& name, int number) {
    std::ostringstream text;
    text << name.substr(0, name.find('.')) << '.' << std::setw(3) << std::setfill('0') << number;
    return text.str();
}

bool uses(const FeatureRecord& feature, const Pointer& pointer) {
    return std::any_of(feature.geometry.begin(), feature.geometry.end(),
                       [&](const Pointer& p) { return p.rcnm == pointer.rcnm && p.rcid == pointer.rcid; });
}

void merge(Attributes& into, const Attributes& changes) {
    for (const Attribute& change : changes) {
        const auto it = std::find_if(into.begin(), into.end(),
                                     [&](const Attribute& a) { return a.acronym == change.acronym; });
        if (it != into.end() && change.removed)
            into.erase(it);
        else if (it != into.end())
            *it = change;
        else if (!change.removed)
            into.push_back(change);
    }
}

} // namespace

UpdateDraft::UpdateDraft(Cell before) : header(before.header), before_(before), cell_(std::move(before)) {
    ++header.update;
    header.dsnm = numbered(header.dsnm, header.update);
    inserted.header = header;
}

FeatureRecord& UpdateDraft::feature(std::uint32_t fidn) {
    const auto it = std::find_if(cell_.features.begin(), cell_.features.end(),
                                 [&](const FeatureRecord& f) { return f.fidn == fidn; });
    if (it == cell_.features.end())
        throw std::invalid_argument("no feature with FIDN " + std::to_string(fidn));
    return *it;
}

VectorRecord& UpdateDraft::vector(int rcnm, std::uint32_t rcid) {
    const auto it = std::find_if(cell_.vectors.begin(), cell_.vectors.end(),
                                 [&](const VectorRecord& v) { return v.rcnm == rcnm && v.rcid == rcid; });
    if (it == cell_.vectors.end())
        throw std::invalid_argument("no geometry record " + std::to_string(rcid));
    return *it;
}

Fields& UpdateDraft::modify_vector(VectorRecord& record) {
    ++record.rver;
    return vectors_.emplace_back(Fields{vector_name(record, modify_code)});
}

void UpdateDraft::change(std::uint32_t fidn, Attributes attributes) {
    FeatureRecord& record = feature(fidn);
    ++record.rver;
    Fields fields{feature_name(record, modify_code)};
    append_attributes(fields, attributes, header);
    features_.push_back(std::move(fields));
    merge(record.attributes, attributes);
}

void UpdateDraft::change_quality(std::uint32_t fidn, Quality quality) {
    for (const Pointer& pointer : feature(fidn).geometry) {
        VectorRecord& record = vector(pointer.rcnm, pointer.rcid);
        modify_vector(record).push_back(quality_field(quality));
        record.quality = quality;
    }
}

void UpdateDraft::move(std::uint32_t fidn, Place place) {
    const Pointer pointer = feature(fidn).geometry.at(0);
    replace_vertices(pointer.rcnm, pointer.rcid, 1, {place});
}

void UpdateDraft::remove(std::uint32_t fidn) {
    FeatureRecord gone = feature(fidn);
    std::erase_if(cell_.features, [&](const FeatureRecord& f) { return f.fidn == fidn; });
    ++gone.rver;
    features_.push_back({feature_name(gone, delete_code)});
    for (const Pointer& pointer : gone.geometry) {
        if (std::any_of(cell_.features.begin(), cell_.features.end(),
                        [&](const FeatureRecord& f) { return uses(f, pointer); }))
            continue;
        VectorRecord record = vector(pointer.rcnm, pointer.rcid);
        ++record.rver;
        vectors_.push_back({vector_name(record, delete_code)});
        std::erase_if(cell_.vectors, [&](const VectorRecord& v) {
            return v.rcnm == pointer.rcnm && v.rcid == pointer.rcid;
        });
    }
}

void UpdateDraft::vertices(int rcnm, std::uint32_t rcid, int instruction, int index, int count,
                           std::vector<Place> places) {
    VectorRecord& record = vector(rcnm, rcid);
    Fields& fields = modify_vector(record);
    fields.push_back(control_field("SGCC", instruction, index, count));
    if (!places.empty())
        fields.push_back(coordinate_field(places, header));
    const auto at =
        record.vertices.begin() + std::min<std::ptrdiff_t>(index - 1, std::ssize(record.vertices));
    if (instruction == 1)
        record.vertices.insert(at, places.begin(), places.end());
    else if (at + count > record.vertices.end())
        return; // wrong on purpose: after() keeps what was there
    else if (instruction == delete_code)
        record.vertices.erase(at, at + count);
    else
        std::copy(places.begin(), places.end(), at);
}

void UpdateDraft::insert_vertices(int rcnm, std::uint32_t rcid, int index, std::vector<Place> places) {
    const int count = static_cast<int>(places.size());
    vertices(rcnm, rcid, 1, index, count, std::move(places));
}

void UpdateDraft::replace_vertices(int rcnm, std::uint32_t rcid, int index, std::vector<Place> places) {
    const int count = static_cast<int>(places.size());
    vertices(rcnm, rcid, modify_code, index, count, std::move(places));
}

void UpdateDraft::delete_vertices(int rcnm, std::uint32_t rcid, int index, int count) {
    vertices(rcnm, rcid, delete_code, index, count, {});
}

void UpdateDraft::raw(Fields record) {
    (record.front().tag == "VRID" ? vectors_ : features_).push_back(std::move(record));
}

std::string UpdateDraft::bytes() const {
    const Cell added = inserted.compile(&before_);
    std::vector<Fields> records = vectors_;
    for (const VectorRecord& record : added.vectors)
        records.push_back(vector_fields(record, header));
    records.insert(records.end(), features_.begin(), features_.end());
    for (const FeatureRecord& record : added.features)
        records.push_back(feature_fields(record, header));
    records.insert(records.begin(), identification_fields(header, records, false));
    return file_bytes(records);
}

Cell UpdateDraft::after() const {
    const Cell added = inserted.compile(&before_);
    Cell cell = cell_;
    cell.header.update = header.update;
    cell.vectors.insert(cell.vectors.end(), added.vectors.begin(), added.vectors.end());
    cell.features.insert(cell.features.end(), added.features.begin(), added.features.end());
    return cell;
}

} // namespace cellwriter
