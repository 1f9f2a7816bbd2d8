#include "jobs/newer_source.hpp"

#include "dangerline/base/error.hpp"
#include "dangerline/chart/dates.hpp"
#include "dangerline/chart/extent.hpp"
#include "dangerline/chart/sources.hpp"
#include "dangerline/chart/vector_source.hpp"
#include "dangerline/files/zone.hpp"
#include "dangerline/geo/cut.hpp"
#include "dangerline/geo/index.hpp"
#include "dangerline/hazard/rules.hpp"

#include <algorithm>
#include <cmath>
#include <map>

#include <fmt/format.h>

namespace dangerline::jobs {

namespace {

constexpr double both_doubts_m = 1000.0; // 500 m each (assumption of this project)

/// Compared though no rule makes them a danger where they are charted.
bool is_laid(std::string_view cls) {
    return cls == "CBLSUB" || cls == "CBLARE" || cls == "PIPSOL" || cls == "PIPARE";
}

[[noreturn]] void refuse(const plan::Plan& plan, const plan::NewerSource& source, const std::string& key,
                         const std::string& what, const std::string& expected, const std::string& remedy) {
    throw Failure(Fault::plan, {.file = plan.file.string(),
                                .object = fmt::format("line {}, newer.{}", source.line, key),
                                .what = what,
                                .expected = expected,
                                .remedy = remedy});
}

/// Layers or values that no mapping knows; each is said, with its number.
void say_unmapped(chart::Cell& cell, const plan::NewerSource& source, Diagnostics& diagnostics) {
    std::map<std::string, std::size_t> unknown, left_out;
    std::erase_if(cell.features, [&](const chart::Feature& f) {
        if (hazard::is_known(f.cls) || !hazard::rules_for(f.cls).empty())
            return false;
        const bool meant =
            std::find(source.left_out.begin(), source.left_out.end(), f.cls) != source.left_out.end();
        ++(meant ? left_out : unknown)[f.cls];
        return true;
    });
    for (const auto& [name, count] : unknown)
        diagnostics.push_back(
            {Severity::broken, cell.file, name,
             fmt::format(
                 "{} objects of a layer or value without an S-57 class; not compared (give it one under "
                 "classes, or name it under leave_out)",
                 count)});
    for (const auto& [name, count] : left_out)
        diagnostics.push_back({Severity::note, cell.file, name, fmt::format("{} objects left out", count)});
}

/// Classes that are known and not compared, so that nothing drops out without a word.
void say_not_compared(const chart::Cell& cell, Diagnostics& diagnostics) {
    std::map<std::string, std::size_t> not_compared;
    for (const auto& f : cell.features)
        if (!f.cls.starts_with("M_") && !is_comparable(f))
            ++not_compared[f.cls];
    for (const auto& [name, count] : not_compared)
        diagnostics.push_back(
            {Severity::warning, cell.file, name,
             fmt::format("{} objects {}", count,
                         name == "LNDMRK" ? "with a CATLMK other than wind motor (19); not compared"
                                          : "of a class that is not compared")});
}

/// Nobody can say where such an object is, so nobody can go round it.
void refuse_placeless(const chart::Cell& cell) {
    for (const auto& f : cell.features)
        if (is_comparable(f) && (f.broken_geometry || !chart::bounds_of(f.geometry)))
            throw Failure(Fault::data, {.file = cell.file,
                                        .object = f.cls + " " + to_text(f.id),
                                        .what = "has no place, or not all of it",
                                        .expected = "a point, line or area that can be read",
                                        .remedy = "mend or remove the object"});
}

bool has_depths(const chart::Cell& cell) {
    return std::any_of(cell.features.begin(), cell.features.end(), [](const chart::Feature& f) {
        return f.attributes.number("VALSOU") || f.attributes.number("DRVAL1");
    });
}

chart::Cell read_vector(const plan::NewerSource& source, const plan::Plan& plan, Diagnostics& diagnostics) {
    auto stated = source.stated;
    constexpr double line_on_chart_m = 0.0005;
    // A stated doubt is that of a place drawn at the scale at which 0.5 mm is as much.
    if (source.position_m && !stated.scale)
        stated.scale = std::max(1, static_cast<int>(*source.position_m / line_on_chart_m));
    auto cell = chart::read_vector_chart(source.file, stated, diagnostics);
    say_unmapped(cell, source, diagnostics);
    say_not_compared(cell, diagnostics);
    refuse_placeless(cell);
    if (cell.header.sdat == 0 && has_depths(cell))
        refuse(plan, source, "sounding_datum", "its depths are above a datum that nobody states",
               "a VERDAT code from 1 to 30", "add sounding_datum to this [[newer]]");
    if (source.position_m)
        for (auto& f : cell.features)
            f.posacc_m = std::max(f.posacc_m.value_or(0.0), *source.position_m);
    return cell;
}

std::vector<chart::Cell> read_editions(const plan::NewerSource& source,
                                       const std::vector<chart::LonLatBox>& near, Diagnostics& diagnostics) {
    auto found = chart::find_sources({source.file}, diagnostics);
    if (!near.empty())
        chart::choose_cells(found, near, diagnostics);
    std::vector<chart::Cell> cells;
    for (const auto& one : found.cells) {
        cells.push_back(chart::read_found_cell(one, diagnostics));
        refuse_placeless(cells.back());
    }
    return cells;
}

std::string date_of(const plan::NewerSource& source, const chart::Cell& cell) {
    if (source.dated)
        return to_text(*source.dated);
    const auto day = chart::latest_day_of(cell.issued);
    return day ? to_text(*day) : "";
}

std::shared_ptr<const geo::Shape> covered_by(const plan::NewerSource& source, const geo::Plane& plane,
                                             const std::vector<chart::Cell>& cells) {
    auto ring = source.covers;
    if (!source.covers_file.empty())
        ring = files::read_zone(source.covers_file);
    if (!ring.empty()) {
        ring.push_back(ring.front());
        return std::make_shared<const geo::Shape>(geo::Shape::of_area({plane.rhumb_chain(ring, 0.1)}));
    }
    std::vector<geo::Shape> parts;
    std::vector<const geo::Shape*> areas;
    for (const auto& cell : cells)
        if (cell.coverage_stated && cell.distrust.empty() && !cell.withdrawn)
            parts.push_back(geo::to_shape(cell.coverage));
    for (const auto& part : parts)
        areas.push_back(&part);
    if (areas.empty())
        return nullptr;
    auto whole = geo::to_shape(geo::united(areas));
    return whole.empty() ? nullptr : std::make_shared<const geo::Shape>(std::move(whole));
}

/// Where newer objects can be held against charts at all.
class ChartedGround {
  public:
    explicit ChartedGround(const std::vector<chart::Cell>& cells) {
        std::vector<geo::Box> boxes;
        for (const auto& cell : cells) {
            if (cell.notes || cell.newer || cell.withdrawn)
                continue;
            told_ = told_ && cell.coverage_stated;
            if (!cell.coverage.empty())
                covered_.push_back(geo::to_shape(cell.coverage));
            if (!cell.gaps.empty())
                gaps_.push_back(cell.gaps);
            for (const auto& f : cell.features)
                if (f.shape && f.shape->kind() == geo::ShapeKind::area && chart::is_group_one(f.cls)) {
                    ground_.push_back({f.shape, f.cls == "LNDARE"});
                    boxes.push_back(f.shape->box());
                }
        }
        index_ = std::make_unique<geo::BoxIndex>(boxes);
        find_edge();
    }

    /// True too where it can't be told.
    bool covers(const geo::Shape& shape, double within_m) const {
        return !told_ || std::any_of(covered_.begin(), covered_.end(), [&](const geo::Shape& area) {
            return survey::is_within(shape, area, within_m);
        });
    }
    /// On charted land, and nothing else of the skin of the earth so near, nor anything uncharted.
    bool is_inland(const geo::Shape& shape, double within_m) const {
        if (!is_deep_within(shape, within_m))
            return false;
        bool land = false;
        for (const auto i : index_->meeting(shape.box().grown(within_m))) {
            if (!ground_[i].land && survey::is_within(shape, *ground_[i].shape, within_m))
                return false;
            land = land || (ground_[i].land && survey::is_within(shape, *ground_[i].shape, 0.0));
        }
        return land;
    }

  private:
    void find_edge() {
        constexpr double slit_m = 1.0; // charts that share an edge cut it at different places in the plane
        if (covered_.empty())
            return;
        std::vector<const geo::Shape*> areas;
        for (const auto& area : covered_)
            areas.push_back(&area);
        const auto whole = geo::slits_filled(geo::united(areas), slit_m);
        whole_ = geo::to_shape(whole);
        std::vector<std::vector<geo::Point>> rings;
        for (const auto& polygon : whole)
            rings.insert(rings.end(), polygon.begin(), polygon.end());
        edge_ = geo::Shape::of_lines(rings);
    }
    /// All of it on charts that say so, by so much, and nowhere near where they say nothing.
    bool is_deep_within(const geo::Shape& shape, double within_m) const {
        const auto points = shape.points();
        return std::all_of(points.begin(), points.end(), [&](geo::Point p) { return whole_.contains(p); }) &&
               !survey::is_within(shape, edge_, within_m) &&
               std::none_of(gaps_.begin(), gaps_.end(),
                            [&](const geo::Shape& gap) { return survey::is_within(shape, gap, within_m); });
    }

    bool told_ = true; ///< every chart says what it covers
    std::vector<geo::Shape> covered_;
    std::vector<geo::Shape> gaps_;
    geo::Shape whole_, edge_; ///< of all that is covered
    struct Ground {
        std::shared_ptr<const geo::Shape> shape;
        bool land;
    };
    std::vector<Ground> ground_;
    std::unique_ptr<geo::BoxIndex> index_;
};

void leave_out(chart::Cell& cell, const plan::NewerSource& source, const ChartedGround& ground,
               const Near& near, NewerOutcome::LeftOut& left_out) {
    const double within_m = both_doubts_m + source.position_m.value_or(0.0) + source.moved_within_m;
    std::erase_if(cell.features, [&](const chart::Feature& f) {
        if (f.cls.starts_with("M_") || !f.shape || f.shape->empty())
            return false;
        // A small-scale chart draws water as land, and nobody else tells what lies beside the route.
        if (near.nearest(*f.shape, told_within_m))
            return false;
        const bool inland = ground.is_inland(*f.shape, within_m);
        if (!inland && ground.covers(*f.shape, within_m))
            return false;
        ++(inland ? left_out.on_land : left_out.on_no_chart);
        return true;
    });
}

} // namespace

bool is_comparable(const chart::Feature& f) {
    static const std::set<std::string_view> no_single_things{"SOUNDG", "DEPARE", "DRGARE", "SWPARE",
                                                             "UNSARE", "COALNE", "SNDWAV", "DEPCNT"};
    if (no_single_things.contains(f.cls))
        return false;
    if (f.cls == "LNDMRK")
        return hazard::may_be_turbine(f);
    if (f.cls == "LNDARE")
        return f.geometry.primitive == chart::Primitive::point;
    return !hazard::rules_for(f.cls).empty() || is_laid(f.cls);
}

NewerData read_newer(const plan::NewerSource& source, const NewerFor& asked, Diagnostics& diagnostics) {
    const auto& [plan, plane, routes, near_plan, charts, as_of] = asked;
    if (source.dated && as_of && *as_of < *source.dated)
        refuse(plan, source, "dated",
               fmt::format("{} lies after the day of use, {}", to_text(*source.dated), to_text(*as_of)),
               "a day before it", "correct the one that is wrong");
    NewerData out;
    const auto near = compared_boxes(plan, routes);
    const bool vector = chart::is_vector_source(source.file);
    if (vector)
        out.cells.push_back(read_vector(source, plan, diagnostics));
    else if (!source.stated.mapping.classes.empty() || !source.stated.mapping.attributes.empty())
        refuse(plan, source, "classes",
               source.file.string() + " is no vector source, whose classes could be named",
               "GeoJSON, GeoPackage, FlatGeobuf or Shapefile", "leave the mapping out for cells");
    else
        out.cells = read_editions(source, near, diagnostics);
    for (const auto& [name, cls] : source.stated.mapping.classes)
        out.classes.insert(cls);
    const ChartedGround ground(charts);
    for (auto& cell : out.cells) {
        for (const auto& f : cell.features)
            if (is_comparable(f))
                out.classes.insert(f.cls);
        out.dated = std::max(out.dated, date_of(source, cell));
        if (vector)
            out.left_out.far += std::erase_if(cell.features, [&](const chart::Feature& f) {
                return !f.cls.starts_with("M_") && !(near.empty() ? chart::bounds_of(f.geometry).has_value()
                                                                  : chart::comes_near(f.geometry, near));
            });
        cell.newer = true;
        chart::lay_out(cell, plane, diagnostics);
        leave_out(cell, source, ground, near_plan, out.left_out);
    }
    out.every_class = !vector;
    out.covered = covered_by(source, plane, out.cells);
    return out;
}

} // namespace dangerline::jobs
