#include "hazard/bottom_pieces.hpp"

#include <algorithm>
#include <cmath>

#include <fmt/format.h>

#include "dangerline/survey/zones.hpp"
#include "hazard/datums.hpp"
#include "hazard/surfaces.hpp"

namespace dangerline::hazard {

namespace {

using chart::Cell;
using chart::Feature;

/// Farther than the doubt of any position and the boxes' own use of it.
constexpr double around_boxes_m = 2000.0;
constexpr int scale_not_stated = 1'000'000;

bool has_any(const Feature& f, std::initializer_list<int> codes) {
    return std::any_of(codes.begin(), codes.end(), [&](int c) { return f.attributes.has_code("QUASOU", c); });
}

bool comes_near(const geo::Box& box, const std::vector<geo::Box>& near) {
    return std::any_of(near.begin(), near.end(),
                       [&](const geo::Box& b) { return b.grown(around_boxes_m).meets(box); });
}

/// What would have told of the bottom and can't.
bool lost(const Feature& f) {
    const bool placeless = !f.shape || f.shape->empty();
    if (f.cls == "M_SDAT")
        return placeless || f.broken_geometry || !f.attributes.code("VERDAT");
    const bool tells = chart::is_group_one(f.cls) || f.cls == "SOUNDG" || f.cls == "SNDWAV";
    return tells && f.broken_geometry && (placeless || f.shape->kind() != geo::ShapeKind::area);
}

/// Allowances and datums of one cell.
class Reader {
  public:
    Reader(const Cell& cell, const survey::QualityZones& zones)
        : cell_(cell), zones_(zones), datums_(cell, "M_SDAT", cell.header.sdat) {}

    survey::Allowance allowance(const Feature& f, int catzoc, double depth_m) const {
        return survey::allowance_for({.scale = static_cast<int>(cell_.header.cscl),
                                      .quapos = f.quapos,
                                      .posacc_m = f.posacc_m,
                                      .souacc_m = f.attributes.number("SOUACC"),
                                      .catzoc = catzoc,
                                      .depth_m = depth_m});
    }

    void read_depths(const Feature& f, BottomArea& area) const {
        area.shoalest_m = f.attributes.number("DRVAL1");
        area.deepest_m = f.attributes.number("DRVAL2");
        if (area.shoalest_m && area.deepest_m && *area.deepest_m < *area.shoalest_m)
            std::swap(area.shoalest_m, area.deepest_m);
        area.no_bottom = has_any(f, {5, 7});
        const auto words = [](const std::optional<double>& depth_m) {
            return depth_m ? fmt::format("{:.1f}", *depth_m) : std::string("an unstated depth");
        };
        area.words =
            fmt::format("{} {} to {} m, {} {}, {}", f.cls == "DRGARE" ? "dredged area" : "depth area",
                        words(area.shoalest_m), words(area.deepest_m), f.cls, area.lnam, area.cell);
        if (has_any(f, {2, 3, 4, 8, 9})) {
            area.what = BottomArea::What::unknown;
            area.words = "doubtful or only reported: " + area.words;
        }
    }

    BottomArea area_of(const Feature& f) const {
        BottomArea area;
        area.lnam = to_text(f.id);
        area.cell = cell_.name;
        area.scale = cell_.header.cscl > 0 ? static_cast<int>(cell_.header.cscl) : scale_not_stated;
        if (f.cls == "DEPARE" || f.cls == "DRGARE") {
            read_depths(f, area);
        } else if (f.cls == "LNDARE") {
            area.what = BottomArea::What::land;
            area.words = fmt::format("land, LNDARE {}, {}", area.lnam, area.cell);
        } else {
            area.what = BottomArea::What::unknown;
            area.words = fmt::format("{}, {} {}, {}",
                                     f.cls == "UNSARE" ? "nobody has sounded it"
                                                       : "the bottom under it is not charted",
                                     f.cls, area.lnam, area.cell);
        }
        return area;
    }

    void add_areas(const Feature& f, std::shared_ptr<const seabed::Surface> surface,
                   std::vector<BottomArea>& out) const {
        BottomArea area = area_of(f);
        area.surface = std::move(surface);
        for (const auto& part : datums_.parts(f, f.shape)) {
            area.shape = part.shape;
            area.datum = part.datum;
            // The share of the depth in a position: of its deep end.
            area.allowance = allowance(f, zones_.catzoc_over(*part.shape),
                                       area.deepest_m.value_or(area.shoalest_m.value_or(0.0)));
            out.push_back(area);
        }
    }

    void add_soundings(const Feature& f, std::vector<BottomSounding>& out) const {
        for (std::size_t i = 0; i < f.geometry.depths_m.size(); ++i) {
            const geo::Point p = f.shape->points()[i];
            const double depth_m = f.geometry.depths_m[i];
            if (std::isnan(depth_m))
                continue;
            out.push_back({p, depth_m, datums_.at(f, p), has_any(f, {2, 3, 4, 8, 9}), has_any(f, {5, 7}),
                           allowance(f, zones_.catzoc_at(p), depth_m), to_text(f.id), cell_.name});
        }
    }

  private:
    const Cell& cell_;
    const survey::QualityZones& zones_;
    Datums datums_;
};

} // namespace

BottomPieces::BottomPieces(const std::vector<Cell>& cells, const std::vector<geo::Box>& near,
                           bool with_surfaces, const std::vector<survey::QualityZones>* quality) {
    std::vector<survey::QualityZones> made;
    if (!quality)
        for (const auto& cell : cells)
            made.emplace_back(cell);
    const auto& zones = quality ? *quality : made;
    Diagnostics said; // by hazard::build already
    std::optional<Surfaces> surfaces;
    if (with_surfaces)
        surfaces.emplace(cells, zones, near, std::nullopt, said);
    for (std::size_t i = 0; i < cells.size(); ++i)
        if (!cells[i].withdrawn)
            take(cells[i], zones[i], near, surfaces ? &*surfaces : nullptr);
    std::vector<geo::Box> boxes, places;
    for (const auto& area : areas_)
        boxes.push_back(area.shape->box().grown(area.allowance.survey_m));
    index_ = std::make_unique<const geo::BoxIndex>(boxes);
    for (const auto& s : soundings_)
        places.push_back({s.at.x, s.at.y, s.at.x, s.at.y});
    const geo::BoxIndex by_place(places);
    for (const auto& area : areas_) {
        auto& its = sounded_.emplace_back();
        if (area.what == BottomArea::What::depths)
            for (const auto i : by_place.meeting(area.shape->box()))
                if (area.shape->contains(soundings_[i].at))
                    its.push_back(i);
    }
}

void BottomPieces::take(const Cell& cell, const survey::QualityZones& zones,
                        const std::vector<geo::Box>& near, const Surfaces* surfaces) {
    const Reader reader(cell, zones);
    std::string distrust = cell.distrust.empty() ? "" : cell.distrust.front();
    for (const auto& f : cell.features) {
        if (lost(f))
            distrust =
                fmt::format("{} {} has no place, or does not say what datum holds", f.cls, to_text(f.id));
        if (!f.shape || f.shape->empty() || f.under_better || !comes_near(f.shape->box(), near))
            continue;
        if (f.doubtful_shape && !f.doubtful_shape->empty())
            broken_.push_back(
                {f.doubtful_shape,
                 fmt::format("{} {} is drawn so that its area can't be told", f.cls, to_text(f.id)),
                 {}});
        if (f.cls == "SOUNDG")
            reader.add_soundings(f, soundings_);
        else if (f.cls == "SNDWAV")
            sand_waves_.push_back({f.shape, "", f.attributes.number("VERLEN")});
        else if (chart::is_group_one(f.cls) && f.shape->kind() == geo::ShapeKind::area)
            reader.add_areas(f, surfaces ? surfaces->of(f) : nullptr, areas_);
    }
    if (!cell.gaps.empty())
        broken_.push_back({std::make_shared<const geo::Shape>(cell.gaps),
                           "the charted bottom has a gap or an overlap",
                           {}});
    const bool hidden = cell.coverage_stated && cell.coverage.empty(); // better cells rule everywhere
    if (!distrust.empty() && !hidden)
        distrusted_.push_back({std::make_shared<const geo::Shape>(geo::to_shape(cell.coverage)),
                               "chart not to be believed: " + distrust,
                               {}});
}

std::vector<const BottomArea*> BottomPieces::areas_near(geo::Point place, double within_m) const {
    std::vector<const BottomArea*> out;
    for (const auto i : index_->meeting(geo::Box{place.x, place.y, place.x, place.y}.grown(within_m)))
        if (areas_[i].shape->distance(place) <= within_m + areas_[i].allowance.survey_m)
            out.push_back(&areas_[i]);
    return out;
}

std::vector<const BottomSounding*> BottomPieces::soundings_in(const BottomArea& area) const {
    std::vector<const BottomSounding*> out;
    for (const auto i : sounded_[static_cast<std::size_t>(&area - areas_.data())])
        out.push_back(&soundings_[i]);
    return out;
}

namespace {

template <typename Place>
const Place* nearest_within(const std::vector<Place>& places, geo::Point at, double metres) {
    const auto found = std::find_if(places.begin(), places.end(), [&](const Place& p) {
        return p.shape->empty() || p.shape->distance(at) <= metres; // an empty one may be anywhere
    });
    return found == places.end() ? nullptr : &*found;
}

} // namespace

std::string BottomPieces::distrusted(geo::Point place, double metres) const {
    const auto* found = nearest_within(distrusted_, place, metres);
    return found ? found->why : "";
}

std::string BottomPieces::broken_near(geo::Point place, double metres) const {
    const auto* found = nearest_within(broken_, place, metres);
    return found ? found->why : "";
}

std::optional<double> BottomPieces::sand_waves(geo::Point place, double metres) const {
    double highest = 0.0;
    for (const auto& area : sand_waves_) {
        if (area.shape->distance(place) > metres)
            continue;
        if (!area.metres)
            return std::nullopt;
        highest = std::max(highest, *area.metres);
    }
    return highest;
}

} // namespace dangerline::hazard
