#include "dangerline/files/gdal_quiet.hpp"

#include <cpl_error.h>
#include <gdal.h>
#include <gtest/gtest.h>
#include <set>
#include <string>
#include <thread>

namespace dangerline::files {
namespace {

TEST(GdalQuiet, MessagesAreCaughtAndNotPrinted) {
    testing::internal::CaptureStderr();
    GdalMessages messages;
    CPLError(CE_Warning, CPLE_AppDefined, "odd\nthing.");
    CPLError(CE_Failure, CPLE_OpenFailed, "bad thing");
    CPLError(CE_Failure, CPLE_OpenFailed, "bad thing");
    EXPECT_EQ(testing::internal::GetCapturedStderr(), "");
    ASSERT_EQ(messages.messages().size(), 2U);
    EXPECT_EQ(messages.text(), "odd thing; bad thing");
    EXPECT_FALSE(messages.messages()[0].failure);
    EXPECT_TRUE(messages.failed());
    EXPECT_EQ(messages.messages()[1].number, CPLE_OpenFailed);
}

TEST(GdalQuiet, TheInnermostCollectorGetsTheMessage) {
    GdalMessages outer;
    {
        GdalMessages inner;
        CPLError(CE_Warning, CPLE_AppDefined, "inside");
        EXPECT_EQ(inner.text(), "inside");
        EXPECT_FALSE(inner.failed());
    }
    CPLError(CE_Warning, CPLE_AppDefined, "outside");
    EXPECT_EQ(outer.text(), "outside");
}

TEST(GdalQuiet, MessagesOfAnotherThreadStayThere) {
    GdalMessages here;
    std::string there;
    std::thread([&] {
        GdalMessages messages;
        CPLError(CE_Failure, CPLE_AppDefined, "over there");
        there = messages.text();
    }).join();
    EXPECT_EQ(there, "over there");
    EXPECT_TRUE(here.empty());
}

TEST(GdalQuiet, MessagesBecomeDiagnostics) {
    GdalMessages messages;
    CPLError(CE_Warning, CPLE_AppDefined, "odd");
    CPLError(CE_Failure, CPLE_AppDefined, "bad");
    Diagnostics diagnostics;
    messages.move_to(diagnostics, "a.000", "record 7");
    ASSERT_EQ(diagnostics.size(), 2U);
    EXPECT_EQ(diagnostics[0].severity, Severity::warning);
    EXPECT_EQ(diagnostics[1].severity, Severity::broken);
    EXPECT_EQ(diagnostics[1].file, "a.000");
    EXPECT_EQ(diagnostics[1].object, "record 7");
    EXPECT_EQ(diagnostics[1].what, "bad");
    EXPECT_TRUE(messages.empty());
}

TEST(GdalQuiet, OnlyTheDriversInUseAreRegistered) {
    register_drivers();
    register_drivers();
    std::set<std::string> names;
    for (int i = 0; i < GDALGetDriverCount(); ++i)
        names.insert(GDALGetDriverShortName(GDALGetDriver(i)));
    EXPECT_EQ(names, (std::set<std::string>{"GPX", "GeoJSON", "S57"}));
}

} // namespace
} // namespace dangerline::files
