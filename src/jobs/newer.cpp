#include "dangerline/jobs/newer.hpp"

#include "dangerline/base/words.hpp"
#include "dangerline/hazard/rules.hpp"
#include "dangerline/survey/allowance.hpp"
#include "dangerline/survey/zones.hpp"
#include "jobs/near.hpp"
#include "jobs/newer_source.hpp"
#include "jobs/newer_words.hpp"

#include <algorithm>
#include <limits>
#include <map>

#include <fmt/format.h>

namespace dangerline::jobs {

namespace {

using survey::Change;
using survey::Comparable;

/// What a comparable was made from.
struct Origin {
    const chart::Cell* cell = nullptr;
    const chart::Feature* feature = nullptr;
};

/// One side of the comparison.
struct Side {
    std::vector<Comparable> objects;
    std::vector<Origin> origins;

    void add(const chart::Cell& cell, bool joined_by_identity) {
        const survey::QualityZones zones(cell);
        for (const auto& f : cell.features) {
            if (f.under_better || !is_comparable(f) || !f.shape || f.shape->empty())
                continue;
            const std::string identity = f.id.agen == 0 ? "" : to_text(f.id);
            // A charted object may lie in several cells, or in parts of one.
            if (const auto same = by_identity_.find({f.cls, identity}); same != by_identity_.end()) {
                objects[same->second].shapes.push_back(f.shape);
                continue;
            }
            if (joined_by_identity && !identity.empty())
                by_identity_.emplace(std::pair(f.cls, identity), objects.size());
            objects.push_back(made_from(f, cell, zones, identity));
            origins.push_back({&cell, &f});
        }
    }

  private:
    static Comparable made_from(const chart::Feature& f, const chart::Cell& cell,
                                const survey::QualityZones& zones, const std::string& identity) {
        Comparable c{f.cls, identity, chart::name_of(f), {f.shape}, f.attributes.number("VALSOU")};
        const auto allowance = survey::allowance_for({.scale = static_cast<int>(cell.header.cscl),
                                                      .quapos = f.quapos,
                                                      .posacc_m = f.posacc_m,
                                                      .souacc_m = f.attributes.number("SOUACC"),
                                                      .catzoc = zones.catzoc_over(*f.shape),
                                                      .depth_m = c.depth_m.value_or(0.0)});
        c.position_m = allowance.position_m;
        c.depth_doubt_m = allowance.depth_doubt(c.depth_m.value_or(0.0));
        return c;
    }

    std::map<std::pair<std::string, std::string>, std::size_t> by_identity_;
};

hazard::ObjectRef ref_of(const Origin& origin) {
    return {to_text(origin.feature->id), origin.feature->cls, chart::name_of(*origin.feature),
            origin.cell->name};
}

class Joining {
  public:
    Joining(const plan::NewerSource& source, const NewerData& data, const std::vector<chart::Cell>& cells,
            const Near& near, bool near_routes, const geo::Plane& plane)
        : source_(source), data_(data), near_(near), near_routes_(near_routes), plane_(plane) {
        for (const auto& cell : cells)
            if (!cell.notes && !cell.newer && !cell.withdrawn)
                charted_.add(cell, true);
        for (const auto& cell : data.cells)
            if (!cell.withdrawn)
                newer_.add(cell, false);
        for (std::size_t i = 0; i < newer_.objects.size(); ++i)
            if (source.position_m && newer_.origins[i].feature->posacc_m == source.position_m)
                newer_.objects[i].position_m = *source.position_m; // stated, so no quality of survey is asked
        one_datum_ = std::all_of(cells.begin(), cells.end(), [&](const auto& cell) {
            return cell.notes || cell.newer ||
                   std::all_of(data.cells.begin(), data.cells.end(),
                               [&](const auto& other) { return other.header.sdat == cell.header.sdat; });
        });
        if (!one_datum_)
            for (auto& object : charted_.objects)
                object.depth_m.reset();
    }

    NewerOutcome run() {
        survey::CompareSettings settings{source_.moved_within_m, data_.covered, data_.classes};
        if (data_.every_class)
            for (const auto& object : charted_.objects)
                settings.classes.insert(object.cls);
        NewerOutcome out{source_.name, data_.dated};
        out.left_out = data_.left_out;
        out.classes.assign(settings.classes.begin(), settings.classes.end());
        out.compared = newer_.objects.size();
        out.charted = static_cast<std::size_t>(
            std::count_if(charted_.objects.begin(), charted_.objects.end(),
                          [&](const auto& object) { return settings.classes.contains(object.cls); }));
        out.gone_judged = data_.covered != nullptr;
        for (const auto& difference : survey::compare(newer_.objects, charted_.objects, settings))
            if (is_near(difference))
                out.changes.push_back(change_of(difference));
            else
                ++out.left_out.told_not;
        most_dangerous_first(out.changes);
        return out;
    }

    /// The objects that the charts lack, each once, with what they lack of it.
    std::vector<chart::Cell> lacking(int chart_datum) const {
        std::vector<chart::Cell> cells;
        for (const auto& cell : data_.cells) {
            chart::Cell one;
            one.file = cell.file;
            one.name = source_.name;
            one.header = cell.header;
            // Without depths no datum matters; that of the chart is linked.
            if (one.header.sdat == 0)
                one.header.sdat = chart_datum;
            one.edition = cell.edition;
            one.update = cell.update;
            one.issued = cell.issued;
            one.newer = true;
            for (const auto& [number, words] : adds_) {
                if (newer_.origins[number].cell != &cell)
                    continue;
                auto& f = one.features.emplace_back(*newer_.origins[number].feature);
                f.uncharted = fmt::format("{}, by {}{}", words, source_.name, dated());
                if (const auto radius = radius_of(f)) {
                    f.shape =
                        std::make_shared<const geo::Shape>(geo::to_shape(geo::grown(*f.shape, *radius)));
                    f.uncharted += fmt::format(", its radius taken as {:g} m", *radius);
                }
            }
            for (const auto& f : cell.features)
                if (f.cls == "M_QUAL" && !one.features.empty()) {
                    one.features.push_back(f);
                    one.features.back().under_better = true; // for the doubts of these objects alone
                }
            if (!one.features.empty())
                cells.push_back(std::move(one));
        }
        return cells;
    }

  private:
    std::string dated() const { return data_.dated.empty() ? ", undated" : " of " + data_.dated; }

    bool is_near(const survey::Difference& d) const {
        const auto& shapes = d.newer ? newer_.objects[*d.newer].shapes : charted_.objects[*d.charted].shapes;
        return !near_routes_ || near_.nearest(shapes, told_within_m);
    }

    /// Of a solid structure drawn as a point.
    std::optional<double> radius_of(const chart::Feature& f) const {
        const auto assumed = hazard::assumed_radius(f.cls);
        if (f.geometry.primitive != chart::Primitive::point || !assumed)
            return std::nullopt;
        const double across = std::max(f.attributes.number("HORLEN").value_or(0.0),
                                       f.attributes.number("HORWID").value_or(0.0));
        return across > 0.0 ? across / 2.0 : source_.radius_m.value_or(assumed->metres);
    }

    void place(NewerChange& change) const {
        const auto found = near_.nearest(change.shapes, std::numeric_limits<double>::infinity());
        change.place = plane_.to_position(found ? found->place : change.shapes.front()->points().front());
        if (!found)
            return;
        change.off_m = found->metres;
        change.off = found->what;
    }

    NewerChange change_of(const survey::Difference& d) {
        NewerChange change{d, source_.name};
        const auto& object = d.newer ? newer_.objects[*d.newer] : charted_.objects[*d.charted];
        change.shapes = object.shapes;
        place(change);
        change.what = hazard::words_for(object.cls);
        if (d.newer) {
            change.newer = ref_of(newer_.origins[*d.newer]);
            change.newer.uncharted = d.adds;
            change.newer_depth_m = newer_.objects[*d.newer].depth_m;
            change.radius_m = radius_of(*newer_.origins[*d.newer].feature);
        }
        if (d.charted) {
            change.charted = ref_of(charted_.origins[*d.charted]);
            change.charted_depth_m = charted_.origins[*d.charted].feature->attributes.number("VALSOU");
        }
        const std::string words = words_of(d, change);
        change.sentence =
            fmt::format("{}{}: {}{} ({}{}).", capitalised(change.what),
                        object.name.empty() ? "" : " \"" + object.name + "\"", words,
                        d.change == Change::missing ? beside(*d.newer) : "", source_.name, dated());
        if (d.adds) {
            auto& said = adds_[*d.newer];
            said += (said.empty() ? "" : "; ") + words;
        }
        return change;
    }

    /// ", the charts show a wreck 12 m from there": another class at the place of what is missing.
    std::string beside(std::size_t number) const {
        const auto& object = newer_.objects[number];
        for (std::size_t i = 0; i < charted_.objects.size(); ++i) {
            const auto& other = charted_.objects[i];
            if (other.cls == object.cls || !may_be_one_thing(other.cls, object.cls))
                continue;
            const double limit = object.position_m + other.position_m;
            if (const double gap = survey::gap_between(object, other, limit); gap <= limit)
                return fmt::format(", but they show a {} {:.0f} m from there", hazard::words_for(other.cls),
                                   gap);
        }
        return "";
    }

    const plan::NewerSource& source_;
    const NewerData& data_;
    const Near& near_;
    bool near_routes_;
    const geo::Plane& plane_;
    Side newer_, charted_;
    bool one_datum_ = true;
    std::map<std::size_t, std::string> adds_; ///< newer objects by number: what the charts lack of each
};

void say_not_newer(const NewerData& data, const std::vector<chart::Cell>& cells, Diagnostics& diagnostics) {
    for (const auto& own : data.cells)
        for (const auto& cell : cells)
            if (own.name == cell.name && !cell.newer &&
                std::pair(own.edition, own.update) <= std::pair(cell.edition, cell.update))
                diagnostics.push_back(
                    {Severity::warning, own.file, "",
                     fmt::format("edition {} update {} is not newer than the chart's edition {} "
                                 "update {}",
                                 own.edition, own.update, cell.edition, cell.update)});
}

} // namespace

std::vector<NewerOutcome> join_newer(const plan::Plan& plan, const geo::Plane& plane,
                                     const std::vector<PlannedRoute>& routes,
                                     const std::optional<CalendarDay>& as_of, std::vector<chart::Cell>& cells,
                                     Diagnostics& diagnostics) {
    std::vector<NewerOutcome> outcomes;
    const Near near(plan, routes, plane);
    for (const auto& source : plan.newer) {
        const auto data = read_newer(source, {plan, plane, routes, near, cells, as_of}, diagnostics);
        say_not_newer(data, cells, diagnostics);
        Joining joining(source, data, cells, near, !routes.empty(), plane);
        outcomes.push_back(joining.run());
        for (auto& cell : joining.lacking(cells.empty() ? 0 : cells.front().header.sdat))
            cells.push_back(std::move(cell));
        say_outcome(outcomes.back(), source, !routes.empty(), diagnostics);
    }
    return outcomes;
}

} // namespace dangerline::jobs
