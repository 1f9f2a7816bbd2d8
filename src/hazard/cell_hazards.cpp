#include "hazard/cell_hazards.hpp"

#include "dangerline/base/parallel.hpp"
#include "dangerline/hazard/notes.hpp"
#include "dangerline/hazard/rules.hpp"
#include "dangerline/survey/allowance.hpp"
#include "hazard/datums.hpp"
#include "hazard/steps.hpp"
#include "hazard/uncharted.hpp"
#include "hazard/uncovered.hpp"

#include <algorithm>
#include <deque>
#include <iterator>

#include <fmt/format.h>

namespace dangerline::hazard {

geo::Box box_of(const std::vector<Step>& steps) {
    geo::Box box = steps.front().extent->box();
    for (const auto& step : steps) {
        const auto& b = step.extent->box();
        box = {std::min(box.min_x, b.min_x), std::min(box.min_y, b.min_y), std::max(box.max_x, b.max_x),
               std::max(box.max_y, b.max_y)};
    }
    return box;
}

Hazard no_data(std::shared_ptr<const geo::Shape> extent, std::string why, std::string cell,
               std::size_t number) {
    Hazard h;
    h.kind = Kind::no_data;
    h.object.cell = std::move(cell);
    h.what = why;
    h.cell = number;
    h.steps.push_back(unknown_step(std::move(extent), std::move(why)));
    h.box = box_of(h.steps);
    return h;
}

namespace {

using chart::Cell;
using chart::Feature;

/// Where nobody knows what lies there, nobody knows how well it was surveyed.
survey::Allowance allowance_of_unknown(std::optional<int> quapos, int scale) {
    return survey::allowance_for(
        {.scale = scale, .quapos = quapos, .posacc_m = {}, .souacc_m = {}, .catzoc = 0, .depth_m = 0.0});
}

/// Whether soundings may have come from farther off than `around_window_m` allows for, corridor and doubts of
/// places taken off: where bottoms are drawn that move, or charted ones move so far.
bool may_move_far(const BuildSettings& settings) {
    constexpr double allowed_m = 1500.0;
    if (!settings.moving.empty())
        return true;
    if (!settings.trust)
        return false;
    const auto& rules = settings.trust->moving;
    return std::any_of(rules.begin(), rules.end(), [&](const auto& rule) {
        const bool charted = rule.kind == survey::Moving::sand_waves || rule.kind == survey::Moving::soft;
        return charted && rule.metres_per_year * settings.trust->undated_years > allowed_m;
    });
}

/// Takes some of the objects of a cell.
class Builder {
  public:
    Builder(const Cell& cell, std::size_t number, const survey::QualityZones& zones, const Surfaces* surfaces,
            const BuildSettings& settings)
        : cell_(cell), number_(number), as_of_(settings.as_of), surfaces_(surfaces), zones_(zones),
          depth_datums_(cell, "M_SDAT", cell.header.sdat),
          clearance_datums_(cell, "M_VDAT", cell.header.vdat) {
        if (settings.window && !may_move_far(settings))
            asked_ = settings.window->grown(around_window_m);
    }

    void add(std::size_t from, std::size_t to) {
        for (std::size_t i = from; i < to; ++i)
            add(cell_.features[i]);
    }

    std::vector<Hazard> all, under;
    Diagnostics said;
    std::map<std::string, int> unknown_classes;
    std::vector<std::string> distrust;

  private:
    void add(const Feature& f) {
        current_ = &f;
        const auto found = rules_for(f.cls);
        const bool known = !found.empty() || is_known(f.cls);
        const bool datum_area = f.cls == "M_SDAT" || f.cls == "M_VDAT";
        if (datum_area && (f.broken_geometry || !f.attributes.code("VERDAT")))
            distrust.push_back(
                fmt::format("{} {} does not say where, or what, datum holds", f.cls, to_text(f.id)));
        if (known && found.empty()) {
            if (!f.uncharted.empty() && f.shape && !f.shape->empty())
                add_unruled(f);
            return;
        }
        // An area that is drawn wrong has its readings; anything else lost a place nobody can give back.
        const bool readable_area = f.shape && !f.shape->empty() && f.shape->kind() == geo::ShapeKind::area;
        if (f.broken_geometry && !readable_area)
            distrust.push_back(fmt::format("{} {} has no place, or not all of it", f.cls, to_text(f.id)));
        if (!f.shape || f.shape->empty())
            return;
        if (!known) {
            ++unknown_classes[f.cls];
            add_unknown_class(f);
        }
        for (const Rule* rule : found)
            apply(f, *rule);
        if (f.doubtful_shape && !f.doubtful_shape->empty()) {
            all.push_back(
                no_data(f.doubtful_shape,
                        fmt::format("{} {} is drawn so that its area can't be told", f.cls, to_text(f.id)),
                        cell_.name, number_));
            all.back().allowance = allowance_of_unknown(f.quapos, scale());
        }
    }

    void apply(const Feature& f, const Rule& rule) {
        const std::uint8_t geometry = f.geometry.primitive == chart::Primitive::point  ? points
                                      : f.geometry.primitive == chart::Primitive::line ? lines
                                                                                       : areas;
        if (!(rule.geometries & geometry)) {
            said.push_back({Severity::broken, cell_.file, f.cls + " " + to_text(f.id),
                            "drawn in a way no rule knows for its class; graded unknown"});
            add_unknown_class(f);
            return;
        }
        if (rule.treatment == Treatment::soundings) {
            add_soundings(f, rule);
            return;
        }
        StepList list = steps_for(f, rule);
        if (list.steps.empty())
            return;
        if (list.contradiction)
            said.push_back({Severity::warning, cell_.file, f.cls + " " + to_text(f.id), *list.contradiction});
        Hazard h = start(f, rule.kind, list.what.empty() ? std::string(rule.what) : list.what);
        h.mark = list.mark;
        h.between = rule.treatment == Treatment::bottom || rule.treatment == Treatment::dredged ||
                    rule.treatment == Treatment::swept;
        if (rule.treatment == Treatment::rough)
            h.category = f.attributes.code("CATWAT").value_or(0);
        if (f.cls == "SLCONS")
            h.category = f.attributes.code("CATSLC").value_or(0);
        if (std::any_of(list.steps.begin(), list.steps.end(),
                        [](const Step& s) { return s.decides == Grade::unknown; }))
            h.kind = rule.kind == Kind::depth ? Kind::no_data : rule.kind;
        h.allowance = allowance(f, *f.shape, list.steps.front().depth);
        if (surfaces_) {
            h.surface = surfaces_->of(f);
            list.steps = surfaces_->put_into(std::move(list.steps), f);
        }
        push_parted(h, list.steps, rule.treatment == Treatment::overhead ? clearance_datums_ : depth_datums_);
    }

    /// One hazard for each datum its places are above.
    void push_parted(const Hazard& whole, const std::vector<Step>& steps, const Datums& datums) {
        const auto parts = datums.parts(*current_, current_->shape);
        for (const auto& part : parts) {
            Hazard h = whole;
            h.datum = part.datum;
            std::vector<Step> its = steps;
            for (auto& step : its)
                step.extent = parts.size() == 1 ? step.extent : part.shape; // no surface where it changes
            push(std::move(h), std::move(its));
        }
    }

    void add_soundings(const Feature& f, const Rule& rule) {
        for (std::size_t i = 0; i < f.geometry.points.size(); ++i) {
            const geo::Point at = f.shape->points()[i];
            if (asked_ && !asked_->meets({at.x, at.y, at.x, at.y}))
                continue;
            auto place = std::make_shared<const geo::Shape>(geo::Shape::of_points({at}));
            StepList list = sounding_steps(f, f.geometry.depths_m[i], place);
            Hazard h = start(f, rule.kind, list.what);
            h.between = true;
            h.allowance = allowance(f, *place, list.steps.front().depth);
            for (const int datum : depth_datums_.at(f, at)) {
                h.datum = datum;
                push(h, list.steps);
            }
        }
    }

    /// What is no danger where the chart shows it may be one where the chart does not.
    void add_unruled(const Feature& f) {
        StepList list = unruled_steps(f);
        Hazard h = start(f, Kind::obstacle, list.what);
        if (list.steps.front().in_force == InForce::below)
            h.kind = Kind::depth;
        h.allowance = allowance(f, *f.shape, list.steps.front().depth);
        push_parted(h, list.steps, depth_datums_);
    }

    void add_unknown_class(const Feature& f) {
        Hazard h = start(f, Kind::no_data, "object of a class no rule knows");
        h.allowance = allowance(f, *f.shape, Depth::from_metres(0.0));
        push(std::move(h), {unknown_step(f.shape, "class " + f.cls)});
    }

    int scale() const { return static_cast<int>(cell_.header.cscl); }

    Hazard start(const Feature& f, Kind kind, std::string what) const {
        Hazard h;
        h.kind = kind;
        h.object = {to_text(f.id), f.cls, name_of(f), cell_.name};
        h.what = std::move(what);
        h.remark = f.attributes.text("INFORM");
        h.cell = number_;
        h.facts = survey::facts_of(f);
        return h;
    }

    survey::Allowance allowance(const Feature& f, const geo::Shape& shape, Depth depth) const {
        const bool point = shape.points().size() == 1;
        return survey::allowance_for(
            {.scale = scale(),
             .quapos = f.quapos,
             .posacc_m = f.posacc_m,
             .souacc_m = f.attributes.number("SOUACC"),
             .catzoc = point ? zones_.catzoc_at(shape.points().front()) : zones_.catzoc_over(shape),
             .depth_m = depth.metres()});
    }

    void push(Hazard h, std::vector<Step> steps) {
        h.steps = std::move(steps);
        h.box = box_of(h.steps);
        if (cell_.notes)
            sign_note(h, *current_, as_of_);
        sign_uncharted(h, *current_);
        if (!h.between && h.kind != Kind::survey)
            h.found_on = found_on(*current_, cell_.notes);
        (current_->under_better ? under : all).push_back(std::move(h));
    }

  private:
    const Cell& cell_;
    std::size_t number_;
    const std::optional<CalendarDay>& as_of_;
    const Feature* current_ = nullptr;
    const Surfaces* surfaces_;
    const survey::QualityZones& zones_;
    Datums depth_datums_, clearance_datums_;
    std::optional<geo::Box> asked_{}; ///< soundings elsewhere are nobody's danger
};

/// A gap may stand for a lost area of the skin of the earth: it reaches as far as the most doubtful would.
Hazard gaps_of(const Cell& cell, std::size_t number) {
    const auto scale = static_cast<int>(cell.header.cscl);
    std::optional<int> worst;
    for (const auto& f : cell.features)
        if (chart::is_group_one(f.cls) && f.quapos &&
            (!worst || survey::quapos_radius(*f.quapos, scale) > survey::quapos_radius(*worst, scale)))
            worst = f.quapos;
    Hazard h = no_data(std::make_shared<const geo::Shape>(cell.gaps),
                       "the charted bottom has a gap or an overlap", cell.name, number);
    h.allowance = allowance_of_unknown(worst, scale);
    return h;
}

std::shared_ptr<const geo::Shape> everything(const Cell& cell) {
    return std::make_shared<const geo::Shape>(cell.coverage.empty() ? geo::Shape::of_area({everywhere()})
                                                                    : geo::to_shape(cell.coverage));
}

template <typename T>
void append(std::vector<T>& to, std::vector<T>& from) {
    to.insert(to.end(), std::make_move_iterator(from.begin()), std::make_move_iterator(from.end()));
}

} // namespace

CellHazards hazards_of(const Cell& cell, std::size_t number, const survey::QualityZones& zones,
                       const Surfaces* surfaces, const BuildSettings& settings) {
    constexpr std::size_t at_once = 200;
    std::deque<Builder> builders;
    for (std::size_t from = 0; from < cell.features.size(); from += at_once)
        builders.emplace_back(cell, number, zones, surfaces, settings);
    parallel_for(
        builders.size(),
        [&](std::size_t i) {
            builders[i].add(i * at_once, std::min(cell.features.size(), (i + 1) * at_once));
        },
        0, 1);
    CellHazards out;
    out.cell = {cell.name,        cell.edition, cell.update, cell.issued, static_cast<int>(cell.header.cscl),
                cell.header.sdat, cell.distrust};
    std::map<std::string, int> unknown_classes;
    std::size_t count = 2; // gaps and distrust may come
    for (const auto& builder : builders)
        count += builder.all.size();
    out.all.reserve(count);
    for (auto& builder : builders) {
        append(out.all, builder.all);
        append(out.under, builder.under);
        append(out.said, builder.said);
        append(out.cell.distrust, builder.distrust);
        for (const auto& [cls, count] : builder.unknown_classes)
            unknown_classes[cls] += count;
    }
    for (const auto& [cls, count] : unknown_classes)
        out.said.push_back({Severity::broken, cell.file, cls,
                            fmt::format("{} objects of a class no rule knows; graded unknown", count)});
    if (!cell.gaps.empty())
        out.all.push_back(gaps_of(cell, number));
    // Where better cells rule everywhere nothing is left of it that could be unknown.
    const bool hidden = cell.coverage_stated && cell.coverage.empty();
    if (!out.cell.distrust.empty() && !cell.withdrawn && !hidden)
        out.all.push_back(no_data(everything(cell), "chart not to be believed: " + out.cell.distrust.front(),
                                  cell.name, number));
    return out;
}

} // namespace dangerline::hazard
