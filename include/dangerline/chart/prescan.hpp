// A look over the records of an S-57 cell and its updates before GDAL opens them.
//
// GDAL 3.6.2 (measured) is silent about a cell cut between two records, about update gaps, re-issued bases
// and cancelled cells, and crashes on some damaged updates. The pre-scan replays the record identities over
// the base and its updates, and gives what GDAL's features don't carry: quality of position of the geometry
// records, and whether an attribute is absent or present but empty. Geometry is not looked at.
#pragma once

#include "dangerline/chart/cell_fault.hpp"

#include <compare>
#include <cstddef>
#include <cstdint>
#include <optional>
#include <string>
#include <string_view>
#include <vector>

namespace dangerline::chart {

/// Bytes of an update file with its name and the number in its name (.001 gives 1).
struct UpdateFile {
    std::string name;
    int number = 0;
    std::string_view bytes;
};

/// DSID, DSSI and DSPM of the base.
struct CellHeader {
    int expp = 0;           ///< 1 new, 2 revision
    int intu = 0;           ///< usage band
    std::string dsnm;       ///< file name the producer gave
    std::string edtn;       ///< edition, text as in the file
    std::string updn;       ///< last update contained in the base
    std::string uadt;       ///< update application date
    std::string isdt;       ///< issue date
    std::string sted;       ///< "03.1"
    int prsp = 0;           ///< product specification, 1 = ENC
    int agen = 0;           ///< producer
    int aall = 0, nall = 0; ///< lexical levels
    /// Records stated: meta, cartographic, geo, collection features; isolated and connected nodes, edges,
    /// faces.
    std::uint32_t nomr = 0, nocr = 0, nogr = 0, nolr = 0, noin = 0, nocn = 0, noed = 0, nofa = 0;
    int hdat = 0, vdat = 0, sdat = 0; ///< horizontal, vertical (heights), sounding datum
    std::uint32_t cscl = 0;           ///< compilation scale 1:cscl, 0 not given
    int duni = 0, huni = 0, puni = 0, coun = 0;
    std::uint32_t comf = 0, somf = 0;
};

/// What happened to one update file, in the order they were given.
struct UpdateOutcome {
    std::string name;
    int number = 0;   ///< of the file name
    std::string edtn; ///< empty where the file could not be read
    std::string updn;
    std::string isdt;
    bool usable = false; ///< may be applied by GDAL after all usable ones of lower number
    std::string reason;  ///< why not, empty where usable
};

/// Identity of a feature object over editions and cells: AGEN, FIDN, FIDS (GDAL: LNAM).
struct LongName {
    std::uint16_t agen = 0;
    std::uint32_t fidn = 0;
    std::uint16_t fids = 0;
    auto operator<=>(const LongName&) const = default;
};

/// Sixteen hexadecimal digits AAAANNNNNNNNSSSS, as GDAL's field LNAM.
std::string to_text(const LongName& name);
/// The reverse; nothing where the text has another form.
std::optional<LongName> parse_long_name(std::string_view text);

enum class Presence { absent, empty, valued };

struct AttributeState {
    std::uint16_t code = 0; ///< 179 = VALSOU
    bool national = false;  ///< from NATF
    bool valued = false;    ///< false: present with empty text, which means "unknown"
};

/// One feature after all usable updates.
struct FeatureSummary {
    LongName name;
    std::uint32_t rcid = 0;
    std::uint16_t objl = 0;       ///< class code, 159 = WRECKS
    std::uint8_t prim = 0;        ///< 1 point, 2 line, 3 area, 255 none
    std::uint8_t grup = 0;        ///< 1 skin of the earth, 2 the rest
    std::size_t pointers = 0;     ///< number of FSPT entries
    int worst_quapos = 0;         ///< S-57 code over its vector records, 0 where none has one
    std::optional<double> posacc; ///< largest POSACC over its vector records, metres
    std::vector<AttributeState> attributes;

    Presence presence(std::uint16_t code) const;
};

struct Prescan {
    CellHeader header;
    std::vector<CellFault> faults;
    std::vector<UpdateOutcome> updates;
    std::vector<std::size_t> usable; ///< indices into the given updates, in the order to apply
    int last_update = 0;             ///< number of the last usable update, else UPDN of the base
    std::string last_issue;          ///< ISDT of the last usable update, else of the base
    bool cancelled = false;
    std::vector<FeatureSummary> features; ///< sorted by name

    int updates_usable() const { return static_cast<int>(usable.size()); }
    /// False where a fault refuses the cell; then features may be incomplete.
    bool readable() const;
    bool has(CellFaultKind kind) const;
    const FeatureSummary* find(const LongName& name) const;
};

/// Walks a base and its updates. Never throws for what the bytes hold: everything becomes a fault.
/// `base_name` is compared with DSNM without folder and letter case. Cost: some 10 ms for a cell of 3 MB.
Prescan prescan(const std::string& base_name, std::string_view base, const std::vector<UpdateFile>& updates);

/// Rank of a QUAPOS code by how far the position may be off (radius classes of this project): 0 none,
/// surveyed or precisely known, calculated (0, 1, 10, 11); 1 approximate, estimated (4, 9); 2 all others and
/// unknown codes.
int quapos_rank(int quapos);

} // namespace dangerline::chart
