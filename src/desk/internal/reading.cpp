#include "desk/internal/reading.h"

#include <fmt/format.h>

#include <algorithm>
#include <tuple>

#include "base/text.h"
#include "desk/damage.h"
#include "desk/internal/say.h"
#include "desk/internal/sightings.h"
#include "meet/appeals.h"
#include "meet/who_ran.h"
#include "review/appeal_work.h"
#include "review/capture_time.h"
#include "review/words.h"

namespace plumbmark::desk {
namespace {

Chosen chosen_mark(const review::Session& session, const meet::Mark& mark) {
    Chosen out;
    out.id = mark.id;
    out.is_mark = true;
    out.possible = mark.possible;
    std::vector<std::string> words;
    for (const meet::Event& event : mark.alternatives)
        words.push_back(event_words(session, event));
    out.words = base::listed(words, tr("or"));
    const meet::EventKind kind = mark.alternatives.front().kind;
    out.is_contact_event = kind == meet::EventKind::touch || kind == meet::EventKind::release;
    if (const meet::Sighting* here = sighting_on(mark, session.clip())) {
        out.here = true;
        if (here->early) out.early = here->early->number;
        if (here->late) out.late = here->late->number;
        out.bracket = bracket_words(*here);
    } else {
        out.bracket = tr("on another clip");
    }
    return out;
}

}  // namespace

std::optional<Chosen> chosen(const review::Session& session) {
    const meet::State& state = session.state();
    const meet::MarkId id = session.selected();
    if (const auto mark = state.marks().find(id); mark != state.marks().end())
        return chosen_mark(session, mark->second);
    Chosen out;
    out.id = id;
    if (const auto found = state.contacts().find(id); found != state.contacts().end()) {
        const meet::ContactStatement& contact = found->second;
        out.words = contact.on
                        ? tr("{} on {}", part_name(contact.part), surface_name(session, contact.surface))
                        : tr("{} off {}", part_name(contact.part), surface_name(session, contact.surface));
        out.here = contact.clip == session.clip();
        out.late = contact.frame.number;
        out.bracket = tr("at f {}", contact.frame.number);
        return out;
    }
    if (const auto found = state.watched().find(id); found != state.watched().end()) {
        const meet::WatchedSpan& span = found->second;
        out.words = tr("watched");
        out.is_span = true;
        out.here = span.clip == session.clip();
        out.early = span.from.number;
        out.late = span.to.number;
        out.bracket = tr("f {} to {}", span.from.number, span.to.number);
        return out;
    }
    return std::nullopt;
}

std::vector<Listed> marks_here(const review::Session& session) {
    std::vector<Listed> list;
    const meet::State& state = session.state();
    for (const meet::Mark& mark : state.marks_of(session.run())) {
        const meet::Sighting* here = sighting_on(mark, session.clip());
        if (!here) continue;
        const auto& frame = here->late ? here->late : here->early;
        list.push_back({mark.id, frame ? frame->number : 0});
    }
    for (const meet::ContactStatement& contact : state.contacts_of(session.run()))
        if (contact.clip == session.clip()) list.push_back({contact.id, contact.frame.number});
    for (const meet::WatchedSpan& span : state.watched_of(session.run()))
        if (span.clip == session.clip()) list.push_back({span.id, span.from.number});
    std::sort(list.begin(), list.end(), [](const Listed& a, const Listed& b) {
        return std::tie(a.frame, a.id) < std::tie(b.frame, b.id);
    });
    return list;
}

std::string frame_words(const review::Session& session) {
    const review::ClipView* clip = session.current_clip();
    if (!clip || !clip->table) return "";
    return tr("f {} of {} · {}", session.frame(), clip->table->size(), base::clock_text(session.time()));
}

std::optional<std::string> run_clock(const review::Session& session) {
    const review::ClipView* clip = session.current_clip();
    if (!clip || !clip->table || clip->table->size() == 0) return std::nullopt;
    for (const meet::Mark& mark : session.state().marks_of(session.run())) {
        if (mark.alternatives.size() != 1 || mark.possible) continue;
        const meet::Event& event = mark.alternatives.front();
        if (event.kind != meet::EventKind::signal || event.signal != ruling::SignalKind::start_given)
            continue;
        const meet::Sighting* here = sighting_on(mark, session.clip());
        if (!here || !here->early || !here->late) continue;
        const auto last = clip->table->size() - 1;
        const base::Duration longest =
            session.time() - clip->table->time(std::clamp<std::int64_t>(here->early->number, 0, last));
        const base::Duration least =
            session.time() - clip->table->time(std::clamp<std::int64_t>(here->late->number, 0, last));
        if (least.ns < 0) return std::nullopt;
        return tr("run {:.3f} to {:.3f} s", static_cast<double>(least.ns) / 1e9,
                  static_cast<double>(longest.ns) / 1e9);
    }
    return std::nullopt;
}

std::string frame_damage(const review::Session& session) {
    const review::ClipView* clip = session.current_clip();
    if (!clip || !clip->table || clip->table->size() == 0) return "";
    std::string words = damage_at(*clip->table, session.frame());
    const review::PictureView& shown = session.picture();
    const bool made_up = shown.exact && shown.picture->damaged();
    if (made_up && !is_damaged(*clip->table, session.frame()))
        words = tr("damaged: the decoder had to make up parts of this picture");
    return words;
}

std::string rate_words(const media::FrameTable& table) {
    if (table.info().variable_rate) return tr("variable rate");
    if (table.size() < 2) return "";
    const double seconds = static_cast<double>((table.time(table.size() - 1) - table.time(0)).ns) / 1e9;
    if (seconds <= 0) return "";
    const double rate = static_cast<double>(table.size() - 1) / seconds;
    return tr("{:.4g}/s", rate);
}

std::string part_name(std::optional<course::Part> part) {
    return part ? tr(std::string(course::part_words(*part))) : tr("whole athlete");
}

std::string surface_name(const review::Session& session, const std::string& key) {
    if (key.empty()) return tr("something undeclared");
    const auto id = session.book() ? session.book()->find_surface(key) : course::SurfaceId{};
    return id.valid() ? session.book()->surface_name(id) : key;
}

std::string plane_name(const review::Session& session, const std::string& key) {
    const auto id = session.book() ? session.book()->find_plane(key) : course::PlaneId{};
    return id.valid() ? session.book()->plane(id).name : key;
}

std::optional<meet::Scope> watch_scope(const review::Session& session, const MarkingView& view) {
    const review::Hand& hand = session.hand();
    meet::Scope scope;
    scope.whole_athlete = view.scope == ScopeChoice::whole_athlete;
    const bool surface = view.scope == ScopeChoice::surface || view.scope == ScopeChoice::surface_and_plane;
    const bool plane = view.scope == ScopeChoice::plane || view.scope == ScopeChoice::surface_and_plane;
    if ((surface && hand.surface.empty()) || (plane && hand.plane.empty())) return std::nullopt;
    if (surface) scope.surfaces = {hand.surface};
    if (plane) scope.planes = {hand.plane};
    scope.finish_signal = view.scope == ScopeChoice::finish_signal;
    return scope;
}

std::string scope_words(const review::Session& session, const MarkingView& view) {
    const review::Hand& hand = session.hand();
    const std::string surface =
        hand.surface.empty() ? tr("the chosen surface") : surface_name(session, hand.surface);
    const std::string plane = hand.plane.empty() ? tr("the chosen plane") : plane_name(session, hand.plane);
    switch (view.scope) {
        case ScopeChoice::whole_athlete:
            return tr("the whole athlete");
        case ScopeChoice::surface:
            return surface;
        case ScopeChoice::plane:
            return plane;
        case ScopeChoice::surface_and_plane:
            return tr("{} and {}", surface, plane);
        case ScopeChoice::finish_signal:
            return tr("the finish signal");
    }
    return "";
}

std::optional<review::ClipTie> tie_of(const review::Session& session, meet::ClipId clip, meet::ClipId other) {
    const auto shown = [&](meet::ClipId id) {
        return std::any_of(session.clips().begin(), session.clips().end(), [&](const review::ClipView& view) {
            return view.id == id && view.table && view.table->size() > 0;
        });
    };
    if (!shown(clip) || !shown(other)) return std::nullopt;
    return review::clip_tie(session.state(), session.run(), clip, other);
}

const meet::Drawing* drawing_of(const review::Session& session, meet::DrawingKind kind,
                                const std::string& key) {
    for (const auto& [id, drawing] : session.state().drawings())
        if (drawing.clip == session.clip() && drawing.kind == kind && drawing.key == key) return &drawing;
    return nullptr;
}

const ruling::StationRuling* station_ruling(const review::Session& session, int station) {
    const auto& ruling = session.ruling().ruling;
    if (!ruling || station < 0 || static_cast<std::size_t>(station) >= ruling->stations.size())
        return nullptr;
    return &ruling->stations[static_cast<std::size_t>(station)];
}

int focused_station(const review::Session& session, const SheetView& view) {
    const course::CourseBook* book = session.book();
    if (!book || book->stations.empty()) return -1;
    const int count = static_cast<int>(book->stations.size());
    if (view.focus >= 0 && view.focus < count) return view.focus;
    for (const meet::FloorCall& call : session.state().floor_calls_of(session.run())) {
        const auto station = book->find_station(call.station);
        if (call.under_appeal && station.valid()) return static_cast<int>(station.value);
    }
    int last_reached = 0;
    for (int i = 0; i < count; ++i) {
        const ruling::StationRuling* now = station_ruling(session, i);
        if (!now) break;
        if (now->verdict == ruling::Verdict::not_shown) return i;
        if (now->verdict != ruling::Verdict::not_reached) last_reached = i;
    }
    return last_reached;
}

StripInput strip_input(const review::Session& session) {
    StripInput input;
    input.state = &session.state();
    input.run = session.run();
    input.clip = session.clip();
    input.book = session.book();
    input.ruling = session.ruling().ruling.get();
    input.ruling_clips = session.ruling().clips;
    input.solid = [&session](meet::EntityKey key) { return session.solid(key); };
    const review::ClipView* clip = session.current_clip();
    if (!clip || !clip->table || clip->table->size() == 0) return input;
    const media::FrameTable& table = *clip->table;
    input.frames = table.size();
    input.frame_time = [kept = clip->table](std::int64_t n) { return kept->time(n).ns; };
    const auto& last = table[table.size() - 1];
    input.end_ns = base::floor_to_time(last.pts + last.duration, table.time_base()).ns;
    input.displayed = session.displayed();
    return input;
}

const StripModel& strip_model_of(const review::Session& session, StripModelKept& kept) {
    const review::ClipView* clip = session.current_clip();
    static const StripModel nothing{};
    if (!clip || !clip->table || clip->table->size() == 0) return nothing;
    StripModelKept now{nullptr,        session.changes(),       session.run(),
                       session.clip(), session.ruling().ruling, clip->table};
    // A mark becomes solid without a change of the meet.
    const bool same = kept.model && session.all_solid() && kept.changes == now.changes &&
                      kept.run == now.run && kept.clip == now.clip && kept.ruling == now.ruling &&
                      kept.table == now.table && kept.solid;
    if (same) return *kept.model;
    now.solid = session.all_solid();
    StripInput input = strip_input(session);
    input.displayed.clear();
    now.model = std::make_shared<const StripModel>(strip_model(input));
    kept = std::move(now);
    return *kept.model;
}

Tone tone_of(const PicturesView& view, meet::ClipId clip) {
    const auto found = view.tones.find(clip);
    return found == view.tones.end() ? Tone{} : found->second;
}

std::string tone_words(const Tone& tone) {
    std::vector<std::string> words;
    if (tone.brightness != 0) words.push_back(tr("brightness {:+}", tone.brightness));
    if (tone.contrast != 0) words.push_back(tr("contrast {:+}", tone.contrast));
    return base::listed(words, tr("and"));
}

std::string meet_words(const review::Session& session) {
    const std::string& name = session.state().info().name;
    return name.empty() ? session.path().filename().string() : name;
}

std::string run_words(const review::Session& session, meet::RunId run) {
    const meet::State& state = session.state();
    const auto found = state.runs().find(run);
    if (found == state.runs().end()) return tr("no run");
    std::string words = found->second.label.empty() ? tr("run {}", run.value) : found->second.label;
    const meet::Athlete* athlete = meet::athlete_of(state, found->second);
    if (athlete != nullptr && !athlete->number.empty()) words = tr("{} · bib {}", words, athlete->number);
    return words;
}

std::string event_words(const review::Session& session, const meet::Event& event) {
    const base::Speaking in_the_windows_language;
    return review::event_words(event, session.book());
}

std::string mark_words(const review::Session& session, const meet::Mark& mark) {
    const base::Speaking in_the_windows_language;
    return review::mark_words(mark, session.book());
}

std::string bracket_words(const meet::Sighting& sighting) {
    const base::Speaking in_the_windows_language;
    return review::bracket_words(sighting);
}

std::string time_left_words(const std::optional<meet::WallTime>& deadline, meet::WallTime now) {
    const base::Speaking in_the_windows_language;
    return review::time_left(deadline, now);
}

std::string holder_words(const meet::SigningKey& key) {
    const std::string as = tr(meet::capacity_words(key.capacity));
    return key.holder.empty() ? tr("the {}", as) : fmt::format("{} ({})", key.holder, as);
}

bool inside(const std::vector<Point>& outline, Point at) {
    bool in = false;
    for (std::size_t i = 0, j = outline.size() - 1; i < outline.size(); j = i++) {
        const Point &a = outline[i], &b = outline[j];
        if ((a[1] > at[1]) != (b[1] > at[1]) && at[0] < (b[0] - a[0]) * (at[1] - a[1]) / (b[1] - a[1]) + a[0])
            in = !in;
    }
    return in;
}

}  // namespace plumbmark::desk
