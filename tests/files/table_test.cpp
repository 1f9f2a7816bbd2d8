#include <gtest/gtest.h>

#include <functional>

#include "dangerline/base/error.hpp"
#include "dangerline/files/table.hpp"
#include "support/support.hpp"

using namespace dangerline;
using files::Table;

namespace {

std::string message_of(const std::function<void()>& act) {
    try {
        act();
    } catch (const Failure& failure) {
        EXPECT_EQ(failure.fault(), Fault::data);
        return failure.what();
    }
    return "nothing thrown";
}

std::string parse_message(const std::string& content) {
    return message_of([&] { Table::parse("t.csv", content); });
}

} // namespace

TEST(Table, reads_cells_and_remembers_lines) {
    const auto t =
        Table::parse("t.csv", "\xEF\xBB\xBF# source\r\n\r\nname,metres\r\n\"a, b\",1.5\r\n# note\r\n"
                              "\"two\nlines \"\"q\"\"\",\r\n  last , -2e-1");
    ASSERT_EQ(t.columns(), (std::vector<std::string>{"name", "metres"}));
    ASSERT_EQ(t.rows().size(), 3U);
    EXPECT_EQ(t.rows()[0].text("name"), "a, b");
    EXPECT_EQ(t.rows()[0].number("metres"), 1.5);
    EXPECT_EQ(t.rows()[0].line(), 4U);
    EXPECT_EQ(t.rows()[1].text("name"), "two\nlines \"q\"");
    EXPECT_EQ(t.rows()[1].line(), 6U);
    EXPECT_FALSE(t.rows()[1].optional_number("metres"));
    EXPECT_FALSE(t.rows()[1].optional_text("metres"));
    EXPECT_EQ(t.rows()[2].text("name"), "last");
    EXPECT_EQ(t.rows()[2].number("metres"), -0.2);
    EXPECT_EQ(t.rows()[2].line(), 8U);
    EXPECT_TRUE(t.has_column("metres"));
    EXPECT_FALSE(t.has_column("feet"));
}

TEST(Table, reads_times) {
    const auto t = Table::parse("t.csv", "utc\n2026-06-01T06:12Z\n2026-06-01 06:12\n");
    EXPECT_EQ(to_iso_utc(t.rows()[0].utc("utc")), "2026-06-01T06:12:00Z");
    EXPECT_EQ(message_of([&] { t.rows()[1].utc("utc"); }),
              "t.csv: line 3, column utc: found \"2026-06-01 06:12\" (expected a time in UTC such as "
              "2026-06-01T06:12Z)");
}

TEST(Table, says_what_is_wrong_with_a_number) {
    for (const std::string cell : {"1.5m", "1,5", "+1", "nan", "inf", "1e999", "0x10", "--1", "."}) {
        const auto t = Table::parse("t.csv", "n\n\"" + cell + "\"\n");
        EXPECT_EQ(message_of([&] { t.rows()[0].number("n"); }),
                  "t.csv: line 2, column n: found \"" + cell + "\" (expected a number such as 1.25)");
        EXPECT_NE(message_of([&] { t.rows()[0].optional_number("n"); }), "nothing thrown");
    }
    const auto t = Table::parse("t.csv", "n,m\n,1\n");
    EXPECT_EQ(message_of([&] { t.rows()[0].number("n"); }),
              "t.csv: line 2, column n: the cell is empty (expected a number such as 1.25)");
    EXPECT_EQ(message_of([&] { t.rows()[0].text("n"); }),
              "t.csv: line 2, column n: the cell is empty (expected a value)");
    EXPECT_EQ(message_of([&] { t.rows()[0].optional_number("x"); }),
              "t.csv: line 2, column x: no such column (expected one of n, m)");
}

TEST(Table, refuses_broken_tables) {
    EXPECT_EQ(parse_message("# nothing\n\n"),
              "t.csv: the table is empty (expected a line with column names, then rows)");
    EXPECT_EQ(parse_message("a,b\n1,2\n3\n"), "t.csv: line 3: 1 cells (expected 2: a, b)");
    EXPECT_EQ(parse_message("a,b\n1,2,3\n"), "t.csv: line 2: 3 cells (expected 2: a, b)");
    EXPECT_EQ(parse_message("a,a\n"), "t.csv: line 1: two columns are called a (expected different names)");
    EXPECT_EQ(parse_message("a,\n"),
              "t.csv: line 1: column 2 has no name (expected a name for every column)");
    EXPECT_EQ(parse_message("a\n\"1\n"),
              "t.csv: line 2: a quoted cell without an end (expected a closing quote)");
    EXPECT_EQ(parse_message("a\n\"1\"2\n"),
              "t.csv: line 2: text after a closing quote: 2 (expected a comma or the end of the line)");
    EXPECT_EQ(parse_message("a\n1\"2\n"),
              "t.csv: line 2: a quote inside the cell 1\"2 (expected the whole cell in "
              "quotes, inner quotes doubled)");
}

TEST(Table, reads_files_and_refuses_missing_ones) {
    const support::TemporaryFolder folder;
    EXPECT_EQ(Table::read(folder.file("good.csv", "a\n1\n")).rows().size(), 1U);
    const std::string missing = (folder.path() / "missing.csv").string();
    EXPECT_NE(message_of([&] { Table::read(missing); }).find(missing + ": can't be read"), std::string::npos);
    EXPECT_NE(message_of([&] { Table::read(folder.path()); }).find("can't be read"), std::string::npos);
    const auto empty = folder.file("empty.csv", "");
    EXPECT_NE(message_of([&] { Table::read(empty); }).find("the table is empty"), std::string::npos);
    EXPECT_EQ(message_of([&] {
                  Table::parse("t.csv", "a\n1\n").require({"a", "b"});
              }),
              "t.csv: no column b among a (expected the columns a, b)");
}
