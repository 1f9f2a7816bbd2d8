// Record identities of a cell while updates are replayed over them.
#pragma once

#include "dangerline/chart/prescan.hpp"
#include "dangerline/chart/record.hpp"

#include <cstdint>
#include <string>
#include <unordered_map>
#include <vector>

namespace dangerline::chart::detail {

/// An update can't be applied, or a base holds what it must not.
struct ReplayFault {
    CellFaultKind kind{};
    std::string text;
};

struct VectorState {
    bool alive = true;
    std::uint16_t rver = 0;
    std::size_t coordinates = 0;           // points of SG2D or SG3D
    std::vector<std::uint64_t> pointers{}; // VRPT
    int quapos = 0;
    std::optional<double> posacc{};
};

struct FeatureState {
    bool alive = true;
    std::uint16_t rver = 0;
    std::size_t references = 0;            // FFPT
    std::vector<std::uint64_t> pointers{}; // FSPT
    FeatureSummary summary{};
};

/// Records by identity, with a journal so that an update that fails half way can be taken back.
template <class State>
class Store {
  public:
    State* find(std::uint64_t key) {
        const auto it = index_.find(key);
        return it == index_.end() || !states_[it->second].alive ? nullptr : &states_[it->second];
    }
    const State* find(std::uint64_t key) const { return const_cast<Store*>(this)->find(key); }

    /// The state of a living record about to be changed.
    State& change(std::uint64_t key) {
        const std::size_t at = index_.at(key);
        journal_.emplace_back(at, states_[at]);
        return states_[at];
    }
    void insert(std::uint64_t key, State state) {
        const auto [it, fresh] = index_.try_emplace(key, states_.size());
        if (fresh) {
            states_.push_back(std::move(state));
        } else {
            journal_.emplace_back(it->second, states_[it->second]);
            states_[it->second] = std::move(state);
        }
    }
    void keep() {
        journal_.clear();
        kept_ = states_.size();
    }
    void take_back() {
        for (; !journal_.empty(); journal_.pop_back())
            states_[journal_.back().first] = std::move(journal_.back().second);
        for (std::size_t at = kept_; at < states_.size(); ++at)
            states_[at] = State{.alive = false};
    }
    void reserve(std::size_t count) {
        index_.reserve(count);
        states_.reserve(count);
    }
    const std::vector<State>& states() const { return states_; }

  private:
    std::vector<State> states_;
    std::unordered_map<std::uint64_t, std::size_t> index_;
    std::vector<std::pair<std::size_t, State>> journal_;
    std::size_t kept_ = 0; ///< states there were before
};

/// Records of each kind met in one file, for the comparison with DSSI.
struct RecordCounts {
    std::uint32_t isolated = 0, connected = 0, edges = 0, faces = 0, features = 0;
};

class CellState {
  public:
    /// Number of bytes of one character of national attribute text: lexical level 2 is UCS-2.
    bool wide_national = false;
    Store<VectorState> vectors;
    Store<FeatureState> features;

    /// Takes a VRID or FRID record; others are passed over. In a base a repeated identity is put into
    /// `faults` and the first stays. In an update the first thing that can't be applied is thrown as
    /// ReplayFault; `faults` takes what is only not applied by GDAL. Throws RecordFault for broken fields.
    void take(const Record& record, bool update, RecordCounts& counts, std::vector<ReplayFault>& faults);

    void keep();
    void take_back();

    /// Pointers of living records to records that are not there.
    std::size_t dangling_pointers(std::string& example) const;
    /// Living features with the quality of their geometry records, sorted by name.
    std::vector<FeatureSummary> summaries() const;

  private:
    void take_vector(const Record& record, bool update, RecordCounts& counts,
                     std::vector<ReplayFault>& faults);
    void take_feature(const Record& record, bool update, RecordCounts& counts,
                      std::vector<ReplayFault>& faults);
    void modify_vector(std::uint64_t key, const Record& record, std::vector<ReplayFault>& faults);
    void modify_feature(std::uint64_t key, const Record& record);
};

/// "VRID record 130/1234" for messages.
std::string record_text(std::uint64_t key);

} // namespace dangerline::chart::detail
