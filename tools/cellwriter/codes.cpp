// Codes of object classes and attributes: IHO S-57 edition 3.1, appendix A, chapters 1 and 2.
#include "cellwriter/cellwriter.hpp"

#include <algorithm>
#include <array>
#include <stdexcept>
#include <string_view>

namespace cellwriter {

namespace {

struct Code {
    std::string_view acronym;
    std::uint16_t code;
};

// clang-format off
constexpr std::array<Code, 179> classes = {{
    {"", 0}, {"ADMARE", 1}, {"AIRARE", 2}, {"ACHBRT", 3}, {"ACHARE", 4}, {"BCNCAR", 5}, {"BCNISD", 6},
    {"BCNLAT", 7}, {"BCNSAW", 8}, {"BCNSPP", 9}, {"BERTHS", 10}, {"BRIDGE", 11}, {"BUISGL", 12},
    {"BUAARE", 13}, {"BOYCAR", 14}, {"BOYINB", 15}, {"BOYISD", 16}, {"BOYLAT", 17}, {"BOYSAW", 18},
    {"BOYSPP", 19}, {"CBLARE", 20}, {"CBLOHD", 21}, {"CBLSUB", 22}, {"CANALS", 23}, {"CANBNK", 24},
    {"CTSARE", 25}, {"CAUSWY", 26}, {"CTNARE", 27}, {"CHKPNT", 28}, {"CGUSTA", 29}, {"COALNE", 30},
    {"CONZNE", 31}, {"COSARE", 32}, {"CTRPNT", 33}, {"CONVYR", 34}, {"CRANES", 35}, {"CURENT", 36},
    {"CUSZNE", 37}, {"DAMCON", 38}, {"DAYMAR", 39}, {"DWRTCL", 40}, {"DWRTPT", 41}, {"DEPARE", 42},
    {"DEPCNT", 43}, {"DISMAR", 44}, {"DOCARE", 45}, {"DRGARE", 46}, {"DRYDOC", 47}, {"DMPGRD", 48},
    {"DYKCON", 49}, {"EXEZNE", 50}, {"FAIRWY", 51}, {"FNCLNE", 52}, {"FERYRT", 53}, {"FSHZNE", 54},
    {"FSHFAC", 55}, {"FSHGRD", 56}, {"FLODOC", 57}, {"FOGSIG", 58}, {"FORSTC", 59}, {"FRPARE", 60},
    {"GATCON", 61}, {"GRIDRN", 62}, {"HRBARE", 63}, {"HRBFAC", 64}, {"HULKES", 65}, {"ICEARE", 66},
    {"ICNARE", 67}, {"ISTZNE", 68}, {"LAKARE", 69}, {"LAKSHR", 70}, {"LNDARE", 71}, {"LNDELV", 72},
    {"LNDRGN", 73}, {"LNDMRK", 74}, {"LIGHTS", 75}, {"LITFLT", 76}, {"LITVES", 77}, {"LOCMAG", 78},
    {"LOKBSN", 79}, {"LOGPON", 80}, {"MAGVAR", 81}, {"MARCUL", 82}, {"MIPARE", 83}, {"MORFAC", 84},
    {"NAVLNE", 85}, {"OBSTRN", 86}, {"OFSPLF", 87}, {"OSPARE", 88}, {"OILBAR", 89}, {"PILPNT", 90},
    {"PILBOP", 91}, {"PIPARE", 92}, {"PIPOHD", 93}, {"PIPSOL", 94}, {"PONTON", 95}, {"PRCARE", 96},
    {"PRDARE", 97}, {"PYLONS", 98}, {"RADLNE", 99}, {"RADRNG", 100}, {"RADRFL", 101}, {"RADSTA", 102},
    {"RTPBCN", 103}, {"RDOCAL", 104}, {"RDOSTA", 105}, {"RAILWY", 106}, {"RAPIDS", 107}, {"RCRTCL", 108},
    {"RECTRC", 109}, {"RCTLPT", 110}, {"RSCSTA", 111}, {"RESARE", 112}, {"RETRFL", 113}, {"RIVERS", 114},
    {"RIVBNK", 115}, {"ROADWY", 116}, {"RUNWAY", 117}, {"SNDWAV", 118}, {"SEAARE", 119}, {"SPLARE", 120},
    {"SBDARE", 121}, {"SLCONS", 122}, {"SISTAT", 123}, {"SISTAW", 124}, {"SILTNK", 125}, {"SLOTOP", 126},
    {"SLOGRD", 127}, {"SMCFAC", 128}, {"SOUNDG", 129}, {"SPRING", 130}, {"SQUARE", 131}, {"STSLNE", 132},
    {"SUBTLN", 133}, {"SWPARE", 134}, {"TESARE", 135}, {"TS_PRH", 136}, {"TS_PNH", 137}, {"TS_PAD", 138},
    {"TS_TIS", 139}, {"T_HMON", 140}, {"T_NHMN", 141}, {"T_TIMS", 142}, {"TIDEWY", 143}, {"TOPMAR", 144},
    {"TSELNE", 145}, {"TSSBND", 146}, {"TSSCRS", 147}, {"TSSLPT", 148}, {"TSSRON", 149}, {"TSEZNE", 150},
    {"TUNNEL", 151}, {"TWRTPT", 152}, {"UWTROC", 153}, {"UNSARE", 154}, {"VEGATN", 155}, {"WATTUR", 156},
    {"WATFAL", 157}, {"WEDKLP", 158}, {"WRECKS", 159}, {"TS_FEB", 160}, {"ARCSLN", 161}, {"ASLXIS", 162},
    {"M_ACCY", 300}, {"M_CSCL", 301}, {"M_COVR", 302}, {"M_HDAT", 303}, {"M_HOPA", 304}, {"M_NPUB", 305},
    {"M_NSYS", 306}, {"M_PROD", 307}, {"M_QUAL", 308}, {"M_SDAT", 309}, {"M_SREL", 310}, {"M_UNIT", 311},
    {"M_VDAT", 312}, {"C_AGGR", 400}, {"C_ASSO", 401}, {"C_STAC", 402},
}};

constexpr std::array<Code, 196> attributes = {{
    {"###", 0}, {"AGENCY", 1}, {"BCNSHP", 2}, {"BUISHP", 3}, {"BOYSHP", 4}, {"BURDEP", 5}, {"CALSGN", 6},
    {"CATAIR", 7}, {"CATACH", 8}, {"CATBRG", 9}, {"CATBUA", 10}, {"CATCBL", 11}, {"CATCAN", 12},
    {"CATCAM", 13}, {"CATCHP", 14}, {"CATCOA", 15}, {"CATCTR", 16}, {"CATCON", 17}, {"CATCOV", 18},
    {"CATCRN", 19}, {"CATDAM", 20}, {"CATDIS", 21}, {"CATDOC", 22}, {"CATDPG", 23}, {"CATFNC", 24},
    {"CATFRY", 25}, {"CATFIF", 26}, {"CATFOG", 27}, {"CATFOR", 28}, {"CATGAT", 29}, {"CATHAF", 30},
    {"CATHLK", 31}, {"CATICE", 32}, {"CATINB", 33}, {"CATLND", 34}, {"CATLMK", 35}, {"CATLAM", 36},
    {"CATLIT", 37}, {"CATMFA", 38}, {"CATMPA", 39}, {"CATMOR", 40}, {"CATNAV", 41}, {"CATOBS", 42},
    {"CATOFP", 43}, {"CATOLB", 44}, {"CATPLE", 45}, {"CATPIL", 46}, {"CATPIP", 47}, {"CATPRA", 48},
    {"CATPYL", 49}, {"CATQUA", 50}, {"CATRAS", 51}, {"CATRTB", 52}, {"CATROS", 53}, {"CATTRK", 54},
    {"CATRSC", 55}, {"CATREA", 56}, {"CATROD", 57}, {"CATRUN", 58}, {"CATSEA", 59}, {"CATSLC", 60},
    {"CATSIT", 61}, {"CATSIW", 62}, {"CATSIL", 63}, {"CATSLO", 64}, {"CATSCF", 65}, {"CATSPM", 66},
    {"CATTSS", 67}, {"CATVEG", 68}, {"CATWAT", 69}, {"CATWED", 70}, {"CATWRK", 71}, {"CATZOC", 72},
    {"$SPACE", 73}, {"$CHARS", 74}, {"COLOUR", 75}, {"COLPAT", 76}, {"COMCHA", 77}, {"$CSIZE", 78},
    {"CPDATE", 79}, {"CSCALE", 80}, {"CONDTN", 81}, {"CONRAD", 82}, {"CONVIS", 83}, {"CURVEL", 84},
    {"DATEND", 85}, {"DATSTA", 86}, {"DRVAL1", 87}, {"DRVAL2", 88}, {"DUNITS", 89}, {"ELEVAT", 90},
    {"ESTRNG", 91}, {"EXCLIT", 92}, {"EXPSOU", 93}, {"FUNCTN", 94}, {"HEIGHT", 95}, {"HUNITS", 96},
    {"HORACC", 97}, {"HORCLR", 98}, {"HORLEN", 99}, {"HORWID", 100}, {"ICEFAC", 101}, {"INFORM", 102},
    {"JRSDTN", 103}, {"$JUSTH", 104}, {"$JUSTV", 105}, {"LIFCAP", 106}, {"LITCHR", 107}, {"LITVIS", 108},
    {"MARSYS", 109}, {"MLTYLT", 110}, {"NATION", 111}, {"NATCON", 112}, {"NATSUR", 113}, {"NATQUA", 114},
    {"NMDATE", 115}, {"OBJNAM", 116}, {"ORIENT", 117}, {"PEREND", 118}, {"PERSTA", 119}, {"PICREP", 120},
    {"PILDST", 121}, {"PRCTRY", 122}, {"PRODCT", 123}, {"PUBREF", 124}, {"QUASOU", 125}, {"RADWAL", 126},
    {"RADIUS", 127}, {"RECDAT", 128}, {"RECIND", 129}, {"RYRMGV", 130}, {"RESTRN", 131}, {"SCAMAX", 132},
    {"SCAMIN", 133}, {"SCVAL1", 134}, {"SCVAL2", 135}, {"SECTR1", 136}, {"SECTR2", 137}, {"SHIPAM", 138},
    {"SIGFRQ", 139}, {"SIGGEN", 140}, {"SIGGRP", 141}, {"SIGPER", 142}, {"SIGSEQ", 143}, {"SOUACC", 144},
    {"SDISMX", 145}, {"SDISMN", 146}, {"SORDAT", 147}, {"SORIND", 148}, {"STATUS", 149}, {"SURATH", 150},
    {"SUREND", 151}, {"SURSTA", 152}, {"SURTYP", 153}, {"$SCALE", 154}, {"$SCODE", 155}, {"TECSOU", 156},
    {"$TXSTR", 157}, {"TXTDSC", 158}, {"TS_TSP", 159}, {"TS_TSV", 160}, {"T_ACWL", 161}, {"T_HWLW", 162},
    {"T_MTOD", 163}, {"T_THDF", 164}, {"T_TINT", 165}, {"T_TSVL", 166}, {"T_VAHC", 167}, {"TIMEND", 168},
    {"TIMSTA", 169}, {"$TINTS", 170}, {"TOPSHP", 171}, {"TRAFIC", 172}, {"VALACM", 173}, {"VALDCO", 174},
    {"VALLMA", 175}, {"VALMAG", 176}, {"VALMXR", 177}, {"VALNMR", 178}, {"VALSOU", 179}, {"VERACC", 180},
    {"VERCLR", 181}, {"VERCCL", 182}, {"VERCOP", 183}, {"VERCSA", 184}, {"VERDAT", 185}, {"VERLEN", 186},
    {"WATLEV", 187}, {"NINFOM", 300}, {"NOBJNM", 301}, {"NPLDST", 302}, {"$NTXST", 303}, {"NTXTDS", 304},
    {"HORDAT", 400}, {"POSACC", 401}, {"QUAPOS", 402},
}};
// clang-format on

template <class Table>
std::uint16_t look_up(const Table& table, const std::string& acronym, const char* what) {
    if (acronym.starts_with('#')) // a code the tables lack
        return static_cast<std::uint16_t>(std::stoul(acronym.substr(1)));
    const auto it =
        std::find_if(table.begin(), table.end(), [&](const Code& c) { return c.acronym == acronym; });
    if (it == table.end())
        throw std::invalid_argument(std::string(what) + " " + acronym + " is not known");
    return it->code;
}

} // namespace

std::uint16_t class_code(const std::string& acronym) {
    return look_up(classes, acronym, "object class");
}

std::uint16_t attribute_code(const std::string& acronym) {
    return look_up(attributes, acronym, "attribute");
}

} // namespace cellwriter
