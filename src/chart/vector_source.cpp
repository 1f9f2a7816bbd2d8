#include "dangerline/chart/vector_source.hpp"

#include "dangerline/base/error.hpp"
#include "dangerline/chart/dates.hpp"
#include "dangerline/files/gdal_quiet.hpp"

#include "chart/vector_attributes.hpp"
#include "chart/vector_geometry.hpp"
#include "chart/vector_open.hpp"

#include <algorithm>
#include <cmath>
#include <set>

#include <fmt/format.h>

namespace dangerline::chart {

namespace {

class SourceReader {
  public:
    SourceReader(const std::filesystem::path& path, const VectorStatement& stated, Diagnostics& diagnostics)
        : path_(path), stated_(stated), diagnostics_(diagnostics), dataset_(open_vector(path)) {
        cell_.file = path.string();
        cell_.name = path.stem().string();
        cell_.header.duni = cell_.header.huni = unit_metres;
        cell_.header.hdat = 2;
    }

    Cell run() {
        files::GdalMessages messages;
        read_statements();
        take_plan();
        for (auto* layer : dataset_->GetLayers())
            read_layer(*layer);
        if (cell_.features.empty())
            refuse_source(path_, "", "holds no charted object", "features with an S-57 class",
                          "check the export");
        if (failed_ > 0 && transformed_ == 0)
            refuse_source(path_, "", "none of its places can be transformed to WGS 84",
                          "a reference system PROJ can transform without a guess", "export it in WGS 84");
        for (const auto& message : messages.messages()) {
            say(message.failure ? Severity::broken : Severity::warning, "", "GDAL: " + message.text);
            if (message.failure)
                cell_.distrust.push_back("GDAL: " + message.text);
        }
        decide_kind();
        say_what_lacks();
        return std::move(cell_);
    }

  private:
    void say(Severity severity, const std::string& object, const std::string& what) {
        diagnostics_.push_back({severity, cell_.file, object, what});
    }

    [[noreturn]] void refuse(const std::string& object, const std::string& what, const std::string& expected,
                             const std::string& remedy) const {
        throw Failure(
            Fault::data,
            {.file = cell_.file, .object = object, .what = what, .expected = expected, .remedy = remedy});
    }

    /// One number of a DSID feature; two of them must agree.
    void take(int& into, const OGRFeature& f, const char* name, std::set<std::string>& seen) const {
        const auto text = field_text(f, f.GetFieldIndex(name));
        Attributes one;
        one.set("X", text.value_or(""));
        const auto value = one.number("X");
        if (!value)
            return;
        if (!seen.insert(name).second && into != static_cast<int>(*value))
            refuse("DSID", fmt::format("states {} as {} and as {}", name, into, *value),
                   "one statement for the whole source", "split it by chart");
        into = static_cast<int>(*value);
    }

    void read_statement(const OGRFeature& f) {
        auto& h = cell_.header;
        int scale = 0;
        std::set<std::string> none;
        take(scale, f, "DSPM_CSCL", none);
        if (scale > 0) // the coarsest of several
            h.cscl = std::max(h.cscl, static_cast<std::uint32_t>(scale));
        take(h.sdat, f, "DSPM_SDAT", seen_);
        take(h.vdat, f, "DSPM_VDAT", seen_);
        take(h.hdat, f, "DSPM_HDAT", seen_);
        take(h.duni, f, "DSPM_DUNI", seen_);
        take(h.huni, f, "DSPM_HUNI", seen_);
        const auto text = [&](const char* name) { return field_text(f, f.GetFieldIndex(name)).value_or(""); };
        h.edtn = text("DSID_EDTN");
        h.updn = text("DSID_UPDN");
        h.isdt = plain_date(text("DSID_ISDT"));
        cell_.edition = std::atoi(h.edtn.c_str());
        cell_.update = std::atoi(h.updn.c_str());
        cell_.issued = h.isdt;
        cell_.withdrawn = cell_.withdrawn || h.edtn == "0";
    }

    void read_statements() {
        for (auto* layer : dataset_->GetLayers()) {
            const FieldReader fields(*layer, stated_.mapping);
            const bool own = class_of_layer(layer->GetName()) == "DSID";
            if (!fields.has_class_field() && !own)
                continue;
            layer->ResetReading();
            while (const OGRFeatureUniquePtr f{layer->GetNextFeature()})
                if (own || fields.class_of(*f) == "DSID")
                    read_statement(*f);
        }
        const auto& h = cell_.header;
        if (h.hdat != 2)
            refuse("DSID", fmt::format("DSPM_HDAT is {}", h.hdat), "2 (WGS 84)", "export it in WGS 84");
        if (h.duni != unit_metres && h.duni != depth_unit_feet)
            refuse("DSID", fmt::format("depths have unit DSPM_DUNI {}", h.duni), "1 (metres) or 3 (feet)",
                   "export it in metres");
        if (h.huni != unit_metres && h.huni != height_unit_feet)
            refuse("DSID", fmt::format("heights have unit DSPM_HUNI {}", h.huni), "1 (metres) or 2 (feet)",
                   "export it in metres");
    }

    void take_plan() {
        auto& h = cell_.header;
        int scale = static_cast<int>(h.cscl);
        const auto agree = [&](int& own, const std::optional<int>& plan, const char* what) {
            if (plan && own != 0 && own != *plan)
                refuse("DSID", fmt::format("states {} {}, the plan {}", what, own, *plan), "the same in both",
                       "correct the one that is wrong");
            own = plan.value_or(own);
        };
        agree(scale, stated_.scale, "scale 1:");
        agree(h.sdat, stated_.sounding_datum, "sounding datum");
        agree(h.vdat, stated_.vertical_datum, "vertical datum");
        h.cscl = static_cast<std::uint32_t>(std::max(scale, 0));
    }

    void read_layer(OGRLayer& layer) {
        const std::string name = layer.GetName();
        if (class_of_layer(name) == "DSID")
            return;
        const FieldReader fields(layer, stated_.mapping);
        const bool table = layer.GetGeomType() == wkbNone;
        if (table && !fields.has_class_field() && !fields.layer_has_class()) {
            say(Severity::note, "layer " + name, "a table without places or classes; left out");
            return;
        }
        WayToWgs84 way;
        if (!table)
            way = way_to_wgs84(path_, layer);
        const auto stated = layer.GetFeatureCount(FALSE);
        GIntBig read = 0;
        layer.ResetReading();
        while (const OGRFeatureUniquePtr f{layer.GetNextFeature()}) {
            ++read;
            if (fields.class_of(*f) != "DSID")
                read_feature(*f, fields, way);
        }
        if (stated >= 0 && read < stated) {
            const std::string what = fmt::format("layer {} holds {} of {} objects", name, read, stated);
            say(Severity::broken, "", what);
            cell_.distrust.push_back(what);
        }
    }

    void read_feature(const OGRFeature& source, const FieldReader& fields, const WayToWgs84& way) {
        Feature f = fields.read(source, {cell_.header.duni, cell_.header.huni}, cell_.file, diagnostics_);
        ++number_;
        if (f.id == LongName{})
            f.id = {0, number_, 0};
        const std::string object = f.cls + " " + to_text(f.id);
        const OGRGeometry* g = source.GetGeometryRef();
        if (!g) {
            f.broken_geometry = !f.cls.starts_with("C_"); // collections have none
            if (f.broken_geometry)
                say(Severity::broken, object, "no geometry where there should be one");
            cell_.features.push_back(std::move(f));
            return;
        }
        ReadParts read = read_parts(*g, way);
        ++(read.not_transformed ? failed_ : transformed_);
        f.broken_geometry = !read.good;
        if (!read.good)
            say(Severity::broken, object, why(read));
        if (read.out_of_range) // nothing can be measured from such a place; whoever needs it must go without
            read.parts.clear();
        if (read.parts.empty())
            cell_.features.push_back(f);
        for (auto& part : read.parts) {
            Feature& one = cell_.features.emplace_back(f);
            one.geometry = std::move(part);
            take_depths(one, object);
        }
    }

    static std::string why(const ReadParts& read) {
        if (read.not_transformed)
            return "a place that can't be transformed to WGS 84; dropped";
        if (read.swap_would_fit)
            return "a place outside the range of longitude and latitude; dropped (they look swapped)";
        if (read.out_of_range)
            return "a place outside the range of longitude and latitude; dropped";
        return "a ring that does not close, a line of one place, or an empty geometry";
    }

    void take_depths(Feature& f, const std::string& object) {
        auto& depths = f.geometry.depths_m;
        if (f.cls != "SOUNDG") {
            depths.clear();
            return;
        }
        auto attribute = f.attributes.number("DEPTH");
        if (!attribute)
            attribute = f.attributes.number("VALSOU");
        std::size_t unknown = 0;
        for (double& depth : depths) {
            if (std::isfinite(depth))
                depth *= cell_.header.duni == depth_unit_feet ? metres_per_foot : 1.0;
            else if (attribute)
                depth = *attribute;
            if (!(std::abs(depth) <= greatest_m)) {
                depth = std::nan("");
                ++unknown;
            }
        }
        if (unknown > 0)
            say(Severity::warning, object,
                fmt::format("{} soundings without a depth in range; taken as unknown", unknown));
    }

    void decide_kind() {
        const auto any = [&](auto&& test) {
            return std::any_of(cell_.features.begin(), cell_.features.end(), test);
        };
        const bool covers = any([](const Feature& f) { return f.cls == "M_COVR"; });
        const bool signed_ = any([](const Feature& f) { return !f.author.empty() || !f.date.empty(); });
        cell_.notes = stated_.notes.value_or(signed_ && !covers);
        if (!cell_.notes)
            return;
        if (covers)
            say(Severity::warning, "M_COVR", "notes cover nothing; their coverage is left out");
        for (const auto& f : cell_.features) {
            const std::string object = f.cls + " " + to_text(f.id);
            if (f.author.empty())
                say(Severity::warning, object, "note without an author");
            if (f.date.empty())
                say(Severity::warning, object, "note without a date; counts as new");
            else if (!latest_day_of(f.date))
                say(Severity::warning, object,
                    fmt::format("date \"{}\" can't be read; the note counts as new", f.date));
        }
    }

    void say_what_lacks() {
        const auto& h = cell_.header;
        if (h.cscl == 0)
            say(Severity::warning, "", "states no scale; its places count as drawn at 1:1,000,000");
        if (h.sdat == 0)
            say(Severity::warning, "",
                "states no sounding datum; its depths are linked to no tide unless the plan says how");
    }

    const std::filesystem::path& path_;
    const VectorStatement& stated_;
    Diagnostics& diagnostics_;
    GDALDatasetUniquePtr dataset_;
    Cell cell_;
    std::set<std::string> seen_;
    std::uint32_t number_ = 0;
    std::size_t transformed_ = 0, failed_ = 0;
};

} // namespace

Cell read_vector_chart(const std::filesystem::path& path, const VectorStatement& stated,
                       Diagnostics& diagnostics) {
    return SourceReader(path, stated, diagnostics).run();
}

} // namespace dangerline::chart
