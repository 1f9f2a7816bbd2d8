// Many steps lie over each other: of those that one tide decides, the highest critical tide of a place
// counts.
#include <algorithm>
#include <map>
#include <set>
#include <tuple>

#include "passage/conditions.hpp"

namespace dangerline::passage {

namespace {

/// The higher level first; of equal ones the longer.
struct HighestFirst {
    const std::vector<Condition>* all;
    bool operator()(std::size_t a, std::size_t b) const {
        const auto key = [this](std::size_t i) {
            const Condition& c = (*all)[i];
            return std::tuple(-c.level_m, c.span.from - c.span.to, i);
        };
        return key(a) < key(b);
    }
};

/// The upper outline of the levels over the path.
void outline(const std::vector<Condition>& all, const std::vector<std::size_t>& members,
             std::vector<Condition>& out) {
    struct Edge {
        double at;
        bool begins;
        std::size_t which;
    };
    std::vector<Edge> edges;
    for (const std::size_t i : members)
        if (all[i].span.from < all[i].span.to) {
            edges.push_back({all[i].span.from, true, i});
            edges.push_back({all[i].span.to, false, i});
        } else {
            out.push_back(all[i]); // a mere touch
        }
    std::sort(edges.begin(), edges.end(), [](const Edge& a, const Edge& b) { return a.at < b.at; });
    std::set<std::size_t, HighestFirst> active(HighestFirst{&all});
    const std::size_t none = all.size();
    std::size_t top = none;
    for (std::size_t e = 0; e < edges.size();) {
        const double at = edges[e].at;
        for (; e < edges.size() && edges[e].at == at; ++e)
            if (edges[e].begins)
                active.insert(edges[e].which);
            else
                active.erase(edges[e].which);
        const std::size_t now = active.empty() ? none : *active.begin();
        if (now == top)
            continue;
        if (top != none)
            out.back().span.to = at;
        if (now != none) {
            out.push_back(all[now]);
            out.back().span.from = at;
        }
        top = now;
    }
}

} // namespace

std::vector<Condition> without_hidden(const std::vector<Condition>& all) {
    std::vector<Condition> out;
    std::map<std::tuple<std::size_t, std::size_t, bool>, std::vector<std::size_t>> alike;
    for (std::size_t i = 0; i < all.size(); ++i)
        if (all[i].when == Condition::When::below)
            alike[{all[i].source, all[i].landing, all[i].charted}].push_back(i);
        else
            out.push_back(all[i]);
    for (const auto& [key, members] : alike)
        outline(all, members, out);
    return out;
}

} // namespace dangerline::passage
