// A good plan, ways to spoil it, and what must be said about each.
#pragma once

#include <filesystem>
#include <optional>
#include <string>
#include <vector>

#include <gtest/gtest.h>

#include "dangerline/base/error.hpp"
#include "dangerline/plan/plan.hpp"
#include "support/support.hpp"

namespace spoiled {

using namespace dangerline;

inline const std::string good = R"(zone = "Atlantic/Azores"
charts = ["chart"]

[boat]
draught_m = 0.6
speed = "14 kn"

[water]
wind = "SW 20 kn"
[[tide]]
position = [-27.93, 46.08]
kind = "harmonic"
constants = "tide.csv"
mean_level_m = 2.6
datum = 23
[[tide.link]]
code = 17
below_m = 0.3

[[route]]
file = "routes.gpx"
half_width = 50
depart = "2026-06-12 06:30"
)";

struct Spoiled {
    const char* from; ///< replaced once by `to`
    const char* to;
    const char* object;            ///< of the complaint, whole
    std::vector<const char*> said; ///< in the message
};

inline std::string spoil(const Spoiled& row) {
    std::string text = good;
    const auto at = text.find(row.from);
    EXPECT_NE(at, std::string::npos) << "the row itself is wrong: " << row.from;
    return at == std::string::npos ? text : text.replace(at, std::string(row.from).size(), row.to);
}

inline std::optional<Failure> failure_of(const std::filesystem::path& file) {
    try {
        plan::read(file);
    } catch (const Failure& failure) {
        return failure;
    }
    return std::nullopt;
}

inline void expect_refused(const std::vector<Spoiled>& rows) {
    const support::TemporaryFolder folder;
    ASSERT_FALSE(failure_of(folder.file("plan.toml", good))) << "the plan to be spoiled must be good";
    for (const Spoiled& row : rows) {
        SCOPED_TRACE(row.to);
        const auto file = folder.file("plan.toml", spoil(row));
        const auto failure = failure_of(file);
        if (!failure) {
            ADD_FAILURE() << "nothing was said";
            continue;
        }
        EXPECT_EQ(failure->fault(), Fault::plan);
        EXPECT_EQ(failure->complaint().file, file.string());
        EXPECT_EQ(failure->complaint().object, row.object);
        for (const char* words : row.said)
            EXPECT_NE(std::string(failure->what()).find(words), std::string::npos)
                << "no \"" << words << "\" in: " << failure->what();
    }
}

} // namespace spoiled
