#include "plan/read_newer.hpp"

#include <algorithm>

#include "dangerline/hazard/rules.hpp"
#include "dangerline/passage/tried.hpp"
#include "plan/read_tide.hpp"

#include <fmt/format.h>

namespace dangerline::plan {

namespace {

bool is_acronym(const std::string& text) {
    return text.size() == 6 && std::all_of(text.begin(), text.end(), [](char c) {
               return (c >= 'A' && c <= 'Z') || (c >= '0' && c <= '9') || c == '_';
           });
}

/// Names in a table of texts, like { "mast" = "OFSPLF" }.
std::map<std::string, std::string> read_names(const Section& section, const std::string& key,
                                              const std::string& expected) {
    std::map<std::string, std::string> names;
    const TomlValue* const value = section.find(key);
    if (!value)
        return names;
    if (value->kind != TomlValue::Kind::table || value->members.empty())
        section.refuse(key, "wrong type: " + describe(*value), expected);
    for (const auto& [name, item] : value->members) {
        if (item.kind != TomlValue::Kind::text)
            section.refuse(key, in_quotes(name) + " has " + describe(item), expected);
        if (!is_acronym(item.text))
            section.refuse(key, in_quotes(item.text) + " is no acronym of S-57", expected);
        names.emplace(name, item.text);
    }
    return names;
}

chart::ClassMapping read_mapping(const Section& section) {
    chart::ClassMapping mapping;
    mapping.classes = read_names(section, "classes",
                                 "layers or values with their S-57 class, like { \"mast\" = \"OFSPLF\" }");
    for (const auto& [name, cls] : mapping.classes)
        if (!hazard::is_known(cls))
            section.refuse("classes", "no rule knows the class " + in_quotes(cls), "an S-57 class");
    mapping.attributes = read_names(section, "attributes",
                                    "properties with their S-57 acronym, like { \"depth\" = \"VALSOU\" }");
    mapping.class_from = section.text("class_from").value_or(mapping.class_from);
    return mapping;
}

std::vector<std::string> read_texts(const Section& section, const std::string& key) {
    const TomlValue* const value = section.find(key);
    std::vector<std::string> texts;
    if (!value)
        return texts;
    if (value->kind != TomlValue::Kind::list)
        section.refuse(key, "wrong type: " + describe(*value), "a list of texts");
    for (const auto& item : value->items) {
        if (item.kind != TomlValue::Kind::text)
            section.refuse(key, "holds " + describe(item), "a list of texts");
        texts.push_back(item.text);
    }
    return texts;
}

void read_covers(const Section& section, NewerSource& out) {
    const TomlValue* const value = section.find("covers");
    if (!value)
        return;
    const char* expected = "a ring of positions, or the path of a GeoJSON file with one polygon";
    if (value->kind == TomlValue::Kind::text) {
        out.covers_file = section.needed_path("covers");
        return;
    }
    if (value->kind != TomlValue::Kind::list)
        section.refuse("covers", "wrong type: " + describe(*value), expected);
    for (const auto& corner : value->items)
        out.covers.push_back(read_position(section, "covers", corner));
    if (out.covers.size() > 1 && out.covers.front() == out.covers.back())
        out.covers.pop_back();
    if (out.covers.size() < 3)
        section.refuse("covers", fmt::format("{} corners bound nothing", out.covers.size()), expected);
}

/// Cells, and sources that bear the names of S-57 themselves, may hold anything.
bool may_hold(const NewerSource& source, std::string_view cls) {
    const auto& classes = source.stated.mapping.classes;
    return classes.empty() ||
           std::any_of(classes.begin(), classes.end(), [&](const auto& row) { return row.second == cls; });
}

NewerSource read_one_newer(const Section& section) {
    NewerSource out;
    out.line = section.line();
    out.file = section.needed_path("file");
    out.name = section.text("name").value_or(out.file.filename().string());
    out.stated.scale = section.whole_number("scale", 500, 50'000'000);
    out.stated.sounding_datum = section.whole_number("sounding_datum", 1, 30);
    out.stated.vertical_datum = section.whole_number("vertical_datum", 1, 30);
    out.stated.notes = false;
    out.stated.mapping = read_mapping(section);
    out.left_out = read_texts(section, "leave_out");
    out.position_m = section.number("position_m", {0.0, 10'000.0, "metres", true});
    out.radius_m = section.number("radius_m", {0.0, 500.0, "metres", true});
    read_covers(section, out);
    out.dated = section.day("dated");
    out.moved_within_m = section.number("moved_within_m", {0.0, 10'000.0}).value_or(out.moved_within_m);
    return out;
}

TriedEntry read_one_tried(const Section& section) {
    TriedEntry out;
    out.line = section.line();
    out.file = section.needed_path("file");
    out.pick = section.text("pick").value_or("");
    out.by = section.needed_text("by", "who ran it");
    if (out.by.empty())
        section.refuse("by", "nobody is named", "who ran it");
    const auto date = section.day("date");
    if (!date)
        section.refuse("date", "required key is missing", "the local day of the run, like 2026-06-01",
                       "a run that nobody can date is no evidence");
    out.date = *date;
    out.draught_m = section.needed_number("draught_m", {0.0, 5.0, "metres", true});
    if (section.has("sounder"))
        out.sounder = section.needed_path("sounder");
    if (const auto below = section.number("transducer_m", {0.0, 5.0})) {
        if (out.sounder.empty())
            section.refuse("transducer_m", "no sounder log is named", "sounder = \"log.csv\" beside it");
        out.transducer_m = *below;
    } else if (!out.sounder.empty()) {
        section.refuse("transducer_m", "required key is missing",
                       "metres of the transducer below the surface, 0 where the log holds water already");
    }
    out.tide_m = section.number("tide_m", {-30.0, 30.0});
    return out;
}

} // namespace

std::vector<NewerSource> read_newer(const Section& head) {
    std::vector<NewerSource> all;
    for (const Section& section : head.tables("newer")) {
        NewerSource one = read_one_newer(section);
        if (std::any_of(all.begin(), all.end(), [&](const NewerSource& o) { return o.name == one.name; }))
            section.refuse("name", "two newer sources are called " + in_quotes(one.name),
                           "a name of its own");
        all.push_back(std::move(one));
    }
    return all;
}

std::vector<TriedEntry> read_tried(const Section& head) {
    std::vector<TriedEntry> all;
    for (const Section& section : head.tables("tried"))
        all.push_back(read_one_tried(section));
    return all;
}

std::vector<std::string> newer_assumptions(const Plan& plan) {
    std::vector<std::string> out;
    const bool by_default = std::any_of(plan.newer.begin(), plan.newer.end(), [](const NewerSource& s) {
        return s.moved_within_m == survey::moved_within_m;
    });
    if (by_default)
        out.push_back(
            fmt::format("an object of newer data more than {:.0f} m and both doubts from any charted "
                        "one of its class is another one",
                        survey::moved_within_m));
    for (const auto& radius : hazard::assumed_radii())
        if (std::any_of(plan.newer.begin(), plan.newer.end(),
                        [&](const NewerSource& s) { return may_hold(s, radius.cls) && !s.radius_m; }))
            out.push_back(
                fmt::format("a {} of newer data drawn as a point without a size is taken as {:g} m in "
                            "radius ({})",
                            hazard::words_for(radius.cls), radius.metres, radius.source));
    if (!plan.tried.empty())
        out.push_back(
            fmt::format("a tried track tells of {:.0f} m to either side, for {} days, where its fixes "
                        "are at most {:.0f} m apart",
                        passage::tried_within_m, passage::tried_days, passage::tried_fixes_apart_m));
    return out;
}

} // namespace dangerline::plan
