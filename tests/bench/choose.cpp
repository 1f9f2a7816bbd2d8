// Choosing among 200 cells by coverage against reading three of them.
//
//   choose [CELL]     with cells of about 250 kB made here, or with a real one 200 times
#include "dangerline/chart/sources.hpp"

#include "cellwriter/cellwriter.hpp"

#include <algorithm>
#include <chrono>
#include <cmath>
#include <cstdio>
#include <filesystem>
#include <fstream>
#include <functional>
#include <string>
#include <vector>

#include <unistd.h>

using namespace dangerline;
namespace fs = std::filesystem;

namespace {

constexpr int cells = 200, across = 20, rounds = 7;

double median_seconds(const std::function<void()>& work) {
    std::vector<double> seconds;
    for (int i = 0; i < rounds; ++i) {
        const auto begin = std::chrono::steady_clock::now();
        work();
        seconds.push_back(std::chrono::duration<double>(std::chrono::steady_clock::now() - begin).count());
    }
    std::sort(seconds.begin(), seconds.end());
    return seconds[rounds / 2];
}

std::string name_of(int i) {
    return "X14B" + std::to_string(1000 + i);
}

/// A cell of 0.1 degrees with wavy depth areas and a field of soundings.
std::string made(int i) {
    const double west = -28.0 + 0.1 * (i % across), south = 46.0 + 0.1 * (i / across);
    cellwriter::CellDraft d;
    d.header.dsnm = name_of(i) + ".000";
    const auto line = [&](int k) {
        cellwriter::Ring ring;
        for (int n = 0; n <= 600; ++n)
            ring.push_back({west + 0.1 * n / 600.0,
                            south + 0.1 * k / 8.0 + (k % 8 == 0 ? 0.0 : 0.004 * std::sin(n / 9.0 + k))});
        return ring;
    };
    d.add_area("M_COVR",
               {{{west, south}, {west + 0.1, south}, {west + 0.1, south + 0.1}, {west, south + 0.1}}},
               {{"CATCOV", "1"}});
    for (int k = 0; k < 8; ++k) {
        cellwriter::Ring ring = line(k), upper = line(k + 1);
        ring.insert(ring.end(), upper.rbegin(), upper.rend());
        d.add_area("DEPARE", {ring},
                   {{"DRVAL1", std::to_string(2 * k)}, {"DRVAL2", std::to_string(2 * k + 2)}});
    }
    std::vector<cellwriter::Sounding> soundings;
    for (int n = 0; n < 10'000; ++n)
        soundings.push_back({{west + 0.001 * (n % 100), south + 0.001 * (n / 100)}, 3.0 + n % 7});
    for (int n = 0; n < 50; ++n)
        d.add_soundings({soundings.begin() + 200 * n, soundings.begin() + 200 * (n + 1)});
    for (int n = 0; n < 300; ++n)
        d.add_point("WRECKS", {west + 0.0003 * n, south + 0.05}, {{"VALSOU", "3"}, {"WATLEV", "3"}});
    return d.bytes();
}

} // namespace

int main(int argc, char** argv) {
    const fs::path folder = fs::temp_directory_path() / ("dangerline-choose-" + std::to_string(getpid()));
    fs::create_directories(folder);
    std::uintmax_t bytes = 0;
    for (int i = 0; i < cells; ++i) {
        const fs::path file = folder / (name_of(i) + ".000");
        if (argc > 1)
            i == 0 ? fs::copy(argv[1], file) : fs::create_hard_link(folder / (name_of(0) + ".000"), file);
        else
            std::ofstream(file, std::ios::binary) << made(i);
        bytes += fs::file_size(file);
    }
    Diagnostics said;
    const auto all = chart::find_sources({folder}, said);
    std::vector<geo::Position> route{{-27.55, 46.05}, {-27.25, 46.05}};
    std::size_t kept = 0;
    const double find = median_seconds([&] { chart::find_sources({folder}, said); });
    const double choose = median_seconds([&] {
        auto found = all;
        chart::choose_cells(found, chart::boxes_along(route, 3.0 * 1852.0), said);
        kept = found.cells.size();
    });
    const double read = median_seconds([&] {
        for (std::size_t i = 0; i < 3; ++i)
            chart::read_found_cell(all.cells[argc > 1 ? 0 : i], said);
    });
    std::printf("%d cells, %.1f MB; found in %.1f ms; %zu chosen by coverage in %.1f ms\n", cells,
                static_cast<double>(bytes) / 1e6, find * 1e3, kept, choose * 1e3);
    std::printf("reading three %.1f ms; choosing costs %.2f times that (less than 1)\n", read * 1e3,
                choose / read);
    fs::remove_all(folder);
    return 0;
}
