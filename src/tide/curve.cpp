#include "dangerline/tide/curve.hpp"

#include <cmath>
#include <stdexcept>
#include <utility>

#include "tide/cubic.hpp"

namespace dangerline::tide {

namespace {

/// Times closer than this are the same; a double holds today's seconds to 2.4e-7.
constexpr double same_time_s = 1e-6;
/// Height changes below this are level.
constexpr double level_m = 1e-12;
/// A turn that only the jump at New Year makes stands this close to the true one.
constexpr double jump_turn_s = 1800.0;

constexpr double infinity = std::numeric_limits<double>::infinity();

/// The part [ua, ub] of one cubic, which starts at t0.
struct Part {
    std::size_t piece, number;
    Instant t0;
    double step_s;
    double ua, ub;
    Instant at(double u) const { return t0 + u * step_s; }
};

Cubic cubic_of(const Piece& piece, std::size_t i) {
    return {piece.height_m[i], piece.height_m[i + 1], piece.rate_mps[i] * piece.step_s,
            piece.rate_mps[i + 1] * piece.step_s};
}

std::size_t node_before(const Piece& piece, Instant t) {
    const double i = std::floor((t - piece.start) / piece.step_s);
    return static_cast<std::size_t>(std::clamp(i, 0.0, static_cast<double>(piece.height_m.size() - 2)));
}

/// First piece that ends at or after t.
std::size_t piece_from(const std::vector<Piece>& pieces, Instant t) {
    const auto at = std::partition_point(pieces.begin(), pieces.end(),
                                         [&](const Piece& p) { return t - p.end() > same_time_s; });
    return static_cast<std::size_t>(at - pieces.begin());
}

/// Bounds of the cubics of one piece, and of blocks of them: what lies wholly on one side of a level is most
/// of it.
struct Bounds {
    static constexpr std::size_t block = 8;
    std::vector<double> floor_m, ceiling_m;
    std::vector<double> block_floor_m, block_ceiling_m;
};

std::vector<Bounds> bounds_of(const std::vector<Piece>& pieces) {
    std::vector<Bounds> out(pieces.size());
    for (std::size_t k = 0; k < pieces.size(); ++k) {
        const std::size_t count = pieces[k].height_m.size() - 1;
        out[k].floor_m.resize(count);
        out[k].ceiling_m.resize(count);
        for (std::size_t i = 0; i < count; ++i) {
            const Cubic cubic = cubic_of(pieces[k], i);
            out[k].floor_m[i] = cubic.floor();
            out[k].ceiling_m[i] = cubic.ceiling();
        }
        for (std::size_t i = 0; i < count; i += Bounds::block) {
            const auto from = static_cast<std::ptrdiff_t>(i),
                       to = static_cast<std::ptrdiff_t>(std::min(count, i + Bounds::block));
            const auto &floor = out[k].floor_m, &ceiling = out[k].ceiling_m;
            out[k].block_floor_m.push_back(*std::min_element(floor.begin() + from, floor.begin() + to));
            out[k].block_ceiling_m.push_back(*std::max_element(ceiling.begin() + from, ceiling.begin() + to));
        }
    }
    return out;
}

/// Calls visit(part) for everything known in [from, to], in order; at a jump for both sides. pass(piece,
/// cubic): how many from this one on need no visit.
template <class Pass, class Visit>
void for_each_part(const std::vector<Piece>& pieces, Instant from, Instant to, Pass pass, Visit visit) {
    for (std::size_t k = piece_from(pieces, from); k < pieces.size(); ++k) {
        const Piece& p = pieces[k];
        if (p.start - to > same_time_s)
            return;
        const std::size_t begin = node_before(p, from);
        for (std::size_t i = begin; i + 1 < p.height_m.size();) {
            const Instant t0 = p.start + p.step_s * static_cast<double>(i);
            if (i > begin && t0 >= to)
                break;
            if (const std::size_t passed = pass(k, i); passed > 0) {
                i += passed;
                continue;
            }
            const double before = from - t0, after = to - t0;
            visit(Part{k, i, t0, p.step_s, before <= 0.0 ? 0.0 : std::clamp(before / p.step_s, 0.0, 1.0),
                       after >= p.step_s ? 1.0 : std::clamp(after / p.step_s, 0.0, 1.0)});
            ++i;
        }
    }
}

void check(const std::vector<Piece>& pieces) {
    const auto finite = [](double x) { return std::isfinite(x); };
    for (std::size_t k = 0; k < pieces.size(); ++k) {
        const Piece& p = pieces[k];
        if (p.height_m.size() < 2 || p.height_m.size() != p.rate_mps.size())
            throw std::invalid_argument("a tide piece needs two nodes or more, each with height and rate");
        if (!(p.step_s > 0.0) || !std::all_of(p.height_m.begin(), p.height_m.end(), finite) ||
            !std::all_of(p.rate_mps.begin(), p.rate_mps.end(), finite))
            throw std::invalid_argument("a tide piece holds a step, height or rate that is no number");
        if (k > 0 && pieces[k - 1].end() - p.start > same_time_s)
            throw std::invalid_argument("tide pieces overlap or are out of order");
    }
}

void join(std::vector<TimeSpan>& spans, Instant from, Instant to) {
    if (!spans.empty() && from - spans.back().to <= same_time_s)
        spans.back().to = std::max(spans.back().to, to);
    else
        spans.push_back({from, to});
}

} // namespace

struct Curve::Data {
    std::optional<double> fixed_m{};
    std::vector<Piece> pieces{};
    std::vector<Bounds> bounds{}; ///< of the pieces
    Instant from = Instant::from_unix_seconds(-infinity);
    Instant to = Instant::from_unix_seconds(infinity);
    std::string note{};

    /// The piece that tells the value at t, the later one where two meet.
    const Piece* piece_at(Instant t) const {
        if (!(t >= from && t <= to))
            return nullptr;
        std::size_t k = piece_from(pieces, t);
        if (k + 1 < pieces.size() && pieces[k + 1].start <= t)
            ++k;
        return k < pieces.size() && pieces[k].start - t <= same_time_s ? &pieces[k] : nullptr;
    }

    bool knows(Instant a, Instant b) const {
        if (!(a <= b) || !(a >= from && b <= to))
            return false;
        Instant known = a;
        for (std::size_t k = piece_from(pieces, a); k < pieces.size(); ++k) {
            if (pieces[k].start - known > same_time_s)
                return false;
            known = pieces[k].end();
            if (b - known <= same_time_s)
                return true;
        }
        return false;
    }

    /// sign +1: highest, -1: lowest.
    std::optional<Extreme> furthest(Instant a, Instant b, double sign) const {
        if (fixed_m)
            return a <= b ? std::optional(Extreme{a, TideHeight::from_metres(*fixed_m)}) : std::nullopt;
        if (!knows(a, b))
            return std::nullopt;
        double best = -infinity;
        Instant at = a;
        const auto no_further = [&](std::size_t k, std::size_t i) -> std::size_t {
            return (sign > 0.0 ? bounds[k].ceiling_m[i] : -bounds[k].floor_m[i]) > best ? 0 : 1;
        };
        for_each_part(pieces, a, b, no_further, [&](const Part& part) {
            const Cubic cubic = cubic_of(pieces[part.piece], part.number);
            const Cuts cuts = monotone_cuts(cubic, part.ua, part.ub);
            for (std::size_t i = 0; i < cuts.count; ++i)
                if (const double v = sign * cubic.value(cuts.u[i]); v > best) {
                    best = v;
                    at = part.at(cuts.u[i]);
                }
        });
        return Extreme{std::clamp(at, a, b), TideHeight::from_metres(sign * best)};
    }
};

Curve::Curve(std::shared_ptr<const Data> data) : data_(std::move(data)) {}

Curve Curve::fixed(TideHeight height, const std::string& note) {
    if (!std::isfinite(height.metres()))
        throw std::invalid_argument("a fixed tide height must be a number");
    return Curve(std::make_shared<const Data>(Data{.fixed_m = height.metres(), .note = note}));
}

Curve Curve::from_pieces(std::vector<Piece> pieces, Instant from, Instant to, const std::string& note) {
    check(pieces);
    if (!(from <= to))
        throw std::invalid_argument("a tide curve ends before it begins");
    auto bounds = bounds_of(pieces);
    return Curve(std::make_shared<const Data>(Data{
        .pieces = std::move(pieces), .bounds = std::move(bounds), .from = from, .to = to, .note = note}));
}

Curve Curve::from_pieces(std::vector<Piece> pieces, const std::string& note) {
    if (pieces.empty())
        throw std::invalid_argument("a tide curve without pieces");
    check(pieces);
    const Instant from = pieces.front().start, to = pieces.back().end();
    return from_pieces(std::move(pieces), from, to, note);
}

bool Curve::is_fixed() const {
    return data_->fixed_m.has_value();
}
const std::string& Curve::note() const {
    return data_->note;
}
Instant Curve::valid_from() const {
    return data_->from;
}
Instant Curve::valid_to() const {
    return data_->to;
}
const std::vector<Piece>& Curve::pieces() const {
    return data_->pieces;
}

std::optional<TideHeight> Curve::height(Instant t) const {
    if (data_->fixed_m)
        return TideHeight::from_metres(*data_->fixed_m);
    const Piece* p = data_->piece_at(t);
    if (!p)
        return std::nullopt;
    const std::size_t i = node_before(*p, t);
    const double u = (t - p->start) / p->step_s - static_cast<double>(i);
    return TideHeight::from_metres(cubic_of(*p, i).value(std::clamp(u, 0.0, 1.0)));
}

std::optional<double> Curve::rate(Instant t) const {
    if (data_->fixed_m)
        return 0.0;
    const Piece* p = data_->piece_at(t);
    if (!p)
        return std::nullopt;
    const std::size_t i = node_before(*p, t);
    const double u = (t - p->start) / p->step_s - static_cast<double>(i);
    return cubic_of(*p, i).slope(std::clamp(u, 0.0, 1.0)) / p->step_s;
}

std::optional<Extreme> Curve::lowest(Instant from, Instant to) const {
    return data_->furthest(from, to, -1.0);
}
std::optional<Extreme> Curve::highest(Instant from, Instant to) const {
    return data_->furthest(from, to, 1.0);
}

std::vector<TimeSpan> Curve::unknown(Instant from, Instant to) const {
    std::vector<TimeSpan> gaps;
    if (data_->fixed_m || !(from <= to))
        return gaps;
    Instant known = from; // everything before it is dealt with
    for (const Piece& p : data_->pieces) {
        const Instant begin = std::max(p.start, data_->from), end = std::min(p.end(), data_->to);
        if (end < begin || end < from || begin > to)
            continue;
        if (begin - known > same_time_s)
            gaps.push_back({known, begin});
        known = std::max(known, end);
    }
    if (to - known > same_time_s || (known == from && data_->pieces.empty()))
        gaps.push_back({known, to});
    else if (from == to && !data_->knows(from, to))
        gaps.push_back({from, to});
    return gaps;
}

Below Curve::below(TideHeight level, Instant from, Instant to) const {
    const double limit = level.metres();
    if (std::isnan(limit))
        throw std::invalid_argument("a tide level that is no number");
    Below result{.unknown = unknown(from, to)};
    if (!(from <= to))
        return result;
    if (data_->fixed_m) {
        if (*data_->fixed_m < limit)
            result.spans.push_back({from, to});
        return result;
    }
    const Instant begin = std::max(from, data_->from), end = std::min(to, data_->to);
    if (begin > end)
        return result;
    const auto& bounds = data_->bounds;
    const auto settled = [&](std::size_t k, std::size_t i) -> std::size_t {
        const Bounds& its = bounds[k];
        if (i % Bounds::block == 0) {
            const std::size_t cubics = std::min(Bounds::block, its.floor_m.size() - i);
            if (!(its.block_floor_m[i / Bounds::block] < limit))
                return cubics;
            const Piece& p = data_->pieces[k];
            const Instant first = p.start + p.step_s * static_cast<double>(i),
                          last = p.start + p.step_s * static_cast<double>(i + cubics - 1);
            if (its.block_ceiling_m[i / Bounds::block] < limit && first >= begin && end - last >= p.step_s) {
                join(result.spans, first, std::clamp(last + p.step_s, begin, end));
                return cubics;
            }
        }
        return its.floor_m[i] < limit ? 0 : 1;
    };
    for_each_part(data_->pieces, begin, end, settled, [&](const Part& part) {
        const auto add = [&](double u0, double u1) {
            if (u1 > u0 || begin == end)
                join(result.spans, std::clamp(part.at(u0), begin, end), std::clamp(part.at(u1), begin, end));
        };
        if (bounds[part.piece].ceiling_m[part.number] < limit)
            return add(part.ua, part.ub);
        const Cubic cubic = cubic_of(data_->pieces[part.piece], part.number);
        const Cuts cuts = monotone_cuts(cubic, part.ua, part.ub);
        for (std::size_t i = 0; i + 1 < cuts.count; ++i) {
            const double a = cuts.u[i], b = cuts.u[i + 1];
            const bool low_a = cubic.value(a) < limit, low_b = cubic.value(b) < limit;
            if (low_a && low_b)
                add(a, b);
            else if (low_a)
                add(a, crossing(cubic, limit, a, b));
            else if (low_b)
                add(crossing(cubic, limit, a, b), b);
        }
    });
    return result;
}

namespace {

/// Watches the curve go up and down and notes where it turns.
class Turns {
  public:
    void see(Instant ta, double ha, Instant tb, double hb) {
        if (ta - known_to_ > same_time_s)
            direction_ = 0; // after a gap nobody knows where it came from
        known_to_ = tb;
        const double change = hb - ha;
        if (std::abs(change) < level_m)
            return;
        const int direction = change > 0.0 ? 1 : -1;
        if (direction_ == -direction) {
            const bool high = direction < 0;
            const double h = high ? std::max(last_, ha) : std::min(last_, ha);
            turns_.push_back({last_at_ + 0.5 * (ta - last_at_), TideHeight::from_metres(h), high});
            by_jump_.push_back(std::abs(ha - last_) > level_m && ta - last_at_ <= same_time_s);
        }
        direction_ = direction;
        last_at_ = tb;
        last_ = hb;
    }

    /// A jump between two turns of the same kind makes a third of the other kind that no tide has: both it
    /// and the lesser neighbour go.
    std::vector<HighOrLow> take() {
        for (std::size_t i = 1; i + 1 < turns_.size(); ++i) {
            const auto &before = turns_[i - 1], &after = turns_[i + 1];
            if (!by_jump_[i] || turns_[i].at - before.at > jump_turn_s ||
                after.at - turns_[i].at > jump_turn_s)
                continue;
            const bool keep_before = (before.height >= after.height) == before.is_high;
            const auto first = static_cast<std::ptrdiff_t>(keep_before ? i : i - 1);
            turns_.erase(turns_.begin() + first, turns_.begin() + first + 2);
            by_jump_.erase(by_jump_.begin() + first, by_jump_.begin() + first + 2);
        }
        return std::move(turns_);
    }

  private:
    int direction_ = 0;
    Instant known_to_ = Instant::from_unix_seconds(-infinity);
    Instant last_at_ = Instant::from_unix_seconds(-infinity);
    double last_ = 0.0;
    std::vector<HighOrLow> turns_;
    std::vector<bool> by_jump_;
};

} // namespace

std::vector<HighOrLow> Curve::extremes(Instant from, Instant to) const {
    const Instant begin = std::max(from, data_->from), end = std::min(to, data_->to);
    if (data_->fixed_m || !(begin <= end))
        return {};
    Turns turns;
    const auto none = [](std::size_t, std::size_t) -> std::size_t { return 0; };
    for_each_part(data_->pieces, begin, end, none, [&](const Part& part) {
        const Cubic cubic = cubic_of(data_->pieces[part.piece], part.number);
        const Cuts cuts = monotone_cuts(cubic, part.ua, part.ub);
        for (std::size_t i = 0; i + 1 < cuts.count; ++i)
            turns.see(part.at(cuts.u[i]), cubic.value(cuts.u[i]), part.at(cuts.u[i + 1]),
                      cubic.value(cuts.u[i + 1]));
    });
    return turns.take();
}

} // namespace dangerline::tide
