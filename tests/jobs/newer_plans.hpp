// Plans with newer data, and what is asked of their outcomes.
#pragma once

#include <algorithm>
#include <cmath>
#include <set>
#include <sstream>

#include <fmt/format.h>
#include <fmt/ranges.h>
#include <gtest/gtest.h>

#include "cellwriter/cell_text.hpp"
#include "dangerline/base/error.hpp"
#include "dangerline/jobs/compare.hpp"
#include "dangerline/jobs/season.hpp"
#include "dangerline/jobs/zones.hpp"
#include "support/support.hpp"

namespace dangerline::newer_plans {

using jobs::NewerChange;
using survey::Change;

inline std::string demo(const std::string& name) {
    return (support::testdata() / "demo" / name).string();
}

/// The club's plan with the files of the demo by full path, and texts replaced.
inline std::filesystem::path club(const support::TemporaryFolder& folder,
                                  const std::vector<std::pair<std::string, std::string>>& changes = {}) {
    std::string text = support::read_file(demo("club.toml"));
    for (const auto& [from, to] : changes) {
        const auto at = text.find(from);
        EXPECT_NE(at, std::string::npos) << from;
        if (at != std::string::npos)
            text.replace(at, from.size(), to);
    }
    for (const std::string name : {"X14DEMO1.000", "X13DEMO2.000", "tide.csv", "routes.gpx", "newer.geojson",
                                   "tried.gpx", "tried.csv"})
        for (auto at = text.find("\"" + name); at != std::string::npos; at = text.find("\"" + name, at + 1))
            text.replace(at + 1, name.size(), demo(name));
    return folder.file("club.toml", text);
}

inline std::vector<const NewerChange*> of(const jobs::NewerOutcome& outcome, Change change) {
    std::vector<const NewerChange*> out;
    for (const auto& one : outcome.changes)
        if (one.difference.change == change)
            out.push_back(&one);
    return out;
}

inline const NewerChange* named(const jobs::NewerOutcome& outcome, Change change, const std::string& name) {
    for (const auto* one : of(outcome, change))
        if (one->newer.name == name)
            return one;
    return nullptr;
}

inline std::string failure_of(const std::filesystem::path& plan, Fault fault) {
    try {
        jobs::run_compare(plan::read(plan));
    } catch (const Failure& failure) {
        EXPECT_EQ(failure.fault(), fault) << failure.what();
        return failure.what();
    }
    return "nothing";
}

inline const passage::Finding* finding_of(const jobs::PassageReport& report, const std::string& name) {
    for (const auto& f : report.routes.at(0).check.findings)
        if (f.object.name == name)
            return &f;
    return nullptr;
}

inline std::string counted(const Diagnostics& said) {
    for (const auto& d : said)
        if (d.what.find("differences from the charts near the routes") != std::string::npos)
            return d.what;
    return "nothing";
}

} // namespace dangerline::newer_plans
