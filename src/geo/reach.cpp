#include "dangerline/geo/reach.hpp"

#include <algorithm>
#include <cmath>

namespace dangerline::geo {

namespace {

// Coordinates of 100 km carry rounding of some 1e-11 m. What touches within a nanometre touches: the interval
// is closed and must not be lost to rounding.
constexpr double touch = 1e-9;
// Decisions about whole runs keep off by far more than rounding.
constexpr double aloof = 1e-6;

// A point as the leg sees it: metres along and metres to the left.
struct Seen {
    double along = 0.0;
    double off = 0.0;
};

struct Extent {
    double along_min = 0.0, along_max = 0.0, off_min = 0.0, off_max = 0.0;
};

struct Frame {
    Point origin;
    Point unit{1.0, 0.0};
    double length = 0.0;

    explicit Frame(const Leg& leg) : origin(leg.from), length(leg.length()) {
        if (length > 0.0)
            unit = {(leg.to.x - leg.from.x) / length, (leg.to.y - leg.from.y) / length};
    }
    double along(Point p) const { return (p.x - origin.x) * unit.x + (p.y - origin.y) * unit.y; }
    double off(Point p) const { return (p.y - origin.y) * unit.x - (p.x - origin.x) * unit.y; }
    Seen see(Point p) const { return {along(p), off(p)}; }
    Extent see(const Box& box) const {
        const Seen middle = see(Point{(box.min_x + box.max_x) / 2.0, (box.min_y + box.max_y) / 2.0});
        const double half_x = (box.max_x - box.min_x) / 2.0, half_y = (box.max_y - box.min_y) / 2.0;
        const double along = std::abs(unit.x) * half_x + std::abs(unit.y) * half_y;
        const double off = std::abs(unit.y) * half_x + std::abs(unit.x) * half_y;
        return {middle.along - along, middle.along + along, middle.off - off, middle.off + off};
    }
};

struct Interval {
    double from = std::numeric_limits<double>::infinity();
    double to = -std::numeric_limits<double>::infinity();
    void take(double a, double b) {
        from = std::min(from, a);
        to = std::max(to, b);
    }
    bool empty() const { return from > to; }
};

void take_disc(Interval& into, Seen centre, double radius) {
    const double off = std::abs(centre.off);
    if (off > radius + touch)
        return;
    const double half = off < radius ? std::sqrt((radius - off) * (radius + off)) : 0.0;
    into.take(centre.along - half, centre.along + half);
}

// Where the leg's line crosses the long side of the strip that lies `shift` to the left of the edge.
void take_side(Interval& into, Seen a, Seen b, Seen shift) {
    a = {a.along + shift.along, a.off + shift.off};
    b = {b.along + shift.along, b.off + shift.off};
    if ((a.off > 0.0) == (b.off > 0.0))
        return;
    const double t = a.off / (a.off - b.off);
    const double along =
        std::clamp(a.along + t * (b.along - a.along), std::min(a.along, b.along), std::max(a.along, b.along));
    into.take(along, along);
}

// Whether the leg's line may cross a long side of the strip: only where radius·|dx|/length, by which the
// sides lie off the edge, is between the ends' distances from the line. Spares most edges of a coast the
// root.
bool may_meet_side(Seen a, Seen b, double radius) {
    constexpr double doubt = 1.0 + 1e-9; // by far more than rounding
    const double dx = b.along - a.along, dy = b.off - a.off;
    const double length2 = dx * dx + dy * dy, shift2 = radius * radius * dx * dx;
    const auto [near, far] = std::minmax({a.off * a.off, b.off * b.off});
    const bool astride = (a.off > 0.0) != (b.off > 0.0);
    return shift2 <= far * length2 * doubt && (astride || shift2 * doubt >= near * length2);
}

// Everything within a radius of an edge is convex, so the line meets it in one interval: from the first to
// the last of what the two discs and the two long sides of the strip cut out of it. The strip's short sides
// are diameters of the discs.
Interval capsule(Seen a, Seen b, double radius) {
    Interval cut;
    take_disc(cut, a, radius);
    take_disc(cut, b, radius);
    if (!may_meet_side(a, b, radius))
        return cut;
    const double dx = b.along - a.along, dy = b.off - a.off;
    const double length = std::hypot(dx, dy);
    if (length > 0.0) {
        const Seen shift{-dy / length * radius, dx / length * radius};
        take_side(cut, a, b, shift);
        take_side(cut, a, b, {-shift.along, -shift.off});
    }
    return cut;
}

class Sweep {
  public:
    Sweep(const Frame& frame, double radius, const std::optional<HalfPlane>& beyond)
        : frame_(frame), radius_(radius), beyond_(beyond) {}

    std::vector<Span> run(const Shape& shape) {
        const Extent whole = frame_.see(shape.box());
        if (shape.empty() || far(whole))
            return {};
        const bool area = shape.kind() == ShapeKind::area;
        for (const Shape::Run& run : shape.runs()) {
            const Extent extent = shape.runs().size() == 1 ? whole : frame_.see(run.box);
            const bool near = !far(extent) && !covered(extent);
            const bool across =
                area && extent.off_min <= aloof && extent.off_max >= -aloof && extent.along_max >= -aloof;
            const auto points = shape.points().subspan(run.first, run.last - run.first + 1);
            // A run wholly ahead of the leg's end only matters by the parity of its crossings, which its ends
            // tell.
            const bool ahead = extent.along_min > frame_.length + aloof;
            if (across && ahead)
                odd_ahead_ ^= (frame_.off(points.front()) > 0.0) != (frame_.off(points.back()) > 0.0);
            if (!near && (!across || ahead))
                continue;
            offs_.resize(points.size());
            std::transform(points.begin(), points.end(), offs_.begin(),
                           [this](Point p) { return frame_.off(p); });
            if (near)
                edges(points);
            if (across && !ahead)
                crossings(points);
            if (!spans_.empty() && spans_.back().from <= 0.0 && spans_.back().to >= frame_.length)
                return {spans_.back()}; // the whole leg: there is no more to find
        }
        inside();
        join(spans_);
        return std::move(spans_);
    }

  private:
    bool far(const Extent& e) const {
        const double reach = radius_ + aloof;
        return e.off_min > reach || e.off_max < -reach || e.along_min > frame_.length + reach ||
               e.along_max < -reach;
    }

    /// Whether all that is within the radius of it lies within the last span: it adds nothing then. Most
    /// edges of a long coast do, once the first has been seen.
    bool covered(const Extent& e) const {
        if (spans_.empty())
            return false;
        const Span& last = spans_.back();
        const double reach = radius_ + aloof, off = std::max({e.off_min, -e.off_max, 0.0});
        const double half2 = (reach - off) * (reach + off);
        const auto beyond = [&](double metres) { return metres >= 0.0 && metres * metres >= half2; };
        return (last.from <= 0.0 || beyond(e.along_min - aloof - last.from)) &&
               (last.to >= frame_.length || beyond(last.to - aloof - e.along_max));
    }

    void emit(Interval cut) {
        if (cut.empty() || cut.from > frame_.length + touch || cut.to < -touch)
            return;
        const Span span{std::clamp(cut.from, 0.0, frame_.length), std::clamp(cut.to, 0.0, frame_.length)};
        if (!spans_.empty() && span.from <= spans_.back().to && spans_.back().from <= span.to) {
            spans_.back() = {std::min(span.from, spans_.back().from), std::max(span.to, spans_.back().to)};
            return;
        }
        spans_.push_back(span);
    }

    void edges(std::span<const Point> points) {
        if (beyond_) {
            clipped_edges(points);
            return;
        }
        if (points.size() == 1) {
            const Seen only{frame_.along(points[0]), offs_[0]};
            emit(capsule(only, only, radius_));
        }
        const double reach = radius_ + touch;
        for (std::size_t i = 1; i < points.size(); ++i) {
            const double right = std::min(offs_[i - 1], offs_[i]), left = std::max(offs_[i - 1], offs_[i]);
            if (right > reach || left < -reach)
                continue;
            const Seen a{frame_.along(points[i - 1]), offs_[i - 1]}, b{frame_.along(points[i]), offs_[i]};
            const auto [near, far] = std::minmax(a.along, b.along);
            if (near <= frame_.length + reach && far >= -reach && !covered({near, far, right, left}))
                emit(capsule(a, b, radius_));
        }
    }

    double past(Point p) const {
        return (p.x - beyond_->origin.x) * beyond_->direction.x +
               (p.y - beyond_->origin.y) * beyond_->direction.y;
    }

    void clipped_edges(std::span<const Point> points) {
        for (std::size_t i = points.size() == 1 ? 0 : 1; i < points.size(); ++i) {
            Point a = points[i == 0 ? 0 : i - 1], b = points[i];
            const double at_a = past(a), at_b = past(b);
            if (at_a < 0.0 && at_b < 0.0)
                continue;
            if ((at_a < 0.0) != (at_b < 0.0)) {
                const double t = at_a / (at_a - at_b);
                const Point cut{a.x + t * (b.x - a.x), a.y + t * (b.y - a.y)};
                (at_a < 0.0 ? a : b) = cut;
            }
            emit(capsule(frame_.see(a), frame_.see(b), radius_));
        }
    }

    // Half-open rule: an end exactly on the leg's line counts as right of it, for both its edges alike.
    void crossings(std::span<const Point> points) {
        for (std::size_t i = 1; i < points.size(); ++i) {
            const double a = offs_[i - 1], b = offs_[i];
            if ((a > 0.0) == (b > 0.0))
                continue;
            const double at_a = frame_.along(points[i - 1]), at_b = frame_.along(points[i]);
            const double along = at_a + a / (a - b) * (at_b - at_a);
            if (along > frame_.length)
                odd_ahead_ = !odd_ahead_;
            else if (along >= 0.0)
                crossed_.push_back(along);
        }
    }

    // Walks back from the leg's end, where the crossings ahead tell inside from outside.
    void inside() {
        std::sort(crossed_.begin(), crossed_.end());
        bool in = odd_ahead_;
        double to = frame_.length;
        for (auto at = crossed_.rbegin(); at != crossed_.rend(); ++at) {
            if (in)
                spans_.push_back({*at, to});
            in = !in;
            to = *at;
        }
        if (in)
            spans_.push_back({0.0, to});
    }

    const Frame& frame_;
    double radius_;
    const std::optional<HalfPlane>& beyond_;
    std::vector<double> offs_; ///< of the points of a run
    std::vector<Span> spans_;
    std::vector<double> crossed_;
    bool odd_ahead_ = false;
};

class Search {
  public:
    explicit Search(const Leg& leg) : leg_(leg), frame_(leg) {}

    Nearest run(const Shape& shape) {
        for (const Shape::Run& run : shape.runs()) {
            const Extent e = frame_.see(run.box);
            const double along = std::max({e.along_min - frame_.length, -e.along_max, 0.0});
            const double off = std::max({e.off_min, -e.off_max, 0.0});
            if (std::hypot(along, off) > best_.metres + aloof)
                continue;
            const auto points = shape.points().subspan(run.first, run.last - run.first + 1);
            vertex(points[0]);
            for (std::size_t i = 1; i < points.size(); ++i) {
                vertex(points[i]);
                leg_end(leg_.from, 0.0, points[i - 1], points[i]);
                leg_end(leg_.to, frame_.length, points[i - 1], points[i]);
            }
        }
        return best_;
    }

  private:
    void offer(double metres, double along, Point on_shape) {
        if (metres < best_.metres - touch || (metres <= best_.metres + touch && along < best_.along))
            best_ = {metres, along, on_shape};
    }
    void vertex(Point p) {
        const Seen seen = frame_.see(p);
        const double along = std::clamp(seen.along, 0.0, frame_.length);
        offer(std::hypot(seen.along - along, seen.off), along, p);
    }
    void leg_end(Point end, double along, Point a, Point b) {
        const double dx = b.x - a.x, dy = b.y - a.y;
        const double length2 = dx * dx + dy * dy;
        const double t =
            length2 > 0.0 ? std::clamp(((end.x - a.x) * dx + (end.y - a.y) * dy) / length2, 0.0, 1.0) : 0.0;
        const Point foot{a.x + t * dx, a.y + t * dy};
        offer(std::hypot(foot.x - end.x, foot.y - end.y), along, foot);
    }

    const Leg& leg_;
    Frame frame_;
    Nearest best_;
};

} // namespace

void join(std::vector<Span>& spans, double slack) {
    if (spans.size() < 2)
        return;
    std::sort(spans.begin(), spans.end(), [](const Span& a, const Span& b) { return a.from < b.from; });
    std::size_t kept = 0;
    for (std::size_t i = 1; i < spans.size(); ++i) {
        if (spans[i].from <= spans[kept].to + slack)
            spans[kept].to = std::max(spans[kept].to, spans[i].to);
        else
            spans[++kept] = spans[i];
    }
    spans.resize(kept + 1);
}

std::vector<Span> remainder(Span whole, const std::vector<Span>& spans) {
    std::vector<Span> left;
    double from = whole.from;
    bool met = false;
    for (const Span& span : spans) {
        if (span.to < whole.from || span.from > whole.to)
            continue;
        met = true;
        if (span.from > from)
            left.push_back({from, span.from});
        from = std::max(from, span.to);
    }
    if (from < whole.to || !met)
        left.push_back({from, whole.to});
    return left;
}

double Leg::length() const {
    return std::hypot(to.x - from.x, to.y - from.y);
}

Point Leg::at(double metres) const {
    const double whole = length();
    if (!(whole > 0.0))
        return from;
    const double t = metres / whole;
    return {from.x + t * (to.x - from.x), from.y + t * (to.y - from.y)};
}

std::vector<Span> reach(const Leg& leg, const Shape& shape, double radius,
                        const std::optional<HalfPlane>& beyond) {
    const Frame frame(leg);
    return Sweep(frame, radius, beyond).run(shape);
}

Nearest nearest(const Leg& leg, const Shape& shape) {
    if (shape.empty())
        return {};
    if (const auto met = reach(leg, shape, 0.0); !met.empty())
        return {0.0, met.front().from, leg.at(met.front().from)};
    return Search(leg).run(shape);
}

} // namespace dangerline::geo
