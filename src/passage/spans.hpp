// Small set arithmetic on spans of the path.
#pragma once

#include <algorithm>
#include <vector>

#include "dangerline/geo/reach.hpp"

namespace dangerline::passage {

using Spans = std::vector<geo::Span>;

inline void clip_into(const Spans& from, geo::Span window, Spans& out) {
    for (const auto& s : from)
        if (s.to >= window.from && s.from <= window.to)
            out.push_back({std::max(s.from, window.from), std::min(s.to, window.to)});
}

/// What two joined lists share; touching ends count.
inline Spans common(const Spans& a, const Spans& b) {
    Spans out;
    for (const auto& s : a)
        clip_into(b, s, out);
    geo::join(out);
    return out;
}

/// a without b (both joined).
inline Spans without(const Spans& a, const Spans& b) {
    Spans out;
    for (const auto& s : a)
        for (const auto& rest : geo::remainder(s, b))
            if (rest.to > rest.from)
                out.push_back(rest);
    return out;
}

inline double length_of(const Spans& spans) {
    double sum = 0.0;
    for (const auto& s : spans)
        sum += s.to - s.from;
    return sum;
}

} // namespace dangerline::passage
