// Small cells and chains of updates for the tests of the pre-scan.
#pragma once

#include "dangerline/chart/prescan.hpp"
#include "dangerline/chart/record.hpp"

#include "cellwriter/cellwriter.hpp"
#include "support/support.hpp"

#include <gtest/gtest.h>

#include <algorithm>
#include <functional>
#include <map>
#include <random>

namespace prescan_cells {

using namespace dangerline::chart;
using Kind = CellFaultKind;

inline constexpr std::uint16_t valsou = 179; // S-57 appendix A, chapter 2

inline cellwriter::CellDraft small_draft() {
    cellwriter::CellDraft draft;
    draft.header.edition = 3;
    const cellwriter::Place a{-28, 46}, b{-27.9, 46}, c{-27.9, 46.1}, d{-28, 46.1}, e{-27.8, 46},
        f{-27.8, 46.1};
    draft.add_area("DEPARE", {{a, b, c, d}}, {{"DRVAL1", "2"}, {"DRVAL2", "5"}});
    draft.add_area("DEPARE", {{b, e, f, c}}, {{"DRVAL1", "5"}, {"DRVAL2", "10"}});
    draft.add_point("WRECKS", {-27.95, 46.05}, {{"CATWRK", "2"}, {"VALSOU", ""}}).quality = {4, "25.5"};
    draft.add_point("WRECKS", {-27.85, 46.05}, {{"CATWRK", "2"}, {"VALSOU", "2.1"}});
    draft.add_point("UWTROC", {-27.86, 46.05}, {{"WATLEV", "4"}});
    draft.add_soundings({{{-27.96, 46.02}, 3.1}, {{-27.97, 46.03}, 3.4}, {{-27.98, 46.03}, 4.0}});
    draft.add_line("DEPCNT", {b, c}, {{"VALDCO", "5"}});
    return draft;
}

inline const std::string base_name = "X14TEST1.000";

inline std::string file_name(int number) {
    return "X14TEST1.00" + std::to_string(number);
}

/// Keeps the bytes that the views in UpdateFile look at.
struct Chain {
    std::string base;
    std::vector<std::pair<int, std::string>> updates;

    Prescan scan() const {
        std::vector<UpdateFile> files;
        for (const auto& [number, bytes] : updates)
            files.push_back({file_name(number), number, bytes});
        return prescan(base_name, base, files);
    }
};

inline cellwriter::UpdateDraft first_update(const cellwriter::Cell& cell) {
    cellwriter::UpdateDraft update(cell);
    update.change(3, {{"VALSOU", "3.4"}});
    update.inserted.add_point("OBSTRN", {-27.91, 46.02}, {{"VALSOU", "1"}, {"WATLEV", "3"}}).quality.quapos =
        5;
    update.remove(5);
    return update;
}

inline cellwriter::UpdateDraft second_update(const cellwriter::UpdateDraft& first) {
    cellwriter::UpdateDraft update(first.after());
    update.change_quality(4, {7, ""});
    return update;
}

inline Chain sound_chain() {
    const auto draft = small_draft();
    const auto one = first_update(draft.compile());
    const auto two = second_update(one);
    return {draft.bytes(), {{1, one.bytes()}, {2, two.bytes()}}};
}

/// Starts of the records of a file.
inline std::vector<std::size_t> boundaries(const std::string& bytes) {
    std::vector<std::size_t> all;
    RecordReader reader(bytes);
    Record record;
    while (reader.next(record))
        all.push_back(record.offset);
    return all;
}

inline Prescan scan_with(const std::function<void(cellwriter::CellDraft&)>& change) {
    auto draft = small_draft();
    change(draft);
    return Chain{draft.bytes(), {}}.scan();
}

/// One update built by `fill` after the base.
inline Prescan scan_update(const std::function<void(cellwriter::UpdateDraft&)>& fill) {
    const auto draft = small_draft();
    cellwriter::UpdateDraft update(draft.compile());
    fill(update);
    return Chain{draft.bytes(), {{1, update.bytes()}}}.scan();
}

inline FieldContent vector_name(unsigned rcnm, unsigned rcid, unsigned rver, unsigned ruin) {
    SubfieldWriter out;
    out.b11(rcnm).b14(rcid).b12(rver).b11(ruin);
    return {"VRID", out.bytes()};
}

inline FieldContent feature_name(unsigned rcid, unsigned objl, unsigned rver, unsigned ruin) {
    SubfieldWriter out;
    out.b11(100).b14(rcid).b11(1).b11(2).b12(objl).b12(rver).b11(ruin);
    return {"FRID", out.bytes()};
}

inline FieldContent control(const char* tag, unsigned instruction, unsigned index, unsigned count) {
    SubfieldWriter out;
    out.b11(instruction).b12(index).b12(count);
    return {tag, out.bytes()};
}

inline void expect_stopped(const Prescan& scan, Kind kind) {
    EXPECT_TRUE(scan.has(kind)) << (scan.faults.empty() ? "no fault" : scan.faults[0].text);
    EXPECT_TRUE(scan.readable());
    EXPECT_EQ(scan.updates_usable(), 0);
    EXPECT_EQ(scan.last_update, 0);
    ASSERT_FALSE(scan.updates.empty());
    EXPECT_FALSE(scan.updates[0].reason.empty());
    EXPECT_EQ(scan.features.size(), 7U);
    EXPECT_EQ(scan.find({65535, 3, 1})->presence(valsou), Presence::empty); // all of the update taken back
}

} // namespace prescan_cells
