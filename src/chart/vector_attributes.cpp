#include "chart/vector_attributes.hpp"

#include "dangerline/chart/dates.hpp"

#include <algorithm>
#include <cmath>
#include <cstring>

#include <fmt/format.h>

namespace dangerline::chart {

namespace {

/// What GDAL writes for a number that is present but empty when asked to keep those.
constexpr double unknown_number = 2147483641.0;

std::string capitals(std::string_view text) {
    std::string out(text);
    std::transform(out.begin(), out.end(), out.begin(),
                   [](char c) { return c >= 'a' && c <= 'z' ? static_cast<char>(c - 'a' + 'A') : c; });
    return out;
}

bool any_of(std::string_view name, std::initializer_list<std::string_view> names) {
    return std::find(names.begin(), names.end(), name) != names.end();
}

bool is_date(std::string_view acronym) {
    return any_of(acronym,
                  {"SORDAT", "SURSTA", "SUREND", "DATSTA", "DATEND", "PERSTA", "PEREND", "CPDATE", "RECDAT"});
}

bool is_prose(std::string_view acronym) {
    return any_of(acronym, {"OBJNAM", "NOBJNM", "INFORM", "NINFOM", "TXTDSC", "NTXTDS", "SORIND"});
}

template <class Number>
std::string joined(const Number* numbers, int count) {
    std::string text;
    for (int i = 0; i < count; ++i)
        text += fmt::format("{}{}", i > 0 ? "," : "", numbers[i]);
    return text;
}

/// "4.0" is the code 4 after a journey through a table of decimal numbers.
std::string without_empty_decimals(std::string text) {
    const auto point = text.find('.');
    const bool whole = point != std::string::npos && point > 0 && point + 1 < text.size() &&
                       text.find_first_not_of("0", point + 1) == std::string::npos &&
                       text.substr(0, point).find_first_not_of("-0123456789") == std::string::npos;
    return whole ? text.substr(0, point) : text;
}

std::string trimmed(std::string text) {
    while (!text.empty() && std::strchr(" \r\n\t", text.back()))
        text.pop_back();
    return text;
}

std::string real_text(double value) {
    return std::isfinite(value) ? fmt::format("{}", value) : std::string();
}

} // namespace

bool is_acronym(std::string_view name) {
    return name.size() == 6 && std::all_of(name.begin(), name.end(), [](char c) {
               return (c >= 'A' && c <= 'Z') || (c >= '0' && c <= '9') || c == '_' || c == '$';
           });
}

std::string class_of_layer(const std::string& layer) {
    if (const std::string four = capitals(std::string_view(layer).substr(0, 5));
        four == "DSID" || four == "DSID_")
        return "DSID";
    const std::string head = capitals(std::string_view(layer).substr(0, 6));
    const bool ends = layer.size() == 6 || (layer.size() > 6 && (layer[6] == '_' || layer[6] == '-'));
    return ends && is_acronym(head) ? head : layer;
}

std::optional<std::string> field_text(const OGRFeature& source, int index) {
    if (index < 0 || !source.IsFieldSetAndNotNull(index))
        return std::nullopt;
    int count = 0;
    switch (source.GetFieldDefnRef(index)->GetType()) {
    case OFTInteger:
    case OFTInteger64: {
        const auto value = source.GetFieldAsInteger64(index);
        if (static_cast<double>(value) == unknown_number)
            return std::nullopt;
        return fmt::format("{}", value);
    }
    case OFTReal: {
        const double value = source.GetFieldAsDouble(index);
        return value == unknown_number ? std::nullopt : std::optional(real_text(value));
    }
    case OFTIntegerList: {
        const int* list = source.GetFieldAsIntegerList(index, &count);
        return joined(list, count);
    }
    case OFTInteger64List: {
        const GIntBig* list = source.GetFieldAsInteger64List(index, &count);
        return joined(list, count);
    }
    case OFTRealList: {
        const double* list = source.GetFieldAsDoubleList(index, &count);
        return joined(list, count);
    }
    case OFTStringList: {
        std::string text;
        for (char** item = source.GetFieldAsStringList(index); item && *item; ++item) {
            if (!text.empty())
                text += ',';
            text += *item;
        }
        return text;
    }
    case OFTDate:
    case OFTDateTime: {
        int year = 0, month = 0, day = 0, hour = 0, minute = 0, zone = 0;
        float second = 0.0F;
        source.GetFieldAsDateTime(index, &year, &month, &day, &hour, &minute, &second, &zone);
        return year > 0 ? std::optional(fmt::format("{:04}{:02}{:02}", year, month, day)) : std::nullopt;
    }
    default:
        return trimmed(source.GetFieldAsString(index));
    }
}

FieldReader::FieldReader(const OGRLayer& layer, const ClassMapping& mapping) : mapping_(&mapping) {
    auto& readable = const_cast<OGRLayer&>(layer); // GDAL's readers are not const
    layer_class_ = class_of_layer(readable.GetName());
    if (const auto mapped = mapping.classes.find(readable.GetName()); mapped != mapping.classes.end())
        layer_class_ = mapped->second;
    const std::string class_from = capitals(mapping.class_from);
    std::vector<Column> mapped_columns;
    const OGRFeatureDefn* definition = readable.GetLayerDefn();
    for (int i = 0; i < definition->GetFieldCount(); ++i) {
        const std::string name = definition->GetFieldDefn(i)->GetNameRef();
        const std::string upper = capitals(name);
        if (const auto mapped = mapping.attributes.find(name); mapped != mapping.attributes.end())
            mapped_columns.push_back({i, mapped->second, true, unit_of(mapped->second)});
        int* own = upper == class_from ? &class_
                   : upper == "AUTHOR" ? &author_
                   : upper == "DATE"   ? &date_
                   : upper == "LNAM"   ? &lnam_
                   : upper == "AGEN"   ? &agen_
                   : upper == "FIDN"   ? &fidn_
                   : upper == "FIDS"   ? &fids_
                                       : nullptr;
        if (own)
            *own = i;
        else if (!any_of(upper, {"RCID", "PRIM", "GRUP", "OBJL", "RVER", "LNAM_REFS", "FFPT_RIND"}))
            columns_.push_back({i, is_acronym(upper) || upper == "DEPTH" ? upper : name, name == upper,
                                upper == "DEPTH" ? Unit::depth : unit_of(upper)});
    }
    std::stable_partition(columns_.begin(), columns_.end(), [](const Column& c) { return !c.exact; });
    columns_.insert(columns_.end(), mapped_columns.begin(), mapped_columns.end());
}

std::string FieldReader::class_of(const OGRFeature& source) const {
    const auto text = field_text(source, class_);
    if (!text || text->empty())
        return layer_class_;
    if (const auto mapped = mapping_->classes.find(*text); mapped != mapping_->classes.end())
        return mapped->second;
    const std::string upper = capitals(*text);
    return is_acronym(upper) ? upper : *text;
}

bool FieldReader::layer_has_class() const {
    return is_acronym(layer_class_);
}

void FieldReader::read_identity(const OGRFeature& source, Feature& f) const {
    if (const auto text = field_text(source, lnam_))
        if (const auto id = parse_long_name(capitals(*text))) {
            f.id = *id;
            return;
        }
    if (agen_ >= 0 && fidn_ >= 0 && fids_ >= 0 && source.IsFieldSetAndNotNull(fidn_)) {
        f.id.agen = static_cast<std::uint16_t>(source.GetFieldAsInteger(agen_));
        f.id.fidn = static_cast<std::uint32_t>(source.GetFieldAsInteger64(fidn_));
        f.id.fids = static_cast<std::uint16_t>(source.GetFieldAsInteger(fids_));
    }
}

Feature FieldReader::read(const OGRFeature& source, const SourceUnits& units, const std::string& file,
                          Diagnostics& diagnostics) const {
    Feature f;
    f.cls = class_of(source);
    read_identity(source, f);
    f.author = field_text(source, author_).value_or("");
    f.date = plain_date(field_text(source, date_).value_or(""));
    const std::string object = fmt::format("{} {}", f.cls, source.GetFID());
    for (const auto& c : columns_) {
        auto text = field_text(source, c.index);
        if (!text)
            continue;
        if (is_date(c.acronym))
            text = plain_date(*text);
        else if (!is_prose(c.acronym))
            text = without_empty_decimals(std::move(*text));
        f.attributes.set(c.acronym, *text);
        if (c.unit == Unit::none || text->empty())
            continue;
        auto value = f.attributes.number(c.acronym);
        if (value && ((c.unit == Unit::depth && units.depth == depth_unit_feet) ||
                      (c.unit == Unit::height && units.height == height_unit_feet)))
            f.attributes.set_number(c.acronym, *(value = *value * metres_per_foot));
        if (!value || (c.unit != Unit::none && !(std::abs(*value) <= greatest_m))) {
            diagnostics.push_back({Severity::warning, file, object,
                                   fmt::format("{} \"{}\" is {}; taken as unknown", c.acronym, *text,
                                               value ? "out of range" : "no number of metres")});
            f.attributes.remove(c.acronym);
        }
    }
    f.quapos = f.attributes.code("QUAPOS");
    f.posacc_m = f.attributes.number("POSACC");
    return f;
}

} // namespace dangerline::chart
