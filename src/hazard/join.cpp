#include "dangerline/hazard/join.hpp"

#include "dangerline/geo/regions.hpp"

#include <algorithm>
#include <map>
#include <tuple>

namespace dangerline::hazard {

namespace {

bool same_but_for_the_shape(const Step& a, const Step& b) {
    return a.in_force == b.in_force && a.decides == b.decides && a.cause == b.cause && a.depth == b.depth &&
           a.depth_known == b.depth_known && a.clearance_m == b.clearance_m && a.within_m == b.within_m &&
           a.extent->kind() == b.extent->kind();
}

bool same_points(const geo::Shape& a, const geo::Shape& b) {
    return std::equal(a.points().begin(), a.points().end(), b.points().begin(), b.points().end());
}

bool joinable(const Hazard& a, const Hazard& b) {
    // Soundings of one group share its name: what two cells show is one only where it stands in one place.
    const bool elsewhere =
        a.object.cls == "SOUNDG" && !same_points(*a.steps.front().extent, *b.steps.front().extent);
    return a.cell != b.cell && !elsewhere && a.datum == b.datum && a.category == b.category &&
           a.mark == b.mark && a.between == b.between &&
           std::equal(a.steps.begin(), a.steps.end(), b.steps.begin(), b.steps.end(), same_but_for_the_shape);
}

std::shared_ptr<const geo::Shape> together(const std::shared_ptr<const geo::Shape>& a,
                                           const std::shared_ptr<const geo::Shape>& b) {
    if (same_points(*a, *b))
        return a;
    switch (a->kind()) {
    case geo::ShapeKind::area: // side by side would cancel where they overlap (even-odd)
        return std::make_shared<const geo::Shape>(geo::to_shape(geo::united({a.get(), b.get()})));
    case geo::ShapeKind::points: {
        std::vector<geo::Point> points(a->points().begin(), a->points().end());
        points.insert(points.end(), b->points().begin(), b->points().end());
        return std::make_shared<const geo::Shape>(geo::Shape::of_points(std::move(points)));
    }
    case geo::ShapeKind::lines:
        break;
    }
    std::vector<std::vector<geo::Point>> chains;
    for (const auto* shape : {a.get(), b.get()})
        for (std::size_t i = 0; i < shape->part_count(); ++i)
            chains.emplace_back(shape->part(i).begin(), shape->part(i).end());
    return std::make_shared<const geo::Shape>(geo::Shape::of_lines(chains));
}

geo::Box around(const geo::Box& a, const geo::Box& b) {
    return {std::min(a.min_x, b.min_x), std::min(a.min_y, b.min_y), std::max(a.max_x, b.max_x),
            std::max(a.max_y, b.max_y)};
}

survey::Allowance worst(survey::Allowance a, const survey::Allowance& b) {
    a.position_m = std::max(a.position_m, b.position_m);
    a.survey_m = std::max(a.survey_m, b.survey_m);
    a.souacc_m = std::max(a.souacc_m, b.souacc_m);
    a.depth.a_m = std::max(a.depth.a_m, b.depth.a_m);
    a.depth.b = std::max(a.depth.b, b.depth.b);
    a.catzoc = survey::worse_zone(a.catzoc, b.catzoc);
    a.at_least = a.at_least || b.at_least;
    return a;
}

void take_in(Hazard& into, const Hazard& other) {
    std::map<std::pair<const geo::Shape*, const geo::Shape*>, std::shared_ptr<const geo::Shape>> done;
    for (std::size_t i = 0; i < into.steps.size(); ++i) {
        // Steps of one hazard mostly share one shape: unite it once.
        auto& joined = done[{into.steps[i].extent.get(), other.steps[i].extent.get()}];
        if (!joined)
            joined = together(into.steps[i].extent, other.steps[i].extent);
    }
    for (std::size_t i = 0; i < into.steps.size(); ++i)
        into.steps[i].extent = done.at({into.steps[i].extent.get(), other.steps[i].extent.get()});
    into.box = around(into.box, other.box);
    into.allowance = worst(into.allowance, other.allowance);
    if (into.object.name.empty())
        into.object.name = other.object.name;
}

} // namespace

void join_split_objects(std::vector<Hazard>& hazards, const std::vector<CellRef>& cells) {
    if (cells.size() < 2)
        return;
    using Key = std::tuple<std::string, std::string, Kind, int>;
    std::map<Key, std::vector<std::size_t>> first;
    std::vector<bool> gone(hazards.size(), false);
    for (std::size_t i = 0; i < hazards.size(); ++i) {
        const auto& h = hazards[i];
        if (h.object.lnam.size() != 16 || h.object.lnam.starts_with("0000") || h.steps.empty())
            continue;
        auto& known = first[{h.object.lnam, h.object.cls, h.kind, cells.at(h.cell).scale}];
        const auto match =
            std::find_if(known.begin(), known.end(), [&](std::size_t k) { return joinable(hazards[k], h); });
        if (match == known.end()) {
            known.push_back(i);
            continue;
        }
        take_in(hazards[*match], h);
        gone[i] = true;
    }
    std::size_t kept = 0;
    for (std::size_t i = 0; i < hazards.size(); ++i)
        if (!gone[i]) {
            if (kept != i)
                hazards[kept] = std::move(hazards[i]);
            ++kept;
        }
    hazards.resize(kept);
}

void join_split_zones(std::vector<survey::QualityZone>& zones, const std::vector<CellRef>& cells) {
    const auto scale_of = [&](const survey::QualityZone& zone) {
        const auto at =
            std::find_if(cells.begin(), cells.end(), [&](const CellRef& c) { return c.name == zone.cell; });
        return at == cells.end() ? 0 : at->scale;
    };
    const auto same = [&](const survey::QualityZone& a, const survey::QualityZone& b) {
        return a.cell != b.cell && a.lnam == b.lnam && !a.lnam.starts_with("0000") && a.catzoc == b.catzoc &&
               a.facts == b.facts && a.years.first == b.years.first && a.years.last == b.years.last &&
               scale_of(a) == scale_of(b);
    };
    std::vector<survey::QualityZone> joined;
    for (auto& zone : zones) {
        const auto match =
            std::find_if(joined.begin(), joined.end(), [&](const auto& z) { return same(z, zone); });
        if (match == joined.end())
            joined.push_back(std::move(zone));
        else
            match->shape = together(match->shape, zone.shape);
    }
    zones = std::move(joined);
}

} // namespace dangerline::hazard
