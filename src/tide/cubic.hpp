// One stretch of a curve between two nodes.
#pragma once

#include <algorithm>
#include <array>
#include <cmath>
#include <cstddef>

namespace dangerline::tide {

/// The cubic over u in [0, 1] with end values h0, h1 and end slopes m0, m1 (metres per unit of u).
struct Cubic {
    double h0, h1, m0, m1;

    double c2() const { return 3.0 * (h1 - h0) - 2.0 * m0 - m1; }
    double c3() const { return m0 + m1 - 2.0 * (h1 - h0); }

    double value(double u) const {
        // The end itself, so that neighbours agree to the last bit.
        return u == 1.0 ? h1 : h0 + u * (m0 + u * (c2() + u * c3()));
    }
    double slope(double u) const { return m0 + u * (2.0 * c2() + u * 3.0 * c3()); }

    /// The curve lies within the hull of its Bernstein coefficients.
    double floor() const { return std::min({h0, h1, h0 + m0 / 3.0, h1 - m1 / 3.0}); }
    double ceiling() const { return std::max({h0, h1, h0 + m0 / 3.0, h1 - m1 / 3.0}); }
};

/// Ascending places that cut [from, to] into parts on which the cubic only rises, only falls or is level.
struct Cuts {
    std::array<double, 4> u{};
    std::size_t count = 0;
};

inline Cuts monotone_cuts(const Cubic& cubic, double from, double to) {
    Cuts cuts;
    const auto add = [&](double u) { cuts.u[cuts.count++] = u; };
    const double a = 3.0 * cubic.c3(), b = 2.0 * cubic.c2(), c = cubic.m0;
    const double inside = b * b - 4.0 * a * c;
    add(from);
    if (inside > 0.0) {
        // The larger root first by addition of like signs; the other by division: no cancellation.
        const double q = -0.5 * (b + std::copysign(std::sqrt(inside), b));
        double first = a != 0.0 ? q / a : from, second = q != 0.0 ? c / q : from;
        if (first > second)
            std::swap(first, second);
        for (const double u : {first, second})
            if (u > cuts.u[cuts.count - 1] && u < to)
                add(u);
    }
    add(to);
    return cuts;
}

/// Where a cubic that is monotone on [from, to] takes `level`, which lies between its end values. Newton's
/// steps, which take a few; bisection where they leave the bracket or do not come to rest, since slopes may
/// vanish at the ends.
inline double crossing(const Cubic& cubic, double level, double from, double to) {
    constexpr double rest = 1.0 / (1LL << 45); // of a node interval: far below a microsecond
    constexpr int most = 8;
    const bool rising = cubic.value(to) > cubic.value(from);
    const auto narrow = [&](double u, double over) { ((over < 0.0) == rising ? from : to) = u; };
    double u = 0.5 * (from + to);
    for (int i = 0; i < most; ++i) {
        const double over = cubic.value(u) - level;
        narrow(u, over);
        const double next = u - over / cubic.slope(u);
        if (!(next > from && next < to))
            break;
        if (std::abs(next - u) <= rest)
            return next;
        u = next;
    }
    while (to - from > rest) {
        u = 0.5 * (from + to);
        narrow(u, cubic.value(u) - level);
    }
    return 0.5 * (from + to);
}

} // namespace dangerline::tide
