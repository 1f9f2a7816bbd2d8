// Makes S-57 cells and updates from a description: for tests and for the demo.
//
//   cellwriter::CellDraft draft;
//   draft.header.dsnm = "X14TEST1.000";
//   draft.add_area("DEPARE", {{{-28, 46}, {-27.9, 46}, {-27.9, 46.1}, {-28, 46.1}}}, {{"DRVAL1", "2"},
//   {"DRVAL2", "5"}}); draft.add_point("WRECKS", {-27.95, 46.05}, {{"CATWRK", "2"}, {"VALSOU",
//   ""}}).quality.quapos = 4; std::string base = draft.bytes();
//
//   cellwriter::UpdateDraft update(draft.compile());
//   update.change(2, {{"VALSOU", "3.4"}});
//   update.inserted.add_point("OBSTRN", {-27.97, 46.02}, {{"VALSOU", "1"}, {"WATLEV", "3"}});
//   std::string first = update.bytes();
//
// Lines and rings that run over the same vertices share edges. Not meant for hostile input: wrong use throws
// std::invalid_argument.
#pragma once

#include "dangerline/chart/record.hpp"

#include <cstdint>
#include <deque>
#include <string>
#include <vector>

namespace cellwriter {

struct Place {
    double lon_deg = 0, lat_deg = 0;
};
using Ring = std::vector<Place>; ///< the first vertex need not be repeated at the end

struct Sounding {
    Place place;
    double depth_m = 0; ///< or in the depth unit of the header; positive down, drying negative
};

/// Acronym (or "#code") and value as text. An empty value is written as present but unknown; what shall be
/// absent is simply not listed. In UpdateDraft::change, `removed` takes the attribute away.
struct Attribute {
    std::string acronym;
    std::string value; ///< UTF-8, written as ISO 8859-1 (national attributes as the header's nall says)
    bool removed = false;
};
using Attributes = std::vector<Attribute>;

/// Quality of a geometry record; 0 and empty text: not written.
struct Quality {
    int quapos = 0;
    std::string posacc;
    bool operator==(const Quality&) const = default;
};

struct Header {
    std::string dsnm = "X14TEST1.000";
    int edition = 1, update = 0, intu = 5, agen = 65535;
    std::string uadt = "20260101", isdt = "20260101", comment = "Invented, not for navigation";
    int aall = 1, nall = 1; ///< lexical levels: 0 ASCII, 1 Latin-1, 2 UCS-2 (nall only)
    int hdat = 2, vdat = 17, sdat = 23;
    std::uint32_t cscl = 20000;
    int duni = 1, huni = 1, puni = 1, coun = 1;
    std::uint32_t comf = 10'000'000, somf = 10;
};

// The compiled form, record by record; tests may change it before it is written.

struct Pointer {
    int rcnm = 0;
    std::uint32_t rcid = 0;
    int ornt = 255, usag = 255, topi = 255, mask = 255;
};

struct VectorRecord {
    int rcnm = 110; ///< 110 isolated node, 120 connected node, 130 edge
    std::uint32_t rcid = 0;
    int rver = 1;
    Quality quality;
    std::vector<Pointer> nodes; ///< edges: begin and end
    std::vector<Place> vertices;
    std::vector<Sounding> soundings;
};

struct FeatureRecord {
    std::uint32_t rcid = 0;
    int rver = 1, prim = 255, grup = 2;
    std::uint16_t objl = 0;
    int agen = 0;
    std::uint32_t fidn = 0;
    int fids = 1;
    Attributes attributes;
    std::vector<Pointer> geometry;
};

struct Cell {
    Header header;
    std::vector<VectorRecord> vectors;
    std::vector<FeatureRecord> features;
    std::string bytes() const; ///< the base file
};

/// A feature before compilation. What add_* returns may be changed until then.
struct DraftFeature {
    std::string object_class;
    int prim = 255;
    std::vector<Ring> parts; ///< one place, one line, or an outer ring and holes
    std::vector<Sounding> soundings;
    Attributes attributes;
    Quality quality;        ///< of all its geometry records
    std::uint32_t fidn = 0; ///< 0: numbered in order, from 1
    int fids = 1;
};

class CellDraft {
  public:
    Header header;
    std::deque<DraftFeature> features;

    DraftFeature& add_point(const std::string& object_class, Place place, Attributes attributes = {});
    DraftFeature& add_line(const std::string& object_class, Ring line, Attributes attributes = {});
    /// First ring outside, the others holes. Ring direction does not matter.
    DraftFeature& add_area(const std::string& object_class, std::vector<Ring> rings,
                           Attributes attributes = {});
    DraftFeature& add_soundings(std::vector<Sounding> soundings, Attributes attributes = {});
    /// A feature without geometry.
    DraftFeature& add_bare(const std::string& object_class, Attributes attributes = {});

    /// `after`: numbers begin behind those of this cell (for updates).
    Cell compile(const Cell* after = nullptr) const;
    std::string bytes() const { return compile().bytes(); }
};

/// One update of a cell. Operations name features by FIDN. after() is the cell with the update applied, from
/// which the next update may start.
class UpdateDraft {
  public:
    explicit UpdateDraft(Cell before);

    Header header;      ///< edition as before, update number one higher
    CellDraft inserted; ///< features to insert; they share no edges with those that are there

    void change(std::uint32_t fidn, Attributes attributes);
    void change_quality(std::uint32_t fidn, Quality quality);
    void move(std::uint32_t fidn, Place place); ///< point features
    /// The feature and its geometry records that no other feature uses.
    void remove(std::uint32_t fidn);
    /// Vertices of an edge or soundings of a multipoint, `index` from 1, by SGCC.
    void insert_vertices(int rcnm, std::uint32_t rcid, int index, std::vector<Place> places);
    void replace_vertices(int rcnm, std::uint32_t rcid, int index, std::vector<Place> places);
    void delete_vertices(int rcnm, std::uint32_t rcid, int index, int count);
    /// Any record as it is: counted in DSSI by its first field, not in after().
    void raw(std::vector<dangerline::chart::FieldContent> record);

    std::string bytes() const;
    Cell after() const;

  private:
    using Fields = std::vector<dangerline::chart::FieldContent>;
    Cell before_; // as it was: numbers are never used twice
    Cell cell_;
    std::vector<Fields> vectors_;
    std::vector<Fields> features_;

    FeatureRecord& feature(std::uint32_t fidn);
    VectorRecord& vector(int rcnm, std::uint32_t rcid);
    Fields& modify_vector(VectorRecord& record);
    void vertices(int rcnm, std::uint32_t rcid, int instruction, int index, int count,
                  std::vector<Place> places);
};

std::uint16_t class_code(const std::string& acronym);
std::uint16_t attribute_code(const std::string& acronym);

} // namespace cellwriter
