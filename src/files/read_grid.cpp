// Components of a vector out of GDAL's multidimensional arrays.
#include "dangerline/base/error.hpp"
#include "dangerline/base/quantities.hpp"
#include "dangerline/files/gdal_quiet.hpp"
#include "dangerline/files/grid.hpp"

#include <algorithm>
#include <array>
#include <cmath>
#include <limits>
#include <map>
#include <mutex>

#include <fmt/format.h>
#include <gdal_frmts.h>
#include <gdal_priv.h>

namespace dangerline::files {

namespace {

using Array = std::shared_ptr<GDALMDArray>;

/// One step of one component on its grid, rows from the south.
struct Layer {
    std::vector<double> lons, lats;
    std::vector<float> values;
};
using Steps = std::map<double, Layer>; // by Unix time

struct Names {
    std::array<std::vector<std::string>, 2> standard; ///< of the component to the east and to the north
    std::vector<std::string> along_grid;
    int discipline = 0, category = 0;
    std::array<int, 2> numbers{};
};

const Names& names_of(GridQuantity quantity) {
    static const Names stream{{{{"eastward_sea_water_velocity", "surface_eastward_sea_water_velocity"},
                                {"northward_sea_water_velocity", "surface_northward_sea_water_velocity"}}},
                              {"sea_water_x_velocity", "sea_water_y_velocity"},
                              10,
                              1,
                              {2, 3}};
    static const Names wind{{{{"eastward_wind"}, {"northward_wind"}}}, {"x_wind", "y_wind"}, 0, 2, {2, 3}};
    return quantity == GridQuantity::stream ? stream : wind;
}

class Reader {
  public:
    Reader(const std::filesystem::path& path, GridQuantity quantity)
        : path_(path), names_(names_of(quantity)), quantity_(quantity) {}

    VectorGrid run() {
        static std::once_flag once;
        std::call_once(once, [] {
            GDALRegister_netCDF();
            GDALRegister_GRIB();
        });
        GdalMessages messages;
        const auto dataset = std::unique_ptr<GDALDataset>(GDALDataset::Open(
            path_.string().c_str(), GDAL_OF_MULTIDIM_RASTER | GDAL_OF_READONLY, nullptr, nullptr, nullptr));
        const auto root = dataset ? dataset->GetRootGroup() : nullptr;
        if (!root)
            refuse("", "can't be read as gridded data" +
                           (messages.text().empty() ? std::string() : " (" + messages.text() + ")"));
        bool along_grid = false;
        for (const auto& name : root->GetMDArrayNames()) {
            const auto array = root->OpenMDArray(name);
            if (!array)
                continue;
            const auto standard = text_of(array, "standard_name");
            along_grid = along_grid || std::find(names_.along_grid.begin(), names_.along_grid.end(),
                                                 standard) != names_.along_grid.end();
            for (std::size_t k = 0; k < 2; ++k)
                if (is_component(array, standard, k))
                    take(array, steps_[k]);
        }
        if (steps_[0].empty() || steps_[1].empty())
            refuse("", along_grid
                           ? "its components lie along the grid's own axes (x and y)"
                           : fmt::format("no component to the {}", steps_[0].empty() ? "east" : "north"));
        return joined();
    }

  private:
    [[noreturn]] void refuse(const std::string& object, const std::string& what) const {
        throw Failure(Fault::data,
                      {.file = path_.string(),
                       .object = object,
                       .what = what,
                       .expected = quantity_ == GridQuantity::stream
                                       ? "CF netCDF or GRIB2 with eastward and northward sea water velocity "
                                         "on a regular grid of longitude and latitude"
                                       : "CF netCDF or GRIB2 with eastward and northward wind on a regular "
                                         "grid of longitude and latitude"});
    }

    static std::string text_of(const Array& array, const char* name) {
        const auto attribute = array->GetAttribute(name);
        const char* text = attribute ? attribute->ReadAsString() : nullptr;
        return text ? text : "";
    }
    static std::optional<double> number_of(const Array& array, const char* name) {
        const auto attribute = array->GetAttribute(name);
        return attribute ? std::optional(attribute->ReadAsDouble()) : std::nullopt;
    }

    bool is_component(const Array& array, const std::string& standard, std::size_t k) const {
        const auto& standards = names_.standard[k];
        if (std::find(standards.begin(), standards.end(), standard) != standards.end())
            return true;
        // GRIB2: GDAL names arrays by NCEP's abbreviations; the attributes hold the numbers.
        const auto discipline = number_of(array, "discipline_code");
        if (!discipline || *discipline != names_.discipline)
            return false;
        const std::string name = array->GetName();
        const bool stream = quantity_ == GridQuantity::stream;
        return name.rfind(k == 0 ? (stream ? "UOGRD_" : "UGRD_") : (stream ? "VOGRD_" : "VGRD_"), 0) == 0;
    }

    std::vector<double> axis_of(const std::shared_ptr<GDALDimension>& dimension) const {
        const auto variable = dimension->GetIndexingVariable();
        if (!variable || variable->GetDimensionCount() != 1)
            refuse(dimension->GetName(), "a dimension without its values");
        return all_of(variable);
    }

    std::vector<double> all_of(const Array& array) const {
        std::vector<GUInt64> start;
        std::vector<std::size_t> count;
        std::size_t all = 1;
        for (const auto& dimension : array->GetDimensions()) {
            start.push_back(0);
            count.push_back(static_cast<std::size_t>(dimension->GetSize()));
            all *= count.back();
        }
        constexpr std::size_t most = 200'000'000;
        if (all == 0 || all > most)
            refuse(array->GetName(), all == 0 ? "is empty" : "is too large: cut the forecast to your waters");
        std::vector<double> values(all);
        if (!array->Read(start.data(), count.data(), nullptr, nullptr,
                         GDALExtendedDataType::Create(GDT_Float64), values.data()))
            refuse(array->GetName(), "can't be read");
        // Missing first, then unpacked: the mark for missing is a packed value.
        bool has_missing = false, has_scale = false, has_offset = false;
        const double missing = array->GetNoDataValueAsDouble(&has_missing);
        const double scale = array->GetScale(&has_scale), offset = array->GetOffset(&has_offset);
        for (double& v : values)
            v = has_missing && v == missing ? std::numeric_limits<double>::quiet_NaN()
                                            : v * (has_scale ? scale : 1.0) + (has_offset ? offset : 0.0);
        return values;
    }

    double factor_of(const Array& array) const {
        const std::string unit = array->GetUnit();
        for (const char* word : {"m s-1", "m/s", "m s**-1", "m.s-1", "meter second-1", "[m/s]"})
            if (unit == word)
                return 1.0;
        if (unit == "knot" || unit == "knots" || unit == "kt")
            return mps_per_knot;
        refuse(array->GetName(), unit.empty() ? "states no unit" : "unit \"" + unit + "\" is not m s-1");
    }

    enum class Axis { time, lon, lat, depth };
    Axis axis_kind(const std::shared_ptr<GDALDimension>& dimension) const {
        const auto variable = dimension->GetIndexingVariable();
        const std::string unit = variable ? variable->GetUnit() : "";
        const std::string standard = variable ? text_of(variable, "standard_name") : "";
        const std::string name = dimension->GetName();
        if (standard == "time" || unit.find(" since ") != unit.npos || unit == "sec UTC" || name == "TIME")
            return Axis::time;
        if (standard == "longitude" || unit.rfind("degrees_east", 0) == 0 || name == "X")
            return Axis::lon;
        if (standard == "latitude" || unit.rfind("degrees_north", 0) == 0 || name == "Y")
            return Axis::lat;
        return Axis::depth;
    }

    void take(const Array& array, Steps& into) const {
        const auto dimensions = array->GetDimensions();
        std::array<int, 4> place{-1, -1, -1, -1}; // of each axis among the dimensions
        std::vector<std::size_t> stride(dimensions.size(), 1), size;
        for (std::size_t d = 0; d < dimensions.size(); ++d) {
            auto& its = place[static_cast<std::size_t>(axis_kind(dimensions[d]))];
            if (its >= 0)
                refuse(array->GetName(), "has two dimensions of one kind");
            its = static_cast<int>(d);
            size.push_back(static_cast<std::size_t>(dimensions[d]->GetSize()));
        }
        for (std::size_t d = dimensions.size(); d-- > 1;)
            stride[d - 1] = stride[d] * size[d];
        const int lon = place[1], lat = place[2];
        if (lon < 0 || lat < 0)
            refuse(array->GetName(), "is not on a grid of longitude and latitude");
        const auto times = times_of(array, dimensions, place[0]);
        std::size_t base = 0;
        if (place[3] >= 0)
            base = shallowest(dimensions[static_cast<std::size_t>(place[3])]) *
                   stride[static_cast<std::size_t>(place[3])];
        const double factor = factor_of(array);
        const auto values = all_of(array);
        Layer layer{axis_of(dimensions[static_cast<std::size_t>(lon)]),
                    axis_of(dimensions[static_cast<std::size_t>(lat)]),
                    {}};
        const bool from_north = layer.lats.size() > 1 && layer.lats[1] < layer.lats[0];
        for (std::size_t t = 0; t < times.size(); ++t) {
            Layer step = layer;
            const std::size_t at =
                base + (place[0] >= 0 ? t * stride[static_cast<std::size_t>(place[0])] : 0);
            for (std::size_t row = 0; row < layer.lats.size(); ++row)
                for (std::size_t column = 0; column < layer.lons.size(); ++column) {
                    const std::size_t y = from_north ? layer.lats.size() - 1 - row : row;
                    step.values.push_back(
                        static_cast<float>(factor * values[at + y * stride[static_cast<std::size_t>(lat)] +
                                                           column * stride[static_cast<std::size_t>(lon)]]));
                }
            if (from_north)
                std::reverse(step.lats.begin(), step.lats.end());
            if (!into.emplace(times[t], std::move(step)).second)
                refuse(array->GetName(), "holds two fields for one time");
        }
    }

    std::size_t shallowest(const std::shared_ptr<GDALDimension>& dimension) const {
        if (dimension->GetSize() == 1)
            return 0;
        const auto depths = axis_of(dimension);
        return static_cast<std::size_t>(
            std::min_element(depths.begin(), depths.end(),
                             [](double a, double b) { return std::abs(a) < std::abs(b); }) -
            depths.begin());
    }

    std::vector<double> times_of(const Array& array,
                                 const std::vector<std::shared_ptr<GDALDimension>>& dimensions,
                                 int place) const {
        if (place < 0) {
            const auto valid = number_of(array, "validity_time");
            if (!valid)
                refuse(array->GetName(), "has no time");
            return {*valid};
        }
        const auto& dimension = dimensions[static_cast<std::size_t>(place)];
        auto values = axis_of(dimension);
        const std::string unit = dimension->GetIndexingVariable()->GetUnit();
        if (unit == "sec UTC")
            return values;
        const auto since = unit.find(" since ");
        const std::string step = unit.substr(0, since);
        double seconds = 0.0;
        for (const auto& [word, s] :
             {std::pair{"second", 1.0}, {"minute", 60.0}, {"hour", 3600.0}, {"day", 86400.0}})
            if (step == word || step == std::string(word) + "s")
                seconds = s;
        const auto epoch = since == unit.npos ? std::nullopt : epoch_of(unit.substr(since + 7));
        if (seconds == 0.0 || !epoch)
            refuse(array->GetName(), "time unit \"" + unit + "\" is not understood");
        for (double& v : values)
            v = epoch->unix_seconds() + v * seconds;
        return values;
    }

    /// "2026-07-15 00:00:00", "2026-07-15T00:00:00Z", "2026-07-15", "2026-07-15 00:00:0.0": UTC.
    static std::optional<Instant> epoch_of(const std::string& text) {
        int year = 0, month = 0, day = 0, hour = 0, minute = 0, used = 0;
        double second = 0.0;
        const int got = std::sscanf(text.c_str(), "%d-%d-%d%*1[ T]%n", &year, &month, &day, &used);
        if (got < 3)
            return std::nullopt;
        std::string rest;
        if (used > 0) {
            char tail[16] = "";
            const int clock =
                std::sscanf(text.c_str() + used, "%d:%d:%lf%15s", &hour, &minute, &second, tail);
            rest = tail;
            if (clock < 2 || !(rest.empty() || rest == "Z" || rest == "UTC" || rest == "+00:00"))
                return std::nullopt;
        }
        try {
            return start_of({year, static_cast<unsigned>(month), static_cast<unsigned>(day)}) +
                   hour * 3600.0 + minute * 60.0 + second;
        } catch (const std::invalid_argument&) {
            return std::nullopt;
        }
    }

    VectorGrid joined() const {
        VectorGrid grid;
        grid.source = path_.filename().string();
        const Layer& first = steps_[0].begin()->second;
        regular(first.lons, "longitude");
        regular(first.lats, "latitude");
        grid.west_deg = first.lons.front();
        grid.south_deg = first.lats.front();
        grid.step_lon_deg = first.lons[1] - first.lons[0];
        grid.step_lat_deg = first.lats[1] - first.lats[0];
        grid.columns = first.lons.size();
        grid.rows = first.lats.size();
        for (const auto& [time, east] : steps_[0]) {
            const auto north = steps_[1].find(time);
            if (north == steps_[1].end() || steps_[0].size() != steps_[1].size())
                refuse("", "the components hold for different times");
            for (const Layer* layer : {&east, &north->second})
                if (layer->lons != first.lons || layer->lats != first.lats)
                    refuse("", "the components lie on different grids");
            grid.times.push_back(Instant::from_unix_seconds(time));
            grid.east.insert(grid.east.end(), east.values.begin(), east.values.end());
            grid.north.insert(grid.north.end(), north->second.values.begin(), north->second.values.end());
        }
        return grid;
    }

    void regular(const std::vector<double>& axis, const char* name) const {
        if (axis.size() < 2)
            refuse(name, "has a single value");
        const double step = (axis.back() - axis.front()) / static_cast<double>(axis.size() - 1);
        for (std::size_t i = 0; i < axis.size(); ++i)
            if (!(step > 0.0) ||
                std::abs(axis[i] - axis.front() - step * static_cast<double>(i)) > 0.01 * step)
                refuse(name, "is not evenly spaced and ascending");
    }

    std::filesystem::path path_;
    const Names& names_;
    GridQuantity quantity_;
    std::array<Steps, 2> steps_;
};

} // namespace

VectorGrid read_vector_grid(const std::filesystem::path& path, GridQuantity quantity) {
    return Reader(path, quantity).run();
}

} // namespace dangerline::files
