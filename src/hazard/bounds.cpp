#include "dangerline/hazard/bounds.hpp"

#include <algorithm>
#include <cmath>
#include <set>

#include <fmt/format.h>
#include <fmt/ranges.h>

#include "dangerline/tide/datum.hpp"
#include "hazard/bottom_pieces.hpp"
#include "hazard/uncovered.hpp"

namespace dangerline::hazard {

namespace {

using geo::Point;

constexpr double near_sounding_on_chart_m = 0.010; // an assumption of this project
constexpr double reach_of_nobody_knows_m = 500.0;  // CATZOC C and worse

bool in(const geo::Box& box, Point p) {
    return box.meets({p.x, p.y, p.x, p.y});
}

/// What was found to count at one place.
struct Found {
    std::vector<const BottomArea*> areas;
    std::vector<const BottomSounding*> soundings;
    double reach_m = 0.0;
    std::string unknown; ///< both ends; empty: known
};

/// A depth that may be an end of the range, with what doubts it.
struct Candidate {
    double depth_m = 0.0, doubt_m = 0.0;
    std::string rests_on, lnam, cell;
};

DepthBound furthest(const std::vector<Candidate>& all, bool deep) {
    const auto limit = [&](const Candidate& c) { return c.depth_m + (deep ? c.doubt_m : -c.doubt_m); };
    const auto& c = *std::max_element(all.begin(), all.end(), [&](const Candidate& a, const Candidate& b) {
        return deep ? limit(a) < limit(b) : limit(a) > limit(b);
    });
    return {Depth::from_metres(c.depth_m), c.doubt_m, c.rests_on, c.lnam, c.cell};
}

DepthBound unknown(std::string why) {
    return {std::nullopt, 0.0, std::move(why), "", ""};
}

} // namespace

std::optional<Depth> DepthBounds::no_shoaler_than() const {
    return shoalest.charted ? std::optional(Depth::from_metres(shoalest.charted->metres() - shoalest.doubt_m))
                            : std::nullopt;
}

std::optional<Depth> DepthBounds::no_deeper_than() const {
    return deepest.charted ? std::optional(Depth::from_metres(deepest.charted->metres() + deepest.doubt_m))
                           : std::nullopt;
}

struct BottomBounds::Implementation {
    Implementation(const std::vector<chart::Cell>& cells, std::vector<geo::Box> near, bool with_surfaces,
                   const std::vector<survey::QualityZones>* quality)
        : near_(std::move(near)), pieces_(cells, near_, with_surfaces, quality),
          uncovered_(uncovered(cells)) {}

    DepthBounds at(Point place, double within_m) const {
        DepthBounds out;
        const Found found = look(place, within_m);
        out.reach_m = found.reach_m;
        const auto datums = datums_of(found);
        std::string why = found.unknown;
        if (why.empty() && datums.size() > 1)
            why = "the datum of depths changes here: " + datum_words(datums);
        if (!why.empty()) {
            out.shoalest = out.deepest = unknown(std::move(why));
            return out;
        }
        const double waves_m = pieces_.sand_waves(place, found.reach_m).value_or(0.0);
        out.datum = datums.empty() ? 0 : *datums.begin();
        out.shoalest = shoalest(found, waves_m);
        out.deepest = deepest(found, waves_m);
        for (const auto* area : found.areas)
            if (const auto depth = area->surface ? area->surface->depth(place) : std::nullopt)
                out.surface =
                    std::min(out.surface.value_or(Depth::from_metres(*depth)), Depth::from_metres(*depth));
        return out;
    }

  private:
    Found look(Point place, double within_m) const {
        Found found;
        if (std::none_of(near_.begin(), near_.end(), [&](const geo::Box& box) { return in(box, place); })) {
            found.unknown = "not looked at";
            return found;
        }
        bool here = false;
        for (const auto* area : pieces_.areas_near(place, within_m)) {
            found.areas.push_back(area);
            if (area->shape->distance(place) > within_m)
                continue;
            here = true;
            found.reach_m = std::max(found.reach_m, within_m + area->allowance.survey_m);
        }
        if (!here)
            found.reach_m = within_m + reach_of_nobody_knows_m;
        found.unknown = why_unknown(place, within_m, found);
        for (const auto* area : found.areas)
            for (const auto* s : pieces_.soundings_in(*area)) {
                const double reach = within_m + std::max(area->allowance.survey_m, s->allowance.survey_m) +
                                     near_sounding_on_chart_m * area->scale;
                // The only bound of an area without DRVAL2 counts from anywhere in it.
                if ((!area->deepest_m && area->what == BottomArea::What::depths) ||
                    std::hypot(s->at.x - place.x, s->at.y - place.y) <= reach)
                    found.soundings.push_back(s);
            }
        return found;
    }

    std::string why_unknown(Point place, double within_m, const Found& found) const {
        if (uncovered_->distance(place) <= found.reach_m)
            return "no chart covers this water, or water so near that it may be this";
        for (const auto* area : found.areas)
            if (area->what == BottomArea::What::unknown)
                return area->words;
        if (const auto why = pieces_.distrusted(place, found.reach_m); !why.empty())
            return why;
        if (const auto why = pieces_.broken_near(place, within_m + reach_of_nobody_knows_m); !why.empty())
            return why;
        if (!pieces_.sand_waves(place, found.reach_m))
            return "the bottom moves (SNDWAV), how much is not stated";
        return "";
    }

    static std::set<int> datums_of(const Found& found) {
        std::set<int> datums;
        for (const auto* area : found.areas)
            if (area->what == BottomArea::What::depths)
                datums.insert(area->datum);
        for (const auto* s : found.soundings)
            datums.insert(s->datums.begin(), s->datums.end());
        return datums;
    }

    static std::string datum_words(const std::set<int>& datums) {
        std::vector<std::string> words;
        for (const int code : datums)
            words.push_back(tide::datum_text(code));
        return fmt::format("{}", fmt::join(words, ", "));
    }

    static Candidate of(const BottomSounding& s, double waves_m) {
        return {s.depth_m, s.allowance.depth_doubt(s.depth_m) + waves_m,
                fmt::format("sounding of {:.1f} m, SOUNDG {}, {}", s.depth_m, s.lnam, s.cell), s.lnam,
                s.cell};
    }

    static Candidate of(const BottomArea& area, double depth_m, double waves_m) {
        return {depth_m, area.allowance.depth_doubt(depth_m) + waves_m, area.words, area.lnam, area.cell};
    }

    static DepthBound shoalest(const Found& found, double waves_m) {
        std::vector<Candidate> all;
        for (const auto* area : found.areas) {
            if (area->what == BottomArea::What::land)
                return {Depth::never_covered(), 0.0, area->words, area->lnam, area->cell};
            if (!area->shoalest_m)
                return unknown("DRVAL1 not stated: " + area->words);
            all.push_back(of(*area, *area->shoalest_m, waves_m));
        }
        for (const auto* s : found.soundings)
            all.push_back(of(*s, waves_m));
        return furthest(all, false);
    }

    static DepthBound deepest(const Found& found, double waves_m) {
        std::vector<Candidate> all;
        for (const auto* area : found.areas) {
            if (area->what == BottomArea::What::land)
                continue;
            if (area->no_bottom)
                return unknown("no deep end (QUASOU 5 or 7): " + area->words);
            const bool sounded =
                std::any_of(found.soundings.begin(), found.soundings.end(),
                            [&](const auto* s) { return !s->doubtful && area->shape->contains(s->at); });
            if (!area->deepest_m && !sounded)
                return unknown("DRVAL2 not stated and no sounding to be relied on: " + area->words);
            if (const auto depth = area->deepest_m ? area->deepest_m : area->shoalest_m)
                all.push_back(of(*area, *depth, waves_m));
        }
        for (const auto* s : found.soundings) {
            if (s->no_bottom)
                return unknown(
                    fmt::format("no bottom found at {:.1f} m, SOUNDG {}, {}", s->depth_m, s->lnam, s->cell));
            all.push_back(of(*s, waves_m));
        }
        if (all.empty())
            return {Depth::never_covered(), 0.0, found.areas.front()->words, found.areas.front()->lnam,
                    found.areas.front()->cell};
        return furthest(all, true);
    }

    std::vector<geo::Box> near_;
    BottomPieces pieces_;
    std::shared_ptr<const geo::Shape> uncovered_;
};

BottomBounds::BottomBounds(const std::vector<chart::Cell>& cells, std::vector<geo::Box> near,
                           bool with_surfaces, const std::vector<survey::QualityZones>* quality)
    : self_(std::make_unique<Implementation>(cells, std::move(near), with_surfaces, quality)) {}
BottomBounds::~BottomBounds() = default;
BottomBounds::BottomBounds(BottomBounds&&) noexcept = default;
BottomBounds& BottomBounds::operator=(BottomBounds&&) noexcept = default;

DepthBounds BottomBounds::at(Point place, double within_m) const {
    return self_->at(place, within_m);
}

} // namespace dangerline::hazard
