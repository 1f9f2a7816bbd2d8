// The bottom of a window of 10 km against the bare GDAL loop, isobaths at 100 levels against the surfaces.
// Medians of seven, the window with most soundings in it.
#include "bench/bare_loop.hpp"

#include <algorithm>
#include <chrono>
#include <cstdio>
#include <functional>
#include <vector>

#include "dangerline/chart/cell.hpp"
#include "dangerline/seabed/window.hpp"

using namespace dangerline;

namespace {

double median_seconds(const std::function<void()>& work) {
    constexpr int rounds = 7;
    std::vector<double> seconds;
    for (int i = 0; i < rounds; ++i) {
        const auto begin = std::chrono::steady_clock::now();
        work();
        seconds.push_back(std::chrono::duration<double>(std::chrono::steady_clock::now() - begin).count());
    }
    std::sort(seconds.begin(), seconds.end());
    return seconds[rounds / 2];
}

/// The window around the sounding that has most others within 5 km to each side.
geo::Box busiest(const chart::Cell& cell) {
    constexpr double half_m = 5000.0;
    std::vector<geo::Point> soundings;
    for (const auto& f : cell.features)
        if (f.cls == "SOUNDG" && f.shape)
            soundings.insert(soundings.end(), f.shape->points().begin(), f.shape->points().end());
    geo::Box best;
    std::ptrdiff_t most = -1;
    for (const auto& p : soundings) {
        const geo::Box box = geo::Box{p.x, p.y, p.x, p.y}.grown(half_m);
        const auto count = std::count_if(soundings.begin(), soundings.end(), [&](const geo::Point& q) {
            return q.x >= box.min_x && q.x <= box.max_x && q.y >= box.min_y && q.y <= box.max_y;
        });
        if (count > most) {
            most = count;
            best = box;
        }
    }
    return best;
}

} // namespace

int main(int count, char** words) {
    const std::string path = words[count - 1];
    Diagnostics said;
    chart::Cell cell = chart::read_cell(chart::find_cells({path}).front(), said);
    chart::lay_out(cell, geo::Plane(*chart::middle_of(cell)), said);
    const geo::Box box = busiest(cell);
    std::vector<const chart::Feature*> areas;
    for (const auto& f : cell.features)
        if (seabed::range_of(f))
            areas.push_back(&f);
    std::vector<seabed::MadeSurface> made;
    const double bare = median_seconds([&] { bench::bare_loop(path); });
    const double surface = median_seconds([&] { made = seabed::Window(cell, {box}).make(areas); });
    std::size_t triangles = 0, refused = 0, corners = 0;
    for (const auto& m : made) {
        triangles += m.surface ? m.surface->triangles().size() : 0;
        refused += !m.why_not.empty();
    }
    const double isobaths = median_seconds([&] {
        corners = 0;
        for (const auto& m : made)
            if (m.surface)
                for (int level = 1; level <= 100; ++level)
                    corners += m.surface->no_deeper_than(level).points().size();
    });
    std::printf("bottom of a 10 km window       %8.1f ms   %zu triangles, %zu areas without; %.2f times the "
                "bare loop "
                "(at most 1)\n",
                surface * 1e3, triangles, refused, surface / bare);
    std::printf(
        "isobaths at 100 levels         %8.1f ms   %zu corners; %.2f times the triangulation (at most 2)\n",
        isobaths * 1e3, corners, isobaths / surface);
}
