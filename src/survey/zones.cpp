#include "dangerline/survey/zones.hpp"

#include "dangerline/survey/allowance.hpp"
#include "dangerline/survey/standards.hpp"

#include <algorithm>
#include <charconv>

#include <fmt/format.h>

namespace dangerline::survey {

namespace {

constexpr double near_m = 1.0; // edges that zones share are cut at different places

/// Whether corners of the box lie on both sides of the line through two points, or on it.
bool line_meets(const geo::Point& a, const geo::Point& b, const geo::Box& box) {
    const auto side = [&](double x, double y) { return (b.x - a.x) * (y - a.y) - (b.y - a.y) * (x - a.x); };
    const double corners[] = {side(box.min_x, box.min_y), side(box.max_x, box.min_y),
                              side(box.max_x, box.max_y), side(box.min_x, box.max_y)};
    const auto [least, most] = std::minmax_element(std::begin(corners), std::end(corners));
    return *least <= 0.0 && *most >= 0.0;
}

/// Whether an edge of the run meets the box. The bounds of a run will not do: those of the edge
/// of a hole hold all that lies in the hole.
bool any_edge_meets(const geo::Shape& shape, const geo::Shape::Run& run, const geo::Box& box) {
    const auto& points = shape.points();
    for (auto i = run.first; i <= run.last; ++i) {
        const auto &a = points[i], &b = points[std::min(i + 1, run.last)];
        const geo::Box edge{std::min(a.x, b.x), std::min(a.y, b.y), std::max(a.x, b.x), std::max(a.y, b.y)};
        if (edge.meets(box) && line_meets(a, b, box))
            return true;
    }
    return false;
}

} // namespace

std::optional<int> year_of(std::string_view date) {
    if (date.size() != 4 && date.size() != 6 && date.size() != 8)
        return std::nullopt;
    if (!std::all_of(date.begin(), date.end(), [](char c) { return c >= '0' && c <= '9'; }))
        return std::nullopt;
    int year = 0, month = 1, day = 1;
    std::from_chars(date.data(), date.data() + 4, year);
    if (date.size() >= 6)
        std::from_chars(date.data() + 4, date.data() + 6, month);
    if (date.size() == 8)
        std::from_chars(date.data() + 6, date.data() + 8, day);
    if (year < 1600 || year > 2100 || month < 1 || month > 12 || day < 1 || day > 31)
        return std::nullopt;
    return year;
}

std::string describe(const QualityZone& zone) {
    const auto& row = zone_of_confidence(zone.catzoc);
    std::string text =
        fmt::format("{} ({})", row.survey, row.code == 0 ? "no CATZOC" : fmt::format("CATZOC {}", row.name));
    const auto& y = zone.years;
    if (y.first && y.last && *y.first != *y.last) {
        const bool same_century = *y.first / 100 == *y.last / 100;
        text += same_century ? fmt::format(" of {}–{:02}", *y.first, *y.last % 100)
                             : fmt::format(" of {}–{}", *y.first, *y.last);
    } else if (y.first) {
        text += fmt::format(" of {}", *y.first);
    } else if (y.last) {
        text += fmt::format(" ended {}, begun at an unknown date", *y.last);
    } else {
        text += ", undated";
    }
    return text;
}

QualityZones::QualityZones(const chart::Cell& cell) {
    std::vector<geo::PolygonRings> covered;
    for (const auto& f : cell.features) {
        if (f.cls != "M_QUAL" || f.geometry.primitive != chart::Primitive::area || !f.shape)
            continue;
        zones_.push_back({to_text(f.id),
                          cell.name,
                          f.attributes.code("CATZOC").value_or(0),
                          {year_of(f.attributes.text("SURSTA")), year_of(f.attributes.text("SUREND"))},
                          f.shape,
                          f.under_better,
                          facts_of(f),
                          f.attributes.number("POSACC"),
                          f.attributes.number("SOUACC")});
    }
    std::vector<const geo::Shape*> shapes;
    for (const auto& zone : zones_)
        shapes.push_back(zone.shape.get());
    // Land needs no quality of depths; most charts leave it out of their zones.
    for (const auto& f : cell.features)
        if (!shapes.empty() && f.cls == "LNDARE" && f.shape && f.geometry.primitive == chart::Primitive::area)
            shapes.push_back(f.shape.get());
    auto rest = shapes.empty() ? cell.coverage : geo::check_tiling(cell.coverage, shapes).gaps;
    if (!rest.empty())
        zones_.push_back(
            {"", cell.name, 0, {}, std::make_shared<const geo::Shape>(geo::to_shape(rest)), false});
    std::vector<geo::Box> boxes;
    for (const auto& zone : zones_)
        boxes.push_back(zone.shape->box());
    index_ = std::make_unique<geo::BoxIndex>(boxes);
}

int QualityZones::catzoc_at(geo::Point place) const {
    int worst = 1;
    bool any = false;
    for (const auto i : index_->meeting({place.x, place.y, place.x, place.y}))
        if (zones_[i].shape->contains(place)) {
            worst = worse_zone(worst, zones_[i].catzoc);
            any = true;
        }
    return any ? worst : 0;
}

bool may_lie_in(const geo::Shape& shape, const geo::Shape& zone) {
    for (const auto& run : shape.runs()) {
        const geo::Box box = run.box.grown(near_m);
        if (!box.meets(zone.box()))
            continue;
        if (zone.contains(shape.points()[run.first]))
            return true;
        for (const auto& edges : zone.runs())
            if (edges.box.meets(box) && any_edge_meets(zone, edges, box))
                return true;
    }
    return !zone.empty() && shape.contains(zone.points().front());
}

int QualityZones::catzoc_over(const geo::Shape& shape) const {
    std::optional<int> worst;
    for (const auto i : index_->meeting(shape.box())) {
        const int code = zones_[i].catzoc;
        if (worst && worse_zone(*worst, code) == *worst)
            continue; // can't make it worse
        if (may_lie_in(shape, *zones_[i].shape))
            worst = code;
    }
    return worst.value_or(0);
}

} // namespace dangerline::survey
