#include "dangerline/chart/record.hpp"

#include <algorithm>
#include <string>

namespace dangerline::chart {

namespace {

constexpr std::size_t leader_length = 24;

/// Digits of fixed width; leading blanks count as zeros, as some producers pad with them.
std::size_t number(std::string_view text, std::size_t offset, const char* what) {
    std::size_t value = 0;
    bool digit_seen = false;
    for (const char c : text) {
        if (c == ' ' && !digit_seen)
            continue;
        if (c < '0' || c > '9')
            throw RecordFault(offset, std::string(what) + " is not a number");
        digit_seen = true;
        value = value * 10 + static_cast<std::size_t>(c - '0');
    }
    if (!digit_seen)
        throw RecordFault(offset, std::string(what) + " is missing");
    return value;
}

/// What the 24 bytes before a record say.
struct Leader {
    std::size_t length = 0; // 0: over 99999 bytes, to be taken from the directory
    std::size_t base = 0;   // where the field area begins
    std::size_t size_length = 0;
    std::size_t size_position = 0;
    std::size_t size_tag = 0;
    char kind = 'D';
};

Leader read_leader(std::string_view rest, std::size_t offset) {
    if (rest.size() < leader_length)
        throw RecordFault(offset, "record is cut inside its leader");
    Leader leader;
    leader.length = number(rest.substr(0, 5), offset, "record length");
    leader.kind = rest[6];
    if (leader.kind != 'L' && leader.kind != 'D')
        throw RecordFault(offset + 6, "leader identifier is neither L nor D");
    leader.base = number(rest.substr(12, 5), offset + 12, "base address of the field area");
    const auto size = [&](std::size_t at, const char* what) {
        const std::size_t value = number(rest.substr(at, 1), offset + at, what);
        if (value == 0)
            throw RecordFault(offset + at, std::string(what) + " is zero");
        return value;
    };
    leader.size_length = size(20, "size of field lengths");
    leader.size_position = size(21, "size of field positions");
    leader.size_tag = size(23, "size of field tags");
    if (leader.base <= leader_length || leader.base > rest.size())
        throw RecordFault(offset + 12, "base address lies outside the record");
    if (leader.length != 0 && leader.length < leader.base)
        throw RecordFault(offset, "record length is less than its base address");
    if (leader.length > rest.size())
        throw RecordFault(offset, "record is cut: " + std::to_string(leader.length) + " bytes stated, " +
                                      std::to_string(rest.size()) + " left");
    return leader;
}

/// Content of a field without its terminator, which is 1E, or 1E 00 at lexical level 2.
std::string_view without_terminator(std::string_view bytes, std::size_t offset) {
    if (!bytes.empty() && bytes.back() == field_terminator)
        return bytes.substr(0, bytes.size() - 1);
    if (bytes.size() >= 2 && bytes.back() == '\0' && bytes[bytes.size() - 2] == field_terminator)
        return bytes.substr(0, bytes.size() - 2);
    throw RecordFault(offset, "field has no terminator");
}

bool is_padding(std::string_view rest) {
    return std::all_of(rest.begin(), rest.end(),
                       [](char c) { return c == ' ' || c == '\0' || c == '\r' || c == '\n' || c == '\x1a'; });
}

} // namespace

RecordFault::RecordFault(std::size_t offset, const std::string& what)
    : std::runtime_error(what + " (byte " + std::to_string(offset) + ")"), offset_(offset) {}

const Field* Record::find(std::string_view tag) const {
    for (const Field& field : fields)
        if (field.tag == tag)
            return &field;
    return nullptr;
}

bool RecordReader::next(Record& into) {
    const std::string_view rest = buffer_.substr(offset_);
    if (rest.empty() || (rest.size() < leader_length && is_padding(rest)))
        return false;
    const Leader leader = read_leader(rest, offset_);
    into.kind = leader.kind;
    into.offset = offset_;
    into.fields.clear();

    const std::size_t entry = leader.size_tag + leader.size_length + leader.size_position;
    const std::size_t area = leader.length != 0 ? leader.length : rest.size();
    std::size_t at = leader_length;
    std::size_t end = leader.base;
    // The directory ends with a field terminator at the last byte before the field area.
    while (at + entry < leader.base) {
        const std::string_view item = rest.substr(at, entry);
        const std::size_t length =
            number(item.substr(leader.size_tag, leader.size_length), offset_ + at, "field length");
        const std::size_t position =
            number(item.substr(leader.size_tag + leader.size_length), offset_ + at, "field position");
        if (length == 0 || position > area - leader.base || length > area - leader.base - position)
            throw RecordFault(offset_ + at, "field lies outside its record");
        const std::size_t begin = leader.base + position;
        const std::size_t place = offset_ + begin;
        into.fields.push_back(
            {item.substr(0, leader.size_tag), without_terminator(rest.substr(begin, length), place), place});
        end = std::max(end, begin + length);
        at += entry;
    }
    if (at + 1 != leader.base || rest[at] != field_terminator)
        throw RecordFault(offset_ + at, "directory does not end where the field area begins");
    into.length = leader.length != 0 ? leader.length : end;
    offset_ += into.length;
    return true;
}

std::optional<Record> RecordReader::next() {
    Record record;
    if (!next(record))
        return std::nullopt;
    return record;
}

std::string_view SubfieldReader::fixed(std::size_t length) {
    if (length > remaining())
        throw RecordFault(base_ + at_, "field ends inside a subfield");
    const std::string_view part = bytes_.substr(at_, length);
    at_ += length;
    return part;
}

std::uint8_t SubfieldReader::b11() {
    return static_cast<std::uint8_t>(fixed(1)[0]);
}

std::uint16_t SubfieldReader::b12() {
    const std::string_view part = fixed(2);
    return static_cast<std::uint16_t>(static_cast<unsigned char>(part[0]) |
                                      static_cast<unsigned char>(part[1]) << 8);
}

std::uint32_t SubfieldReader::b14() {
    const std::uint32_t low = b12();
    const std::uint32_t high = b12();
    return low | high << 16;
}

std::int32_t SubfieldReader::b24() {
    return static_cast<std::int32_t>(b14());
}

std::string_view SubfieldReader::text(bool wide) {
    const std::size_t step = wide ? 2 : 1;
    for (std::size_t at = at_; at + step <= bytes_.size(); at += step)
        if (bytes_[at] == unit_terminator && (!wide || bytes_[at + 1] == '\0')) {
            const std::string_view part = bytes_.substr(at_, at - at_);
            at_ = at + step;
            return part;
        }
    throw RecordFault(base_ + at_, "text subfield has no terminator");
}

} // namespace dangerline::chart
