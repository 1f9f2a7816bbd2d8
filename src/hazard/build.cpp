#include "dangerline/hazard/build.hpp"

#include "dangerline/chart/precedence.hpp"
#include "dangerline/hazard/join.hpp"
#include "dangerline/hazard/notes.hpp"
#include "dangerline/hazard/precedence.hpp"
#include "dangerline/hazard/rules.hpp"
#include "dangerline/survey/allowance.hpp"
#include "hazard/datums.hpp"
#include "hazard/steps.hpp"
#include "hazard/surfaces.hpp"
#include "hazard/trust.hpp"
#include "hazard/uncharted.hpp"
#include "hazard/uncovered.hpp"

#include <algorithm>
#include <iterator>
#include <map>

#include <fmt/format.h>

namespace dangerline::hazard {

namespace {

using chart::Cell;
using chart::Feature;

geo::Box box_of(const std::vector<Step>& steps) {
    geo::Box box = steps.front().extent->box();
    for (const auto& step : steps) {
        const auto& b = step.extent->box();
        box = {std::min(box.min_x, b.min_x), std::min(box.min_y, b.min_y), std::max(box.max_x, b.max_x),
               std::max(box.max_y, b.max_y)};
    }
    return box;
}

class Builder {
  public:
    Builder(const Cell& cell, std::size_t number, const survey::QualityZones& zones, const Surfaces* surfaces,
            const std::optional<CalendarDay>& as_of, Hazards& out, std::vector<Hazard>& under,
            Diagnostics& diagnostics)
        : cell_(cell), number_(number), out_(out), under_(under), diagnostics_(diagnostics), as_of_(as_of),
          surfaces_(surfaces), zones_(zones), depth_datums_(cell, "M_SDAT", cell.header.sdat),
          clearance_datums_(cell, "M_VDAT", cell.header.vdat) {}

    void run() {
        CellRef ref{cell_.name, cell_.edition,     cell_.update,  cell_.issued,
                    scale(),    cell_.header.sdat, cell_.distrust};
        for (const auto& f : cell_.features)
            add(f, ref.distrust);
        std::copy_if(zones_.all().begin(), zones_.all().end(), std::back_inserter(out_.zones),
                     [](const auto& zone) { return !zone.under_better; });
        for (const auto& [cls, count] : unknown_classes_)
            diagnostics_.push_back(
                {Severity::broken, cell_.file, cls,
                 fmt::format("{} objects of a class no rule knows; graded unknown", count)});
        if (!cell_.gaps.empty())
            add_gaps();
        // Where better cells rule everywhere nothing is left of it that could be unknown.
        const bool hidden = cell_.coverage_stated && cell_.coverage.empty();
        if (!ref.distrust.empty() && !cell_.withdrawn && !hidden)
            add_no_data(everything(), "chart not to be believed: " + ref.distrust.front());
        out_.cells.push_back(std::move(ref));
    }

  private:
    void add(const Feature& f, std::vector<std::string>& distrust) {
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
            ++unknown_classes_[f.cls];
            add_unknown_class(f);
        }
        for (const Rule* rule : found)
            apply(f, *rule);
        if (f.doubtful_shape && !f.doubtful_shape->empty()) {
            add_no_data(f.doubtful_shape,
                        fmt::format("{} {} is drawn so that its area can't be told", f.cls, to_text(f.id)));
            out_.all.back().allowance = allowance_of_unknown(f.quapos);
        }
    }

    void apply(const Feature& f, const Rule& rule) {
        const std::uint8_t geometry = f.geometry.primitive == chart::Primitive::point  ? points
                                      : f.geometry.primitive == chart::Primitive::line ? lines
                                                                                       : areas;
        if (!(rule.geometries & geometry)) {
            diagnostics_.push_back({Severity::broken, cell_.file, f.cls + " " + to_text(f.id),
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
            diagnostics_.push_back(
                {Severity::warning, cell_.file, f.cls + " " + to_text(f.id), *list.contradiction});
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
            auto place = std::make_shared<const geo::Shape>(geo::Shape::of_points({f.shape->points()[i]}));
            StepList list = sounding_steps(f, f.geometry.depths_m[i], place);
            Hazard h = start(f, rule.kind, list.what);
            h.between = true;
            h.allowance = allowance(f, *place, list.steps.front().depth);
            for (const int datum : depth_datums_.at(f, f.shape->points()[i])) {
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
        Step s;
        s.in_force = InForce::always;
        s.decides = Grade::unknown;
        s.depth = Depth::never_covered();
        s.depth_known = false;
        s.extent = f.shape;
        s.basis = "class " + f.cls;
        h.allowance = allowance(f, *f.shape, Depth::from_metres(0.0));
        push(std::move(h), {std::move(s)});
    }

    /// A gap may stand for a lost area of the skin of the earth: it reaches as far as the most doubtful
    /// would.
    void add_gaps() {
        std::optional<int> worst;
        for (const auto& f : cell_.features)
            if (chart::is_group_one(f.cls) && f.quapos &&
                (!worst ||
                 survey::quapos_radius(*f.quapos, scale()) > survey::quapos_radius(*worst, scale())))
                worst = f.quapos;
        add_no_data(std::make_shared<const geo::Shape>(cell_.gaps),
                    "the charted bottom has a gap or an overlap");
        out_.all.back().allowance = allowance_of_unknown(worst);
    }

    /// Where nobody knows what lies there, nobody knows how well it was surveyed.
    survey::Allowance allowance_of_unknown(std::optional<int> quapos) const {
        return survey::allowance_for({.scale = scale(),
                                      .quapos = quapos,
                                      .posacc_m = {},
                                      .souacc_m = {},
                                      .catzoc = 0,
                                      .depth_m = 0.0});
    }

    int scale() const { return static_cast<int>(cell_.header.cscl); }

    void add_no_data(std::shared_ptr<const geo::Shape> extent, std::string why) {
        out_.all.push_back(no_data(std::move(extent), std::move(why), cell_.name, number_));
    }

    std::shared_ptr<const geo::Shape> everything() const {
        return std::make_shared<const geo::Shape>(cell_.coverage.empty()
                                                      ? geo::Shape::of_area({hazard::everywhere()})
                                                      : geo::to_shape(cell_.coverage));
    }

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
        (current_->under_better ? under_ : out_.all).push_back(std::move(h));
    }

  public:
    static Hazard no_data(std::shared_ptr<const geo::Shape> extent, std::string why, std::string cell,
                          std::size_t number) {
        Hazard h;
        h.kind = Kind::no_data;
        h.object.cell = std::move(cell);
        h.what = why;
        h.cell = number;
        Step s;
        s.in_force = InForce::always;
        s.decides = Grade::unknown;
        s.depth = Depth::never_covered();
        s.depth_known = false;
        s.extent = std::move(extent);
        s.basis = std::move(why);
        h.steps.push_back(std::move(s));
        h.box = box_of(h.steps);
        return h;
    }

  private:
    const Cell& cell_;
    std::size_t number_;
    Hazards& out_;
    std::vector<Hazard>& under_; ///< of a coarser cell, where a better one rules
    Diagnostics& diagnostics_;
    const std::optional<CalendarDay>& as_of_;
    const Feature* current_ = nullptr;
    const Surfaces* surfaces_;
    const survey::QualityZones& zones_;
    Datums depth_datums_, clearance_datums_;
    std::map<std::string, int> unknown_classes_;
};

Hazard too_small(const chart::TooSmall& place, const std::vector<Cell>& cells) {
    Hazard h;
    h.kind = Kind::survey;
    h.object.cell = cells[place.cell].name;
    h.what = "chart too small in scale here";
    h.cell = place.cell;
    Step s;
    s.in_force = InForce::always;
    s.decides = Grade::caution;
    s.cause = Cause::survey;
    s.extent = place.where;
    s.basis = cells[place.cell].header.cscl > 0
                  ? fmt::format("1:{} within 3 NM of land shows too little for a small boat",
                                cells[place.cell].header.cscl)
                  : std::string("a chart of unstated scale within 3 NM of land");
    h.steps.push_back(std::move(s));
    h.box = box_of(h.steps);
    return h;
}

/// One for all cells of a scale: where the line between them runs changes nothing.
void add_too_small(const std::vector<chart::TooSmall>& places, const std::vector<Cell>& cells,
                   std::vector<Hazard>& out) {
    std::map<std::uint32_t, std::vector<const chart::TooSmall*>> by_scale;
    for (const auto& place : places)
        by_scale[cells[place.cell].header.cscl].push_back(&place);
    for (const auto& [scale, all] : by_scale) {
        chart::TooSmall whole = *all.front();
        std::vector<const geo::Shape*> shapes;
        for (const auto* place : all)
            shapes.push_back(place->where.get());
        if (shapes.size() > 1)
            whole.where = std::make_shared<const geo::Shape>(geo::to_shape(geo::united(shapes)));
        out.push_back(too_small(whole, cells));
    }
}

} // namespace

Hazards build(const std::vector<Cell>& cells, Diagnostics& diagnostics, const BuildSettings& settings) {
    Hazards out;
    std::vector<Hazard> under;
    auto quality = std::make_shared<std::vector<survey::QualityZones>>();
    for (const auto& cell : cells)
        quality->emplace_back(cell);
    const auto& zones = *quality;
    std::optional<Surfaces> surfaces;
    if (settings.bottom)
        surfaces.emplace(cells, zones, settings.bottom->near,
                         Surfaces::Levels{settings.bottom->from, settings.bottom->to}, diagnostics,
                         settings.moving);
    for (std::size_t i = 0; i < cells.size(); ++i)
        Builder(cells[i], i, zones[i], surfaces ? &*surfaces : nullptr, settings.as_of, out, under,
                diagnostics)
            .run();
    join_split_objects(out.all, out.cells);
    join_split_zones(out.zones, out.cells);
    settle_under_better(under, out.all, out.cells);
    std::move(under.begin(), under.end(), std::back_inserter(out.all));
    if (settings.trust)
        apply_trust(out, cells, zones, settings);
    add_too_small(chart::too_small_in_scale(cells, settings.window), cells, out.all);
    out.all.push_back(Builder::no_data(uncovered(cells), "no chart covers this water", "", 0));
    out.all.back().uncovered = true;
    std::vector<geo::Box> boxes;
    boxes.reserve(out.all.size());
    for (const auto& h : out.all)
        boxes.push_back(h.box);
    out.index = std::make_shared<const geo::BoxIndex>(boxes);
    out.quality = std::move(quality);
    return out;
}

} // namespace dangerline::hazard
