#include "dangerline/hazard/anchoring.hpp"

#include <algorithm>

#include <fmt/format.h>

#include "dangerline/geo/reach.hpp"
#include "dangerline/survey/allowance.hpp"
#include "dangerline/survey/zones.hpp"

namespace dangerline::hazard {

namespace {

using chart::Cell;
using chart::Feature;

double position_doubt(const Feature& f, const Cell& cell, const survey::QualityZones& zones) {
    const auto& shape = *f.shape;
    const bool point = shape.points().size() == 1;
    return survey::allowance_for(
               {.scale = static_cast<int>(cell.header.cscl),
                .quapos = f.quapos,
                .posacc_m = f.posacc_m,
                .souacc_m = {},
                .catzoc = point ? zones.catzoc_at(shape.points().front()) : zones.catzoc_over(shape),
                .depth_m = 0.0})
        .position_m;
}

template <typename Found>
void sort_nearest_first(std::vector<Found>& found) {
    std::stable_sort(found.begin(), found.end(),
                     [](const Found& a, const Found& b) { return a.distance_m < b.distance_m; });
}

} // namespace

struct AnchoringGround::Implementation {
    struct Entry {
        const Feature* feature;
        const AnchoringRule* rule; // null: a nature of the bottom
        const std::string* cell;
        double position_m;
    };
    struct Placeless {
        geo::Shape where;
        std::string words;
    };

    explicit Implementation(const std::vector<Cell>& cells) {
        for (const auto& cell : cells) {
            const survey::QualityZones zones(cell);
            for (const auto& f : cell.features)
                take(f, cell, zones);
        }
    }

    void take(const Feature& f, const Cell& cell, const survey::QualityZones& zones) {
        const auto* rule = anchoring_rule(f);
        if (!rule && (f.cls != "SBDARE" || f.under_better))
            return;
        const bool placeless = !f.shape || f.shape->empty();
        if (rule && (placeless || (f.broken_geometry && f.shape->kind() != geo::ShapeKind::area)))
            placeless_.push_back(
                {geo::to_shape(cell.coverage), fmt::format("{} ({} {}, {}) has no place, or not all of it",
                                                           rule->what, f.cls, to_text(f.id), cell.name)});
        if (!placeless)
            entries_.push_back({&f, rule, &cell.name, position_doubt(f, cell, zones)});
    }

    std::vector<Entry> entries_;
    std::vector<Placeless> placeless_;
};

AnchoringGround::AnchoringGround(const std::vector<Cell>& cells)
    : self_(std::make_unique<Implementation>(cells)) {}
AnchoringGround::~AnchoringGround() = default;
AnchoringGround::AnchoringGround(AnchoringGround&&) noexcept = default;
AnchoringGround& AnchoringGround::operator=(AnchoringGround&&) noexcept = default;

namespace {

ObjectRef object_of(const chart::Feature& f, const std::string& cell) {
    ObjectRef object;
    object.lnam = to_text(f.id);
    object.cls = f.cls;
    object.name = name_of(f);
    object.cell = cell;
    return object;
}

} // namespace

std::vector<FoulObject> AnchoringGround::foul_near(geo::Point place, double within_m) const {
    std::vector<FoulObject> out;
    const geo::Box here{place.x, place.y, place.x, place.y};
    for (const auto& entry : self_->entries_) {
        const auto& f = *entry.feature;
        if (!entry.rule || !f.shape->box().meets(here.grown(within_m + entry.position_m)))
            continue;
        const double distance = f.shape->distance(place);
        if (distance > within_m + entry.position_m)
            continue;
        const auto nearest = distance > 0.0 ? geo::nearest({place, place}, *f.shape).on_shape : place;
        FoulObject& one = out.emplace_back();
        one.rule = entry.rule;
        one.object = object_of(f, *entry.cell);
        one.remark = f.attributes.text("INFORM");
        one.distance_m = distance;
        one.position_m = entry.position_m;
        one.coarser = f.under_better;
        one.nearest = nearest;
        one.shape = f.shape;
    }
    sort_nearest_first(out);
    return out;
}

std::vector<BottomNature> AnchoringGround::natures_near(geo::Point place, double within_m) const {
    std::vector<BottomNature> out;
    for (const auto& entry : self_->entries_) {
        const auto& f = *entry.feature;
        if (entry.rule && f.cls != "SBDARE")
            continue;
        const double distance = f.shape->distance(place);
        if (distance > within_m + entry.position_m)
            continue;
        BottomNature& one = out.emplace_back();
        one.natsur = f.attributes.codes("NATSUR");
        one.natqua = f.attributes.codes("NATQUA");
        one.object = object_of(f, *entry.cell);
        one.area = f.shape->kind() == geo::ShapeKind::area;
        one.distance_m = distance;
        one.position_m = entry.position_m;
    }
    sort_nearest_first(out);
    return out;
}

std::string AnchoringGround::placeless_at(geo::Point place) const {
    for (const auto& lost : self_->placeless_)
        if (lost.where.contains(place))
            return lost.words;
    return {};
}

} // namespace dangerline::hazard
