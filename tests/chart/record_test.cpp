// Records of ISO 8211: written, read back, cut and damaged.
#include "dangerline/chart/record.hpp"

#include <gtest/gtest.h>

#include <random>

using namespace dangerline::chart;

namespace {

std::string sample() {
    SubfieldWriter name;
    name.b11(110).b14(0x01020304).b12(7).b11(1);
    SubfieldWriter place;
    place.b24(460000000).b24(-280000000);
    return describing_record(s57_layout()) +
           data_record(
               {{"0001", std::string("\x01\x00", 2)}, {"VRID", name.bytes()}, {"SG2D", place.bytes()}});
}

/// Reads to the end; the number of records, or nothing where a fault was met.
std::optional<std::size_t> walk(std::string_view bytes, std::size_t* offset = nullptr) {
    RecordReader reader(bytes);
    std::size_t count = 0;
    try {
        while (reader.next())
            ++count;
    } catch (const RecordFault& fault) {
        if (offset)
            *offset = fault.offset();
        return std::nullopt;
    }
    return count;
}

} // namespace

TEST(Record, IsReadAsWritten) {
    const std::string bytes = sample();
    RecordReader reader(bytes);
    const auto ddr = reader.next();
    ASSERT_TRUE(ddr);
    EXPECT_EQ(ddr->kind, 'L');
    ASSERT_NE(ddr->find("FRID"), nullptr);
    EXPECT_NE(ddr->find("FRID")->bytes.find("RCNM!RCID!PRIM!GRUP!OBJL!RVER!RUIN"), std::string_view::npos);
    const auto record = reader.next();
    ASSERT_TRUE(record);
    EXPECT_EQ(record->kind, 'D');
    EXPECT_EQ(record->offset + record->length, bytes.size());
    SubfieldReader name(*record->find("VRID"));
    EXPECT_EQ(name.b11(), 110);
    EXPECT_EQ(name.b14(), 0x01020304U);
    EXPECT_EQ(name.b12(), 7);
    EXPECT_EQ(name.b11(), 1);
    EXPECT_TRUE(name.at_end());
    EXPECT_THROW(name.b11(), RecordFault);
    SubfieldReader place(*record->find("SG2D"));
    EXPECT_EQ(place.b24(), 460000000);
    EXPECT_EQ(place.b24(), -280000000);
    EXPECT_EQ(record->find("FRID"), nullptr);
    EXPECT_FALSE(reader.next());
}

TEST(Record, OverTheLengthOfTheLeaderIsReadFromItsDirectory) {
    const std::string big(104009, 'x'); // a length met in a real cell, as in the notes of this project
    const std::string one = data_record({{"VRID", "first"}, {"SG3D", big}});
    EXPECT_EQ(one.substr(0, 5), "00000");
    const std::string bytes = one + data_record({{"VRID", "next"}});
    RecordReader reader(bytes);
    const auto record = reader.next();
    ASSERT_TRUE(record);
    EXPECT_EQ(record->length, one.size());
    EXPECT_EQ(record->find("SG3D")->bytes, big);
    const auto second = reader.next();
    ASSERT_TRUE(second);
    EXPECT_EQ(second->find("VRID")->bytes, "next");
    EXPECT_FALSE(reader.next());
}

TEST(Record, TextSubfieldsEndAtTheirTerminator) {
    SubfieldWriter writer;
    writer.text("Grey Mare").text("").fixed("20260101", 8).text(std::string("A\x00\x1f\x01", 4), true);
    SubfieldReader reader(Field{"ATTF", writer.bytes(), 0});
    EXPECT_EQ(reader.text(), "Grey Mare");
    EXPECT_EQ(reader.text(), "");
    EXPECT_EQ(reader.fixed(8), "20260101");
    // U+011F holds the byte 1F, which ends nothing in text of two bytes a character.
    EXPECT_EQ(reader.text(true), (std::string_view("A\x00\x1f\x01", 4)));
    EXPECT_TRUE(reader.at_end());
    SubfieldReader open(Field{"ATTF", "no end", 40});
    EXPECT_THROW(open.text(), RecordFault);
}

TEST(Record, CutAnywhereIsAFaultWithItsPlace) {
    const std::string bytes = sample();
    RecordReader reader(bytes);
    const std::size_t boundary = reader.next()->length;
    for (std::size_t length = 1; length < bytes.size(); ++length) {
        std::size_t offset = 0;
        const auto count = walk(std::string_view(bytes).substr(0, length), &offset);
        if (length == boundary)
            EXPECT_EQ(count, 1U);
        else
            EXPECT_FALSE(count) << length;
        EXPECT_LE(offset, length);
    }
}

TEST(Record, TrailingBlanksAreNoRecord) {
    EXPECT_EQ(walk(sample() + "\r\n  "), 2U);
    EXPECT_FALSE(walk(sample() + "junk"));
}

TEST(Record, DamagedBytesNeverRunAway) {
    const std::string clean = sample() + data_record({{"SG3D", std::string(120000, 'y')}});
    std::mt19937 random(8211);
    for (int round = 0; round < 3000; ++round) {
        std::string bytes = clean;
        const int changes = 1 + static_cast<int>(random() % 4);
        for (int i = 0; i < changes; ++i)
            bytes[random() % 2600] =
                static_cast<char>(random() % 3 == 0 ? '0' + random() % 10 : random() % 256);
        const auto count = walk(bytes);
        EXPECT_LE(count.value_or(0), bytes.size() / 24);
    }
}

TEST(Record, FieldOutsideItsRecordIsAFault) {
    std::string bytes = data_record({{"VRID", "12345678"}});
    const std::size_t entry = 24 + 4; // first directory entry, length of one digit
    bytes[entry] = '9';
    ASSERT_EQ(walk(data_record({{"VRID", "12345678"}})), 1U);
    bytes[entry + 1] = '5';
    EXPECT_FALSE(walk(bytes));
}

TEST(Record, FormatsAreSpelledOut) {
    EXPECT_EQ(spell_out_formats("(b11,2A(8),R(4))"),
              (std::vector<std::string>{"b11", "A(8)", "A(8)", "R(4)"}));
    EXPECT_EQ(spell_out_formats("(3b24)"), spell_out_formats("(b24,b24,b24)"));
    EXPECT_THROW(spell_out_formats("b11"), RecordFault);
    EXPECT_THROW(spell_out_formats("(999999999999999b11)"), RecordFault);
    EXPECT_THROW(spell_out_formats("(4)"), RecordFault);
}
