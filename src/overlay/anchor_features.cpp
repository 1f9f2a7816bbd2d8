#include "dangerline/overlay/anchor.hpp"

#include <algorithm>

#include "dangerline/drift/anchor.hpp"
#include "overlay/geometry.hpp"
#include "overlay/head.hpp"

namespace dangerline::overlay {

namespace {

using jobs::AnchorMark;

void add_known(Members& to, const char* name, const std::optional<double>& value, int decimals) {
    if (value)
        to.push_back({name, Value::number(*value, decimals)});
}

Value tide_value(const jobs::RopeAtTide& row) {
    return Value::object({{"when", Value::text(row.when)},
                          {"time", Value::text(to_iso_utc(row.at))},
                          {"tide_m", Value::number(row.tide_m, 2)},
                          {"depth_m", Value::number(row.depth_m, 2)},
                          {"least_m", Value::number(row.least_m, 1)},
                          {"in_proportion_m", Value::number(row.in_proportion_m, 1)},
                          {"all_chain_m", Value::number(row.all_chain_m, 1)}});
}

Value nature_value(const jobs::NatureNote& note) {
    return Value::object({{"bottom", Value::text(note.words)},
                          {"at_the_mark", Value::flag(note.here)},
                          {"distance_m", Value::number(note.nature.distance_m, 1)},
                          {"position_doubt_m", Value::number(note.nature.position_m, 1)},
                          {"holding", Value::text(drift::to_text(note.holding))},
                          {"why", Value::text(note.why)},
                          {"source", Value::text(note.source)},
                          {"object", object_value(note.nature.object)}});
}

Value cross_check_value(const jobs::PullNote& pull) {
    Members p{{"load_n", Value::number(pull.load_n, 0)}};
    add_known(p, "pull_angle_deg", pull.angle_deg, 1);
    add_known(p, "holding_left", pull.factor, 2);
    add_known(p, "flat_chain_m", pull.flat_chain_m, 1);
    add_known(p, "heavy_anchor_rule_n", pull.holding_n, 0);
    return Value::object(std::move(p));
}

class MarkFeatures {
  public:
    MarkFeatures(const AnchorMark& mark, const geo::Plane& plane, std::size_t number)
        : mark_(mark), plane_(plane), number_(number) {}

    void append_to(std::vector<Feature>& features) const {
        features.push_back(mark());
        features.push_back(circle());
        for (const auto& note : mark_.fouls)
            features.push_back(fouling(note));
        for (const auto& note : mark_.touches)
            features.push_back(touch(note));
    }

  private:
    Members begin(const char* role) const {
        return {{"role", Value::text(role)},
                {"mark", Value::text(mark_.name)},
                {"mark_number", Value::count(number_)}};
    }

    Feature mark() const {
        Members p = begin("mark");
        p.push_back({"grade", Value::text(hazard::to_text(mark_.grade))});
        p.push_back({"from", Value::text(to_iso_utc(mark_.from))});
        p.push_back({"to", Value::text(to_iso_utc(mark_.to))});
        p.push_back({"rope", Value::text(drift::to_text(mark_.word))});
        add_known(p, "depth_m", mark_.depth_m, 2);
        if (mark_.moved_m > 0.0)
            p.push_back({"moved_m", Value::number(mark_.moved_m, 1)});
        p.push_back({"unknown", Value::text(mark_.unknown)});
        p.push_back({"holding", Value::text(drift::to_text(mark_.holding))});
        List tides, natures;
        for (const auto& row : mark_.tides)
            tides.push_back(tide_value(row));
        for (const auto& note : mark_.natures)
            natures.push_back(nature_value(note));
        p.push_back({"tides", Value::list(std::move(tides))});
        p.push_back({"natures", Value::list(std::move(natures))});
        if (mark_.deadline)
            p.push_back({"decide_within_min", Value::number(mark_.deadline->decide_within_s / 60.0, 1)});
        if (mark_.pull)
            p.push_back({"cross_check", cross_check_value(*mark_.pull)});
        p.push_back({"sentences", Value::texts(mark_.sentences)});
        return {rounded_place(mark_.position), std::move(p)};
    }

    Feature circle() const {
        Members p = begin("swing_circle");
        p.push_back({"radius_m", Value::number(mark_.swing_m, 1)});
        p.push_back({"paid_out_m", Value::number(mark_.paid_out_m, 1)});
        const auto centre = geo::Shape::of_points({plane_.to_plane(mark_.position)});
        return {cut_areas(unproject(plane_, geo::grown(centre, mark_.swing_m))), std::move(p)};
    }

    Feature fouling(const jobs::FoulNote& note) const {
        Members p = begin("fouling");
        p.push_back({"kind", Value::text(hazard::to_text(note.foul.rule->foul))});
        p.push_back({"lies", Value::text(jobs::to_text(note.lies))});
        p.push_back({"what", Value::text(std::string(note.foul.rule->what))});
        p.push_back({"object", object_value(note.foul.object)});
        p.push_back({"distance_m", Value::number(note.foul.distance_m, 1)});
        p.push_back({"position_doubt_m", Value::number(note.foul.position_m, 1)});
        // What lies beside must not round to lying in it.
        const double outside_m = note.lies == jobs::Lies::beside ? std::max(0.1, note.outside_m) : 0.0;
        p.push_back({"outside_m", Value::number(outside_m, 1)});
        p.push_back({"coarser_chart", Value::flag(note.foul.coarser)});
        if (!note.foul.remark.empty())
            p.push_back({"remark", Value::text(note.foul.remark)});
        p.push_back({"reason", Value::text(note.sentence)});
        return {rounded_place(plane_.to_position(note.foul.nearest)), std::move(p)};
    }

    Feature touch(const jobs::TouchNote& note) const {
        Members p = begin("touch");
        p.push_back({"grade", Value::text(hazard::to_text(note.grade))});
        p.push_back({"what", Value::text(note.what)});
        p.push_back({"object", object_value(note.object)});
        p.push_back({"distance_m", Value::number(note.distance_m, 1)});
        add_known(p, "water_m", note.water_m, 2);
        p.push_back({"reason", Value::text(note.sentence)});
        return {rounded_place(plane_.to_position(note.nearest)), std::move(p)};
    }

    const AnchorMark& mark_;
    const geo::Plane& plane_;
    std::size_t number_;
};

constexpr const char* stream_basis =
    "the largest rate while anchored; where it is not known rope is reckoned as for a fierce stream";

} // namespace

std::string anchor_geojson(const jobs::AnchorReport& report, const std::string& program_version) {
    std::vector<Feature> features;
    std::vector<hazard::Grade> grades;
    for (std::size_t i = 0; i < report.marks.size(); ++i) {
        MarkFeatures(report.marks[i], report.plane, i + 1).append_to(features);
        grades.push_back(report.marks[i].grade);
    }
    plan::Plan plan = report.plan;
    plan.assumptions.insert(plan.assumptions.end(), report.assumptions.begin(), report.assumptions.end());
    const Value counts =
        Value::object({{"marks", Value::count(report.marks.size())}, {"by_grade", grade_counts(grades)}});
    return to_geojson(features, head({"anchor", program_version, plan, report.as_of, report.cells,
                                      report.required_m, report.required_words, report.tide_words,
                                      stream_basis, report.tide_notes, counts, report.diagnostics}));
}

} // namespace dangerline::overlay
