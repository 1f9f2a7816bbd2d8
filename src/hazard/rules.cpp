// One row a class. Sources: S-57 Ed 3.1 Appendix A for the classes, IMO MSC.232(82) 11.3.5 and IHO S-52
// Ed 6.1 Table 4 for areas with special conditions; which treatment a class gets is this project's own
// choice.
#include "dangerline/hazard/rules.hpp"

#include <algorithm>
#include <array>

namespace dangerline::hazard {

namespace {

using T = Treatment;
using K = Kind;

constexpr Rule table[] = {
    // Depth
    {"UWTROC", T::submerged, K::depth, points, "rock"},
    {"WRECKS", T::submerged, K::depth, any_geometry, "wreck"},
    {"OBSTRN", T::submerged, K::depth, any_geometry, "obstruction"},
    {"FSHFAC", T::submerged, K::depth, any_geometry, "fishing gear"},
    {"MARCUL", T::submerged, K::depth, any_geometry, "marine farm"},
    {"GRIDRN", T::submerged, K::depth, any_geometry, "gridiron"},
    {"SOUNDG", T::soundings, K::depth, points, "sounding"},
    {"DEPARE", T::bottom, K::depth, lines | areas, "depth area"},
    {"DRGARE", T::dredged, K::depth, areas, "dredged area"},
    {"SWPARE", T::swept, K::depth, areas, "swept area"},
    {"DMPGRD", T::may_shoal, K::depth, any_geometry, "dumping ground"},
    {"SNDWAV", T::moving, K::survey, any_geometry, "sand waves"},
    {"UNSARE", T::unsurveyed, K::no_data, areas, "unsurveyed area"},
    // Land and what stands on it
    {"LNDARE", T::land, K::shore, any_geometry, "land"},
    {"COALNE", T::land, K::shore, lines, "coastline"},
    {"DYKCON", T::land, K::shore, any_geometry, "dyke"},
    {"CAUSWY", T::fixture, K::obstacle, any_geometry, "causeway"},
    {"SLCONS", T::fixture, K::obstacle, any_geometry, "shoreline construction"},
    {"PILPNT", T::fixture, K::obstacle, points, "pile"},
    {"MORFAC", T::fixture, K::obstacle, any_geometry, "mooring"},
    {"DAMCON", T::obstacle, K::obstacle, any_geometry, "dam"},
    {"GATCON", T::obstacle, K::obstacle, any_geometry, "gate"},
    {"RAPIDS", T::obstacle, K::obstacle, any_geometry, "rapids"},
    {"WATFAL", T::obstacle, K::obstacle, any_geometry, "waterfall"},
    // Afloat and above water
    {"OILBAR", T::obstacle, K::obstacle, lines, "oil barrier"},
    {"LOGPON", T::obstacle, K::obstacle, any_geometry, "log pond"},
    {"WEDKLP", T::weed, K::obstacle, any_geometry, "weed or kelp"},
    {"OFSPLF", T::mark, K::obstacle, any_geometry, "platform"},
    {"LNDMRK", T::turbine, K::obstacle, any_geometry, "wind turbine"},
    {"HULKES", T::mark, K::obstacle, any_geometry, "hulk"},
    {"PONTON", T::mark, K::obstacle, any_geometry, "pontoon"},
    {"FLODOC", T::mark, K::obstacle, any_geometry, "floating dock"},
    {"LITFLT", T::mark, K::obstacle, points, "light float"},
    {"LITVES", T::mark, K::obstacle, points, "light vessel"},
    {"BOY*", T::mark, K::obstacle, points, "buoy"},
    {"BCN*", T::mark, K::obstacle, points, "beacon"},
    {"BRIDGE", T::overhead, K::overhead, any_geometry, "bridge"},
    {"CBLOHD", T::overhead, K::overhead, lines, "overhead cable"},
    {"PIPOHD", T::overhead, K::overhead, lines, "overhead pipe"},
    {"CONVYR", T::overhead, K::overhead, any_geometry, "conveyor"},
    // Rough water
    {"WATTUR", T::rough, K::rough_water, any_geometry, "rough water"},
    // Rules apply
    {"RESARE", T::regulated, K::regulated, areas, "restricted area"},
    {"MIPARE", T::regulated_caution, K::regulated, any_geometry, "military practice area"},
    {"MARCUL", T::regulated_caution, K::regulated, any_geometry, "marine farm"},
    {"CTNARE", T::regulated, K::regulated, any_geometry, "caution area"},
    {"PRCARE", T::regulated, K::regulated, any_geometry, "precautionary area"},
    {"TSEZNE", T::regulated, K::regulated, areas, "traffic separation zone"},
    {"TSELNE", T::regulated, K::regulated, lines, "traffic separation line"},
    {"TSSCRS", T::regulated, K::regulated, areas, "traffic crossing"},
    {"TSSRON", T::regulated, K::regulated, areas, "traffic roundabout"},
    {"TSSLPT", T::regulated, K::regulated, areas, "traffic lane"},
    {"TWRTPT", T::regulated, K::regulated, any_geometry, "two-way route"},
    {"DWRTPT", T::regulated, K::regulated, areas, "deep-water route"},
    {"RCTLPT", T::regulated, K::regulated, any_geometry, "recommended lane"},
    {"ISTZNE", T::regulated, K::regulated, areas, "inshore traffic zone"},
    {"FAIRWY", T::regulated, K::regulated, areas, "fairway"},
    {"FERYRT", T::regulated, K::regulated, any_geometry, "ferry route"},
    {"OSPARE", T::regulated, K::regulated, areas, "offshore production area"},
    {"SUBTLN", T::regulated, K::regulated, areas, "submarine transit lane"},
    {"SPLARE", T::regulated, K::regulated, any_geometry, "seaplane landing area"},
    {"ACHARE", T::regulated, K::regulated, any_geometry, "anchorage"},
    {"ACHBRT", T::regulated, K::regulated, any_geometry, "anchor berth"},
    {"CTSARE", T::regulated, K::regulated, any_geometry, "cargo transfer area"},
    {"ICNARE", T::regulated, K::regulated, any_geometry, "incineration area"},
    {"FSHGRD", T::regulated, K::regulated, areas, "fishing ground"},
    {"FSHZNE", T::regulated, K::regulated, areas, "fishery zone"},
};

// Meta objects, collections, things on land, equipment carried by marks, and what only matters to anchors,
// streams or tides. Tide and stream classes are read by their own rooms.
constexpr std::string_view harmless[] = {
    "ADMARE", "AIRARE", "BERTHS", "BUAARE", "BUIREL", "BUISGL", "CANALS", "CANBNK", "CBLARE", "CBLSUB",
    "CGUSTA", "CHKPNT", "CONZNE", "COSARE", "CRANES", "CTRPNT", "CURENT", "CUSZNE", "DAYMAR", "DEPCNT",
    "DISMAR", "DOCARE", "DRYDOC", "DWRTCL", "EXEZNE", "FNCLNE", "FOGSIG", "FORSTC", "FRPARE", "HRBARE",
    "HRBFAC", "ICEARE", "LAKARE", "LAKSHR", "LIGHTS", "LNDELV", "LNDRGN", "LOCMAG", "LOKBSN", "MAGVAR",
    "NAVLNE", "PILBOP", "PIPARE", "PIPSOL", "PRDARE", "PYLONS", "RADLNE", "RADRFL", "RADRNG", "RADSTA",
    "RAILWY", "RCRTCL", "RDOCAL", "RDOSTA", "RECTRC", "RETRFL", "RIVBNK", "RIVERS", "ROADWY", "RSCSTA",
    "RTPBCN", "RUNWAY", "SBDARE", "SEAARE", "SILTNK", "SISTAT", "SISTAW", "SLOGRD", "SLOTOP", "SMCFAC",
    "SPRING", "SQUARE", "STSLNE", "TESARE", "TIDEWY", "TOPMAR", "TSSBND", "TUNNEL", "VEGATN", "TS_*",
    "T_*",    "M_*",    "C_*",    "ARCSLN", "ASLXIS",
};

bool stands_for(std::string_view pattern, std::string_view cls) {
    if (pattern.ends_with('*'))
        return cls.starts_with(pattern.substr(0, pattern.size() - 1));
    return cls == pattern;
}

/// Cables and pipes in words; empty for all others.
std::string_view laid_words(std::string_view cls) {
    constexpr std::pair<std::string_view, std::string_view> laid[] = {{"CBLSUB", "submarine cable"},
                                                                      {"CBLARE", "cable area"},
                                                                      {"PIPSOL", "pipe or outfall"},
                                                                      {"PIPARE", "pipe area"}};
    const auto* at =
        std::find_if(std::begin(laid), std::end(laid), [&](const auto& row) { return row.first == cls; });
    return at == std::end(laid) ? std::string_view{} : at->second;
}

constexpr AssumedRadius radii[] = {
    {"LNDMRK", 5.0, "monopile of the IEA 15 MW reference turbine, 10 m across (Gaertner et al. 2020)"},
    {"OFSPLF", 25.0, "assumption of this project"},
    {"MORFAC", 5.0, "assumption of this project"},
    {"PILPNT", 1.0, "assumption of this project"},
};

} // namespace

bool may_be_turbine(const chart::Feature& landmark) {
    constexpr int wind_motor = 19;
    return landmark.attributes.codes("CATLMK").empty() || landmark.attributes.has_code("CATLMK", wind_motor);
}

std::span<const AssumedRadius> assumed_radii() {
    return radii;
}

std::optional<AssumedRadius> assumed_radius(std::string_view cls) {
    const auto* at =
        std::find_if(std::begin(radii), std::end(radii), [&](const auto& row) { return row.cls == cls; });
    return at == std::end(radii) ? std::nullopt : std::optional(*at);
}

std::span<const Rule> rules() {
    return table;
}

bool is_known(std::string_view cls) {
    const auto same = [cls](std::string_view pattern) { return stands_for(pattern, cls); };
    return std::any_of(std::begin(table), std::end(table), [&](const Rule& r) { return same(r.cls); }) ||
           std::any_of(std::begin(harmless), std::end(harmless), same);
}

bool is_placed(std::string_view cls) {
    constexpr std::string_view bottoms[] = {"DEPCNT", "SBDARE"};
    if (!rules_for(cls).empty() || !is_known(cls) || !laid_words(cls).empty() ||
        std::find(std::begin(bottoms), std::end(bottoms), cls) != std::end(bottoms))
        return true;
    return cls.starts_with("M_") || cls.starts_with("T_") || cls.starts_with("TS_");
}

std::vector<const Rule*> rules_for(std::string_view cls) {
    std::vector<const Rule*> found;
    for (const Rule& rule : table)
        if (stands_for(rule.cls, cls))
            found.push_back(&rule);
    return found;
}

std::string_view words_for(std::string_view cls) {
    if (const auto words = laid_words(cls); !words.empty())
        return words;
    const auto found = rules_for(cls);
    return found.empty() ? cls : found.front()->what;
}

AssumedDepth assumed_depth(int watlev) {
    const Depth zero = Depth::from_metres(0.0);
    const Depth never = Depth::never_covered();
    switch (watlev) {
    case 1:
        return {true, never, never, "stands out of the water at high water"};
    case 2:
        return {true, never, never, "always dry"};
    case 3:
        return {false, zero, zero, "always under water, depth not known"};
    case 4:
        return {false, never, never, "covers and uncovers, height not known"};
    case 5:
        // Awash at the datum: 0.0 decides danger, but its top may stand as much as 0.6 m higher.
        return {false, zero, Depth::from_metres(-0.6), "awash"};
    case 6:
        return {true, never, never, "land that floods"};
    case 7:
        return {true, never, never, "floating"};
    default:
        return {false, never, never, "neither depth nor water level known"};
    }
}

bool restriction_is_caution(int restrn) {
    return restrn == 7 || restrn == 8 || restrn == 14;
}

bool area_category_is_caution(int catrea) {
    return catrea == 1 || catrea == 9 || catrea == 12 || catrea == 14;
}

} // namespace dangerline::hazard
