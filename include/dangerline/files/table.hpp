// Small tables in comma-separated text: tide constants, streams, series.
#pragma once

#include <cstddef>
#include <filesystem>
#include <memory>
#include <optional>
#include <string>
#include <string_view>
#include <vector>

#include "dangerline/base/time.hpp"

namespace dangerline::files {

/// Where a table came from and what its columns are called.
struct TableHead {
    std::string file{};
    std::vector<std::string> columns{};
};

/// One line of data. Every getter throws Failure(Fault::data) that names file, line and column, what was
/// found and what was expected; it never puts a default in place of what can't be read.
class TableRow {
  public:
    TableRow(std::shared_ptr<const TableHead> head, std::size_t line, std::vector<std::string> cells);
    /// Line in the file, counted from 1.
    std::size_t line() const { return line_; }

    /// The cell without surrounding blanks; empty cells fail.
    const std::string& text(std::string_view column) const;
    /// The cell; an empty one is nothing. The column must exist.
    std::optional<std::string> optional_text(std::string_view column) const;
    /// Decimal number with '.', the whole cell, finite. No thousands separators, no units.
    double number(std::string_view column) const;
    /// As number(), an empty cell is nothing. The column must exist.
    std::optional<double> optional_number(std::string_view column) const;
    /// "2026-06-01T06:12Z" or with seconds.
    Instant utc(std::string_view column) const;
    /// The same, or a clock time in `zone` ("2026-06-01 06:12").
    Instant time(std::string_view column, const std::optional<TimeZone>& zone) const;

    /// Fails with this row's file and line: `what` is wrong in `column`, `expected` instead.
    [[noreturn]] void refuse(std::string_view column, const std::string& what,
                             const std::string& expected) const;

  private:
    const std::string& cell(std::string_view column) const;
    std::shared_ptr<const TableHead> head_;
    std::size_t line_;
    std::vector<std::string> cells_;
};

/// A table read as a whole. The first line that is neither empty nor starts with '#' names the columns; lines
/// starting with '#' and empty lines are skipped anywhere. Cells may be quoted with '"' and then hold commas,
/// line ends and doubled quotes (RFC 4180). A byte order mark and CR LF are accepted.
/// Failures (Fault::data): no file, no header line, a column name twice or empty, a row with more or fewer
/// cells than columns, an unclosed quote, text after a closing quote.
class Table {
  public:
    static Table read(const std::filesystem::path& path);
    /// `file` is the name used in messages.
    static Table parse(const std::string& file, std::string_view content);

    const std::string& file() const { return head_->file; }
    const std::vector<std::string>& columns() const { return head_->columns; }
    bool has_column(std::string_view column) const;
    /// Fails where one of these columns is missing, listing those there are.
    void require(const std::vector<std::string>& columns) const;
    const std::vector<TableRow>& rows() const { return rows_; }

  private:
    std::shared_ptr<const TableHead> head_;
    std::vector<TableRow> rows_;
};

} // namespace dangerline::files
