#include "dangerline/survey/areas.hpp"

#include <algorithm>
#include <cmath>
#include <map>
#include <tuple>

#include "dangerline/geo/cut.hpp"
#include "dangerline/geo/dissolve.hpp"
#include "dangerline/survey/standards.hpp"
#include "survey/area_words.hpp"

namespace dangerline::survey {

namespace {

using chart::Cell;
using chart::Feature;
using geo::Shape;
using Polygons = std::vector<geo::PolygonRings>;

/// Zones and water that share a long edge cut it at different places, which leaves slivers that exist in the
/// plane only: smaller than this, or longer than 20 m and thinner than 1 m on average (see
/// geo::check_tiling).
constexpr double sliver_m2 = 1.0;

bool is_sliver(const geo::PolygonRings& polygon) {
    double around_m = 0.0;
    for (const auto& ring : polygon)
        for (std::size_t i = 1; i < ring.size(); ++i)
            around_m += std::hypot(ring[i].x - ring[i - 1].x, ring[i].y - ring[i - 1].y);
    const double area = geo::area_of({polygon});
    return area < sliver_m2 || (around_m > 40.0 && area < around_m / 2.0);
}

constexpr double shown_depth_m = 10.0; // for the share of depth in the position of A1

geo::Box box_of(const Polygons& area) {
    geo::Box box{1e300, 1e300, -1e300, -1e300};
    for (const auto& rings : area)
        for (const auto& p : rings.front())
            box = {std::min(box.min_x, p.x), std::min(box.min_y, p.y), std::max(box.max_x, p.x),
                   std::max(box.max_y, p.y)};
    return box;
}

struct Piece {
    Polygons area;
    bool unsurveyed = false;
    int catzoc = 0;
    Facts facts;
    double position_m = 0.0, souacc_m = 0.0; ///< of accuracy zones
    const MovingArea* moving = nullptr;
    const OldBar* old_bar = nullptr;
    const MovedChannel* moved_channel = nullptr;
};

std::vector<const Shape*> areas_of(const Cell& cell, std::initializer_list<const char*> classes) {
    std::vector<const Shape*> out;
    for (const auto& f : cell.features)
        if (f.shape && !f.under_better && f.shape->kind() == geo::ShapeKind::area &&
            std::find(classes.begin(), classes.end(), f.cls) != classes.end())
            out.push_back(f.shape.get());
    return out;
}

bool same_area(double a, double b) {
    return std::abs(a - b) < 0.1;
}

/// Quality zones of one kind of survey.
struct Group {
    const QualityZone* zone = nullptr; ///< one of them
    std::vector<const Shape*> shapes;
};

/// Less trusted ones first.
std::vector<Group> groups_of(const QualityZones& zones) {
    std::vector<Group> out;
    for (const auto& zone : zones.all()) {
        if (zone.under_better || zone.lnam.empty()) // what no zone covers is left over anyway
            continue;
        const auto same = std::find_if(out.begin(), out.end(), [&](const Group& g) {
            return g.zone->catzoc == zone.catzoc && g.zone->facts == zone.facts &&
                   g.zone->posacc_m == zone.posacc_m && g.zone->souacc_m == zone.souacc_m;
        });
        Group& group = same == out.end() ? out.emplace_back(Group{&zone, {}}) : *same;
        group.shapes.push_back(zone.shape.get());
    }
    std::stable_sort(out.begin(), out.end(),
                     [](const Group& a, const Group& b) { return less_trusted(*a.zone, *b.zone); });
    return out;
}

class Parter {
  public:
    Parter(const Cell& cell, std::size_t number, const QualityZones& zones, const Trust& trust)
        : cell_(cell), number_(number), trust_(trust), old_bars_(trust.old_bars()),
          moved_channels_(trust.moved_channels()) {
        part_water(groups_of(zones));
        lay_sides();
        lay_moving();
    }

    std::vector<Piece> pieces;
    double water_m2 = 0.0;

  private:
    void part_water(const std::vector<Group>& groups) {
        const auto bottoms = areas_of(cell_, {"DEPARE", "DRGARE"}), gaps = areas_of(cell_, {"UNSARE"});
        std::vector<const Shape*> water = bottoms, quality;
        water.insert(water.end(), gaps.begin(), gaps.end());
        for (const auto& group : groups)
            quality.insert(quality.end(), group.shapes.begin(), group.shapes.end());
        const auto unsurveyed = geo::dissolved(gaps);
        const bool tiled = cell_.overlap_square_metres == 0.0;
        // Most producers end their quality zones where the water ends; then nothing has to be cut.
        if (tiled && geo::same_cover(water, quality)) {
            for (const auto& group : groups)
                add(geo::dissolved(group.shapes), group.zone);
            for (const auto& piece : pieces)
                water_m2 += geo::area_of(piece.area);
            if (!unsurveyed.empty())
                lay(geo::to_shape(unsurveyed), [](Piece& p) { p.unsurveyed = true; });
            return;
        }
        water_ = geo::dissolved(bottoms);
        if (!unsurveyed.empty() && !tiled)
            water_ = geo::parted(water_, unsurveyed).outside;
        water_m2 = geo::area_of(water_) + geo::area_of(unsurveyed);
        lay_quality(groups);
        if (!unsurveyed.empty()) {
            pieces.emplace_back().area = unsurveyed;
            pieces.back().unsurveyed = true;
        }
    }

    void add(Polygons area, const QualityZone* zone) {
        if (area.empty())
            return;
        Piece& p = pieces.emplace_back();
        p.area = std::move(area);
        if (!zone)
            return;
        p.catzoc = zone->catzoc;
        p.facts = zone->facts;
        p.position_m = zone->posacc_m.value_or(0.0);
        p.souacc_m = zone->souacc_m.value_or(0.0);
    }

    void lay_quality(const std::vector<Group>& groups) {
        if (water_.empty())
            return;
        const geo::Ground ground(water_);
        std::vector<const Shape*> all;
        std::vector<Polygons> whole, parts;
        double sum = 0.0;
        for (const auto& group : groups) {
            all.insert(all.end(), group.shapes.begin(), group.shapes.end());
            whole.push_back(geo::dissolved(group.shapes));
            parts.push_back(ground.shared_with(whole.back()));
            sum += geo::area_of(parts.back());
        }
        Polygons rest = groups.empty() ? water_ : ground.left_by(geo::dissolved(all));
        if (!same_area(sum + geo::area_of(rest), geo::area_of(water_))) {
            // Zones overlap: one after the other, the less trusted first.
            rest = water_;
            for (std::size_t i = 0; i < groups.size(); ++i) {
                auto p = geo::parted(rest, whole[i]);
                parts[i] = std::move(p.inside);
                rest = std::move(p.outside);
            }
        }
        for (std::size_t i = 0; i < groups.size(); ++i)
            add(std::move(parts[i]), groups[i].zone);
        water_m2 -= geo::area_of(rest);
        std::erase_if(rest, is_sliver);
        water_m2 += geo::area_of(rest);
        add(std::move(rest), nullptr);
    }

    /// Cuts every piece along the area; `change` is told what lies inside.
    template <typename Change>
    void lay(const Shape& area, Change change) {
        const auto along = geo::polygons_of(area);
        const std::size_t count = pieces.size();
        for (std::size_t i = 0; i < count; ++i) {
            if (pieces[i].unsurveyed || !box_of(pieces[i].area).meets(area.box()))
                continue;
            auto p = geo::parted(pieces[i].area, along);
            if (p.inside.empty())
                continue;
            Piece inside = pieces[i];
            inside.area = std::move(p.inside);
            change(inside);
            pieces[i].area = std::move(p.outside);
            pieces.push_back(std::move(inside));
        }
        std::erase_if(pieces, [](const Piece& p) { return p.area.empty(); });
    }

    void lay_sides() {
        for (const auto& side : trust_.sides())
            if (side.cell == number_ && !side.under_better)
                lay(*side.shape, [&](Piece& p) {
                    p.position_m = std::max(p.position_m, side.position_m);
                    p.souacc_m = std::max(p.souacc_m, side.souacc_m);
                    if (side.surveys)
                        p.facts = together(p.facts, side.facts);
                });
    }

    void lay_moving() {
        for (const auto& area : trust_.moving())
            lay(*area.where, [&](Piece& p) {
                if (!p.moving || p.moving->kind < area.kind)
                    p.moving = &area;
            });
        for (const auto& old : old_bars_)
            lay(*old.bar->where, [&](Piece& p) { p.old_bar = &old; });
        for (const auto& moved : moved_channels_)
            lay(*moved.where, [&](Piece& p) {
                if (!p.moved_channel || p.moved_channel->moved_m < moved.moved_m)
                    p.moved_channel = &moved;
            });
    }

    const Cell& cell_;
    std::size_t number_;
    const Trust& trust_;
    std::vector<OldBar> old_bars_; ///< pieces point at these
    std::vector<MovedChannel> moved_channels_;
    Polygons water_;
};

Age age_of_moving(const Piece& p, const Trust& trust) {
    Facts facts = p.facts;
    if (p.moving && p.moving->surveyed) {
        facts = {};
        facts.begun = p.moving->surveyed;
    }
    return age_of(facts, trust.settings().as_of);
}

std::vector<Flag> survey_flags_of(const Piece& p, const Trust& trust) {
    if (p.unsurveyed)
        return {Flag::unsurveyed};
    std::vector<Flag> flags;
    if (p.old_bar)
        flags.push_back(Flag::old_bar);
    if (p.moved_channel)
        flags.push_back(Flag::moved_channel);
    if (p.moving && age_of_moving(p, trust).may_exceed(p.moving->years))
        flags.push_back(Flag::old_moving);
    const auto of_survey = survey::flags_of(p.catzoc, p.facts);
    flags.insert(flags.end(), of_survey.begin(), of_survey.end());
    return flags;
}

std::vector<Flag> flags_of(const Piece& p, const Trust& trust, bool not_updated) {
    auto flags = survey_flags_of(p, trust);
    if (not_updated)
        flags.push_back(Flag::chart_not_updated);
    return flags;
}

void set_doubts(TrustArea& a, const Piece& p, const Trust& trust) {
    const int figures = figures_for(p.catzoc, p.facts, trust.settings());
    const auto& row = zone_of_confidence(figures);
    if (p.moving && p.moving->metres_per_year > 0.0) {
        const Age age = age_of_moving(p, trust);
        const double years =
            age.years ? *age.years : std::max(age.at_least_years, trust.settings().undated_years);
        a.moved_m = std::min(farthest_m(*p.moving), p.moving->metres_per_year * years);
    }
    a.position_m = std::max(position_doubt(row, shown_depth_m), p.position_m) + a.moved_m;
    a.depth = row.depth;
    a.souacc_m = p.souacc_m;
    a.at_least = row.at_least || figures != p.catzoc;
}

std::vector<std::string> remarks_of(const std::vector<Flag>& flags, const Piece& p) {
    std::vector<std::string> remarks;
    if (p.old_bar)
        remarks.push_back(words_for(*p.old_bar));
    if (p.moved_channel)
        remarks.push_back(words_for(*p.moved_channel));
    if (std::find(flags.begin(), flags.end(), Flag::old_moving) != flags.end())
        remarks.push_back(words_for_old(*p.moving));
    if (!flags.empty() && flags.back() == Flag::chart_not_updated)
        remarks.emplace_back(flag_rules()[static_cast<std::size_t>(Flag::chart_not_updated)].when);
    return remarks;
}

using Key = std::tuple<std::vector<Flag>, int, std::string, std::uint32_t, Moving, double, double,
                       std::vector<std::string>>;

Key key_of(const std::vector<Flag>& flags, const Piece& p) {
    if (flags.empty() || flags.front() == Flag::unsurveyed)
        return {flags, 0, "", 0, Moving::no, 0.0, 0.0, {}};
    return {flags,
            p.catzoc,
            when_words(p.facts),
            p.facts.techniques,
            p.moving ? p.moving->kind : Moving::no,
            p.position_m,
            p.souacc_m,
            remarks_of(flags, p)};
}

TrustArea area_of(const std::vector<Flag>& flags, const std::vector<const Piece*>& pieces,
                  const Trust& trust) {
    TrustArea a;
    a.flags = flags;
    if (pieces.size() == 1) {
        a.area = pieces.front()->area;
    } else {
        std::vector<Shape> shapes;
        std::vector<const Shape*> pointers;
        for (const auto* p : pieces)
            shapes.push_back(geo::to_shape(p->area));
        for (const auto& shape : shapes)
            pointers.push_back(&shape);
        a.area = geo::dissolved(pointers);
    }
    a.square_metres = geo::area_of(a.area);
    a.catzoc = pieces.front()->catzoc;
    a.facts = pieces.front()->facts;
    for (const auto* p : pieces) {
        a.facts = together(a.facts, p->facts);
        a.catzoc = worse_zone(a.catzoc, p->catzoc);
        TrustArea one;
        set_doubts(one, *p, trust);
        if (p == pieces.front() || one.position_m > a.position_m) {
            a.position_m = one.position_m;
            a.moved_m = one.moved_m;
            a.moving = p->moving ? p->moving->kind : Moving::no;
        }
        a.depth.a_m = std::max(a.depth.a_m, one.depth.a_m);
        a.depth.b = std::max(a.depth.b, one.depth.b);
        a.souacc_m = std::max(a.souacc_m, one.souacc_m);
        a.at_least = a.at_least || one.at_least;
    }
    a.age = age_of(a.facts, trust.settings().as_of);
    a.sentence = sentence_of(a, remarks_of(flags, *pieces.front()));
    return a;
}

} // namespace

TrustAreas trust_areas(const Cell& cell, std::size_t number, const QualityZones& zones, const Trust& trust,
                       bool not_updated) {
    const Parter parter(cell, number, zones, trust);
    std::map<Key, std::vector<const Piece*>> groups;
    for (const auto& piece : parter.pieces) {
        const auto flags = flags_of(piece, trust, not_updated);
        groups[key_of(flags, piece)].push_back(&piece);
    }
    TrustAreas out;
    out.water_square_metres = parter.water_m2;
    for (const auto& [key, pieces] : groups) {
        out.areas.push_back(area_of(std::get<0>(key), pieces, trust));
        const auto& area = out.areas.back();
        if (!area.flags.empty())
            out.flagged_square_metres += area.square_metres;
        if (!area.flags.empty() && area.flags.front() != Flag::chart_not_updated)
            out.survey_square_metres += area.square_metres;
    }
    std::stable_sort(out.areas.begin(), out.areas.end(), [](const TrustArea& a, const TrustArea& b) {
        const auto gravest = [](const TrustArea& t) {
            return t.flags.empty() ? 99 : static_cast<int>(t.flags.front());
        };
        return std::tuple(gravest(a), -a.square_metres) < std::tuple(gravest(b), -b.square_metres);
    });
    return out;
}

} // namespace dangerline::survey
