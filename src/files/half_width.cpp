#include "files/half_width.hpp"

#include "dangerline/base/error.hpp"

#include <charconv>
#include <cmath>
#include <fmt/format.h>
#include <ogr_feature.h>
#include <string_view>

namespace dangerline::files {

namespace {

/// One number, or several.
struct Widths {
    bool list = false;
    std::vector<double> metres{};
};

std::string_view trimmed(std::string_view text) {
    while (!text.empty() && text.front() == ' ')
        text.remove_prefix(1);
    while (!text.empty() && text.back() == ' ')
        text.remove_suffix(1);
    return text;
}

std::optional<double> number(std::string_view text) {
    text = trimmed(text);
    double value = 0.0;
    const auto [end, error] = std::from_chars(text.data(), text.data() + text.size(), value);
    if (error != std::errc() || end != text.data() + text.size())
        return std::nullopt;
    return value;
}

/// GDAL hands values over as text where features of one file differ in type: "30" or "[ 30, 20 ]".
std::optional<Widths> from_text(std::string_view text) {
    text = trimmed(text);
    Widths widths;
    if (text.starts_with('[') && text.ends_with(']')) {
        widths.list = true;
        text = text.substr(1, text.size() - 2);
    }
    for (;;) {
        const auto comma = widths.list ? text.find(',') : std::string_view::npos;
        const auto value = number(text.substr(0, comma));
        if (!value)
            return std::nullopt;
        widths.metres.push_back(*value);
        if (comma == std::string_view::npos)
            return widths;
        text.remove_prefix(comma + 1);
    }
}

std::optional<Widths> from_field(const OGRFeature& feature, int field) {
    int count = 0;
    const auto list = [&](const auto* values) {
        return Widths{true, std::vector<double>(values, values + count)};
    };
    const OGRFieldDefn& definition = *feature.GetFieldDefnRef(field);
    if (definition.GetSubType() == OFSTBoolean)
        return std::nullopt;
    switch (definition.GetType()) {
    case OFTInteger:
    case OFTInteger64:
    case OFTReal:
        return Widths{false, {feature.GetFieldAsDouble(field)}};
    case OFTIntegerList:
        return list(feature.GetFieldAsIntegerList(field, &count));
    case OFTRealList:
        return list(feature.GetFieldAsDoubleList(field, &count));
    case OFTString:
        return from_text(feature.GetFieldAsString(field));
    default:
        return std::nullopt;
    }
}

} // namespace

void read_half_width(const OGRFeature& feature, const std::string& file, const std::string& object,
                     DrawnRoute& route) {
    const int field = feature.GetFieldIndex("half_width");
    if (field < 0 || !feature.IsFieldSetAndNotNull(field))
        return;
    const auto fail = [&](std::string what, std::string expected) {
        throw Failure(Fault::data,
                      {file, object, std::move(what), std::move(expected), "correcting half_width"});
    };
    const auto widths = from_field(feature, field);
    if (!widths)
        return fail(fmt::format("half_width is '{}'", feature.GetFieldAsString(field)),
                    "metres as one number, or a list with one per leg");
    for (double width : widths->metres)
        if (!std::isfinite(width) || width < min_half_width_m || width > max_half_width_m)
            return fail(fmt::format("half_width is {} m", width),
                        fmt::format("{:.0f} to {:.0f} m", min_half_width_m, max_half_width_m));
    // GDAL makes a list of a lone number where another feature of the file has a list.
    if (!widths->list || widths->metres.size() == 1) {
        route.half_width_m = widths->metres[0];
        return;
    }
    if (widths->metres.size() != route.places.size() - 1)
        return fail(fmt::format("half_width has {} numbers, the route {} legs", widths->metres.size(),
                                route.places.size() - 1),
                    "one number per leg");
    route.leg_half_widths_m = widths->metres;
}

} // namespace dangerline::files
