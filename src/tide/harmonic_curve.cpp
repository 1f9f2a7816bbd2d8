// Fills a curve from harmonic constants: yearly pieces, nodes by rotation instead of 37 cosines each.
#include <algorithm>
#include <array>
#include <cmath>
#include <numbers>

#include <fmt/format.h>

#include "dangerline/base/error.hpp"
#include "dangerline/tide/curve.hpp"

namespace dangerline::tide {

namespace {

constexpr double degree = std::numbers::pi / 180.0;
constexpr double step_s = 600.0;
/// Nodes between fresh cosines: keeps rounding of the rotation below 1e-12 m and the arrays in the first
/// cache.
constexpr std::size_t chunk = 2048;
/// Nodes reached from one start side by side: no value waits for its neighbour, so vector registers fill.
constexpr std::size_t block = 32;

struct Wave {
    Wave(double amplitude, double phase, double speed)
        : amplitude_m(amplitude), phase_deg(phase), speed_deg_per_hour(speed) {
        for (std::size_t l = 0; l < block; ++l) {
            turn_c[l] = std::cos(per_step() * static_cast<double>(l));
            turn_s[l] = std::sin(per_step() * static_cast<double>(l));
        }
    }
    double per_second() const { return speed_deg_per_hour * degree / 3600.0; }
    double per_step() const { return per_second() * step_s; }

    double amplitude_m, phase_deg, speed_deg_per_hour; // phase at the start of the year
    std::array<double, block> turn_c, turn_s;          // from a block's first node to each of its nodes
};

struct Chunk {
    std::array<double, chunk> height{};
    std::array<double, chunk> rate{};
};

void add_wave(const Wave& wave, double hours, Chunk& out) {
    const double start = (wave.phase_deg + std::fmod(wave.speed_deg_per_hour * hours, 360.0)) * degree;
    const double per_second = wave.per_second();
    const double block_c = std::cos(wave.per_step() * block), block_s = std::sin(wave.per_step() * block);
    double x = wave.amplitude_m * std::cos(start), y = wave.amplitude_m * std::sin(start);
    for (std::size_t i = 0; i < chunk; i += block) {
        double* height = out.height.data() + i;
        double* rate = out.rate.data() + i;
        for (std::size_t l = 0; l < block; ++l) {
            height[l] += x * wave.turn_c[l] - y * wave.turn_s[l];
            rate[l] -= per_second * (y * wave.turn_c[l] + x * wave.turn_s[l]);
        }
        const double next = x * block_c - y * block_s;
        y = y * block_c + x * block_s;
        x = next;
    }
}

Piece year_piece(const Constants& constants, double z0_m, int year, Instant from, Instant to) {
    const Instant begin = start_of({year, 1, 1});
    const auto first = static_cast<std::size_t>(std::max(0.0, std::floor((from - begin) / step_s)));
    const double year_end = (start_of({year + 1, 1, 1}) - begin) / step_s;
    const auto last =
        std::max(first + 1, static_cast<std::size_t>(std::min(year_end, std::ceil((to - begin) / step_s))));
    std::vector<Wave> waves;
    for (const auto& term : constants.terms) {
        const YearFactors y = year_factors(*term.constituent, year);
        waves.emplace_back(y.f * term.amplitude_m, y.v0_deg + y.u_deg - term.phase_deg,
                           term.constituent->speed_deg_per_hour);
    }
    const std::size_t count = last - first + 1;
    Piece piece{.start = begin + step_s * static_cast<double>(first), .step_s = step_s};
    piece.height_m.reserve(count);
    piece.rate_mps.reserve(count);
    for (std::size_t done = 0; done < count; done += chunk) {
        Chunk nodes;
        nodes.height.fill(z0_m);
        for (const auto& wave : waves)
            add_wave(wave, static_cast<double>(first + done) * (step_s / 3600.0), nodes);
        const auto use = static_cast<std::ptrdiff_t>(std::min(chunk, count - done));
        piece.height_m.insert(piece.height_m.end(), nodes.height.begin(), nodes.height.begin() + use);
        piece.rate_mps.insert(piece.rate_mps.end(), nodes.rate.begin(), nodes.rate.begin() + use);
    }
    return piece;
}

} // namespace

Curve Curve::harmonic(const Constants& constants, double z0_m, Instant from, Instant to) {
    const int first = day_of(from).year, last = day_of(to).year;
    if (!(from <= to) || first < 1900 || last > 2100)
        throw Failure(Fault::plan, {.file = constants.source,
                                    .what = fmt::format("no tide can be reckoned from {} to {}",
                                                        to_iso_utc(from), to_iso_utc(to)),
                                    .expected = "a start before the end, both within 1900 to 2100"});
    std::vector<Piece> pieces;
    for (int year = first; year <= last; ++year) {
        if (year > first && start_of({year, 1, 1}) == to)
            break; // the span ends with the old year's last node
        pieces.push_back(year_piece(constants, z0_m, year, from, to));
    }
    return from_pieces(std::move(pieces), from, to,
                       fmt::format("harmonic constants of {}", constants.source));
}

} // namespace dangerline::tide
