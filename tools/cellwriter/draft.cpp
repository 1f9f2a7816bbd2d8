#include "cellwriter/fields.hpp"
#include "cellwriter/topology.hpp"

#include <algorithm>
#include <map>

namespace cellwriter {

namespace {

constexpr int isolated_node = 110;
constexpr int connected_node = 120;
constexpr int edge_name = 130;

/// Areas of group 1 together cover the cell once: S-57 appendix B.1 (ENC product specification), 3.10.
bool is_skin(const std::string& object_class, int prim) {
    static const std::vector<std::string> skin = {"DEPARE", "DRGARE", "LNDARE", "UNSARE",
                                                  "HULKES", "PONTON", "FLODOC"};
    return prim == 3 && std::find(skin.begin(), skin.end(), object_class) != skin.end();
}

/// Highest numbers already in use.
struct Numbers {
    std::map<int, std::uint32_t> vectors;
    std::uint32_t feature = 0, fidn = 0;

    explicit Numbers(const Cell* cell) {
        if (!cell)
            return;
        for (const VectorRecord& record : cell->vectors)
            vectors[record.rcnm] = std::max(vectors[record.rcnm], record.rcid);
        for (const FeatureRecord& record : cell->features) {
            feature = std::max(feature, record.rcid);
            fidn = std::max(fidn, record.fidn);
        }
    }
};

std::vector<std::vector<std::size_t>> add_chains(const std::deque<DraftFeature>& features,
                                                 Topology& topology) {
    std::vector<std::vector<std::size_t>> chains;
    for (const DraftFeature& feature : features) {
        std::vector<std::size_t>& own = chains.emplace_back();
        for (std::size_t i = 0; i < feature.parts.size(); ++i) {
            if (feature.prim == 2)
                own.push_back(topology.add(feature.parts[i], false, feature.quality));
            else if (feature.prim == 3)
                own.push_back(topology.add(turned(feature.parts[i], i == 0), true, feature.quality));
        }
    }
    return chains;
}

VectorRecord node_record(int rcnm, std::uint32_t rcid, const Place& place) {
    VectorRecord record;
    record.rcnm = rcnm;
    record.rcid = rcid;
    record.vertices.push_back(place);
    return record;
}

/// Connected nodes and edges; `first_edge` gets the number before that of the first edge.
void write_topology(const Topology& topology, Numbers& numbers, Cell& cell, std::uint32_t& first_edge) {
    std::map<GridPoint, std::uint32_t> node_ids;
    for (const GridPoint& point : topology.nodes()) {
        const std::uint32_t id = ++numbers.vectors[connected_node];
        node_ids[point] = id;
        cell.vectors.push_back(node_record(connected_node, id, to_place(point)));
    }
    first_edge = numbers.vectors[edge_name];
    for (const Topology::Edge& edge : topology.edges()) {
        VectorRecord record;
        record.rcnm = edge_name;
        record.rcid = ++numbers.vectors[edge_name];
        record.quality = edge.quality;
        record.nodes.push_back({.rcnm = connected_node, .rcid = node_ids.at(edge.points.front()), .topi = 1});
        record.nodes.push_back({.rcnm = connected_node, .rcid = node_ids.at(edge.points.back()), .topi = 2});
        for (std::size_t i = 1; i + 1 < edge.points.size(); ++i)
            record.vertices.push_back(to_place(edge.points[i]));
        cell.vectors.push_back(std::move(record));
    }
}

} // namespace

DraftFeature& CellDraft::add_point(const std::string& object_class, Place place, Attributes attributes) {
    return features.emplace_back(
        DraftFeature{object_class, 1, {Ring(1, place)}, {}, std::move(attributes), {}, 0, 1});
}

DraftFeature& CellDraft::add_line(const std::string& object_class, Ring line, Attributes attributes) {
    return features.emplace_back(
        DraftFeature{object_class, 2, {std::move(line)}, {}, std::move(attributes), {}, 0, 1});
}

DraftFeature& CellDraft::add_area(const std::string& object_class, std::vector<Ring> rings,
                                  Attributes attributes) {
    return features.emplace_back(
        DraftFeature{object_class, 3, std::move(rings), {}, std::move(attributes), {}, 0, 1});
}

DraftFeature& CellDraft::add_soundings(std::vector<Sounding> soundings, Attributes attributes) {
    return features.emplace_back(
        DraftFeature{"SOUNDG", 1, {}, std::move(soundings), std::move(attributes), {}, 0, 1});
}

DraftFeature& CellDraft::add_bare(const std::string& object_class, Attributes attributes) {
    return features.emplace_back(DraftFeature{object_class, 255, {}, {}, std::move(attributes), {}, 0, 1});
}

Cell CellDraft::compile(const Cell* after) const {
    Cell cell;
    cell.header = header;
    Numbers numbers(after);
    Topology topology;
    const auto chains = add_chains(features, topology);
    topology.build();
    std::uint32_t first_edge = 0;
    write_topology(topology, numbers, cell, first_edge);
    for (std::size_t i = 0; i < features.size(); ++i) {
        const DraftFeature& draft = features[i];
        FeatureRecord record;
        record.rcid = ++numbers.feature;
        record.prim = draft.prim;
        record.grup = is_skin(draft.object_class, draft.prim) ? 1 : 2;
        record.objl = class_code(draft.object_class);
        record.agen = header.agen;
        record.fidn = draft.fidn != 0 ? draft.fidn : ++numbers.fidn;
        record.fids = draft.fids;
        record.attributes = draft.attributes;
        numbers.fidn = std::max(numbers.fidn, record.fidn);
        if (draft.prim == 1) {
            const std::uint32_t id = ++numbers.vectors[isolated_node];
            VectorRecord& node = cell.vectors.emplace_back();
            node.rcid = id;
            node.quality = draft.quality;
            node.soundings = draft.soundings;
            if (!draft.parts.empty())
                node.vertices = draft.parts[0];
            record.geometry.push_back({.rcnm = isolated_node, .rcid = id});
        }
        for (std::size_t k = 0; k < chains[i].size(); ++k)
            for (const EdgeUse& use : topology.path(chains[i][k]))
                record.geometry.push_back({.rcnm = edge_name,
                                           .rcid = first_edge + 1 + static_cast<std::uint32_t>(use.edge),
                                           .ornt = use.forward ? 1 : 2,
                                           .usag = draft.prim == 2 ? 255
                                                   : k == 0        ? 1
                                                                   : 2});
        cell.features.push_back(std::move(record));
    }
    std::stable_sort(cell.vectors.begin(), cell.vectors.end(),
                     [](const VectorRecord& a, const VectorRecord& b) { return a.rcnm < b.rcnm; });
    return cell;
}

std::string Cell::bytes() const {
    std::vector<Fields> records;
    for (const VectorRecord& record : vectors)
        records.push_back(vector_fields(record, header));
    for (const FeatureRecord& record : features)
        records.push_back(feature_fields(record, header));
    const std::vector<Fields> head = {identification_fields(header, records, true), parameter_fields(header)};
    records.insert(records.begin(), head.begin(), head.end());
    return file_bytes(records);
}

} // namespace cellwriter
