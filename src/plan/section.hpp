// One table of a plan, read key by key; every complaint names file, line and key.
#pragma once

#include "plan/toml_value.hpp"
#include "plan/words.hpp"

#include <filesystem>
#include <optional>
#include <string>
#include <vector>

namespace dangerline::plan {

/// What a number may be.
struct Range {
    double low = 0.0;
    double high = 0.0;
    const char* unit = "metres";
    bool above_low = false; ///< low itself is refused
};

class Section {
  public:
    /// `name` is put before keys in messages: "", "boat", "route[2]". All three must outlive the section.
    Section(const std::filesystem::path& file, const TomlValue& table, std::string name);

    const TomlValue* find(std::string_view key) const { return table_.find(key); }
    bool has(std::string_view key) const { return find(key) != nullptr; }
    int line() const { return table_.line; }

    /// Every getter throws Failure (plan) for a value of another type or out of range; a missing key is
    /// nothing, and a missing needed key a Failure.
    std::optional<double> number(const std::string& key, const Range& range) const;
    double needed_number(const std::string& key, const Range& range) const;
    std::optional<int> whole_number(const std::string& key, int low, int high) const;
    std::optional<std::string> text(const std::string& key) const;
    std::string needed_text(const std::string& key, const std::string& expected) const;
    /// A text that names a file or folder, relative to the plan's folder.
    std::filesystem::path needed_path(const std::string& key) const;
    std::vector<std::filesystem::path> needed_paths(const std::string& key) const;
    /// true or false.
    std::optional<bool> flag(const std::string& key) const;
    /// One number, or a list of them.
    std::vector<double> numbers(const std::string& key, const Range& range) const;
    std::optional<Speed> speed(const std::string& key, double highest_kn) const;
    std::optional<Wind> wind(const std::string& key, double highest_kn) const;
    std::optional<CalendarDay> day(const std::string& key) const;
    /// A local time as text, tried out in `zone`.
    std::optional<std::string> local_time(const std::string& key, const TimeZone& zone) const;

    std::optional<Section> table(const std::string& key) const;
    Section needed_table(const std::string& key) const;
    std::vector<Section> tables(const std::string& key) const;

    /// With the line of the key, or of the table where it has no such key.
    [[noreturn]] void refuse(const std::string& key, const std::string& what, const std::string& expected,
                             const std::string& remedy = "") const;

  private:
    std::string full_name(const std::string& key) const;
    [[noreturn]] void refuse_at(int line, const std::string& key, const std::string& what,
                                const std::string& expected, const std::string& remedy) const;
    double checked(const TomlValue& value, const std::string& key, const Range& range) const;
    std::filesystem::path path_of(const TomlValue& value, const std::string& key) const;
    void check_speed(double mps, const std::string& key, double highest_kn) const;

    const std::filesystem::path& file_;
    const TomlValue& table_;
    std::string name_;
};

} // namespace dangerline::plan
