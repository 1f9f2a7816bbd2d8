// The demo's plan of drift with something changed.
#pragma once

#include <fstream>
#include <iterator>
#include <stdexcept>
#include <string>

#include "dangerline/plan/plan.hpp"
#include "support/support.hpp"

namespace dangerline::drift_plans {

inline const std::string moving_combs = R"(
[[moving]]
name = "The Combs"
kind = "bank"
m_per_year = 30
area = [[-27.91, 46.06], [-27.889, 46.06], [-27.889, 46.08], [-27.91, 46.08]]

[[mark]])";

inline std::string demo_text() {
    std::ifstream in(support::testdata() / "demo/drift.toml");
    return {std::istreambuf_iterator<char>(in), {}};
}

/// The demo's plan with one text in place of another, in a folder of its own.
inline plan::Plan changed(const std::string& from, const std::string& to) {
    const std::string demo = (support::testdata() / "demo").string() + "/";
    std::string text = demo_text();
    const auto replace = [&](const std::string& a, const std::string& b) {
        const auto at = text.find(a);
        if (at == std::string::npos)
            throw std::out_of_range(a);
        text.replace(at, a.size(), b);
    };
    if (!from.empty())
        replace(from, to);
    replace("\"X14DEMO1.000\", \"X13DEMO2.000\"",
            "\"" + demo + "X14DEMO1.000\", \"" + demo + "X13DEMO2.000\"");
    replace("\"tide.csv\"", "\"" + demo + "tide.csv\"");
    replace("\"routes.gpx\"", "\"" + demo + "routes.gpx\"");
    const support::TemporaryFolder folder;
    return plan::read(folder.file("plan.toml", text));
}

} // namespace dangerline::drift_plans
