#include "prescan_state.hpp"

#include <algorithm>
#include <charconv>
#include <cmath>
#include <tuple>

namespace dangerline::chart::detail {

namespace {

// Codes of IHO S-57 edition 3.1, appendix A chapter 2, and of part 3 section 7 and 8.
constexpr std::uint16_t attribute_posacc = 401;
constexpr std::uint16_t attribute_quapos = 402;
constexpr int insert_code = 1;
constexpr int delete_code = 2;
constexpr int modify_code = 3;
constexpr std::string_view delete_mark = "\x7f";
constexpr int unreadable_quapos = 99;

std::uint64_t make_key(std::uint8_t rcnm, std::uint32_t rcid) {
    return static_cast<std::uint64_t>(rcnm) << 32 | rcid;
}

/// Names of the records a VRPT or FSPT field points to; `rest` bytes follow each name.
std::vector<std::uint64_t> read_pointers(const Record& record, std::string_view tag, std::size_t rest) {
    std::vector<std::uint64_t> keys;
    const Field* field = record.find(tag);
    if (!field)
        return keys;
    SubfieldReader in(*field);
    keys.reserve(field->bytes.size() / (5 + rest));
    while (!in.at_end()) {
        const std::uint8_t rcnm = in.b11();
        keys.push_back(make_key(rcnm, in.b14()));
        in.fixed(rest);
    }
    return keys;
}

std::size_t count_coordinates(const Record& record) {
    std::size_t count = 0;
    for (const auto& [tag, size] : {std::pair<std::string_view, std::size_t>{"SG2D", 8}, {"SG3D", 12}})
        if (const Field* field = record.find(tag)) {
            if (field->bytes.size() % size != 0)
                throw RecordFault(field->offset, "coordinates are cut");
            count += field->bytes.size() / size;
        }
    return count;
}

std::size_t count_references(const Record& record) {
    const Field* field = record.find("FFPT");
    if (!field)
        return 0;
    SubfieldReader in(*field);
    std::size_t count = 0;
    for (; !in.at_end(); ++count) {
        in.fixed(9);
        in.text();
    }
    return count;
}

struct Control {
    int instruction = 0;
    std::size_t index = 0; // counted from 1
    std::size_t count = 0;
};

std::optional<Control> read_control(const Record& record, std::string_view tag) {
    const Field* field = record.find(tag);
    if (!field)
        return std::nullopt;
    SubfieldReader in(*field);
    Control control;
    control.instruction = in.b11();
    control.index = in.b12();
    control.count = in.b12();
    return control;
}

/// Tests a control field against the `present` elements of the record and the `given` ones of the update,
/// and returns the number of elements afterwards.
std::size_t follow(const Control& control, std::string_view tag, std::size_t present, std::size_t given,
                   std::uint64_t key) {
    const std::string where = std::string(tag) + " of " + record_text(key);
    if (control.instruction < insert_code || control.instruction > modify_code)
        throw ReplayFault{CellFaultKind::instruction,
                          where + " holds the unknown instruction " + std::to_string(control.instruction)};
    const bool takes = control.instruction != delete_code;
    if (control.count == 0 || (takes && given != control.count) || (!takes && given != 0))
        throw ReplayFault{CellFaultKind::instruction, where + " announces " + std::to_string(control.count) +
                                                          " elements, " + std::to_string(given) +
                                                          " are given"};
    const bool inserts = control.instruction == insert_code;
    const std::size_t last = inserts ? control.index : control.index + control.count - 1;
    const std::size_t limit = inserts ? present + 1 : present;
    if (control.index == 0 || last > limit)
        throw ReplayFault{CellFaultKind::index_range,
                          where + " changes elements " + std::to_string(control.index) + " to " +
                              std::to_string(last) + " of " + std::to_string(present)};
    if (inserts)
        return present + control.count;
    return takes ? present : present - control.count;
}

/// The same for pointers, whose content is kept.
void follow_pointers(const Record& record, std::string_view control_tag, std::string_view tag,
                     std::size_t rest, std::vector<std::uint64_t>& pointers, std::uint64_t key) {
    const std::vector<std::uint64_t> given = read_pointers(record, tag, rest);
    const auto control = read_control(record, control_tag);
    if (!control) {
        if (!given.empty())
            throw ReplayFault{CellFaultKind::instruction,
                              record_text(key) + " is given pointers without " + std::string(control_tag)};
        return;
    }
    follow(*control, control_tag, pointers.size(), given.size(), key);
    const auto at = pointers.begin() + static_cast<std::ptrdiff_t>(control->index - 1);
    const auto count = static_cast<std::ptrdiff_t>(control->count);
    if (control->instruction == insert_code)
        pointers.insert(at, given.begin(), given.end());
    else if (control->instruction == delete_code)
        pointers.erase(at, at + count);
    else
        std::copy(given.begin(), given.end(), at);
}

template <class Take>
void each_attribute(const Record& record, std::string_view tag, bool wide, Take take) {
    const Field* field = record.find(tag);
    if (!field)
        return;
    SubfieldReader in(*field);
    while (!in.at_end()) {
        const std::uint16_t code = in.b12();
        take(code, in.text(wide));
    }
}

/// A quality that can't be read counts as the worst there is.
void take_quality(const Record& record, VectorState& state) {
    each_attribute(record, "ATTV", false, [&](std::uint16_t code, std::string_view text) {
        const bool removed = text.empty() || text.starts_with(delete_mark);
        if (code == attribute_quapos) {
            int value = 0;
            const auto [end, error] = std::from_chars(text.data(), text.data() + text.size(), value);
            const bool read = error == std::errc() && end == text.data() + text.size() && value > 0;
            state.quapos = removed ? 0 : read ? value : unreadable_quapos;
        } else if (code == attribute_posacc) {
            double value = 0;
            const auto [end, error] = std::from_chars(text.data(), text.data() + text.size(), value);
            const bool read = error == std::errc() && end == text.data() + text.size() &&
                              std::isfinite(value) && value >= 0;
            state.posacc = removed ? std::nullopt : std::optional<double>(read ? value : 0.0);
            if (!removed && !read)
                state.quapos = unreadable_quapos;
        }
    });
}

void take_attributes(const Record& record, bool wide_national, std::vector<AttributeState>& attributes) {
    for (const bool national : {false, true}) {
        const bool wide = national && wide_national;
        each_attribute(
            record, national ? "NATF" : "ATTF", wide, [&](std::uint16_t code, std::string_view text) {
                const auto it =
                    std::find_if(attributes.begin(), attributes.end(), [&](const AttributeState& a) {
                        return a.code == code && a.national == national;
                    });
                if (text.starts_with(delete_mark)) {
                    if (it != attributes.end())
                        attributes.erase(it);
                } else if (it != attributes.end()) {
                    it->valued = !text.empty();
                } else {
                    attributes.push_back({code, national, !text.empty()});
                }
            });
    }
}

/// Instruction 1 inserts, 2 deletes, 3 modifies; what contradicts the records at hand is thrown.
template <class State>
void check_instruction(int ruin, std::uint16_t rver, const State* present, std::uint64_t key) {
    if (ruin < insert_code || ruin > modify_code)
        throw ReplayFault{CellFaultKind::instruction,
                          record_text(key) + " holds the unknown instruction " + std::to_string(ruin)};
    if (ruin == insert_code) {
        if (present)
            throw ReplayFault{CellFaultKind::insert_existing, record_text(key) + " is inserted but exists"};
        return;
    }
    if (!present)
        throw ReplayFault{CellFaultKind::change_missing,
                          record_text(key) + (ruin == delete_code ? " is deleted but is not there"
                                                                  : " is modified but is not there")};
    if (rver != present->rver + 1)
        throw ReplayFault{CellFaultKind::version_jump, record_text(key) + " goes from version " +
                                                           std::to_string(present->rver) + " to " +
                                                           std::to_string(rver)};
}

} // namespace

std::string record_text(std::uint64_t key) {
    return "record " + std::to_string(key >> 32) + "/" + std::to_string(key & 0xffffffffU);
}

void CellState::take(const Record& record, bool update, RecordCounts& counts,
                     std::vector<ReplayFault>& faults) {
    if (record.find("VRID"))
        take_vector(record, update, counts, faults);
    else if (record.find("FRID"))
        take_feature(record, update, counts, faults);
}

void CellState::take_vector(const Record& record, bool update, RecordCounts& counts,
                            std::vector<ReplayFault>& faults) {
    SubfieldReader in(*record.find("VRID"));
    const std::uint8_t rcnm = in.b11();
    const std::uint64_t key = make_key(rcnm, in.b14());
    const std::uint16_t rver = in.b12();
    const int ruin = in.b11();
    switch (rcnm) {
    case 110:
        ++counts.isolated;
        break;
    case 120:
        ++counts.connected;
        break;
    case 130:
        ++counts.edges;
        break;
    case 140:
        ++counts.faces;
        break;
    default:
        throw RecordFault(record.offset, "vector record has the unknown name " + std::to_string(rcnm));
    }
    if (update) {
        check_instruction(ruin, rver, vectors.find(key), key);
        if (ruin == delete_code)
            vectors.change(key).alive = false;
        else if (ruin == modify_code)
            modify_vector(key, record, faults);
    } else if (ruin != insert_code) {
        faults.push_back({CellFaultKind::instruction, record_text(key) + " of a base is no insertion"});
    }
    if (update && ruin != insert_code)
        return;
    VectorState state;
    state.rver = rver;
    state.coordinates = count_coordinates(record);
    state.pointers = read_pointers(record, "VRPT", 4);
    take_quality(record, state);
    if (!update && vectors.find(key))
        faults.push_back({CellFaultKind::repeated_identity, record_text(key) + " stands twice"});
    else
        vectors.insert(key, std::move(state));
}

void CellState::modify_vector(std::uint64_t key, const Record& record, std::vector<ReplayFault>& faults) {
    VectorState& state = vectors.change(key);
    ++state.rver;
    take_quality(record, state);
    follow_pointers(record, "VRPC", "VRPT", 4, state.pointers, key);
    const std::size_t given = count_coordinates(record);
    if (const auto control = read_control(record, "SGCC"))
        state.coordinates = follow(*control, "SGCC", state.coordinates, given, key);
    else if (given > 0)
        faults.push_back({CellFaultKind::uncontrolled_vertices,
                          record_text(key) + " is given " + std::to_string(given) +
                              " coordinates without control field SGCC, which GDAL does not apply"});
}

void CellState::take_feature(const Record& record, bool update, RecordCounts& counts,
                             std::vector<ReplayFault>& faults) {
    SubfieldReader in(*record.find("FRID"));
    const std::uint8_t rcnm = in.b11();
    if (rcnm != 100)
        throw RecordFault(record.offset, "feature record has the name " + std::to_string(rcnm) + ", not 100");
    FeatureState state;
    state.summary.rcid = in.b14();
    state.summary.prim = in.b11();
    state.summary.grup = in.b11();
    state.summary.objl = in.b12();
    state.rver = in.b12();
    const int ruin = in.b11();
    const std::uint64_t key = make_key(rcnm, state.summary.rcid);
    ++counts.features;
    if (update) {
        const FeatureState* present = features.find(key);
        check_instruction(ruin, state.rver, present, key);
        if (present &&
            (present->summary.objl != state.summary.objl || present->summary.prim != state.summary.prim))
            throw ReplayFault{CellFaultKind::instruction,
                              record_text(key) + " is changed into another class or primitive"};
        if (ruin == delete_code)
            features.change(key).alive = false;
        else if (ruin == modify_code)
            modify_feature(key, record);
        if (ruin != insert_code)
            return;
    } else if (ruin != insert_code) {
        faults.push_back({CellFaultKind::instruction, record_text(key) + " of a base is no insertion"});
    }
    const Field* foid = record.find("FOID");
    if (!foid)
        throw RecordFault(record.offset, "feature record has no FOID");
    SubfieldReader name(*foid);
    state.summary.name.agen = name.b12();
    state.summary.name.fidn = name.b14();
    state.summary.name.fids = name.b12();
    state.references = count_references(record);
    state.pointers = read_pointers(record, "FSPT", 3);
    take_attributes(record, wide_national, state.summary.attributes);
    if (!update && features.find(key))
        faults.push_back({CellFaultKind::repeated_identity, record_text(key) + " stands twice"});
    else
        features.insert(key, std::move(state));
}

void CellState::modify_feature(std::uint64_t key, const Record& record) {
    FeatureState& state = features.change(key);
    ++state.rver;
    take_attributes(record, wide_national, state.summary.attributes);
    follow_pointers(record, "FSPC", "FSPT", 3, state.pointers, key);
    const std::size_t given = count_references(record);
    if (const auto control = read_control(record, "FFPC"))
        state.references = follow(*control, "FFPC", state.references, given, key);
    else if (given > 0)
        throw ReplayFault{CellFaultKind::instruction, record_text(key) + " is given references without FFPC"};
}

void CellState::keep() {
    vectors.keep();
    features.keep();
}

void CellState::take_back() {
    vectors.take_back();
    features.take_back();
}

std::size_t CellState::dangling_pointers(std::string& example) const {
    std::size_t count = 0;
    const auto test = [&](const std::vector<std::uint64_t>& pointers) {
        for (const std::uint64_t key : pointers)
            if (!vectors.find(key) && count++ == 0)
                example = record_text(key);
    };
    for (const VectorState& state : vectors.states())
        if (state.alive)
            test(state.pointers);
    for (const FeatureState& state : features.states())
        if (state.alive)
            test(state.pointers);
    return count;
}

std::vector<FeatureSummary> CellState::summaries() const {
    std::vector<FeatureSummary> all;
    all.reserve(features.states().size());
    for (const FeatureState& state : features.states()) {
        if (!state.alive)
            continue;
        FeatureSummary summary = state.summary;
        summary.pointers = state.pointers.size();
        for (const std::uint64_t key : state.pointers) {
            const VectorState* vector = vectors.find(key);
            if (!vector)
                continue;
            if (summary.worst_quapos == 0 || quapos_rank(vector->quapos) > quapos_rank(summary.worst_quapos))
                summary.worst_quapos = vector->quapos;
            if (vector->posacc)
                summary.posacc = std::max(summary.posacc.value_or(0.0), *vector->posacc);
        }
        all.push_back(std::move(summary));
    }
    std::sort(all.begin(), all.end(), [](const FeatureSummary& a, const FeatureSummary& b) {
        return std::tie(a.name, a.rcid) < std::tie(b.name, b.rcid);
    });
    return all;
}

} // namespace dangerline::chart::detail
