// The pre-scan of updates: every fault it names, and mutations.
#include "chart/prescan_cells.hpp"

using namespace dangerline::chart;
using namespace prescan_cells;

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
