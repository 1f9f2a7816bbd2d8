#include "jobs/dated_hazards.hpp"

#include <algorithm>
#include <cmath>
#include <limits>
#include <tuple>

#include <fmt/format.h>

#include "dangerline/base/words.hpp"
#include "dangerline/hazard/rules.hpp"
#include "jobs/newer_source.hpp"

namespace dangerline::jobs {

namespace {

using survey::DateKnown;
using survey::Flag;

constexpr int modern_year = 1970; // see the table of flags

/// What of the survey counts for the flags: its own, or that around it where it does not say when its own
/// began. Any of its own dates may show that it is old.
std::vector<Flag> flags_of(const DatedHazard& h, const survey::Facts& around) {
    auto flags = survey::flags_of(h.catzoc, h.facts.begun ? h.facts : around);
    const auto add = [&](Flag flag) {
        if (std::find(flags.begin(), flags.end(), flag) == flags.end())
            flags.push_back(flag);
    };
    if (survey::before(h.facts, modern_year))
        add(Flag::before_1970);
    if (h.facts.lead_line())
        add(Flag::lead_line);
    std::sort(flags.begin(), flags.end());
    return flags;
}

std::string years_words(double years) {
    return years < 1.0   ? "under a year"
           : years < 2.0 ? "a year"
                         : fmt::format("{:.0f} years", std::floor(years));
}

std::string date_words(const DatedHazard& h) {
    const auto& f = h.facts;
    if (!f.begun && !f.ended && !f.sourced)
        return "its date can't be read";
    std::string text = survey::when_words(f);
    if (f.begun)
        text = "surveyed " + text;
    else if (f.ended)
        text = "its survey " + text;
    else
        text += " (the date of its source)";
    if (h.age.years)
        return text + ", " + years_words(*h.age.years) + " old";
    return h.age.at_least_years >= 1.0 ? text + ", so at least " + years_words(h.age.at_least_years) + " old"
                                       : text;
}

std::string sentence_of(const DatedHazard& h, const survey::Facts& around, bool depth_counts) {
    std::string text = capitalised(h.what);
    if (!h.name.empty())
        text += " \"" + h.name + "\"";
    text += ": " + date_words(h);
    if (h.facts.lead_line())
        text += ", by lead line";
    const auto& row = survey::zone_of_confidence(h.catzoc);
    text += fmt::format("; in a survey of {}, {}",
                        row.code == 0 ? "no CATZOC" : fmt::format("CATZOC {}", row.name),
                        survey::when_words(around));
    const char* least = h.allowance.at_least ? "at least " : "";
    text += fmt::format(". Its place may be {}{:.0f} m out", least, h.allowance.survey_m);
    if (!depth_counts)
        return text + ".";
    if (!h.charted_depth_m)
        return text + "; no depth of it is charted.";
    return text + fmt::format(", its depth {}{:.1f} m.", least, h.allowance.depth_doubt(*h.charted_depth_m));
}

DatedHazard hazard_of(const chart::Feature& f, const chart::Cell& cell, std::size_t number,
                      const survey::QualityZones& zones, const survey::Trust& trust) {
    DatedHazard h;
    h.cls = f.cls;
    h.lnam = to_text(f.id);
    h.name = chart::name_of(f);
    h.what = hazard::words_for(f.cls);
    h.facts = survey::facts_of(f);
    h.age = survey::age_of(h.facts, trust.settings().as_of);
    h.catzoc = zones.catzoc_over(*f.shape);
    h.charted_depth_m = f.attributes.number("VALSOU");
    h.shape = f.shape;
    const double depth_m = h.charted_depth_m.value_or(0.0);
    h.allowance = survey::allowance_for({.scale = static_cast<int>(cell.header.cscl),
                                         .quapos = f.quapos,
                                         .posacc_m = f.posacc_m,
                                         .souacc_m = f.attributes.number("SOUACC"),
                                         .catzoc = h.catzoc,
                                         .depth_m = depth_m});
    trust.widen(h.allowance, *f.shape, h.facts, number, depth_m);
    const auto around = trust.oldest(*f.shape, {}, number).facts;
    h.flags = flags_of(h, around);
    const auto rules = hazard::rules_for(f.cls);
    const bool depth_counts = h.charted_depth_m || rules.front()->kind == hazard::Kind::depth;
    h.sentence = sentence_of(h, around, depth_counts);
    return h;
}

} // namespace

bool is_dated_hazard(const chart::Feature& f) {
    if (!f.attributes.has("SURSTA") && !f.attributes.has("SUREND") && !f.attributes.has("SORDAT"))
        return false;
    // Buoys and beacons are laid, not found by a survey; nor are bridges, cables overhead and rules.
    if (f.cls.starts_with("BOY") || f.cls.starts_with("BCN") || f.cls == "LITFLT" || f.cls == "LITVES")
        return false;
    const auto rules = hazard::rules_for(f.cls);
    return is_comparable(f) && std::any_of(rules.begin(), rules.end(), [](const hazard::Rule* rule) {
               return rule->kind != hazard::Kind::regulated && rule->kind != hazard::Kind::overhead;
           });
}

bool gravest_first(const DatedHazard& a, const DatedHazard& b) {
    const auto key = [](const DatedHazard& h) {
        return std::tuple(h.flags.empty() ? 99 : static_cast<int>(h.flags.front()), h.off_m.value_or(0.0),
                          -h.age.reckoned_years());
    };
    return key(a) < key(b);
}

std::vector<DatedHazard> dated_hazards(const chart::Cell& cell, std::size_t number,
                                       const survey::QualityZones& zones, const survey::Trust& trust,
                                       const geo::Plane& plane, const Near* near, std::size_t& left_out) {
    std::vector<DatedHazard> out;
    const bool all = near == nullptr || near->empty();
    for (const auto& f : cell.features) {
        if (!is_dated_hazard(f) || f.under_better || !f.shape || f.shape->empty())
            continue;
        const auto found = all ? std::nullopt : near->nearest(*f.shape, hazards_within_m);
        if (!all && !found) {
            ++left_out;
            continue;
        }
        auto& h = out.emplace_back(hazard_of(f, cell, number, zones, trust));
        h.place = plane.to_position(found ? found->place : f.shape->points().front());
        if (found) {
            h.off_m = found->metres;
            h.off = found->what;
        }
    }
    std::stable_sort(out.begin(), out.end(), gravest_first);
    return out;
}

} // namespace dangerline::jobs
