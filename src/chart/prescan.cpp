#include "dangerline/chart/prescan.hpp"

#include "prescan_file.hpp"
#include "prescan_state.hpp"

#include <algorithm>
#include <charconv>
#include <cstdio>
#include <numeric>

namespace dangerline::chart {

namespace {

using namespace detail;

std::uint64_t stated_features(const CellHeader& h) {
    return std::uint64_t{h.nomr} + h.nocr + h.nogr + h.nolr;
}

/// Compares the records met with those stated; returns the faults as sentences.
std::vector<ReplayFault> compare_counts(const CellHeader& h, const RecordCounts& met) {
    std::vector<ReplayFault> faults;
    const auto compare = [&](const char* what, std::uint64_t stated, std::uint64_t found) {
        if (found != stated)
            faults.push_back({found < stated ? CellFaultKind::fewer_records : CellFaultKind::more_records,
                              std::to_string(found) + " records of " + what + ", " + std::to_string(stated) +
                                  " stated in DSSI"});
    };
    compare("features", stated_features(h), met.features);
    compare("isolated nodes", h.noin, met.isolated);
    compare("connected nodes", h.nocn, met.connected);
    compare("edges", h.noed, met.edges);
    compare("faces", h.nofa, met.faces);
    return faults;
}

/// One pass over a base and its updates.
class Scan {
  public:
    Scan(const std::string& base_name, const std::vector<UpdateFile>& updates)
        : base_name_(base_name), given_(updates) {}

    Prescan run(std::string_view base) {
        try {
            read_base(base);
        } catch (const RecordFault& fault) {
            // Changes of an update lack fields that a base must have.
            const bool update = result_.header.expp == 2;
            add(update ? CellFaultKind::not_a_base : CellFaultKind::broken_record, Gravity::refuses,
                update ? "this is an update, not a base cell" : fault.what(), base_name_);
        }
        result_.last_update = whole_number(result_.header.updn).value_or(0);
        result_.last_issue = result_.header.isdt;
        if (result_.readable())
            replay_updates();
        else
            refuse_updates();
        note_dangling();
        result_.features = state_.summaries();
        return std::move(result_);
    }

  private:
    const std::string& base_name_;
    const std::vector<UpdateFile>& given_;
    Prescan result_;
    CellState state_;

    void add(CellFaultKind kind, Gravity gravity, const std::string& text, const std::string& file) {
        result_.faults.push_back({kind, gravity, text, file});
    }

    void read_base(std::string_view bytes) {
        RecordReader reader(bytes);
        if (const auto fault = inspect_start(bytes, reader)) {
            add(fault->kind, Gravity::refuses, fault->text, base_name_);
            return;
        }
        CellHeader& header = result_.header;
        bool identified = false, structured = false, parameters = false;
        RecordCounts counts;
        std::vector<ReplayFault> faults;
        Record record;
        while (reader.next(record)) {
            if (record.kind != 'D')
                throw RecordFault(record.offset, "a second describing record");
            if (!identified && read_identification(record, header, structured)) {
                identified = true;
                state_.wide_national = header.nall == 2;
                reserve(header, bytes.size());
            }
            parameters = read_parameters(record, header) || parameters;
            state_.take(record, false, counts, faults);
        }
        state_.keep();
        if (!identified || !structured)
            add(CellFaultKind::missing_identification, Gravity::refuses,
                identified ? "the cell has no DSSI" : "the cell has no DSID", base_name_);
        if (!parameters)
            add(header.expp == 2 ? CellFaultKind::not_a_base : CellFaultKind::missing_parameters,
                Gravity::refuses,
                header.expp == 2 ? "this is an update, not a base cell" : "the cell has no DSPM", base_name_);
        for (const ReplayFault& fault : faults)
            add(fault.kind, Gravity::untrusted, fault.text, base_name_);
        if (identified && structured)
            for (const ReplayFault& fault : compare_counts(header, counts))
                add(fault.kind,
                    fault.kind == CellFaultKind::fewer_records ? Gravity::untrusted : Gravity::warning,
                    fault.text, base_name_);
        check_header(parameters);
    }

    /// Room for what DSSI states, but no more than the file can hold (a record takes at least 40 bytes).
    void reserve(const CellHeader& header, std::size_t size) {
        const auto at_most = [&](std::uint64_t count) {
            return static_cast<std::size_t>(std::min<std::uint64_t>(count, size / 40));
        };
        state_.vectors.reserve(at_most(std::uint64_t{header.noin} + header.nocn + header.noed));
        state_.features.reserve(at_most(stated_features(header)));
    }

    void check_header(bool parameters) {
        const CellHeader& h = result_.header;
        const auto refuse = [&](bool wrong, CellFaultKind kind, const char* name, std::uint64_t value,
                                const char* expected) {
            if (wrong)
                add(kind, Gravity::refuses,
                    std::string(name) + " is " + std::to_string(value) + ", expected " + expected,
                    base_name_);
        };
        if (parameters) {
            refuse(h.comf != 10'000'000, CellFaultKind::coordinate_factor, "COMF", h.comf, "10000000");
            refuse(h.somf != 10, CellFaultKind::sounding_factor, "SOMF", h.somf, "10");
            refuse(h.hdat != 2, CellFaultKind::horizontal_datum, "HDAT", static_cast<unsigned>(h.hdat),
                   "2 (WGS 84)");
            refuse(h.coun != 1, CellFaultKind::coordinate_unit, "COUN", static_cast<unsigned>(h.coun),
                   "1 (latitude and longitude)");
            refuse(h.duni != 1 && h.duni != 3, CellFaultKind::depth_unit, "DUNI",
                   static_cast<unsigned>(h.duni), "1 (metres) or 3 (feet)");
        }
        if (h.dsnm.empty() || stem(h.dsnm) != stem(base_name_))
            add(CellFaultKind::name_differs, Gravity::warning, "the cell calls itself " + h.dsnm, base_name_);
        if (whole_number(h.edtn) == 0) {
            result_.cancelled = true;
            add(CellFaultKind::cancelled, Gravity::untrusted, "edition 0: the cell is withdrawn", base_name_);
        }
        if (!whole_number(h.updn))
            add(CellFaultKind::update_number, Gravity::untrusted,
                "the last update contained in the base is \"" + h.updn + "\", not a number", base_name_);
    }

    void refuse_updates() {
        for (const UpdateFile& file : given_)
            result_.updates.push_back({file.name, file.number, "", "", "", false, "the base can't be read"});
    }

    void replay_updates() {
        std::vector<std::size_t> order(given_.size());
        std::iota(order.begin(), order.end(), std::size_t{0});
        std::stable_sort(order.begin(), order.end(),
                         [&](std::size_t a, std::size_t b) { return given_[a].number < given_[b].number; });
        result_.updates.resize(given_.size());
        const int contained = result_.last_update;
        std::string stopped;
        for (std::size_t i = 0; i < order.size(); ++i) {
            const UpdateFile& file = given_[order[i]];
            UpdateOutcome& outcome = result_.updates[order[i]];
            outcome.name = file.name;
            outcome.number = file.number;
            if (file.number <= contained) {
                outcome.reason = "contained in the base, which states update " + std::to_string(contained);
                add(CellFaultKind::update_old, Gravity::warning, outcome.reason, file.name);
                continue;
            }
            if (!stopped.empty()) {
                outcome.reason = "follows " + stopped + ", which can't be applied";
                continue;
            }
            const bool repeats = i > 0 && given_[order[i - 1]].number == file.number;
            if (repeats && given_[order[i - 1]].bytes == file.bytes) {
                outcome.reason = "the same file as " + given_[order[i - 1]].name;
                add(CellFaultKind::update_repeated, Gravity::warning, outcome.reason, file.name);
                continue;
            }
            if (!replay_one(file, outcome, repeats))
                stopped = file.name;
            else
                result_.usable.push_back(order[i]);
        }
        if (contained > 0 && !result_.usable.empty())
            add(CellFaultKind::reissued, Gravity::warning,
                "the base is a re-issue with updates up to " + std::to_string(contained) + "; " +
                    std::to_string(result_.usable.size()) + " later ones follow",
                base_name_);
    }

    /// Applies one update or takes it back whole. False where it can't be applied.
    bool replay_one(const UpdateFile& file, UpdateOutcome& outcome, bool repeats) {
        const auto stop = [&](CellFaultKind kind, const std::string& text) {
            state_.take_back();
            outcome.reason = text;
            add(kind, Gravity::stops_updates, text, file.name);
            return false;
        };
        if (repeats)
            return stop(CellFaultKind::update_repeated,
                        "update " + std::to_string(file.number) + " is there twice with different content");
        if (file.number != result_.last_update + 1)
            return stop(CellFaultKind::update_gap,
                        "update " + std::to_string(result_.last_update + 1) + " is missing before this one");
        std::vector<ReplayFault> notes;
        try {
            if (const auto fault = read_update(file, outcome, notes))
                return stop(fault->kind, fault->text);
        } catch (const RecordFault& fault) {
            return stop(CellFaultKind::broken_record, fault.what());
        } catch (const ReplayFault& fault) {
            return stop(fault.kind, fault.text);
        }
        state_.keep();
        for (const ReplayFault& note : notes)
            add(note.kind, note.kind == CellFaultKind::more_records ? Gravity::warning : Gravity::untrusted,
                note.text, file.name);
        outcome.usable = true;
        result_.last_update = file.number;
        result_.last_issue = outcome.isdt;
        return true;
    }

    std::optional<ReplayFault> read_update(const UpdateFile& file, UpdateOutcome& outcome,
                                           std::vector<ReplayFault>& notes) {
        RecordReader reader(file.bytes);
        if (const auto fault = inspect_start(file.bytes, reader))
            return ReplayFault{fault->kind, fault->text};
        CellHeader header;
        bool identified = false, structured = false;
        RecordCounts counts;
        Record record;
        while (reader.next(record)) {
            if (record.kind != 'D')
                throw RecordFault(record.offset, "a second describing record");
            CellHeader parameters;
            if (read_parameters(record, parameters))
                return ReplayFault{CellFaultKind::not_an_update,
                                   "holds dataset parameters: a base, not an update"};
            if (!identified) {
                if (!read_identification(record, header, structured))
                    return ReplayFault{CellFaultKind::missing_identification, "does not begin with DSID"};
                identified = true;
                outcome.edtn = header.edtn;
                outcome.updn = header.updn;
                outcome.isdt = header.isdt;
                if (auto fault = check_identification(header, file))
                    return fault;
            }
            state_.take(record, true, counts, notes);
        }
        if (!identified)
            return ReplayFault{CellFaultKind::missing_identification, "has no DSID"};
        if (!structured)
            return ReplayFault{CellFaultKind::missing_identification, "has no DSSI"};
        for (const ReplayFault& fault : compare_counts(header, counts)) {
            if (fault.kind == CellFaultKind::fewer_records)
                return fault;
            notes.push_back(fault);
        }
        return std::nullopt;
    }

    std::optional<ReplayFault> check_identification(const CellHeader& header, const UpdateFile& file) {
        if (header.expp == 1 && whole_number(header.updn) == 0)
            return ReplayFault{CellFaultKind::not_an_update, "is a base, not an update"};
        if (stem(header.dsnm) != stem(result_.header.dsnm))
            return ReplayFault{CellFaultKind::name_differs, "is an update of " + header.dsnm};
        if (whole_number(header.edtn) == 0) {
            result_.cancelled = true;
            return ReplayFault{CellFaultKind::cancelled, "withdraws the cell (edition 0)"};
        }
        if (whole_number(header.edtn) != whole_number(result_.header.edtn))
            return ReplayFault{CellFaultKind::update_edition, "belongs to edition " + header.edtn +
                                                                  ", the base is edition " +
                                                                  result_.header.edtn};
        if (whole_number(header.updn) != file.number)
            return ReplayFault{CellFaultKind::update_number,
                               "holds update " + header.updn + ", not " + std::to_string(file.number)};
        return std::nullopt;
    }

    void note_dangling() {
        std::string example;
        if (!result_.readable())
            return;
        if (const std::size_t count = state_.dangling_pointers(example); count > 0)
            add(CellFaultKind::dangling_pointer, Gravity::untrusted,
                std::to_string(count) + " pointers lead to records that are not there, the first to " +
                    example,
                base_name_);
    }
};

} // namespace

Prescan prescan(const std::string& base_name, std::string_view base, const std::vector<UpdateFile>& updates) {
    return Scan(base_name, updates).run(base);
}

bool Prescan::readable() const {
    return std::none_of(faults.begin(), faults.end(),
                        [](const CellFault& fault) { return fault.gravity == Gravity::refuses; });
}

bool Prescan::has(CellFaultKind kind) const {
    return std::any_of(faults.begin(), faults.end(),
                       [&](const CellFault& fault) { return fault.kind == kind; });
}

const FeatureSummary* Prescan::find(const LongName& name) const {
    const auto it = std::lower_bound(features.begin(), features.end(), name,
                                     [](const FeatureSummary& a, const LongName& b) { return a.name < b; });
    return it == features.end() || it->name != name ? nullptr : &*it;
}

Presence FeatureSummary::presence(std::uint16_t code) const {
    for (const AttributeState& state : attributes)
        if (state.code == code && !state.national)
            return state.valued ? Presence::valued : Presence::empty;
    return Presence::absent;
}

int quapos_rank(int quapos) {
    switch (quapos) {
    case 0:
    case 1:
    case 10:
    case 11:
        return 0;
    case 4:
    case 9:
        return 1;
    default:
        return 2;
    }
}

std::string to_text(const LongName& name) {
    char text[17];
    std::snprintf(text, sizeof text, "%04X%08X%04X", unsigned{name.agen}, unsigned{name.fidn},
                  unsigned{name.fids});
    return text;
}

std::optional<LongName> parse_long_name(std::string_view text) {
    std::uint64_t value = 0;
    const auto [end, error] = std::from_chars(text.data(), text.data() + text.size(), value, 16);
    if (text.size() != 16 || error != std::errc() || end != text.data() + text.size())
        return std::nullopt;
    return LongName{static_cast<std::uint16_t>(value >> 48), static_cast<std::uint32_t>(value >> 16),
                    static_cast<std::uint16_t>(value)};
}

} // namespace dangerline::chart
