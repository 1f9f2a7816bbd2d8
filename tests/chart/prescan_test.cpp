// The pre-scan of cells: sound cells, every fault it names, mutations, and a real cell where one is at hand.
#include "dangerline/chart/prescan.hpp"
#include "dangerline/chart/record.hpp"

#include "cellwriter/cellwriter.hpp"
#include "support/support.hpp"

#include <gtest/gtest.h>

#include <algorithm>
#include <functional>
#include <map>
#include <random>

using namespace dangerline::chart;
using Kind = CellFaultKind;

namespace {

constexpr std::uint16_t valsou = 179; // S-57 appendix A, chapter 2

cellwriter::CellDraft small_draft() {
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

const std::string base_name = "X14TEST1.000";

std::string file_name(int number) {
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

cellwriter::UpdateDraft first_update(const cellwriter::Cell& cell) {
    cellwriter::UpdateDraft update(cell);
    update.change(3, {{"VALSOU", "3.4"}});
    update.inserted.add_point("OBSTRN", {-27.91, 46.02}, {{"VALSOU", "1"}, {"WATLEV", "3"}}).quality.quapos =
        5;
    update.remove(5);
    return update;
}

cellwriter::UpdateDraft second_update(const cellwriter::UpdateDraft& first) {
    cellwriter::UpdateDraft update(first.after());
    update.change_quality(4, {7, ""});
    return update;
}

Chain sound_chain() {
    const auto draft = small_draft();
    const auto one = first_update(draft.compile());
    const auto two = second_update(one);
    return {draft.bytes(), {{1, one.bytes()}, {2, two.bytes()}}};
}

/// Starts of the records of a file.
std::vector<std::size_t> boundaries(const std::string& bytes) {
    std::vector<std::size_t> all;
    RecordReader reader(bytes);
    Record record;
    while (reader.next(record))
        all.push_back(record.offset);
    return all;
}

Prescan scan_with(const std::function<void(cellwriter::CellDraft&)>& change) {
    auto draft = small_draft();
    change(draft);
    return Chain{draft.bytes(), {}}.scan();
}

/// One update built by `fill` after the base.
Prescan scan_update(const std::function<void(cellwriter::UpdateDraft&)>& fill) {
    const auto draft = small_draft();
    cellwriter::UpdateDraft update(draft.compile());
    fill(update);
    return Chain{draft.bytes(), {{1, update.bytes()}}}.scan();
}

FieldContent vector_name(unsigned rcnm, unsigned rcid, unsigned rver, unsigned ruin) {
    SubfieldWriter out;
    out.b11(rcnm).b14(rcid).b12(rver).b11(ruin);
    return {"VRID", out.bytes()};
}

FieldContent feature_name(unsigned rcid, unsigned objl, unsigned rver, unsigned ruin) {
    SubfieldWriter out;
    out.b11(100).b14(rcid).b11(1).b11(2).b12(objl).b12(rver).b11(ruin);
    return {"FRID", out.bytes()};
}

FieldContent control(const char* tag, unsigned instruction, unsigned index, unsigned count) {
    SubfieldWriter out;
    out.b11(instruction).b12(index).b12(count);
    return {tag, out.bytes()};
}

void expect_stopped(const Prescan& scan, Kind kind) {
    EXPECT_TRUE(scan.has(kind)) << (scan.faults.empty() ? "no fault" : scan.faults[0].text);
    EXPECT_TRUE(scan.readable());
    EXPECT_EQ(scan.updates_usable(), 0);
    EXPECT_EQ(scan.last_update, 0);
    ASSERT_FALSE(scan.updates.empty());
    EXPECT_FALSE(scan.updates[0].reason.empty());
    EXPECT_EQ(scan.features.size(), 7U);
    EXPECT_EQ(scan.find({65535, 3, 1})->presence(valsou), Presence::empty); // all of the update taken back
}

} // namespace

TEST(Prescan, AcceptsASoundCell) {
    const Prescan scan = Chain{small_draft().bytes(), {}}.scan();
    EXPECT_TRUE(scan.faults.empty()) << scan.faults[0].text;
    const CellHeader& h = scan.header;
    EXPECT_EQ(h.dsnm, base_name);
    EXPECT_EQ(h.edtn, "3");
    EXPECT_EQ(h.updn, "0");
    EXPECT_EQ(h.isdt, "20260101");
    EXPECT_EQ(h.sted, "03.1");
    EXPECT_EQ(h.agen, 65535);
    EXPECT_EQ(h.nogr, 7U);
    EXPECT_EQ(h.noin, 4U);
    EXPECT_EQ(h.nocn, 2U); // the two ends of the shared edge
    EXPECT_EQ(h.noed, 3U); // the shared edge and what is left of either ring
    EXPECT_EQ(h.vdat, 17);
    EXPECT_EQ(h.sdat, 23);
    EXPECT_EQ(h.cscl, 20000U);
    EXPECT_EQ(h.comf, 10'000'000U);
    EXPECT_EQ(h.somf, 10U);
    EXPECT_EQ(h.duni, 1);
    ASSERT_EQ(scan.features.size(), 7U);
    const FeatureSummary* wreck = scan.find({65535, 3, 1});
    ASSERT_NE(wreck, nullptr);
    EXPECT_EQ(wreck->objl, 159);
    EXPECT_EQ(wreck->prim, 1);
    EXPECT_EQ(wreck->pointers, 1U);
    EXPECT_EQ(wreck->worst_quapos, 4);
    EXPECT_EQ(wreck->posacc, 25.5);
    EXPECT_EQ(wreck->presence(valsou), Presence::empty);
    EXPECT_EQ(scan.find({65535, 4, 1})->presence(valsou), Presence::valued);
    EXPECT_EQ(scan.find({65535, 5, 1})->presence(valsou), Presence::absent);
    EXPECT_EQ(scan.find({65535, 4, 1})->worst_quapos, 0);
    EXPECT_EQ(scan.find({65535, 4, 1})->posacc, std::nullopt);
    EXPECT_EQ(scan.find({65535, 1, 1})->pointers, 2U);
    EXPECT_EQ(scan.find({65535, 99, 1}), nullptr);
}

TEST(Prescan, ReplaysUpdates) {
    const Prescan scan = sound_chain().scan();
    EXPECT_TRUE(scan.faults.empty()) << scan.faults[0].text;
    EXPECT_EQ(scan.updates_usable(), 2);
    EXPECT_EQ(scan.last_update, 2);
    EXPECT_EQ(scan.features.size(), 7U); // one more, one fewer
    EXPECT_EQ(scan.find({65535, 3, 1})->presence(valsou), Presence::valued);
    EXPECT_EQ(scan.find({65535, 4, 1})->worst_quapos, 7);
    EXPECT_EQ(scan.find({65535, 5, 1}), nullptr);
    EXPECT_EQ(scan.find({65535, 8, 1})->worst_quapos, 5);
    EXPECT_EQ(scan.updates[1].edtn, "3");
    EXPECT_EQ(scan.updates[1].updn, "2");
    EXPECT_EQ(scan.updates[1].isdt, "20260101");
}

TEST(Prescan, LongNamesAreWrittenAsGdalDoes) {
    const LongName name{550, 0x1d4645c5, 1862};
    EXPECT_EQ(to_text(name), "02261D4645C50746");
    EXPECT_EQ(parse_long_name("02261D4645C50746"), name);
    EXPECT_EQ(parse_long_name("02261D4645C5074"), std::nullopt);
    EXPECT_EQ(parse_long_name("02261D4645C5074x"), std::nullopt);
}

TEST(Prescan, QualityOfPositionRanks) {
    for (const int precise : {0, 1, 10, 11})
        EXPECT_EQ(quapos_rank(precise), 0);
    for (const int near : {4, 9})
        EXPECT_EQ(quapos_rank(near), 1);
    for (const int poor : {2, 3, 5, 6, 7, 8, 12, 99, -1})
        EXPECT_EQ(quapos_rank(poor), 2);
}

TEST(PrescanBase, WhatIsNoCellIsRefused) {
    const auto kind = [](const std::string& bytes) {
        const Prescan scan = Chain{bytes, {{1, "x"}}}.scan();
        EXPECT_FALSE(scan.readable());
        EXPECT_EQ(scan.updates_usable(), 0);
        return scan.faults.at(0).kind;
    };
    EXPECT_EQ(kind(""), Kind::empty_file);
    EXPECT_EQ(kind("\x89PNG\r\n\x1a\n some picture"), Kind::not_iso8211);
    EXPECT_EQ(kind("<?xml version=\"1.0\"?>"), Kind::not_iso8211);
    EXPECT_EQ(kind(std::string(500, '\0')), Kind::not_iso8211);
    EXPECT_EQ(kind("00500"), Kind::not_iso8211);
    const std::string bytes = small_draft().bytes();
    EXPECT_EQ(kind(bytes.substr(0, 900)), Kind::broken_record);
    EXPECT_EQ(kind(bytes.substr(0, boundaries(bytes)[1])), Kind::missing_identification);
    EXPECT_EQ(kind(sound_chain().updates[0].second), Kind::not_a_base);
}

TEST(PrescanBase, AnS101CellIsRecognised) {
    auto layout = s57_layout();
    layout.push_back(
        {"CSID", "0001", "Coordinate Reference System Record Identifier", "RCNM!RCID!NCRC", "(b11,b14,b11)"});
    const std::string with_field =
        describing_record(layout) + data_record({{"0001", std::string("\x01\x00", 2)}});
    EXPECT_TRUE((Chain{with_field, {}}.scan().has(Kind::s101)));
    const std::string named =
        describing_record({{"DSID", "", "Data Set Identification", "RCNM!RCID!ENSP!ENED", "(b11,b14,2A)"}}) +
        data_record({{"DSID", "INT.IHO.S-101.1.0"}});
    EXPECT_TRUE((Chain{named, {}}.scan().has(Kind::s101)));
}

TEST(PrescanBase, FieldsOfAnotherFormAreRefused) {
    std::string bytes = small_draft().bytes();
    const std::size_t at = bytes.find("(b11,b14,2b11,2b12,b11)");
    ASSERT_NE(at, std::string::npos);
    bytes.replace(at, 8, "(b12,b13");
    const Prescan scan = Chain{bytes, {}}.scan();
    EXPECT_TRUE(scan.has(Kind::unusual_layout));
    EXPECT_FALSE(scan.readable());
}

TEST(PrescanBase, CutBetweenRecordsShowsAgainstDssi) {
    const std::string bytes = small_draft().bytes();
    const auto starts = boundaries(bytes);
    for (std::size_t i = 3; i < starts.size(); ++i) {
        const Prescan scan = Chain{bytes.substr(0, starts[i]), {}}.scan();
        EXPECT_TRUE(scan.has(Kind::fewer_records)) << i;
        EXPECT_TRUE(std::any_of(scan.faults.begin(), scan.faults.end(),
                                [](const CellFault& f) { return f.gravity == Gravity::untrusted; }));
    }
    const Prescan without_parameters = Chain{bytes.substr(0, starts[2]), {}}.scan();
    EXPECT_TRUE(without_parameters.has(Kind::missing_parameters));
    EXPECT_FALSE(without_parameters.readable());
}

TEST(PrescanBase, CutInsideARecordIsRefused) {
    const std::string bytes = small_draft().bytes();
    const auto starts = boundaries(bytes);
    for (std::size_t length = starts[1]; length < bytes.size(); ++length) {
        const bool between = std::find(starts.begin(), starts.end(), length) != starts.end();
        ASSERT_EQ((Chain{bytes.substr(0, length), {}}.scan().readable()), between && length >= starts[3])
            << length;
    }
}

TEST(PrescanBase, MoreRecordsThanStatedIsAWarning) {
    const std::string bytes = small_draft().bytes();
    SubfieldWriter id;
    id.b12(65535).b14(77).b12(1);
    const std::string more =
        bytes +
        data_record({{"0001", std::string("\x63\x00", 2)}, feature_name(77, 86, 1, 1), {"FOID", id.bytes()}});
    const Prescan scan = Chain{more, {}}.scan();
    ASSERT_TRUE(scan.has(Kind::more_records));
    EXPECT_EQ(scan.faults.size(), 1U);
    EXPECT_EQ(scan.faults[0].gravity, Gravity::warning);
}

TEST(PrescanBase, RepeatedIdentityAndDanglingPointerAreNotTrusted) {
    cellwriter::Cell cell = small_draft().compile();
    cell.features.push_back(cell.features.back());
    EXPECT_TRUE((Chain{cell.bytes(), {}}.scan().has(Kind::repeated_identity)));
    cell = small_draft().compile();
    cell.features[2].geometry[0].rcid = 4711;
    const Prescan scan = Chain{cell.bytes(), {}}.scan();
    ASSERT_TRUE(scan.has(Kind::dangling_pointer));
    EXPECT_EQ(scan.faults[0].gravity, Gravity::untrusted);
    EXPECT_NE(scan.faults[0].text.find("110/4711"), std::string::npos);
}

TEST(PrescanBase, ParametersAreChecked) {
    using Draft = cellwriter::CellDraft;
    const auto refused = [](Kind kind, const std::function<void(Draft&)>& change) {
        const Prescan scan = scan_with(change);
        EXPECT_TRUE(scan.has(kind));
        EXPECT_FALSE(scan.readable());
    };
    refused(Kind::coordinate_factor, [](Draft& d) { d.header.comf = 0; });
    refused(Kind::coordinate_factor, [](Draft& d) { d.header.comf = 1'000'000; });
    refused(Kind::sounding_factor, [](Draft& d) { d.header.somf = 100; });
    refused(Kind::horizontal_datum, [](Draft& d) { d.header.hdat = 1; });
    refused(Kind::coordinate_unit, [](Draft& d) { d.header.coun = 2; });
    for (const int duni : {0, 2, 4, 5})
        refused(Kind::depth_unit, [&](Draft& d) { d.header.duni = duni; });
    EXPECT_TRUE(scan_with([](Draft& d) { d.header.duni = 3; }).readable()); // feet are converted
    const Prescan other_name = scan_with([](Draft& d) { d.header.dsnm = "X14OTHER.000"; });
    EXPECT_TRUE(other_name.has(Kind::name_differs));
    EXPECT_TRUE(other_name.readable());
    EXPECT_TRUE(prescan("some/folder/x14test1.000", small_draft().bytes(), {}).faults.empty());
    EXPECT_TRUE(scan_with([](Draft& d) { d.header.edition = 0; }).cancelled);
}

TEST(PrescanUpdate, AGapStopsTheChain) {
    Chain chain = sound_chain();
    chain.updates.erase(chain.updates.begin());
    expect_stopped(chain.scan(), Kind::update_gap);
    chain = sound_chain();
    chain.updates[1].first = 3;
    const Prescan scan = chain.scan();
    EXPECT_TRUE(scan.has(Kind::update_gap));
    EXPECT_EQ(scan.updates_usable(), 1);
    EXPECT_EQ(scan.last_update, 1);
}

TEST(PrescanUpdate, FilesThatAreNoUpdateOfThisCell) {
    Chain chain = sound_chain();
    const std::string good = chain.updates[0].second;
    const auto with = [&](const std::string& bytes) {
        chain.updates = {{1, bytes}, {2, sound_chain().updates[1].second}};
        return chain.scan();
    };
    expect_stopped(with(""), Kind::empty_file);
    expect_stopped(with("random bytes, at least as many as a leader has"), Kind::not_iso8211);
    expect_stopped(with(chain.base), Kind::not_an_update);
    expect_stopped(with(good.substr(0, good.size() - 9)), Kind::broken_record);
    expect_stopped(with(good.substr(0, boundaries(good).back())), Kind::fewer_records);
    expect_stopped(with(good.substr(0, boundaries(good)[1])), Kind::missing_identification);
    EXPECT_EQ(with("").updates[1].reason.find("follows"), 0U);
}

TEST(PrescanUpdate, EditionNumberAndNameMustFit) {
    const auto with_header = [](const std::function<void(cellwriter::Header&)>& change) {
        return scan_update([&](cellwriter::UpdateDraft& u) {
            u.change(3, {{"VALSOU", "3.4"}});
            change(u.header);
        });
    };
    expect_stopped(with_header([](auto& h) { h.edition = 2; }), Kind::update_edition);
    expect_stopped(with_header([](auto& h) { h.update = 2; }), Kind::update_number);
    expect_stopped(with_header([](auto& h) { h.dsnm = "X14OTHER.001"; }), Kind::name_differs);
    const Prescan cancelled = with_header([](auto& h) { h.edition = 0; });
    expect_stopped(cancelled, Kind::cancelled);
    EXPECT_TRUE(cancelled.cancelled);
    // .002 holds what belongs into .001
    Chain chain = sound_chain();
    chain.updates[1].second = chain.updates[0].second;
    const Prescan scan = chain.scan();
    EXPECT_TRUE(scan.has(Kind::update_number));
    EXPECT_EQ(scan.updates_usable(), 1);
}

TEST(PrescanUpdate, RepeatedNumbers) {
    Chain chain = sound_chain();
    chain.updates.push_back(chain.updates[0]); // the same file found in two folders
    Prescan scan = chain.scan();
    EXPECT_TRUE(scan.has(Kind::update_repeated));
    EXPECT_EQ(scan.updates_usable(), 2);
    EXPECT_EQ(scan.usable, (std::vector<std::size_t>{0, 1}));
    chain.updates[2].second = chain.updates[1].second; // two different ones
    scan = chain.scan();
    EXPECT_TRUE(scan.has(Kind::update_repeated));
    EXPECT_EQ(scan.updates_usable(), 1);
}

TEST(PrescanUpdate, AReissuedBaseContainsTheOldOnes) {
    auto draft = small_draft();
    draft.header.update = 2;
    cellwriter::UpdateDraft third(draft.compile());
    third.change(3, {{"VALSOU", "3.4"}});
    Chain chain = sound_chain();
    chain.base = draft.bytes();
    Prescan scan = chain.scan();
    EXPECT_TRUE(scan.has(Kind::update_old));
    EXPECT_FALSE(scan.has(Kind::reissued));
    EXPECT_EQ(scan.updates_usable(), 0);
    EXPECT_EQ(scan.last_update, 2);
    chain.updates.emplace_back(3, third.bytes());
    scan = chain.scan();
    EXPECT_TRUE(scan.has(Kind::reissued));
    EXPECT_EQ(scan.usable, (std::vector<std::size_t>{2}));
    EXPECT_EQ(scan.last_update, 3);
    EXPECT_EQ(scan.find({65535, 3, 1})->presence(valsou), Presence::valued);
}

TEST(PrescanUpdate, InstructionsThatDoNotFitTheRecords) {
    using Update = cellwriter::UpdateDraft;
    SubfieldWriter id;
    id.b12(65535).b14(3).b12(1);
    const FieldContent foid{"FOID", id.bytes()};
    const auto with = [](std::vector<FieldContent> record) {
        return scan_update([&](Update& u) {
            u.change(3, {{"VALSOU", "3.4"}}); // must be taken back
            u.raw(record);
        });
    };
    expect_stopped(with({feature_name(4, 159, 1, 1), foid}), Kind::insert_existing);
    expect_stopped(with({feature_name(99, 159, 2, 2)}), Kind::change_missing);
    expect_stopped(with({feature_name(99, 159, 2, 3)}), Kind::change_missing);
    expect_stopped(with({feature_name(4, 159, 3, 3)}), Kind::version_jump);
    expect_stopped(with({feature_name(4, 159, 2, 4)}), Kind::instruction);
    expect_stopped(with({feature_name(4, 86, 2, 3)}), Kind::instruction);     // another class
    expect_stopped(with({feature_name(99, 159, 1, 1)}), Kind::broken_record); // no FOID
    expect_stopped(with({vector_name(130, 1, 1, 1)}), Kind::insert_existing);
    expect_stopped(with({vector_name(130, 99, 2, 2)}), Kind::change_missing);
    expect_stopped(with({vector_name(130, 1, 4, 3)}), Kind::version_jump);
    expect_stopped(with({vector_name(150, 1, 1, 1)}), Kind::broken_record);
}

TEST(PrescanUpdate, IndicesMustLieInsideTheRecord) {
    using Update = cellwriter::UpdateDraft;
    SubfieldWriter node;
    node.b11(110).b14(1).b11(255).b11(255).b11(255);
    const FieldContent pointer{"FSPT", node.bytes()};
    const auto feature = [&](FieldContent field, bool given) {
        std::vector<FieldContent> record{feature_name(4, 159, 2, 3), std::move(field)};
        if (given)
            record.push_back(pointer);
        return scan_update([&](Update& u) { u.raw(record); });
    };
    EXPECT_TRUE(feature(control("FSPC", 3, 1, 1), true).faults.empty());
    EXPECT_TRUE(feature(control("FSPC", 1, 2, 1), true).faults.empty());
    expect_stopped(feature(control("FSPC", 3, 2, 1), true), Kind::index_range);
    expect_stopped(feature(control("FSPC", 1, 3, 1), true), Kind::index_range);
    expect_stopped(feature(control("FSPC", 2, 1, 2), false), Kind::index_range);
    expect_stopped(feature(control("FSPC", 2, 0, 1), false), Kind::index_range);
    expect_stopped(feature(control("FSPC", 3, 1, 2), true), Kind::instruction);
    expect_stopped(feature(control("FSPC", 9, 1, 1), true), Kind::instruction);
    expect_stopped(feature(control("FFPC", 2, 1, 1), false), Kind::index_range);
    expect_stopped(scan_update([](Update& u) {
                       u.raw({vector_name(130, 1, 2, 3), control("VRPC", 2, 2, 2)});
                   }),
                   Kind::index_range);
    expect_stopped(scan_update([](Update& u) { u.delete_vertices(130, 1, 9, 1); }), Kind::index_range);
    expect_stopped(scan_update([](Update& u) { u.delete_vertices(110, 4, 3, 2); }), Kind::index_range);
    EXPECT_TRUE(scan_update([](Update& u) { u.delete_vertices(110, 4, 3, 1); }).faults.empty());
}

TEST(PrescanUpdate, VerticesWithoutControlFieldAreSaid) {
    const cellwriter::Cell cell = small_draft().compile();
    const auto straight = std::find_if(cell.vectors.begin(), cell.vectors.end(),
                                       [](const auto& v) { return v.rcnm == 130 && v.vertices.empty(); });
    ASSERT_NE(straight, cell.vectors.end());
    SubfieldWriter place;
    place.b24(460500000).b24(-279100000);
    const Prescan scan = scan_update([&](cellwriter::UpdateDraft& u) {
        u.raw({vector_name(130, straight->rcid, 2, 3), {"SG2D", place.bytes()}});
    });
    ASSERT_TRUE(scan.has(Kind::uncontrolled_vertices));
    EXPECT_EQ(scan.faults[0].gravity, Gravity::untrusted);
    EXPECT_EQ(scan.updates_usable(), 1);
}

TEST(PrescanUpdate, ADeletedNodeStillPointedToIsNotTrusted) {
    const Prescan scan = scan_update([](cellwriter::UpdateDraft& u) { u.raw({vector_name(110, 1, 2, 2)}); });
    EXPECT_TRUE(scan.has(Kind::dangling_pointer));
}

TEST(PrescanUpdate, RemovedAttributesAndNationalText) {
    auto draft = small_draft();
    draft.header.nall = 2;
    draft.add_point("LNDMRK", {-27.9, 46.01}, {{"OBJNAM", "Grå"}, {"NOBJNM", "Ğ"}});
    cellwriter::UpdateDraft update(draft.compile());
    update.change(4, {{"VALSOU", "", true}});
    const Prescan scan = Chain{draft.bytes(), {{1, update.bytes()}}}.scan();
    EXPECT_TRUE(scan.faults.empty()) << scan.faults[0].text;
    EXPECT_EQ(scan.find({65535, 4, 1})->presence(valsou), Presence::absent);
    const FeatureSummary* mark = scan.find({65535, 8, 1});
    ASSERT_NE(mark, nullptr);
    ASSERT_EQ(mark->attributes.size(), 2U);
    EXPECT_TRUE(mark->attributes[1].national);
    EXPECT_TRUE(mark->attributes[1].valued);
}

TEST(PrescanUpdate, DamagedBytesNeverRunAway) {
    const Chain clean = sound_chain();
    std::mt19937 random(57);
    int refused = 0;
    for (int round = 0; round < 2000; ++round) {
        Chain chain = clean;
        std::string& bytes =
            round % 3 == 0 ? chain.base : chain.updates[static_cast<std::size_t>(round % 2)].second;
        const int changes = 1 + static_cast<int>(random() % 3);
        for (int i = 0; i < changes; ++i)
            bytes[random() % bytes.size()] = static_cast<char>(random() % 256);
        if (random() % 5 == 0)
            bytes.resize(random() % bytes.size());
        const Prescan scan = chain.scan();
        EXPECT_LE(scan.updates_usable(), 2);
        refused += scan.faults.empty() ? 0 : 1;
    }
    EXPECT_GT(refused, 1000);
}

// NOAA cell US4MD81M, edition 31 with updates 1 to 3; counts measured with GDAL 3.6.2's linkage layers.
TEST(PrescanReal, CellWithThreeUpdates) {
    SKIP_WITHOUT_REAL_CELLS(folder);
    std::vector<std::string> bytes;
    std::vector<UpdateFile> files;
    for (int i = 0; i <= 3; ++i)
        bytes.push_back(support::read_file(*folder / "US4MD81M" / ("US4MD81M.00" + std::to_string(i))));
    for (int i = 1; i <= 3; ++i)
        files.push_back({"US4MD81M.00" + std::to_string(i), i, bytes[static_cast<std::size_t>(i)]});
    const Prescan scan = prescan("US4MD81M.000", bytes[0], files);
    EXPECT_TRUE(scan.faults.empty()) << scan.faults[0].text;
    EXPECT_EQ(scan.updates_usable(), 3);
    EXPECT_EQ(scan.last_issue, "20250923");
    EXPECT_EQ(scan.features.size(), 7339U);
    std::map<int, std::map<int, int>> quapos;
    std::map<int, int> count;
    std::map<Presence, int> depth;
    for (const FeatureSummary& feature : scan.features) {
        ++count[feature.objl];
        if (feature.worst_quapos != 0)
            ++quapos[feature.objl][feature.worst_quapos];
        if (feature.objl == 159)
            ++depth[feature.presence(valsou)];
    }
    EXPECT_EQ(count[159], 111);
    EXPECT_EQ(quapos[159], (std::map<int, int>{{4, 33}, {5, 3}, {8, 2}}));
    EXPECT_EQ(count[86], 219);
    EXPECT_EQ(quapos[86][4] + quapos[86][5] + quapos[86][8], 51);
    EXPECT_EQ(depth, (std::map<Presence, int>{
                         {Presence::absent, 6}, {Presence::empty, 46}, {Presence::valued, 59}}));

    std::mt19937 random(4);
    for (int round = 0; round < 40; ++round) {
        std::string broken = bytes[0].substr(0, 300000); // a part is as good and quicker
        for (int i = 0; i < 5; ++i)
            broken[random() % broken.size()] = static_cast<char>(random() % 256);
        EXPECT_FALSE(prescan("US4MD81M.000", broken, files).faults.empty());
    }
    for (int round = 0; round < 300; ++round) {
        std::string broken = bytes[1];
        broken[random() % broken.size()] = static_cast<char>(random() % 256);
        const std::string base = bytes[0].substr(0, 40000);
        EXPECT_LE(prescan("US4MD81M.000", base, {{"US4MD81M.001", 1, broken}}).updates_usable(), 1);
    }
}
