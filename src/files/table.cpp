#include "dangerline/files/table.hpp"

#include <algorithm>
#include <charconv>
#include <cmath>
#include <fstream>
#include <sstream>
#include <stdexcept>
#include <utility>

#include <fmt/format.h>
#include <fmt/ranges.h>

#include "dangerline/base/error.hpp"

namespace dangerline::files {

namespace {

[[noreturn]] void refuse_line(const std::string& file, std::size_t line, const std::string& what,
                              const std::string& expected) {
    throw Failure(Fault::data,
                  {.file = file, .object = fmt::format("line {}", line), .what = what, .expected = expected});
}

std::string trimmed(std::string_view text) {
    const auto first = text.find_first_not_of(" \t\r");
    if (first == std::string_view::npos)
        return {};
    return std::string(text.substr(first, text.find_last_not_of(" \t\r") - first + 1));
}

/// Walks through the text record by record, counting lines.
class Scanner {
  public:
    Scanner(const std::string& file, std::string_view content) : file_(file), rest_(content) {
        if (rest_.starts_with("\xEF\xBB\xBF"))
            rest_.remove_prefix(3);
    }

    /// Line on which the record read last began.
    std::size_t line() const { return record_line_; }

    /// The cells of the next record, skipping comments and empty lines; nothing at the end.
    std::optional<std::vector<std::string>> next() {
        while (!rest_.empty()) {
            const auto end = rest_.find('\n');
            const std::string_view line = rest_.substr(0, end);
            if (!line.starts_with('#') && !trimmed(line).empty())
                return record();
            rest_.remove_prefix(end == std::string_view::npos ? rest_.size() : end + 1);
            ++line_;
        }
        return std::nullopt;
    }

  private:
    std::vector<std::string> record() {
        record_line_ = line_;
        std::vector<std::string> cells;
        do
            cells.push_back(cell());
        while (take(','));
        take('\n');
        ++line_;
        return cells;
    }

    std::string cell() {
        const auto begin = rest_.find_first_not_of(" \t");
        if (begin != std::string_view::npos && rest_[begin] == '"') {
            rest_.remove_prefix(begin + 1);
            return quoted();
        }
        const std::string_view raw = rest_.substr(0, rest_.find_first_of(",\n"));
        if (raw.find('"') != std::string_view::npos)
            refuse_line(file_, record_line_, fmt::format("a quote inside the cell {}", trimmed(raw)),
                        "the whole cell in quotes, inner quotes doubled");
        rest_.remove_prefix(raw.size());
        return trimmed(raw);
    }

    std::string quoted() {
        std::string text;
        for (;;) {
            const auto quote = rest_.find('"');
            if (quote == std::string_view::npos)
                refuse_line(file_, record_line_, "a quoted cell without an end", "a closing quote");
            text += rest_.substr(0, quote);
            rest_.remove_prefix(quote + 1);
            if (!take('"'))
                break;
            text += '"';
        }
        line_ += static_cast<std::size_t>(std::count(text.begin(), text.end(), '\n'));
        const std::string_view after = rest_.substr(0, rest_.find_first_of(",\n"));
        if (!trimmed(after).empty())
            refuse_line(file_, record_line_, fmt::format("text after a closing quote: {}", trimmed(after)),
                        "a comma or the end of the line");
        rest_.remove_prefix(after.size());
        return trimmed(text);
    }

    bool take(char c) {
        if (!rest_.starts_with(c))
            return false;
        rest_.remove_prefix(1);
        return true;
    }

    const std::string& file_;
    std::string_view rest_;
    std::size_t line_ = 1;
    std::size_t record_line_ = 1;
};

void check_names(const TableHead& head, std::size_t line) {
    for (std::size_t i = 0; i < head.columns.size(); ++i) {
        const auto& name = head.columns[i];
        if (name.empty())
            refuse_line(head.file, line, fmt::format("column {} has no name", i + 1),
                        "a name for every column");
        if (std::count(head.columns.begin(), head.columns.end(), name) > 1)
            refuse_line(head.file, line, fmt::format("two columns are called {}", name), "different names");
    }
}

} // namespace

TableRow::TableRow(std::shared_ptr<const TableHead> head, std::size_t line, std::vector<std::string> cells)
    : head_(std::move(head)), line_(line), cells_(std::move(cells)) {}

void TableRow::refuse(std::string_view column, const std::string& what, const std::string& expected) const {
    throw Failure(Fault::data, {.file = head_->file,
                                .object = fmt::format("line {}, column {}", line_, column),
                                .what = what,
                                .expected = expected});
}

const std::string& TableRow::cell(std::string_view column) const {
    const auto at = std::find(head_->columns.begin(), head_->columns.end(), column);
    if (at == head_->columns.end())
        refuse(column, "no such column", fmt::format("one of {}", fmt::join(head_->columns, ", ")));
    return cells_[static_cast<std::size_t>(at - head_->columns.begin())];
}

const std::string& TableRow::text(std::string_view column) const {
    const auto& found = cell(column);
    if (found.empty())
        refuse(column, "the cell is empty", "a value");
    return found;
}

std::optional<std::string> TableRow::optional_text(std::string_view column) const {
    const auto& found = cell(column);
    return found.empty() ? std::nullopt : std::optional(found);
}

double TableRow::number(std::string_view column) const {
    const auto& found = cell(column);
    double value = 0.0;
    const auto [end, error] = std::from_chars(found.data(), found.data() + found.size(), value);
    if (error != std::errc() || end != found.data() + found.size() || !std::isfinite(value))
        refuse(column, found.empty() ? "the cell is empty" : fmt::format("found \"{}\"", found),
               "a number such as 1.25");
    return value;
}

std::optional<double> TableRow::optional_number(std::string_view column) const {
    if (cell(column).empty())
        return std::nullopt;
    return number(column);
}

Instant TableRow::utc(std::string_view column) const {
    const auto& found = text(column);
    const auto t = parse_iso_utc(found);
    if (!t)
        refuse(column, fmt::format("found \"{}\"", found), "a time in UTC such as 2026-06-01T06:12Z");
    return *t;
}

Instant TableRow::time(std::string_view column, const std::optional<TimeZone>& zone) const {
    const auto& found = text(column);
    if (const auto utc = parse_iso_utc(found))
        return *utc;
    if (!zone)
        refuse(column, "\"" + found + "\" names no zone",
               "UTC like 2026-06-01T06:12Z, or the zone of these clock times beside the table");
    try {
        return zone->parse(found);
    } catch (const std::invalid_argument& wrong) {
        refuse(column, wrong.what(), "UTC like 2026-06-01T06:12Z, or a clock time in " + zone->name());
    }
}

Table Table::read(const std::filesystem::path& path) {
    std::ifstream in(path, std::ios::binary);
    std::ostringstream all;
    // An empty file sets failbit on <<, hence the look at the stream's own state.
    if (!in || std::filesystem::is_directory(path) || ((all << in.rdbuf()), in.bad()))
        throw Failure(Fault::data, {.file = path.string(),
                                    .what = "can't be read",
                                    .expected = "a table in comma-separated text",
                                    .remedy = "check the path, it is taken relative to the plan"});
    return parse(path.string(), all.view());
}

Table Table::parse(const std::string& file, std::string_view content) {
    Scanner scanner(file, content);
    auto names = scanner.next();
    if (!names)
        throw Failure(
            Fault::data,
            {.file = file, .what = "the table is empty", .expected = "a line with column names, then rows"});
    auto head = std::make_shared<const TableHead>(TableHead{file, std::move(*names)});
    check_names(*head, scanner.line());
    Table table;
    while (auto cells = scanner.next()) {
        if (cells->size() != head->columns.size())
            refuse_line(file, scanner.line(), fmt::format("{} cells", cells->size()),
                        fmt::format("{}: {}", head->columns.size(), fmt::join(head->columns, ", ")));
        table.rows_.emplace_back(head, scanner.line(), std::move(*cells));
    }
    table.head_ = std::move(head);
    return table;
}

bool Table::has_column(std::string_view column) const {
    return std::find(head_->columns.begin(), head_->columns.end(), column) != head_->columns.end();
}

void Table::require(const std::vector<std::string>& columns) const {
    for (const auto& column : columns)
        if (!has_column(column))
            throw Failure(Fault::data, {.file = file(),
                                        .what = fmt::format("no column {} among {}", column,
                                                            fmt::join(head_->columns, ", ")),
                                        .expected = fmt::format("the columns {}", fmt::join(columns, ", "))});
}

} // namespace dangerline::files
