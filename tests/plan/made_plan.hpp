// Plans written in a test, and what is said where one is refused.
#pragma once

#include <string>

#include <gtest/gtest.h>

#include "dangerline/base/error.hpp"
#include "dangerline/plan/plan.hpp"
#include "support/support.hpp"

namespace dangerline::made_plan {

inline plan::Plan read(const std::string& text) {
    const support::TemporaryFolder folder;
    return plan::read(folder.file("plan.toml", text));
}

/// The message; "taken" where nothing is wrong.
inline std::string refusal(const std::string& text) {
    try {
        read(text);
    } catch (const Failure& failure) {
        EXPECT_EQ(failure.fault(), Fault::plan);
        return failure.what();
    }
    return "taken";
}

/// What many tests begin with.
inline const std::string least = R"(zone = "Atlantic/Azores"
charts = ["chart"]
boat = { draught_m = 0.6, speed = "14 kn" }
tide = [{ kind = "fixed", height_m = 1.0, datum = 23 }]
)";

} // namespace dangerline::made_plan
