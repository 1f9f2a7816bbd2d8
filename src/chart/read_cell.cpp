// Reading through GDAL. The files go through memory: only what the pre-scan found fit is shown to GDAL, under
// names it looks for, so that letter case, ../1/ folders and re-issued cells make no difference.
#include "dangerline/chart/cell.hpp"

#include "dangerline/base/error.hpp"
#include "dangerline/chart/prescan.hpp"
#include "dangerline/files/gdal_quiet.hpp"
#include "dangerline/files/packed.hpp"

#include "chart/gdal_features.hpp"

#include <atomic>

#include <cpl_string.h>
#include <cpl_vsi.h>
#include <fmt/format.h>
#include <gdal.h>
#include <ogr_api.h>

namespace dangerline::chart {

namespace {

/// Files in GDAL's memory file system, gone with the object. The bytes stay the caller's.
class MemoryFolder {
  public:
    MemoryFolder() {
        static std::atomic<unsigned> count{0};
        folder_ = fmt::format("/vsimem/dangerline-{}", count++);
    }
    ~MemoryFolder() {
        for (const auto& name : names_)
            VSIUnlink(name.c_str());
    }
    MemoryFolder(const MemoryFolder&) = delete;
    MemoryFolder& operator=(const MemoryFolder&) = delete;
    std::string add(const std::string& name, std::string& bytes) {
        const std::string path = folder_ + "/" + name;
        VSIFCloseL(
            VSIFileFromMemBuffer(path.c_str(), reinterpret_cast<GByte*>(bytes.data()), bytes.size(), FALSE));
        names_.push_back(path);
        return path;
    }

  private:
    std::string folder_;
    std::vector<std::string> names_;
};

struct DatasetCloser {
    void operator()(void* dataset) const { GDALClose(dataset); }
};
using Dataset = std::unique_ptr<void, DatasetCloser>;

Dataset open(const std::string& path) {
    const char* const drivers[] = {"S57", nullptr};
    // Said in full, since the environment variable OGR_S57_OPTIONS could change the defaults: an empty depth
    // must stay unset, and never become 2147483641.
    const char* const options[] = {"UPDATES=APPLY",         "SPLIT_MULTIPOINT=OFF",
                                   "ADD_SOUNDG_DEPTH=OFF",  "PRESERVE_EMPTY_NUMBERS=OFF",
                                   "RETURN_PRIMITIVES=OFF", "RETURN_LINKAGES=OFF",
                                   "RECODE_BY_DSSI=ON",     "LIST_AS_STRING=ON",
                                   "LNAM_REFS=ON",          nullptr};
    return Dataset(GDALOpenEx(path.c_str(), GDAL_OF_VECTOR | GDAL_OF_READONLY, drivers, options, nullptr));
}

std::string layer_text(OGRLayerH layer, const char* field) {
    if (!layer)
        return {};
    OGR_L_ResetReading(layer);
    OGRFeatureH feature = OGR_L_GetNextFeature(layer);
    if (!feature)
        return {};
    const int index = OGR_F_GetFieldIndex(feature, field);
    std::string text = index >= 0 ? OGR_F_GetFieldAsString(feature, index) : "";
    OGR_F_Destroy(feature);
    return text;
}

[[noreturn]] void refuse(const std::string& file, const std::string& what, const std::string& remedy) {
    throw Failure(Fault::data, {.file = file, .what = what, .remedy = remedy});
}

/// Turns the pre-scan's faults into a refusal, distrust or a message.
void take_faults(const Prescan& scan, Cell& cell, Diagnostics& diagnostics) {
    for (const auto& fault : scan.faults)
        if (fault.gravity == Gravity::refuses)
            refuse(cell.file, fault.text,
                   fault.kind == CellFaultKind::s101 ? "get the S-57 edition of this chart"
                                                     : "get the cell again from its producer");
    for (const auto& fault : scan.faults) {
        const std::string file = fault.file.empty() ? cell.file : fault.file;
        const bool distrust = fault.gravity == Gravity::stops_updates || fault.gravity == Gravity::untrusted;
        diagnostics.push_back({distrust ? Severity::broken : Severity::warning, file, "", fault.text});
        if (distrust)
            cell.distrust.push_back(fault.text);
    }
}

void distrust(Cell& cell, Diagnostics& diagnostics, const std::string& why) {
    diagnostics.push_back({Severity::broken, cell.file, "", why});
    cell.distrust.push_back(why);
}

void check_opened(void* dataset, const std::string& expected_update, const Cell& cell) {
    if (!GDALDatasetGetLayerByName(dataset, "DEPARE") && !GDALDatasetGetLayerByName(dataset, "M_COVR") &&
        GDALDatasetGetLayerCount(dataset) > 0 && !GDALDatasetGetLayerByName(dataset, "DSID"))
        refuse(cell.file, "GDAL finds no class tables (s57objectclasses.csv), so no object has attributes",
               "install GDAL's data files or set GDAL_DATA to their folder");
    if (GDALDatasetGetLayerByName(dataset, "Area") && GDALDatasetGetLayerByName(dataset, "Point"))
        refuse(cell.file, "GDAL finds no class tables (s57objectclasses.csv), so no object has attributes",
               "install GDAL's data files or set GDAL_DATA to their folder");
    const std::string applied = layer_text(GDALDatasetGetLayerByName(dataset, "DSID"), "DSID_UPDN");
    if (applied != expected_update)
        refuse(cell.file,
               fmt::format("update {} should have been applied, GDAL stopped at {}", expected_update,
                           applied.empty() ? "none" : applied),
               "get the cell and its updates again from their producer");
}

} // namespace

Cell read_cell(const CellFiles& files, Diagnostics& diagnostics, const Laying* laying) {
    files::register_drivers();
    Cell cell;
    cell.file = files.base.string();
    cell.updates_on_disk = files.updates.size();
    std::string base = files::read_bytes(files.base);
    std::vector<std::string> bytes;
    std::vector<UpdateFile> updates;
    bytes.reserve(files.updates.size());
    for (const auto& [number, path] : files.updates) {
        bytes.push_back(files::read_bytes(path));
        updates.push_back({path.string(), number, bytes.back()});
    }
    const Prescan scan = prescan(files.base.filename().string(), base, updates);
    take_faults(scan, cell, diagnostics);
    cell.header = scan.header;
    cell.name = files.base.stem().string();
    cell.edition = std::atoi(scan.header.edtn.c_str());
    cell.update = scan.last_update;
    cell.issued = scan.last_issue;
    cell.withdrawn = scan.cancelled;

    MemoryFolder memory;
    const std::string path = memory.add(cell.name + ".000", base);
    int number = 0;
    for (const std::size_t i : scan.usable)
        memory.add(fmt::format("{}.{:03}", cell.name, ++number), bytes[i]);
    files::GdalMessages messages;
    const Dataset dataset = open(path);
    if (!dataset)
        refuse(cell.file, "GDAL can't open it: " + messages.text(), "get the cell again from its producer");
    const std::string expected = scan.usable.empty()                      ? scan.header.updn
                                 : updates[scan.usable.back()].number > 0 ? std::to_string(scan.last_update)
                                                                          : scan.header.updn;
    check_opened(dataset.get(), expected, cell);
    const auto objects = read_features(dataset.get(), scan, cell, diagnostics, laying);
    if (objects.given < objects.recorded)
        distrust(cell, diagnostics,
                 fmt::format("GDAL gives {} of the {} objects in the file's records", objects.given,
                             objects.recorded));
    for (const auto& message : messages.messages()) {
        if (message.failure || message.text.find("An update to RCNM") != std::string::npos)
            distrust(cell, diagnostics, "GDAL: " + message.text);
        else
            diagnostics.push_back({Severity::warning, cell.file, "", "GDAL: " + message.text});
    }
    return cell;
}

std::optional<long> days_since_update(const Cell& cell, const CalendarDay& day) {
    const std::string& d = cell.issued;
    if (d.size() != 8)
        return std::nullopt;
    const auto issued = parse_day(d.substr(0, 4) + "-" + d.substr(4, 2) + "-" + d.substr(6, 2));
    return issued ? std::optional<long>(days_between(*issued, day)) : std::nullopt;
}

} // namespace dangerline::chart
