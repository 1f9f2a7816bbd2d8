#include "dangerline/survey/trust.hpp"

#include <algorithm>
#include <tuple>

#include "dangerline/geo/cut.hpp"
#include "dangerline/geo/dissolve.hpp"
#include "dangerline/survey/standards.hpp"

namespace dangerline::survey {

namespace {

constexpr int zone_b = 3, zone_c = 4, zone_d = 5;
constexpr int modern_year = 1970; // see the table of flags

bool assessed(int catzoc) {
    return catzoc >= 1 && catzoc <= zone_d;
}

/// Lead line, single beam, whatever else is stated or not.
int technique_rank(const Facts& facts) {
    constexpr int single_beam = 1;
    if (facts.lead_line())
        return 0;
    return facts.has(single_beam) || facts.techniques == 0 ? 1 : 2;
}

/// Whether a zone says something of an object. What a coarser chart says under a better one holds for its own
/// objects only.
bool counts_under(std::size_t zone_cell, const QualityZone& zone, const geo::Shape& shape, std::size_t cell) {
    return (!zone.under_better || zone_cell == cell) && may_lie_in(shape, *zone.shape);
}

bool worse(const Age& a, const Age& b) {
    if (a.years.has_value() != b.years.has_value())
        return !a.years;
    return a.reckoned_years() > b.reckoned_years();
}

} // namespace

int figures_for(int catzoc, const Facts& facts, const TrustSettings& settings) {
    if (catzoc < 1 || catzoc > zone_b)
        return catzoc;
    const bool old_b = catzoc == zone_b && !known_since(facts, settings.b_since_year);
    return facts.lead_line() || old_b ? zone_c : catzoc;
}

std::vector<Flag> flags_of(int catzoc, const Facts& facts) {
    std::vector<Flag> flags;
    if (facts.lead_line())
        flags.push_back(Flag::lead_line);
    if (!facts.begun)
        flags.push_back(Flag::undated);
    if (before(facts, modern_year))
        flags.push_back(Flag::before_1970);
    if (catzoc == zone_d)
        flags.push_back(Flag::zone_d);
    if (!assessed(catzoc))
        flags.push_back(Flag::zone_u);
    if (catzoc == zone_c)
        flags.push_back(Flag::zone_c);
    return flags;
}

bool less_trusted(const QualityZone& a, const QualityZone& b) {
    const auto key = [](const QualityZone& z) {
        const auto flags = flags_of(z.catzoc, z.facts);
        const int gravest = flags.empty() ? 99 : static_cast<int>(flags.front());
        const int rank = assessed(z.catzoc) ? -z.catzoc : -6;
        const auto& date = z.facts.begun ? z.facts.begun : z.facts.ended;
        const CalendarDay day = date ? date->earliest : CalendarDay{0, 1, 1};
        return std::tuple(gravest, rank, day, technique_rank(z.facts));
    };
    return key(a) < key(b);
}

std::vector<SideZone> side_zones(const chart::Cell& cell, std::size_t number) {
    std::vector<SideZone> out;
    for (const auto& f : cell.features) {
        const bool surveys = f.cls == "M_SREL";
        if ((!surveys && f.cls != "M_ACCY") || !f.shape || f.shape->kind() != geo::ShapeKind::area)
            continue;
        SideZone zone{f.cls, to_text(f.id), number, facts_of(f), 0.0, 0.0, f.shape, surveys, f.under_better};
        zone.position_m = f.attributes.number("POSACC").value_or(0.0);
        if (const auto quapos = f.attributes.code("QUAPOS"))
            zone.position_m =
                std::max(zone.position_m, quapos_radius(*quapos, static_cast<int>(cell.header.cscl)));
        zone.souacc_m = f.attributes.number("SOUACC").value_or(0.0);
        out.push_back(std::move(zone));
    }
    return out;
}

Trust::Trust(const std::vector<chart::Cell>& cells, const std::vector<QualityZones>& zones,
             TrustSettings settings, const std::vector<DrawnMoving>& drawn)
    : settings_(std::move(settings)) {
    std::vector<geo::Box> boxes;
    for (std::size_t i = 0; i < cells.size(); ++i) {
        for (const auto& zone : zones[i].all()) {
            zones_.push_back({i, &zone});
            boxes.push_back(zone.shape->box());
        }
        for (auto& side : side_zones(cells[i], i))
            sides_.push_back(std::move(side));
    }
    index_ = std::make_unique<geo::BoxIndex>(boxes);
    moving_ = moving_areas(cells, drawn, settings_);
    bars_ = survey::bars(cells, drawn, settings_);
    channels_ = survey::channels(cells, drawn, settings_);
}

std::vector<const QualityZone*> Trust::zones_under(const geo::Shape& shape, std::size_t cell) const {
    std::vector<const QualityZone*> out;
    for (const auto i : index_->meeting(shape.box())) {
        const auto& [its_cell, zone] = zones_[i];
        if (counts_under(its_cell, *zone, shape, cell))
            out.push_back(zone);
    }
    return out;
}

std::vector<const SideZone*> Trust::sides_under(const geo::Shape& shape, std::size_t cell) const {
    std::vector<const SideZone*> out;
    for (const auto& side : sides_)
        if ((!side.under_better || side.cell == cell) && side.shape->box().meets(shape.box()) &&
            may_lie_in(shape, *side.shape))
            out.push_back(&side);
    return out;
}

Dated Trust::oldest(const geo::Shape& shape, const Facts& own, std::size_t cell) const {
    Facts more;
    more.sourced = own.sourced;
    more.techniques = own.techniques;
    for (const auto* side : sides_under(shape, cell))
        if (side->surveys)
            more = together(more, side->facts);
    std::optional<Dated> worst;
    for (const auto* zone : zones_under(shape, cell)) {
        Dated dated{together(zone->facts, more), {}};
        dated.age = age_of(dated.facts, settings_.as_of);
        if (!worst || worse(dated.age, worst->age))
            worst = dated;
    }
    return worst ? *worst : Dated{more, age_of(more, settings_.as_of)};
}

void Trust::widen(Allowance& a, const geo::Shape& shape, const Facts& own, std::size_t cell,
                  double depth_m) const {
    Facts more;
    more.sourced = own.sourced;
    more.techniques = own.techniques;
    for (const auto* side : sides_under(shape, cell)) {
        a.survey_m = std::max(a.survey_m, side->position_m);
        a.souacc_m = std::max(a.souacc_m, side->souacc_m);
        if (side->surveys)
            more = together(more, side->facts);
    }
    int code = a.catzoc;
    for (const auto i : index_->meeting(shape.box())) {
        const auto& [its_cell, zone] = zones_[i];
        const int figures = figures_for(zone->catzoc, together(zone->facts, more), settings_);
        const double posacc = zone->posacc_m.value_or(0.0), souacc = zone->souacc_m.value_or(0.0);
        // Where it lies is asked last: that is what takes time.
        if ((worse_zone(code, figures) == code && posacc <= a.survey_m && souacc <= a.souacc_m) ||
            !counts_under(its_cell, *zone, shape, cell))
            continue;
        a.survey_m = std::max(a.survey_m, posacc);
        a.souacc_m = std::max(a.souacc_m, souacc);
        code = worse_zone(code, figures);
    }
    const auto& row = zone_of_confidence(code);
    a.survey_m = std::max(a.survey_m, position_doubt(row, depth_m));
    a.depth.a_m = std::max(a.depth.a_m, row.depth.a_m);
    a.depth.b = std::max(a.depth.b, row.depth.b);
    a.at_least = a.at_least || row.at_least || code != a.catzoc;
}

Age Trust::age_in(const MovingArea& area, const geo::Shape& shape, const Facts& own, std::size_t cell) const {
    if (!area.surveyed)
        return oldest(shape, own, cell).age;
    Facts stated;
    stated.begun = area.surveyed;
    return age_of(stated, settings_.as_of);
}

double Trust::moved_m(const MovingArea& area, const geo::Shape& shape, const Facts& own,
                      std::size_t cell) const {
    if (area.metres_per_year <= 0.0)
        return 0.0;
    const Age age = age_in(area, shape, own, cell);
    const double years = age.years ? *age.years : std::max(age.at_least_years, settings_.undated_years);
    return area.metres_per_year * years;
}

std::vector<OldBar> Trust::old_bars() const {
    std::vector<OldBar> out;
    for (const auto& bar : bars_)
        if (const Age age = age_in(bar, *bar.where, {}, no_cell); age.may_exceed(bar.years))
            out.push_back({&bar, age});
    return out;
}

std::optional<MovedChannel> Trust::moved_channel(const MovingArea& channel, const MovingArea& over) const {
    if (!over.where->box().meets(channel.where->box()))
        return std::nullopt;
    const auto whole = geo::polygons_of(*channel.where), moving = geo::polygons_of(*over.where);
    const auto part = geo::to_shape(geo::common(whole, moving));
    const double moved = part.empty() ? 0.0 : moved_m(over, part, {}, no_cell);
    if (moved <= 0.0)
        return std::nullopt;
    const auto narrow = geo::common(geo::narrower_than(whole, 2.0 * moved), moving);
    if (narrow.empty())
        return std::nullopt;
    return MovedChannel{&channel, moved, std::make_shared<const geo::Shape>(geo::to_shape(narrow))};
}

std::vector<MovedChannel> Trust::moved_channels() const {
    std::vector<MovedChannel> out;
    for (const auto& channel : channels_) {
        if (channel.lnam.empty())
            if (auto found = moved_channel(channel, channel))
                out.push_back(std::move(*found));
        for (const auto& moving : moving_)
            if (moving.where != channel.where)
                if (auto found = moved_channel(channel, moving))
                    out.push_back(std::move(*found));
    }
    return out;
}

} // namespace dangerline::survey
