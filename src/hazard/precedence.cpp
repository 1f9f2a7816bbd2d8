#include "dangerline/hazard/precedence.hpp"

#include <algorithm>
#include <cmath>
#include <unordered_map>

namespace dangerline::hazard {

namespace {

constexpr std::size_t most_places = 1000;

bool in_force_whenever(const Step& fine, const Step& coarse, bool same_datum) {
    if (fine.in_force == InForce::always)
        return true;
    if (fine.in_force != coarse.in_force)
        return false;
    switch (fine.in_force) {
    case InForce::below:
        return fine.depth == Depth::never_covered() || (same_datum && fine.depth <= coarse.depth);
    case InForce::above:
        return same_datum && fine.clearance_m <= coarse.clearance_m;
    case InForce::by_stream:
    case InForce::always:
        return true;
    }
    return false;
}

bool answers(const Step& fine, const Step& coarse, bool same_datum) {
    const bool as_wide = !fine.within_m || (coarse.within_m && *coarse.within_m <= *fine.within_m);
    return as_wide && fine.decides >= coarse.decides && in_force_whenever(fine, coarse, same_datum);
}

/// LNAM without the running numbers that stand for objects without one.
bool names_an_object(const std::string& lnam) {
    return lnam.size() == 16 && !lnam.starts_with("0000");
}

/// Places along the edges of a shape, no further apart than `apart`; empty where they would be too many.
std::vector<geo::Point> places_along(const geo::Shape& shape, double apart) {
    std::vector<geo::Point> places;
    for (std::size_t i = 0; i < shape.part_count(); ++i) {
        const auto part = shape.part(i);
        for (std::size_t k = 0; k < part.size(); ++k) {
            if (k > 0 && shape.kind() != geo::ShapeKind::points) {
                const geo::Point a = part[k - 1], b = part[k];
                const auto cuts = std::ceil(std::hypot(b.x - a.x, b.y - a.y) / apart);
                if (cuts > static_cast<double>(most_places))
                    return {};
                for (double c = 1.0; c < cuts; c += 1.0)
                    places.push_back({a.x + (b.x - a.x) * c / cuts, a.y + (b.y - a.y) * c / cuts});
            }
            places.push_back(part[k]);
            if (places.size() > most_places)
                return {};
        }
    }
    return places;
}

class Ruling {
  public:
    Ruling(const std::vector<Hazard>& all, const std::vector<CellRef>& cells)
        : all_(all), cells_(cells), index_(boxes(all)) {
        for (const auto& h : all)
            if (names_an_object(h.object.lnam))
                by_name_.emplace(h.object.lnam, &h);
    }

    bool shows(const Hazard& coarse) const {
        const auto [begin, end] = by_name_.equal_range(coarse.object.lnam);
        if (std::any_of(begin, end, [&](const auto& named) { return better(*named.second, coarse); }))
            return true;
        double doubt = coarse.allowance.position_m;
        std::vector<const Hazard*> same;
        const double reach = doubt + widest();
        for (const auto i : index_.meeting(coarse.box.grown(reach)))
            if (const Hazard& fine = all_[i]; fine.object.cls == coarse.object.cls && better(fine, coarse) &&
                                              at_least_as_restrictive(fine, coarse))
                same.push_back(&fine);
        if (same.empty())
            return false;
        const auto places = places_along(*coarse.steps.front().extent, std::max(doubt / 2.0, 1.0));
        return !places.empty() && std::all_of(places.begin(), places.end(), [&](geo::Point p) {
            return std::any_of(same.begin(), same.end(), [&](const Hazard* fine) {
                return fine->steps.front().extent->distance(p) <= doubt + fine->allowance.position_m;
            });
        });
    }

  private:
    static std::vector<geo::Box> boxes(const std::vector<Hazard>& all) {
        std::vector<geo::Box> out;
        for (const auto& h : all)
            out.push_back(h.box);
        return out;
    }
    /// A cell without scale is no better than any.
    bool better(const Hazard& fine, const Hazard& coarse) const {
        const int a = cells_.at(fine.cell).scale, b = cells_.at(coarse.cell).scale;
        return !fine.object.lnam.empty() && a > 0 && a < b;
    }
    double widest() const {
        double metres = 0.0;
        for (const auto& h : all_)
            metres = std::max(metres, h.allowance.position_m);
        return metres;
    }

    const std::vector<Hazard>& all_;
    const std::vector<CellRef>& cells_;
    geo::BoxIndex index_;
    std::unordered_multimap<std::string, const Hazard*> by_name_;
};

} // namespace

void demote(Hazard& hazard, Cause cause, std::string_view why) {
    for (auto& step : hazard.steps) {
        if (step.decides > Grade::caution) {
            step.decides = Grade::caution;
            step.cause = cause;
        }
        step.basis += (step.basis.empty() ? "" : ", ") + std::string(why);
    }
    hazard.kind = hazard.kind == Kind::no_data ? Kind::survey : hazard.kind;
}

bool at_least_as_restrictive(const Hazard& fine, const Hazard& coarse) {
    const bool same_datum = fine.datum == coarse.datum && fine.datum != 0;
    if (fine.kind == Kind::rough_water && fine.category != coarse.category)
        return false;
    return std::all_of(coarse.steps.begin(), coarse.steps.end(), [&](const Step& c) {
        return std::any_of(fine.steps.begin(), fine.steps.end(),
                           [&](const Step& f) { return answers(f, c, same_datum); });
    });
}

void settle_under_better(std::span<Hazard> coarser, const std::vector<Hazard>& ruling,
                         const std::vector<CellRef>& cells) {
    if (coarser.empty())
        return;
    const Ruling better(ruling, cells);
    for (auto& hazard : coarser) {
        if (better.shows(hazard)) {
            for (auto& step : hazard.steps) {
                step.decides = std::min(step.decides, Grade::note);
                step.cause = Cause::none;
                step.basis += ", also on the better chart";
            }
        } else {
            demote(hazard, Cause::survey, "on the coarser chart only");
        }
    }
}

} // namespace dangerline::hazard
