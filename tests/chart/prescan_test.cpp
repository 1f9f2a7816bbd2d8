// The pre-scan of bases: sound cells, every fault it names, and a real cell where one is at hand.
#include "chart/prescan_cells.hpp"

using namespace dangerline::chart;
using namespace prescan_cells;

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
