#include "desk/strip_model.h"

#include <algorithm>
#include <optional>
#include <tuple>

#include "base/text.h"
#include "desk/internal/say.h"
#include "review/words.h"

namespace plumbmark::desk {
namespace {

using meet::EventKind;

/// A touch, release or statement of one part and surface, as a point in the order of one row.
struct Turn {
    course::Part part;
    std::string surface, words;
    bool on = true;
    bool exact = false;  ///< a statement: it held at this frame already
    bool possible = false;
    bool solid = true;
    Edge edge;
};

class Builder {
  public:
    explicit Builder(const StripInput& input) : in_(input) {
        model_.begin = at(0);
        model_.end = std::max(in_.end_ns, model_.begin + 1);
    }

    StripModel build() {
        for (const auto& [id, mark] : in_.state->marks())
            if (mark.run == in_.run) add_mark(mark);
        for (const auto& [id, contact] : in_.state->contacts())
            if (contact.run == in_.run && contact.clip == in_.clip) add_statement(contact);
        pair_turns();
        for (auto& row : model_.contacts)
            share_row(row);
        add_watched();
        add_stations();
        return std::move(model_);
    }

  private:
    std::int64_t at(std::int64_t frame) const {
        if (in_.frames == 0) return 0;
        return in_.frame_time(std::clamp<std::int64_t>(frame, 0, in_.frames - 1));
    }
    bool solid(meet::Kind kind, meet::MarkId id) const { return !in_.solid || in_.solid({kind, id.value}); }

    std::string in_words(const meet::Event& event) const {
        const base::Speaking in_the_windows_language;
        return review::event_words(event, in_.book);
    }
    std::string surface_words(const std::string& key) const {
        if (key.empty()) return tr("undeclared");
        const auto id = in_.book ? in_.book->find_surface(key) : course::SurfaceId{};
        return id.valid() ? in_.book->surface_name(id) : key;
    }

    void add_mark(const meet::Mark& mark) {
        const auto here = std::find_if(mark.sightings.begin(), mark.sightings.end(),
                                       [&](const meet::Sighting& s) { return s.clip == in_.clip; });
        if (here == mark.sightings.end() || mark.alternatives.empty()) return;
        Edge edge;
        edge.after = here->early ? at(here->early->number) : model_.begin;
        edge.until = here->late ? at(here->late->number) : model_.end;
        edge.mark = mark.id;
        const meet::Event& event = mark.alternatives.front();
        const bool on_disk = solid(meet::Kind::mark, mark.id);
        if (event.kind == EventKind::touch || event.kind == EventKind::release) {
            std::vector<std::string> names;
            for (const meet::Event& other : mark.alternatives)
                names.push_back(surface_words(other.surface));
            turns_.push_back({event.part.value_or(course::Part::other), event.surface,
                              names.size() > 1 ? base::listed(names, tr("or")) + "?" : names.front(),
                              event.kind == EventKind::touch, false, mark.possible || names.size() > 1,
                              on_disk, edge});
            return;
        }
        InstantMark instant{edge.after,    edge.until, in_words(event),
                            mark.possible, on_disk,    event.kind == EventKind::cross,
                            mark.id};
        model_.instants.push_back(std::move(instant));
    }

    void add_statement(const meet::ContactStatement& contact) {
        const std::int64_t time = at(contact.frame.number);
        turns_.push_back({contact.part,
                          contact.surface,
                          surface_words(contact.surface),
                          contact.on,
                          true,
                          false,
                          solid(meet::Kind::contact, contact.id),
                          {time, time, false, contact.id}});
    }

    static bool same(const Turn& a, const Turn& b) { return a.part == b.part && a.surface == b.surface; }

    /// Where a contact that nobody ended is drawn to.
    Edge open_end(std::size_t from) const {
        for (std::size_t i = from + 1; i < turns_.size(); ++i)
            if (turns_[i].part == turns_[from].part && turns_[i].on)
                return {turns_[i].edge.after, turns_[i].edge.after, true, {}};
        return {model_.end, model_.end, true, {}};
    }

    void bar(const Turn& start, Edge from, Edge to, bool solid_too) {
        ContactBar out{start.part, from, to, start.words, start.possible, start.solid && solid_too};
        model_.contacts[static_cast<std::size_t>(strip_row(start.part))].push_back(std::move(out));
    }

    void pair_turns() {
        std::stable_sort(turns_.begin(), turns_.end(), [](const Turn& a, const Turn& b) {
            return std::pair(a.edge.until, a.edge.after) < std::pair(b.edge.until, b.edge.after);
        });
        std::vector<bool> used(turns_.size(), false);
        for (std::size_t i = 0; i < turns_.size(); ++i) {
            if (!turns_[i].on || used[i]) continue;
            // Further statements 'on' within the same contact add nothing to draw.
            std::size_t j = i + 1;
            for (; j < turns_.size() && !(same(turns_[i], turns_[j]) && (!turns_[j].on || !turns_[j].exact));
                 ++j)
                if (same(turns_[i], turns_[j])) used[j] = true;
            Edge from = turns_[i].edge;
            from.open = turns_[i].exact;
            if (j < turns_.size() && !turns_[j].on) {
                used[j] = true;
                bar(turns_[i], from, turns_[j].edge, turns_[j].solid);
            } else {
                bar(turns_[i], from, open_end(i), true);
            }
        }
        for (std::size_t i = 0; i < turns_.size(); ++i)
            if (!turns_[i].on && !used[i] && !turns_[i].exact)
                bar(turns_[i], {model_.begin, model_.begin, true, {}}, turns_[i].edge, true);
    }

    /// A foot may stand on two surfaces at once: bars that overlap get the upper and the lower half of the
    /// row.
    static void share_row(std::vector<ContactBar>& row) {
        std::sort(row.begin(), row.end(), [](const ContactBar& a, const ContactBar& b) {
            return std::tie(a.from.after, a.to.until) < std::tie(b.from.after, b.to.until);
        });
        for (std::size_t i = 0; i < row.size(); ++i)
            for (std::size_t j = 0; j < i; ++j) {
                if (row[j].to.after <= row[i].from.until) continue;
                row[j].lanes = row[i].lanes = 2;
                row[i].lane = 1 - row[j].lane;
            }
    }

    void add_watched() {
        for (const auto& stretch : in_.displayed) {
            const std::int64_t past = stretch[1] + 1 < in_.frames ? at(stretch[1] + 1) : model_.end;
            model_.watched.push_back({at(stretch[0]), past, false, true, true, "", {}});
        }
        for (const auto& [id, span] : in_.state->watched()) {
            if (span.run != in_.run || span.clip != in_.clip) continue;
            std::vector<std::string> names;
            for (const std::string& key : span.scope.surfaces)
                names.push_back(surface_words(key));
            for (const std::string& key : span.scope.planes) {
                const auto plane = in_.book ? in_.book->find_plane(key) : course::PlaneId{};
                names.push_back(plane.valid() ? in_.book->plane(plane).name : key);
            }
            if (span.scope.finish_signal) names.emplace_back(tr("finish signal"));
            if (span.scope.whole_athlete) names = {tr("whole athlete")};
            model_.watched.push_back({at(span.from.number), at(span.to.number), true,
                                      solid(meet::Kind::watched, id), span.scope.whole_athlete,
                                      base::listed(names), id});
        }
    }

    std::optional<std::int64_t> placed(const std::optional<ruling::Shown>& shown) const {
        if (!shown || !shown->until || !shown->clip.valid()) return std::nullopt;
        const auto index = static_cast<std::size_t>(shown->clip.value);
        if (index >= in_.ruling_clips.size() || in_.ruling_clips[index] != in_.clip) return std::nullopt;
        return shown->until->ns;
    }

    void add_stations() {
        if (!in_.book || in_.book->stations.empty()) return;
        const std::size_t count = in_.book->stations.size();
        std::vector<std::optional<std::int64_t>> begins(count + 1), ends(count);
        for (std::size_t i = 0; i < count; ++i) {
            StationSegment segment;
            segment.station = {static_cast<std::int64_t>(i)};
            segment.name = in_.book->stations[i].name;
            if (in_.ruling && i < in_.ruling->stations.size()) {
                segment.verdict = in_.ruling->stations[i].verdict;
                segment.ruled = true;
                begins[i] = placed(in_.ruling->stations[i].begins_at);
                ends[i] = placed(in_.ruling->stations[i].decided_at);
            }
            segment.placed = begins[i] || ends[i];
            model_.stations.push_back(std::move(segment));
        }
        lay_stations(begins, ends);
    }

    /// Placed stations lie where they were run; the others share the room between their neighbours, in order.
    void lay_stations(const std::vector<std::optional<std::int64_t>>& begins,
                      const std::vector<std::optional<std::int64_t>>& ends) {
        const std::size_t count = model_.stations.size();
        std::int64_t cursor = model_.begin;
        for (std::size_t i = 0; i < count;) {
            if (begins[i]) cursor = std::max(cursor, *begins[i]);
            std::size_t next = i + 1;
            if (!ends[i])
                while (next < count && !begins[next] && !ends[next])
                    ++next;
            std::int64_t limit = model_.end;
            if (ends[i])
                limit = *ends[i];
            else if (next < count)
                limit = begins[next].value_or((cursor + *ends[next]) / 2);
            limit = std::max(limit, cursor);
            const auto shares = static_cast<std::int64_t>(next - i);
            for (std::size_t k = i; k < next; ++k) {
                const auto n = static_cast<std::int64_t>(k - i);
                model_.stations[k].from = cursor + (limit - cursor) / shares * n;
                model_.stations[k].to = cursor + (limit - cursor) / shares * (n + 1);
            }
            cursor = limit;
            i = next;
        }
    }

    const StripInput& in_;
    StripModel model_;
    std::vector<Turn> turns_;
};

}  // namespace

int strip_row(course::Part part) {
    return std::min(static_cast<int>(part), 4);
}

StripModel strip_model(const StripInput& input) {
    return Builder(input).build();
}

}  // namespace plumbmark::desk
