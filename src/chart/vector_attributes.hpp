// From the fields of a vector source to attributes by acronym. Private to the room.
#pragma once

#include "dangerline/base/diagnostics.hpp"
#include "dangerline/chart/feature.hpp"
#include "dangerline/chart/vector_source.hpp"

#include "chart/units.hpp"

#include <string>
#include <vector>

#include <ogrsf_frmts.h>

namespace dangerline::chart {

/// Units of depths and heights of a source, as S-57's DUNI and HUNI.
struct SourceUnits {
    int depth = unit_metres;
    int height = unit_metres;
};

/// "WRECKS_points" gives WRECKS; a name that is no acronym comes back as it is.
std::string class_of_layer(const std::string& layer);
bool is_acronym(std::string_view name);

/// The fields of one layer, looked through once.
class FieldReader {
  public:
    /// `mapping` must outlive it.
    FieldReader(const OGRLayer& layer, const ClassMapping& mapping);
    bool has_class_field() const { return class_ >= 0; }
    /// By its name, or by what the mapping makes of it.
    bool layer_has_class() const;
    /// Class, attributes, identity where it is stated (else all zero), QUAPOS, POSACC, author and date.
    Feature read(const OGRFeature& source, const SourceUnits& units, const std::string& file,
                 Diagnostics& diagnostics) const;
    std::string class_of(const OGRFeature& source) const;

  private:
    struct Column {
        int index;
        std::string acronym;
        bool exact; ///< stands in capitals in the source
        Unit unit;
    };
    void read_identity(const OGRFeature& source, Feature& f) const;
    const ClassMapping* mapping_;
    std::vector<Column> columns_; ///< exact ones last, mapped ones behind them: they win
    std::string layer_class_;
    int class_ = -1, author_ = -1, date_ = -1, lnam_ = -1, agen_ = -1, fidn_ = -1, fids_ = -1;
};

/// A field as text: lists joined by commas, days as CCYYMMDD, whole numbers without point; nothing where it
/// is not set or holds the number that stands for "unknown".
std::optional<std::string> field_text(const OGRFeature& source, int index);

} // namespace dangerline::chart
