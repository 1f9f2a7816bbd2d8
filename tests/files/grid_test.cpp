// The same invented field (stream.cdl) through netCDF and through GRIB2 in both orders of messages.
#include <gtest/gtest.h>

#include "dangerline/base/error.hpp"
#include "dangerline/files/grid.hpp"
#include "support/support.hpp"

using namespace dangerline;

namespace {

const Instant first = start_of({2026, 7, 15});
// 16 bit packing of 2 m/s, and of 0.001 m/s steps.
constexpr double packed = 6e-4;

files::VectorGrid read(const std::string& name) {
    return files::read_vector_grid(support::testdata() / "files" / name, files::GridQuantity::stream);
}

} // namespace

class Grid : public testing::TestWithParam<const char*> {};

TEST_P(Grid, nodes_and_places_between_are_the_field) {
    const auto grid = read(GetParam());
    ASSERT_EQ(grid.times.size(), 2U);
    EXPECT_EQ(grid.times[0], first);
    EXPECT_EQ(grid.times[1], first + 6 * 3600.0);
    for (const double t : {0.0, 0.25, 0.5, 1.0})
        for (const double y : {0.0, 0.4, 1.0})
            for (const double x : {0.0, 1.5, 2.3, 3.0}) {
                const auto there = grid.value({-28.0 + 0.1 * x, 46.0 + 0.1 * y}, first + t * 6 * 3600.0);
                ASSERT_TRUE(there);
                EXPECT_NEAR(there->east, 0.1 * t + 0.2 * x + 0.3 * y, packed);
                EXPECT_NEAR(there->north, -0.2 * t + 0.05 * x * y, packed);
            }
    EXPECT_TRUE(grid.value({332.0, 46.0}, first)) << "the same place, a turn further";
}

TEST_P(Grid, what_is_missing_or_outside_is_nothing) {
    const auto grid = read(GetParam());
    EXPECT_FALSE(grid.value({-27.7, 46.2}, first));
    EXPECT_FALSE(grid.value({-27.75, 46.15}, first));
    EXPECT_TRUE(grid.value({-27.8, 46.15}, first)) << "the missing node has no weight there";
    EXPECT_FALSE(grid.value({-28.01, 46.1}, first));
    EXPECT_FALSE(grid.value({-27.9, 46.21}, first));
    EXPECT_FALSE(grid.value({-27.9, 46.1}, first - 1.0));
    EXPECT_FALSE(grid.value({-27.9, 46.1}, first + 6 * 3600.0 + 1.0));
}

INSTANTIATE_TEST_SUITE_P(Formats, Grid,
                         testing::Values("stream.nc", "stream_by_component.grib2", "stream_by_step.grib2"));

TEST(Grid, bad_files_are_refused) {
    const auto refused = [](const std::filesystem::path& path, files::GridQuantity quantity) {
        try {
            files::read_vector_grid(path, quantity);
        } catch (const Failure& failure) {
            return failure.complaint().what;
        }
        return std::string("taken");
    };
    using Q = files::GridQuantity;
    const auto stream = support::testdata() / "files/stream.nc";
    EXPECT_EQ(refused(stream, Q::wind), "no component to the east");
    EXPECT_NE(refused(stream.parent_path() / "none.nc", Q::stream).find("can't be read"), std::string::npos);
    const support::TemporaryFolder folder;
    EXPECT_NE(refused(folder.file("text.nc", "hello"), Q::stream).find("can't be read"), std::string::npos);
}
