#include "oracle/worlds.h"

#include <algorithm>
#include <bit>
#include <limits>
#include <queue>
#include <unordered_map>

#include "oracle/case_text.h"
#include "oracle/known.h"
#include "oracle/reach.h"

namespace plumbmark::oracle {
namespace {

using course::Part;
using course::SurfaceId;

constexpr Step kFar = std::numeric_limits<Step>::max() / 4;

std::size_t mix(std::size_t seed, std::uint64_t value) {
    seed ^= value + 0x9e3779b97f4a7c15ULL + (seed << 6U) + (seed >> 2U);
    return seed * 0xff51afd7ed558ccdULL;
}

struct HashState {
    std::size_t operator()(const RunState& s) const {
        std::size_t h = mix(0, s.contacts.yes);
        h = mix(h, s.contacts.known);
        h = mix(h, s.sides.yes);
        h = mix(h, s.sides.known);
        h = mix(h, s.marks_done);
        h = mix(h, (std::uint64_t{s.used} << 32U) | (std::uint64_t{s.left} << 16U) |
                       (std::uint64_t{s.stood} << 8U) | s.crossed);
        h = mix(h, static_cast<std::uint64_t>(s.stage) * 64U + static_cast<std::uint64_t>(s.station) * 8U +
                       static_cast<std::uint64_t>(s.attempts_used));
        h = mix(h, (s.begun ? 1U : 0U) + (s.set_off ? 2U : 0U) + (s.item_touched ? 4U : 0U) +
                       (s.off_start_since ? 8U : 0U) + (s.touched_too_early ? 16U : 0U) +
                       (s.finished ? 32U : 0U));
        h = mix(h,
                static_cast<std::uint64_t>(s.hold_due) * 1'000'003U + static_cast<std::uint64_t>(s.cap_due));
        h = mix(h, static_cast<std::uint64_t>(s.rest_due) * 1'000'003U +
                       static_cast<std::uint64_t>(s.run_cap_due));
        for (const Ruled& ruled : s.ruled)
            h = mix(h, static_cast<std::uint64_t>(ruled.outcome) * 16U +
                           static_cast<std::uint64_t>(ruled.clause));
        return h;
    }
};

bool finish_exists(const course::Finish& finish) {
    return finish.required || !finish.name.empty() || finish.surface.has_value();
}

// Everything that can happen without being seen.
struct Unseen {
    ruling::Happening what;
    bool finish = false;
};

struct Node {
    RunState state;
    int parent = -1;
    Step at = 0;
    std::string label;
    bool alive = true;
};

// The worlds for one choice of clip offsets.
class Sweep {
  public:
    Sweep(const Case& review, const Reach& reach, Known& known, int steps_per_unit, std::vector<Step> offsets,
          const Effort& effort)
        : review_(review),
          known_(known),
          reach_(reach),
          per_unit_(steps_per_unit),
          timed_(has_durations(review.book)),
          offsets_(std::move(offsets)),
          effort_(effort),
          judge_(review.book, Grid{review.unit_ns / steps_per_unit}, reach.parts, reach.tracked) {}

    /// States met, also by the sweeps before.
    [[nodiscard]] std::size_t spent() const { return spent_before_ + nodes_.size(); }

    // Adds the endings to what is known; false when there were too many states. With a 'beam' only so many
    // states are carried on at each step: no answer, but most endings soon.
    bool run(std::size_t beam, std::size_t spent_before) {
        beam_ = beam;
        spent_before_ = spent_before;
        find_axis();
        add(RunState{}, -1, first_, "");
        for (now_ = first_; now_ <= last_; ++now_) {
            open_step();
            fire(true);
            if (!events()) return false;
            fire(false);
            hear_statements();
            open_spans();
            take_finished();
            if (beam_ > 0) thin_out();
        }
        return true;
    }

  private:
    static std::size_t idx(int id) { return static_cast<std::size_t>(id); }
    [[nodiscard]] Step at(ruling::ClipIndex clip, base::Time t) const {
        return static_cast<Step>(t.ns / review_.unit_ns) * per_unit_ +
               offsets_[static_cast<std::size_t>(clip.value)];
    }
    [[nodiscard]] std::pair<Step, Step> window(const ruling::Mark& mark) const {
        std::pair<Step, Step> w{-kFar, kFar};
        for (const ruling::Sighting& seen : mark.sightings) {
            if (seen.after) w.first = std::max(w.first, at(seen.clip, *seen.after));
            if (seen.until) w.second = std::min(w.second, at(seen.clip, *seen.until));
        }
        return w;
    }

    void find_axis() {
        Step low = kFar;
        Step high = -kFar;
        const auto see = [&](Step t) {
            low = std::min(low, t);
            high = std::max(high, t);
        };
        for (const ruling::Mark& mark : review_.evidence.marks) {
            windows_.push_back(window(mark));
            for (const ruling::Sighting& seen : mark.sightings) {
                if (seen.after) see(at(seen.clip, *seen.after));
                if (seen.until) see(at(seen.clip, *seen.until));
            }
        }
        for (const ruling::WatchedSpan& span : review_.evidence.spans) {
            see(at(span.clip, span.after));
            see(at(span.clip, span.until));
        }
        for (const ruling::ContactStatement& said : review_.evidence.contacts)
            see(at(said.clip, said.at));
        if (low > high) low = high = 0;
        const Step pad = longest() + per_unit_;
        first_ = low - pad + 1;
        last_ = high + pad;
        for (const ruling::ContactStatement& said : review_.evidence.contacts)
            last_said_ = std::max(last_said_, at(said.clip, said.at));
        for (const ruling::WatchedSpan& span : review_.evidence.spans)
            last_said_ = std::max(last_said_, at(span.clip, span.after));
    }

    // No deadline runs longer than all of them in a row.
    [[nodiscard]] Step longest() const {
        const Grid grid{review_.unit_ns / per_unit_};
        Step sum = 0;
        const auto see = [&](const std::optional<base::Duration>& d) { sum += d ? grid.steps(*d) : 0; };
        see(review_.book.run_cap);
        for (const course::Station& station : review_.book.stations) {
            see(station.cap);
            see(station.rest_limit);
            see(station.landing.hold);
        }
        return sum;
    }

    [[nodiscard]] bool covers_surface(const ruling::Scope& scope, SurfaceId surface) const {
        return scope.whole_athlete ||
               std::find(scope.surfaces.begin(), scope.surfaces.end(), surface) != scope.surfaces.end();
    }
    [[nodiscard]] bool covers(const ruling::Scope& scope, const ruling::Happening& what) const {
        if (const auto* touch = std::get_if<ruling::Touch>(&what))
            return covers_surface(scope, touch->surface);
        if (const auto* release = std::get_if<ruling::Release>(&what))
            return covers_surface(scope, release->surface);
        if (const auto* cross = std::get_if<ruling::Cross>(&what)) {
            return scope.whole_athlete ||
                   std::find(scope.planes.begin(), scope.planes.end(), cross->plane) != scope.planes.end();
        }
        if (const auto* signal = std::get_if<ruling::Signal>(&what)) {
            return scope.finish_signal && signal->kind == ruling::SignalKind::finish_registers;
        }
        return false;
    }
    [[nodiscard]] bool open(const ruling::WatchedSpan& span, Step step) const {
        return at(span.clip, span.after) < step && step <= at(span.clip, span.until);
    }
    [[nodiscard]] bool watched(const ruling::Happening& what, Step step) const {
        return std::any_of(
            review_.evidence.spans.begin(), review_.evidence.spans.end(),
            [&](const ruling::WatchedSpan& span) { return open(span, step) && covers(span.scope, what); });
    }

    void open_step() {
        uncovered_ = uncovered_at(now_);
        uncovered_sides_ = uncovered_sides_at(now_);
        unseen_.clear();
        for (Part part : reach_.parts)
            offer_contacts(part);
        offer_crossings();
        const ruling::Happening finish = ruling::Signal{ruling::SignalKind::finish_registers};
        if (finish_exists(review_.book.finish) && !watched(finish, now_)) unseen_.push_back({finish, true});
        for (int id : alive_now()) {
            const RunState state = nodes_[idx(id)].state;
            if (overdue(state)) {
                nodes_[idx(id)].alive = false;
            } else if (!(canonical(state) == state)) {
                nodes_[idx(id)].alive = false;
                add(canonical(state), id, now_, "");
            }
        }
    }
    // Every declared surface, and what is not declared.
    [[nodiscard]] std::vector<SurfaceId> all_surfaces() const {
        std::vector<SurfaceId> surfaces{SurfaceId{}};
        for (std::size_t i = 0; i < review_.book.surfaces.size(); ++i)
            surfaces.push_back(SurfaceId{static_cast<std::int64_t>(i)});
        return surfaces;
    }
    // Pairs that nobody watches: before the start and after the end their contacts may be either.
    [[nodiscard]] std::uint64_t uncovered_at(Step step) const {
        std::uint64_t pairs = 0;
        for (Part part : reach_.parts) {
            for (SurfaceId surface : all_surfaces()) {
                if (!watched(ruling::Touch{part, surface}, step)) {
                    pairs |= std::uint64_t{1} << PlainJudge::pair(part, surface);
                }
            }
        }
        return pairs;
    }
    [[nodiscard]] std::uint64_t uncovered_sides_at(Step step) const {
        std::uint64_t sides = 0;
        for (std::size_t p = 0; p < review_.book.planes.size(); ++p) {
            const course::PlaneId plane{static_cast<std::int64_t>(p)};
            if (watched(ruling::Cross{std::nullopt, plane, ruling::Direction::forward}, step)) continue;
            for (Part part : course::kAllParts)
                sides |= std::uint64_t{1} << PlainJudge::side(part, plane);
            sides |= std::uint64_t{1} << PlainJudge::side(std::nullopt, plane);
        }
        return sides;
    }
    void offer_contacts(Part part) {
        for (SurfaceId surface : all_surfaces()) {
            const ruling::Touch touch{part, surface, ruling::Grade::ungraded};
            if (watched(touch, now_)) continue;
            unseen_.push_back({touch});
            unseen_.push_back({ruling::Release{part, surface}});
        }
    }
    void offer_crossings() {
        std::set<std::pair<std::int64_t, std::size_t>> wanted;
        const auto want = [&](course::PlaneId plane, std::optional<Part> part) {
            wanted.insert({plane.value, part ? static_cast<std::size_t>(*part) : kWhole});
        };
        for (const course::Station& station : review_.book.stations) {
            for (const course::PlaneCondition& condition : station.landing.planes)
                want(condition.plane, condition.part);
            for (Part part : course::kAllParts) {
                if (station.start_plane && station.start_plane_parts.has(part))
                    want(*station.start_plane, part);
            }
        }
        for (const ruling::Mark& mark : review_.evidence.marks) {
            for (const ruling::Happening& what : mark.alternatives) {
                if (const auto* cross = std::get_if<ruling::Cross>(&what)) want(cross->plane, cross->part);
            }
        }
        for (const auto& [plane, crosser] : wanted) {
            ruling::Cross cross{std::nullopt, course::PlaneId{plane}, ruling::Direction::forward};
            if (crosser != kWhole) cross.part = static_cast<Part>(crosser);
            if (watched(cross, now_)) continue;
            unseen_.push_back({cross});
            cross.direction = ruling::Direction::back;
            unseen_.push_back({cross});
        }
    }

    [[nodiscard]] bool overdue(const RunState& state) const {
        for (std::size_t i = 0; i < windows_.size(); ++i) {
            const bool pending = ((state.marks_done >> i) & 1U) == 0;
            if (pending && !review_.evidence.marks[i].possible && windows_[i].second < now_) return true;
        }
        return false;
    }
    [[nodiscard]] bool all_marks_done(const RunState& state) const {
        for (std::size_t i = 0; i < windows_.size(); ++i) {
            if (((state.marks_done >> i) & 1U) == 0 && !review_.evidence.marks[i].possible) return false;
        }
        return true;
    }
    // While no contact means anything, one that nobody watches may be either; and after the end only those
    // matter that marks still to come speak of. Nor does a side mean anything then, so that one which nobody
    // watches may be either too.
    [[nodiscard]] RunState canonical(RunState state) const {
        if (state.stage == Stage::before_start) state.contacts.forget(uncovered_);
        if (state.stage == Stage::over) {
            state.contacts.forget(uncovered_ | ~reach_.said);
            state.sides.forget(uncovered_sides_);
        }
        if (state.stage == Stage::all_decided) state.contacts.forget(~(reach_.said | reach_.finish_pairs));
        return state;
    }

    void add(RunState state, int parent, Step when, std::string label) {
        state = canonical(state);
        if (known_.nothing_new_from(state, control_to_come(state))) return;
        const auto [found, fresh] = index_.try_emplace(state, static_cast<int>(nodes_.size()));
        if (fresh) {
            nodes_.push_back({state, parent, when, std::move(label), true});
            alive_.push_back(found->second);
            open_.push({progress(state), -found->second});
        } else if (!nodes_[idx(found->second)].alive) {
            nodes_[idx(found->second)].alive = true;
            alive_.push_back(found->second);
            open_.push({progress(state), -found->second});
        }
    }
    std::vector<int> alive_now() {
        std::vector<int> living;
        for (int id : alive_) {
            if (nodes_[idx(id)].alive) living.push_back(id);
        }
        std::sort(living.begin(), living.end());
        living.erase(std::unique(living.begin(), living.end()), living.end());
        alive_ = living;
        return living;
    }

    void fire(bool before) {
        if (!timed_) return;
        for (int id : alive_now()) {
            const RunState state = nodes_[idx(id)].state;
            const bool due = state.hold_due == now_ || state.cap_due == now_ || state.rest_due == now_ ||
                             state.run_cap_due == now_;
            if (!due) continue;
            nodes_[idx(id)].alive = false;
            for (const RunState& next :
                 before ? judge_.due_before(state, now_) : judge_.due_after(state, now_))
                add(next, id, now_, next == state ? "" : "a deadline comes due");
        }
    }

    bool events() {
        const std::vector<int> before = alive_now();
        std::vector<bool> was(nodes_.size());
        open_ = {};
        for (int id : before) {
            open_.push({progress(nodes_[idx(id)].state), -id});
            was[idx(id)] = true;
        }
        for (std::size_t done = 0; !open_.empty(); ++done) {
            if (beam_ > 0 && done > 4 * beam_) return true;
            const int id = -open_.top().second;
            open_.pop();
            // With durations one event a step: only what was there at its beginning is expanded.
            if (timed_ && (idx(id) >= was.size() || !was[idx(id)])) continue;
            if (nodes_[idx(id)].alive) expand(id);
            if (spent() > effort_.most_states) return false;
        }
        return true;
    }
    // Worlds that get far are followed first: once every outcome is known, most others need no following at
    // all.
    [[nodiscard]] static int progress(const RunState& state) {
        int far = state.stage == Stage::before_start ? 0 : 50;
        for (const Ruled& ruled : state.ruled) {
            if (ruled.outcome == Outcome::cleared) far += 100;
            if (ruled.outcome == Outcome::failed) far += 60;
        }
        const auto bits = [](unsigned value) { return std::popcount(value); };
        return far + (state.set_off ? 20 : 0) + 8 * bits(state.used) + 8 * bits(state.crossed) +
               (state.finished ? 5 : 0);
    }
    void thin_out() {
        std::vector<int> living = alive_now();
        if (living.size() <= beam_) return;
        for (std::size_t i = 0; i < living.size(); ++i) {
            if (i * beam_ / living.size() == (i + 1) * beam_ / living.size())
                nodes_[idx(living[i])].alive = false;
        }
    }
    [[nodiscard]] bool control_to_come(const RunState& state) const {
        for (std::size_t i = 0; i < windows_.size(); ++i) {
            if (((state.marks_done >> i) & 1U) != 0) continue;
            for (const ruling::Happening& what : review_.evidence.marks[i].alternatives) {
                if (std::holds_alternative<ruling::Control>(what)) return true;
            }
        }
        return false;
    }

    void expand(int id) {
        const RunState state = nodes_[idx(id)].state;
        if (now_ > last_said_ && !end_here(id)) return;
        if (known_.nothing_new_from(state, control_to_come(state))) {
            nodes_[idx(id)].alive = false;
            return;
        }
        for (std::size_t i = 0; i < windows_.size(); ++i) {
            if (((state.marks_done >> i) & 1U) != 0) continue;
            if (windows_[i].first < now_ && now_ <= windows_[i].second) mark(id, state, i);
        }
        if (state.stage == Stage::over) return;
        for (const Unseen& unseen : unseen_)
            happen_unseen(id, state, unseen);
    }
    void mark(int id, const RunState& state, std::size_t i) {
        const ruling::Mark& mark = review_.evidence.marks[i];
        for (const ruling::Happening& what : mark.alternatives) {
            if (mark.possible && watched_elsewhere(mark, what)) continue;
            for (RunState next : judge_.happen(state, what, now_)) {
                next.marks_done |= std::uint32_t{1} << i;
                add(next, id, now_,
                    "mark " + std::to_string(mark.id.value) + ": " + words(review_.book, what));
            }
        }
    }
    // A possible event that has no bracket on a clip did not happen inside a span of it that covers it.
    [[nodiscard]] bool watched_elsewhere(const ruling::Mark& mark, const ruling::Happening& what) const {
        for (const ruling::WatchedSpan& span : review_.evidence.spans) {
            const bool seen_there =
                std::any_of(mark.sightings.begin(), mark.sightings.end(),
                            [&](const ruling::Sighting& s) { return s.clip == span.clip; });
            if (!seen_there && open(span, now_) && covers(span.scope, what)) return true;
        }
        return false;
    }
    void happen_unseen(int id, const RunState& state, const Unseen& unseen) {
        if (unseen.finish) {
            for (const RunState& next : judge_.unseen_finish(state, now_))
                add_unseen(next, state, id, unseen.what);
            return;
        }
        const bool contact = !std::holds_alternative<ruling::Cross>(unseen.what);
        if (contact && state.stage == Stage::before_start) return;  // canonical() has it already
        for (const RunState& next : judge_.happen(state, unseen.what, now_))
            add_unseen(next, state, id, unseen.what);
    }
    void add_unseen(const RunState& next, const RunState& state, int id, const ruling::Happening& what) {
        if (!(next == state)) add(next, id, now_, "unseen: " + words(review_.book, what));
    }

    // The end of a step: what is said of this instant, and the spans that open with it.
    void hear_statements() {
        uncovered_ = uncovered_at(now_ + 1);
        uncovered_sides_ = uncovered_sides_at(now_ + 1);
        for (const ruling::ContactStatement& said : review_.evidence.contacts) {
            if (at(said.clip, said.at) != now_) continue;
            const std::size_t pair = PlainJudge::pair(said.part, said.surface);
            for (int id : alive_now()) {
                RunState state = nodes_[idx(id)].state;
                nodes_[idx(id)].alive = false;
                if (!PlainJudge::state_contact(state, pair, said.on)) continue;
                add(state, id, now_, "");
            }
        }
    }
    // Where a span opens, what it covers and no mark or statement of the whole review names is off, and
    // behind.
    void open_spans() {
        for (const ruling::WatchedSpan& span : review_.evidence.spans) {
            if (at(span.clip, span.after) != now_ || at(span.clip, span.until) <= now_) continue;
            for (int id : alive_now()) {
                RunState state = nodes_[idx(id)].state;
                const bool fits = nothing_unsaid(state, span.scope);
                if (fits && state == nodes_[idx(id)].state) continue;
                nodes_[idx(id)].alive = false;
                if (fits) add(state, id, now_, "");
            }
        }
    }
    bool nothing_unsaid(RunState& state, const ruling::Scope& scope) const {
        for (Part part : reach_.parts) {
            for (SurfaceId surface : all_surfaces()) {
                const std::size_t pair = PlainJudge::pair(part, surface);
                const bool tracked = ((reach_.tracked >> pair) & 1U) != 0;
                if (!tracked || ((reach_.said >> pair) & 1U) != 0 || !covers_surface(scope, surface))
                    continue;
                if (!PlainJudge::state_contact(state, pair, false)) return false;
            }
        }
        for (const std::size_t side : reach_.unnamed_sides) {
            const course::PlaneId plane{static_cast<std::int64_t>(side % kMostPlanes)};
            if (!covers(scope, ruling::Cross{std::nullopt, plane, ruling::Direction::forward})) continue;
            if (state.sides.is_known(side) && state.sides.is_set(side)) return false;
            state.sides.set(side, false);
        }
        return true;
    }
    // Nothing more need happen here: notes how the world ends then. False when nothing more can happen
    // either.
    bool end_here(int id) {
        const RunState state = nodes_[idx(id)].state;
        if (!all_marks_done(state)) return true;
        for (const RunState& end : judge_.end_of_world(state, now_))
            record(end, id);
        return state.stage != Stage::over;
    }
    void take_finished() {
        if (now_ < last_said_) return;
        for (int id : alive_now()) {
            if (!end_here(id)) nodes_[idx(id)].alive = false;
        }
    }

    void record(const RunState& state, int id) {
        const Ending ending{state.ruled, state.finished};
        if (known_.has(ending)) return;
        std::string told;
        for (int at_node = id; at_node >= 0; at_node = nodes_[idx(at_node)].parent) {
            const Node& node = nodes_[idx(at_node)];
            if (node.label.empty()) continue;
            told = "    " + std::to_string(node.at) + "/" + std::to_string(per_unit_) + "  " + node.label +
                   "\n" + told;
        }
        known_.add(ending, told);
    }

    const Case& review_;
    Known& known_;
    const Reach& reach_;
    std::size_t beam_ = 0;
    std::size_t spent_before_ = 0;
    Step last_said_ = -kFar;
    int per_unit_;
    bool timed_;
    std::vector<Step> offsets_;
    const Effort& effort_;
    PlainJudge judge_;
    std::vector<std::pair<Step, Step>> windows_;
    Step first_ = 0;
    Step last_ = 0;
    Step now_ = 0;
    std::uint64_t uncovered_ = 0;
    std::uint64_t uncovered_sides_ = 0;
    std::vector<Unseen> unseen_;
    std::vector<Node> nodes_;
    std::vector<int> alive_;
    std::priority_queue<std::pair<int, int>> open_;  // to be expanded in this step, the furthest first
    std::unordered_map<RunState, int, HashState> index_;
};

// How far, in units, the clips reach.
std::int64_t longest_clip(const Case& review) {
    std::int64_t length = 1;
    for (const ruling::ClipFacts& clip : review.evidence.clips) {
        if (!clip.frame_times.empty()) length = std::max(length, clip.frame_times.back().ns / review.unit_ns);
    }
    return length;
}

}  // namespace

bool has_durations(const course::CourseBook& book) {
    return book.run_cap ||
           std::any_of(book.stations.begin(), book.stations.end(),
                       [](const course::Station& s) { return s.cap || s.rest_limit || s.landing.hold; });
}

Answer enumerate(const Case& review, const Effort& effort) {
    const Reach reach(review);
    Known known(review);
    const bool timed = has_durations(review.book);
    const std::size_t clips = std::max<std::size_t>(1, review.evidence.clips.size());
    // Two clips need room between each other's frames; one clip alone does not.
    const int per_unit = timed ? effort.steps_per_unit : clips == 1 ? 1 : 2;
    const auto span = static_cast<Step>(clips == 1 ? 0 : (longest_clip(review) + 1) * per_unit);
    for (const std::size_t beam : {std::size_t{40}, std::size_t{0}}) {
        std::size_t spent = 0;
        for (Step offset = -span; offset <= span; ++offset) {
            std::vector<Step> offsets(clips, offset);
            offsets[0] = 0;
            Sweep sweep(review, reach, known, per_unit, offsets, effort);
            const bool whole = sweep.run(beam, spent);
            if (beam == 0) spent = sweep.spent();
            if (whole || beam > 0) continue;
            Answer answer;
            answer.too_large = true;
            return answer;
        }
    }
    return known.answer();
}

}  // namespace plumbmark::oracle
