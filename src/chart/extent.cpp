#include "dangerline/chart/extent.hpp"

#include "dangerline/base/error.hpp"
#include "dangerline/chart/record.hpp"
#include "dangerline/files/packed.hpp"

#include "chart/prescan_file.hpp"

#include <algorithm>
#include <cmath>
#include <cstring>
#include <limits>
#include <numbers>

namespace dangerline::chart {

namespace {

/// Coordinates in the file's whole numbers.
struct Bounds {
    std::int32_t west = std::numeric_limits<std::int32_t>::max(), south = west;
    std::int32_t east = std::numeric_limits<std::int32_t>::min(), north = east;

    void take(std::string_view bytes, std::size_t stride) {
        for (std::size_t i = 0; i + stride <= bytes.size(); i += stride) {
            const std::int32_t y = number(bytes.data() + i), x = number(bytes.data() + i + 4);
            south = std::min(south, y);
            north = std::max(north, y);
            west = std::min(west, x);
            east = std::max(east, x);
        }
    }

  private:
    static std::int32_t number(const char* at) {
        const auto byte = [at](int k) { return std::uint32_t{static_cast<unsigned char>(at[k])} << (8 * k); };
        return static_cast<std::int32_t>(byte(0) | byte(1) | byte(2) | byte(3));
    }
};

LonLatBox together(const LonLatBox& a, const LonLatBox& b) {
    return {std::min(a.west_deg, b.west_deg), std::min(a.south_deg, b.south_deg),
            std::max(a.east_deg, b.east_deg), std::max(a.north_deg, b.north_deg)};
}

/// Digits of a leader or directory; anything else makes a number that fits nowhere.
std::size_t digits(const char* at, int count) {
    std::size_t value = 0;
    for (int i = 0; i < count; ++i) {
        const unsigned digit = static_cast<unsigned char>(at[i]) - unsigned{'0'};
        value = value * 10 + (digit < 10 ? digit : 1'000'000'000U);
    }
    return value;
}

bool same(const char* at, const char* tag) {
    return std::memcmp(at, tag, 4) == 0;
}

/// The walk of RecordReader without its lists of fields, which cost most of it. Throws RecordFault where the
/// bytes don't fit together.
void take_vectors(std::string_view bytes, std::size_t at, std::size_t stated, Bounds& bounds,
                  std::size_t& vectors) {
    constexpr std::size_t leader = 24;
    while (at < bytes.size()) {
        const char* const record = bytes.data() + at;
        const std::size_t left = bytes.size() - at;
        if (left <= leader)
            throw RecordFault(at, "a record is cut");
        const std::size_t base = digits(record + 12, 5);
        const int length_digits = record[20] - '0', place_digits = record[21] - '0';
        if (base > left || length_digits < 1 || length_digits > 9 || place_digits < 1 || place_digits > 9)
            throw RecordFault(at, "a leader can't be read");
        const std::size_t entry = 4U + static_cast<std::size_t>(length_digits + place_digits);
        std::size_t end = base;
        for (std::size_t e = leader; e + entry < base && record[e] != field_terminator; e += entry) {
            const std::size_t length = digits(record + e + 4, length_digits);
            const std::size_t begin = base + digits(record + e + 4 + length_digits, place_digits);
            if (length < 1 || length > left || begin > left - length)
                throw RecordFault(at + e, "a field lies outside its record");
            end = std::max(end, begin + length);
            const std::string_view content(record + begin, length - 1);
            if (same(record + e, "SG2D"))
                bounds.take(content, 8);
            else if (same(record + e, "SG3D"))
                bounds.take(content, 12);
            else if (same(record + e, "VRID"))
                ++vectors;
            else if (same(record + e, "FRID") && vectors == stated)
                return; // features follow, which hold no coordinates
        }
        // Records over 99999 bytes have no length; then their last field ends them.
        const std::size_t length = digits(record, 5);
        if (length > left || (length != 0 && length < end))
            throw RecordFault(at, "a record is cut");
        at += std::max(length == 0 ? end : length, leader);
    }
}

/// Whether the describing record is that of S-57. Looking through it takes as long as a small cell's bounds,
/// and the cells of one producer begin with the same bytes: those found good last are known again.
bool usual_start(std::string_view bytes, RecordReader& reader) {
    thread_local std::string good;
    if (!good.empty() && bytes.starts_with(good)) {
        Record describing;
        return reader.next(describing) && reader.offset() == good.size();
    }
    if (detail::inspect_start(bytes, reader))
        return false;
    good = bytes.substr(0, reader.offset());
    return true;
}

/// What a walk found; `box` is empty where a file holds no coordinates, as many updates do.
struct Found {
    bool understood = false;
    std::optional<LonLatBox> box;
};

Found walk(std::string_view bytes) {
    RecordReader reader(bytes);
    if (!usual_start(bytes, reader))
        return {};
    const std::size_t data = reader.offset();
    CellHeader header;
    bool counted = false, scaled = false;
    Record record;
    while (!scaled && reader.next(record)) {
        detail::read_identification(record, header, counted);
        scaled = detail::read_parameters(record, header);
    }
    // An update has no parameters; its coordinates are in the factor every cell must have.
    const double factor = header.comf > 0 ? header.comf : 10'000'000.0;
    const std::size_t stated = std::size_t{header.noin} + header.nocn + header.noed + header.nofa;
    Bounds bounds;
    std::size_t vectors = 0;
    take_vectors(bytes, scaled ? reader.offset() : data, stated, bounds, vectors);
    // A file cut between two records must not seem to lie where its rest lies.
    if (!counted || vectors != stated)
        return {};
    if (bounds.west > bounds.east)
        return {true, std::nullopt};
    const LonLatBox box{bounds.west / factor, bounds.south / factor, bounds.east / factor,
                        bounds.north / factor};
    const bool good =
        box.west_deg >= -180.0 && box.east_deg <= 180.0 && box.south_deg >= -90.0 && box.north_deg <= 90.0;
    return {good, good ? std::optional(box) : std::nullopt};
}

Found found_in(std::string_view bytes) {
    try {
        return walk(bytes);
    } catch (const RecordFault&) { // whoever reads the cell says what is wrong with it
        return {};
    }
}

} // namespace

bool meet(const LonLatBox& a, const LonLatBox& b) {
    if (a.south_deg > b.north_deg || b.south_deg > a.north_deg)
        return false;
    // b shifted by whole turns until it begins at or behind a's west edge, and the one before that.
    const double turns = std::ceil((a.west_deg - b.west_deg) / 360.0);
    const double west = b.west_deg + 360.0 * turns;
    return west <= a.east_deg || b.east_deg + 360.0 * (turns - 1.0) >= a.west_deg;
}

std::vector<LonLatBox> boxes_along(std::span<const geo::Position> places, double metres) {
    // Short of the least meridian degree (110 574 m at the equator, WGS 84), so that boxes err outwards.
    constexpr double metres_per_degree = 110'500.0;
    const double north = metres / metres_per_degree;
    std::vector<LonLatBox> boxes;
    for (std::size_t i = 0; i < places.size(); ++i) {
        if (i == 0 && places.size() > 1)
            continue;
        const geo::Position& to = places[i];
        const geo::Position& from = places[i == 0 ? 0 : i - 1];
        const double lon = geo::longitude_near(to.lon_deg, from.lon_deg);
        const double highest = std::max(std::abs(from.lat_deg), std::abs(to.lat_deg)) + north;
        const double east = highest < 89.9 ? north / std::cos(highest * std::numbers::pi / 180.0) : 360.0;
        boxes.push_back({std::min(from.lon_deg, lon) - east, std::min(from.lat_deg, to.lat_deg) - north,
                         std::max(from.lon_deg, lon) + east, std::max(from.lat_deg, to.lat_deg) + north});
    }
    return boxes;
}

std::optional<LonLatBox> bounds_of(const Geometry& geometry) {
    std::optional<LonLatBox> box;
    double first_lon = 0.0;
    const auto take = [&](const std::vector<geo::Position>& places) {
        for (const auto& p : places) {
            if (!box)
                first_lon = p.lon_deg;
            const double lon = geo::longitude_near(p.lon_deg, first_lon);
            const LonLatBox here{lon, p.lat_deg, lon, p.lat_deg};
            box = box ? together(*box, here) : here;
        }
    };
    take(geometry.points);
    for (const auto& line : geometry.lines)
        take(line);
    for (const auto& polygon : geometry.polygons)
        for (const auto& ring : polygon)
            take(ring);
    return box;
}

bool comes_near(const Geometry& geometry, std::span<const LonLatBox> near) {
    const auto box = bounds_of(geometry);
    return box &&
           std::any_of(near.begin(), near.end(), [&](const LonLatBox& one) { return meet(one, *box); });
}

std::optional<LonLatBox> extent_of_records(std::string_view bytes) {
    return found_in(bytes).box;
}

std::optional<LonLatBox> extent_of(const CellFiles& files) {
    thread_local std::string bytes; // kept: fresh memory costs more than the walk
    std::optional<LonLatBox> box;
    const auto take = [&](const std::filesystem::path& path) {
        files::read_bytes(path, bytes);
        const Found found = found_in(bytes);
        if (found.box)
            box = box ? together(*box, *found.box) : *found.box;
        return found.understood;
    };
    try {
        if (!take(files.base) || !box)
            return std::nullopt;
        for (const auto& [number, path] : files.updates)
            if (!take(path))
                return std::nullopt;
    } catch (const Failure&) {
        return std::nullopt;
    }
    return box;
}

} // namespace dangerline::chart
