#include "survey/area_words.hpp"

#include <algorithm>
#include <cmath>

#include <fmt/format.h>

#include "dangerline/base/words.hpp"
#include "dangerline/survey/standards.hpp"

namespace dangerline::survey {

namespace {

std::string named(std::string_view what, const MovingArea& area) {
    return area.drawn() && !area.name.empty() ? fmt::format("{} \"{}\"", what, area.name) : std::string(what);
}

std::string years_words(double years) {
    return years == 1.0 ? "a year" : fmt::format("{:g} years", years);
}

std::string stated(const MovingArea& area) {
    return area.surveyed ? fmt::format(", surveyed {} as the plan says", area.surveyed->earliest.year) : "";
}

} // namespace

std::string words_for(const OldBar& old) {
    return fmt::format("unknown: {} was {}; ask who crossed it last", named("the bar", *old.bar),
                       ago_words(old.age));
}

std::string words_for(const MovedChannel& moved) {
    return fmt::format("unknown: {}{} may have moved by {:.0f} m since its survey, more than half its width",
                       named("the channel", *moved.channel), stated(*moved.channel), moved.moved_m);
}

std::string words_for_old(const MovingArea& area) {
    return fmt::format("{}{} moves, a survey of it is believed for {:g} years",
                       named(to_text(area.kind), area), stated(area), area.years);
}

std::vector<std::string> assumptions_of(const Trust& trust) {
    const auto& settings = trust.settings();
    std::vector<std::string> out{fmt::format(
        "CATZOC B counts as C where its survey is not known to be of {} or later", settings.b_since_year)};
    const auto add = [&out](std::string sentence) {
        if (std::find(out.begin(), out.end(), sentence) == out.end())
            out.push_back(std::move(sentence));
    };
    for (const auto& area : trust.moving()) {
        const std::string what = capitalised(named(to_text(area.kind), area));
        add(fmt::format("{}: {:g} m a year ({}), a survey is believed for {}", what, area.metres_per_year,
                        area.rate_source, years_words(area.years)));
        if (area.kind == Moving::river_mouth)
            add(fmt::format("a river mouth moves where the chart shows less than {:g} m",
                            settings.mouth_depth_m));
    }
    if (std::any_of(trust.moving().begin(), trust.moving().end(),
                    [](const MovingArea& area) { return area.metres_per_year > 0.0; }))
        add(fmt::format(
            "moving bottom of unknown age is taken to have moved for {:g} years, no farther than it "
            "is long",
            settings.undated_years));
    for (const auto& bar : trust.bars()) {
        if (!bar.drawn())
            add(fmt::format("sand waves are a bar where the chart shows less than {:g} m",
                            settings.bar_depth_m));
        add(fmt::format("{} is unknown {} after its survey", named("a bar", bar), years_words(bar.years)));
    }
    return out;
}

std::string sentence_of(const TrustArea& a, const std::vector<std::string>& remarks) {
    if (a.flags.empty())
        return "Nothing in these rules flags it.";
    if (a.flags.front() == Flag::unsurveyed)
        return "Charted as unsurveyed: nobody has sounded it.";
    const auto& row = zone_of_confidence(a.catzoc);
    std::string text =
        fmt::format("{} ({}), {}", capitalised(row.survey),
                    row.code == 0 ? "no CATZOC" : fmt::format("CATZOC {}", row.name), when_words(a.facts));
    if (a.facts.lead_line())
        text += ", by lead line";
    if (a.age.years)
        text += fmt::format(", its oldest part {:.0f} years old", std::floor(*a.age.years));
    else if (a.age.at_least_years >= 1.0)
        text += fmt::format(", at least {:.0f} years old", std::floor(a.age.at_least_years));
    for (const auto& remark : remarks)
        text += "; " + remark;
    if (a.moving != Moving::no && a.moved_m > 0.0)
        text += fmt::format("; the bottom ({}) may have moved by {:.0f} m", to_text(a.moving), a.moved_m);
    const char* least = a.at_least ? "at least " : "";
    return text + fmt::format(". Places may be {}{:.0f} m out, depths {}{:.1f} m and {:.0f} % of the depth.",
                              least, a.position_m, least, std::max(a.depth.a_m, a.souacc_m),
                              a.depth.b * 100.0);
}

} // namespace dangerline::survey
