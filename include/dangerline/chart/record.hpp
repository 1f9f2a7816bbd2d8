// Data records of ISO/IEC 8211 as S-57 edition 3.1 part 3 uses them: read with bounds on everything, and
// written.
#pragma once

#include <cstddef>
#include <cstdint>
#include <optional>
#include <stdexcept>
#include <string>
#include <string_view>
#include <vector>

namespace dangerline::chart {

inline constexpr char unit_terminator = '\x1f';  ///< ends a text subfield
inline constexpr char field_terminator = '\x1e'; ///< ends a field and a directory

/// The bytes are not what ISO 8211 says; what() names it, offset() is the place in the buffer in bytes.
class RecordFault : public std::runtime_error {
  public:
    RecordFault(std::size_t offset, const std::string& what);
    std::size_t offset() const { return offset_; }

  private:
    std::size_t offset_;
};

/// One field of a record. `bytes` is without the field terminator and points into the buffer that was read.
struct Field {
    std::string_view tag;   ///< four characters, for example FRID
    std::string_view bytes; ///< content
    std::size_t offset = 0; ///< where the content begins in the buffer
};

/// One record: the describing record (DDR, leader identifier 'L') or a data record ('D').
struct Record {
    char kind = 'D';
    std::size_t offset = 0; ///< where the record begins in the buffer
    std::size_t length = 0; ///< bytes, also where the leader says 00000 (record over 99999 bytes)
    std::vector<Field> fields;

    /// First field of that tag, or nullptr.
    const Field* find(std::string_view tag) const;
};

/// Walks the records of a buffer in order. The buffer must outlive the reader and all records and fields.
class RecordReader {
  public:
    explicit RecordReader(std::string_view buffer) : buffer_(buffer) {}

    /// The next record, nothing at the end of the buffer. Each call moves on by at least 24 bytes, so a walk
    /// always ends. Throws RecordFault where a record is cut or its leader, directory or fields don't agree.
    /// `into` is filled anew and keeps its memory; returns false at the end.
    bool next(Record& into);
    std::optional<Record> next();

    std::size_t offset() const { return offset_; }

  private:
    std::string_view buffer_;
    std::size_t offset_ = 0;
};

/// Takes the subfields of one field in order. Every take throws RecordFault where the field ends too early.
class SubfieldReader {
  public:
    explicit SubfieldReader(const Field& field) : bytes_(field.bytes), base_(field.offset) {}

    bool at_end() const { return at_ >= bytes_.size(); }
    std::size_t remaining() const { return bytes_.size() - at_; }
    /// Whole numbers, least significant byte first: unsigned of 1, 2 and 4 bytes, signed of 4.
    std::uint8_t b11();
    std::uint16_t b12();
    std::uint32_t b14();
    std::int32_t b24();
    /// The next `length` bytes as they are, for A(8) or B(40).
    std::string_view fixed(std::size_t length);
    /// Text up to the unit terminator, which is taken too. `wide`: UCS-2 text (lexical level 2), terminator
    /// 1F 00.
    std::string_view text(bool wide = false);

  private:
    std::string_view bytes_;
    std::size_t base_ = 0;
    std::size_t at_ = 0;
};

/// Puts subfields into the content of one field.
class SubfieldWriter {
  public:
    SubfieldWriter& b11(std::uint32_t value);
    SubfieldWriter& b12(std::uint32_t value);
    SubfieldWriter& b14(std::uint32_t value);
    SubfieldWriter& b24(std::int32_t value);
    /// Text with its unit terminator.
    SubfieldWriter& text(std::string_view value, bool wide = false);
    /// Text of fixed length, padded with blanks, cut where longer.
    SubfieldWriter& fixed(std::string_view value, std::size_t length);
    const std::string& bytes() const { return bytes_; }

  private:
    std::string bytes_;
};

/// A field to be written; the field terminator is added by the writer.
struct FieldContent {
    std::string tag;
    std::string bytes;
    bool wide = false; ///< lexical level 2: the field terminator is 1E 00
};

/// One line of the describing record.
struct FieldLayout {
    std::string tag;     ///< four characters
    std::string parent;  ///< field it belongs to in the tree; empty for the root
    std::string name;    ///< readable name
    std::string labels;  ///< subfield labels: "RCNM!RCID", "*" before repeated ones
    std::string formats; ///< "(b11,b14)"
};

/// The fields of S-57 edition 3.1 as a describing record lists them (S-57 part 3, section 7).
const std::vector<FieldLayout>& s57_layout();

/// Bytes of a describing record for these fields.
std::string describing_record(const std::vector<FieldLayout>& layout);

/// Bytes of a data record. Over 99999 bytes the record length is written as 00000, as S-57 cells do.
std::string data_record(const std::vector<FieldContent>& fields);

/// Formats of a describing record's field spelled out one by one: "(b11,2A)" gives b11, A, A.
/// Throws RecordFault with offset 0 where they can't be read or would be more than 100.
std::vector<std::string> spell_out_formats(std::string_view formats);

} // namespace dangerline::chart
