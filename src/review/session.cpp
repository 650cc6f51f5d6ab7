#include "review/session.h"

#include <fmt/format.h>

#include <algorithm>
#include <chrono>
#include <thread>

#include "base/catalogue.h"
#include "base/worded.h"
#include "review/course_revision.h"
#include "review/evidence.h"
#include "review/internal/session_inner.h"

namespace plumbmark::review {

using base::Category;
using base::Error;
using base::Result;
using base::worded;

namespace {

store::OpenOptions store_options(const SessionOptions& options) {
    store::OpenOptions out;
    out.read_only = options.read_only;
    out.clock = options.clock;
    out.random = options.random;
    out.wake = options.wake;
    return out;
}

/// A clip as the reviewer had it, with what is known of its file now.
meet::Clip with_facts_of(meet::Clip clip, const meet::Clip& now) {
    clip.fingerprint = now.fingerprint;
    clip.content = now.content;
    clip.relative_path = now.relative_path;
    clip.last_known_path = now.last_known_path;
    if (clip.streams.video != now.streams.video) {
        forget_pictures(clip);  // what is known now is another stream's
        return clip;
    }
    clip.frame_count = now.frame_count;
    clip.time_base = now.time_base;
    clip.slowed = now.slowed;
    clip.picture = now.picture;
    clip.repeated = now.repeated;
    return clip;
}

}  // namespace

// --- the state behind ---

Session::Inner::Inner(store::MeetFile opened, SessionOptions chosen)
    : file(std::move(opened)),
      options(std::move(chosen)),
      state(file.take_loaded()),
      rows_at_open(file.rows_at_open()),
      earlier(rows_at_open) {
    ruling_job = std::make_unique<RulingJob>(options.wake);
    content_job = std::make_unique<ContentJob>(options.wake, hand_movement);
}

Result<void> Session::Inner::commit(meet::Change change, bool undoable) {
    if (options.read_only)
        return Error{Category::unsupported,
                     worded("This meet was opened for reading only, so nothing can be changed in it."), ""};
    Result<void> applied = state.apply(change);
    if (!applied) return applied;
    ++changes;
    const store::Ticket ticket = file.submit(change);
    for (const meet::Edit& edit : change.edits)
        last_ticket[edit.key()] = ticket;
    after_change(change);
    if (undoable) history.made(std::move(change), rows_at_open + ticket);
    return {};
}

Result<void> Session::Inner::commit_one(const std::string& label, std::optional<meet::Entity> before,
                                        std::optional<meet::Entity> after) {
    return commit({label, {{std::move(before), std::move(after)}}, 0});
}

Result<std::int64_t> Session::Inner::turn_round(meet::Change change) {
    for (meet::Edit& edit : change.edits) {
        edit.before = state.find(edit.key());
        if (edit.key().kind != meet::Kind::clip || !edit.before || !edit.after) continue;
        // What the program found out about the file since stays.
        edit.after = with_facts_of(std::get<meet::Clip>(*edit.after), std::get<meet::Clip>(*edit.before));
    }
    Result<void> done = commit(change, false);
    if (!done) return done.error();
    return rows_at_open + last_ticket.at(change.edits.front().key());
}

void Session::Inner::after_change(const meet::Change& change) {
    using meet::Kind;
    const auto changes_any = [&](std::initializer_list<Kind> kinds) {
        return std::any_of(change.edits.begin(), change.edits.end(), [&](const meet::Edit& edit) {
            return std::find(kinds.begin(), kinds.end(), edit.key().kind) != kinds.end();
        });
    };
    const bool clips_changed = changes_any({Kind::run, Kind::clip, Kind::book});
    const bool course_changed = changes_any({Kind::athlete, Kind::division, Kind::entry});
    if (selected.valid() && !state.marks().contains(selected) && !state.contacts().contains(selected) &&
        !state.watched().contains(selected))
        selected = {};
    if (clips_changed) {
        if (!state.runs().contains(run))
            run = state.runs().empty() ? meet::RunId{} : state.runs().begin()->first;
        open_clips();
    }
    if (clips_changed || course_changed) read_book();
    // Calls, times, appeals and results are beside the footage: no ruling rests on them.
    const bool of_footage = changes_any({Kind::mark, Kind::contact, Kind::watched});
    if (clips_changed || course_changed || of_footage) ask_ruling();
}

const meet::Run* Session::Inner::current_run() const {
    const auto found = state.runs().find(run);
    return found == state.runs().end() ? nullptr : &found->second;
}

meet::ClipId Session::Inner::clip_of_others(const meet::Clip& placed) const {
    const auto same_file = [&](const meet::Clip& known) {
        return known.relative_path == placed.relative_path && known.last_known_path == placed.last_known_path;
    };
    const std::vector<meet::ClipId>& own = current_run()->clips;
    // A second clip of one run on the same file may be another of its streams.
    if (std::any_of(own.begin(), own.end(), [&](meet::ClipId id) { return same_file(state.clips().at(id)); }))
        return {};
    for (const auto& [id, run_of] : state.runs()) {
        for (const meet::ClipId known : run_of.clips) {
            if (same_file(state.clips().at(known))) return known;
        }
    }
    return {};
}

ClipDesk* Session::Inner::desk_of(meet::ClipId id) {
    const auto found = desks.find(id);
    return found == desks.end() ? nullptr : found->second.get();
}

void Session::Inner::open_clips() {
    const meet::Run* now = current_run();
    const std::vector<meet::ClipId> wanted = now ? now->clips : std::vector<meet::ClipId>{};
    std::erase_if(desks, [&](const auto& entry) {
        const bool gone = std::find(wanted.begin(), wanted.end(), entry.first) == wanted.end();
        if (gone) content_job->forget(entry.first);
        return gone;
    });
    for (const meet::ClipId id : wanted) {
        const meet::Clip& stored = state.clips().at(id);
        std::unique_ptr<ClipDesk>& desk = desks[id];
        if (!desk || desk->view().streams.video != stored.streams.video)
            desk = std::make_unique<ClipDesk>(file.path().parent_path(), stored, pictures, options, [this] {
                return search_places(state, file.path().parent_path());
            });
        desk->take_sound(stored.streams.sound);
    }
    if (!desks.contains(clip)) clip = wanted.empty() ? meet::ClipId{} : wanted.front();
    refresh_views();
}

void Session::Inner::refresh_views() {
    views.clear();
    const meet::Run* now = current_run();
    if (!now) return;
    for (const meet::ClipId id : now->clips)
        views.push_back(desks.at(id)->view());
}

void Session::Inner::ask_ruling() {
    ++ruling_number;
    ruling.current = false;
    const auto refuse = [&](Error error) {
        ruling.ruling.reset();
        ruling.error = std::move(error);
        ruling.current = true;
    };
    if (!current_run())
        return refuse({Category::not_found,
                       worded("There is no run yet. Drop a clip onto the window to begin one."), ""});
    if (book_error) return refuse(*book_error);
    if (!book) {
        if (!book_problems.empty())
            return refuse({Category::bad_input,
                           worded("The course book of this run has mistakes: {}",
                                  book_problems.front().text(state.books().at(book_id).file_name)),
                           ""});
        return refuse({Category::not_found,
                       worded("This run has no course book yet. Drop a .course file onto the window."), ""});
    }
    const bool scanning = std::any_of(desks.begin(), desks.end(), [](const auto& entry) {
        return !entry.second->view().table && !entry.second->view().error;
    });
    if (scanning) return;  // asked again once the frame tables are there
    const TableOf table_of = [this](meet::ClipId id) {
        ClipDesk* desk = desk_of(id);
        return desk && !desk->view().error ? desk->view().table : nullptr;
    };
    Result<RunEvidence> evidence = run_evidence(state, run, *book, table_of);
    if (!evidence) return refuse(evidence.error());
    asked_clips = evidence->clips;
    ruling_job->ask(
        {ruling_number, book, std::make_shared<const ruling::Evidence>(std::move(evidence->evidence))});
}

void Session::Inner::put_at(meet::Clip& moved, const std::filesystem::path& place_of_file) const {
    const StoredPath place = stored_path(file.path(), place_of_file);
    moved.relative_path = place.beside_meet ? place.path : "";
    moved.last_known_path = place.beside_meet ? "" : place.path;
}

Result<void> Session::Inner::take_clip_facts(ClipDesk& desk) {
    if (options.read_only) return {};
    const auto stored = state.clips().find(desk.view().id);
    if (stored == state.clips().end()) return {};
    std::optional<meet::Clip> facts = desk.take_facts(stored->second);
    if (!facts) return {};
    if (desk.moved()) put_at(*facts, desk.view().file);
    if (*facts == stored->second) return {};
    meet::Change change{desk.moved() ? kMovedLabel : kFactsLabel, {{stored->second, *facts}}, 0};
    return commit(std::move(change), false);
}

// --- opening ---

Session::Session(std::unique_ptr<Inner> inner) : inner_(std::move(inner)) {}
Session::~Session() = default;

Result<std::unique_ptr<Session>> Session::create(const std::filesystem::path& path,
                                                 const meet::MeetInfo& info, SessionOptions options) {
    Result<store::MeetFile> file = store::MeetFile::create(path, info, store_options(options));
    if (!file) return file.error();
    auto inner = std::make_unique<Inner>(std::move(*file), std::move(options));
    inner->ask_ruling();
    return std::unique_ptr<Session>(new Session(std::move(inner)));
}

Result<std::unique_ptr<Session>> Session::open(const std::filesystem::path& path, SessionOptions options) {
    Result<store::MeetFile> file = store::MeetFile::open(path, store_options(options));
    if (!file) return file.error();
    auto inner = std::make_unique<Inner>(std::move(*file), std::move(options));
    std::unique_ptr<Session> session(new Session(std::move(inner)));
    const auto& runs = session->state().runs();
    if (!runs.empty()) session->select_run(runs.begin()->first);
    session->inner_->ask_ruling();
    return session;
}

bool Session::poll() {
    bool changed = false;
    bool scanned = false;
    for (auto& [id, desk] : inner_->desks) {
        const bool had_table = desk->view().table != nullptr || desk->view().error.has_value();
        changed |= desk->poll();
        scanned |= !had_table && (desk->view().table || desk->view().error);
    }
    // Facts are committed after the walk, since a change may open or close clips.
    for (const ClipView& view : std::vector<ClipView>(inner_->views)) {
        if (ClipDesk* desk = inner_->desk_of(view.id)) (void)inner_->take_clip_facts(*desk).ok();
        if (ClipDesk* desk = inner_->desk_of(view.id)) (void)inner_->take_repeats(*desk).ok();
    }
    changed |= inner_->look_after_contents();
    inner_->look_through_clips();
    if (changed) inner_->refresh_views();
    if (scanned) inner_->ask_ruling();
    if (std::optional<RulingAnswer> answer = inner_->ruling_job->take();
        answer && answer->number == inner_->ruling_number) {
        inner_->ruling = {std::move(answer->ruling), std::move(answer->error), true,
                          std::move(answer->evidence), inner_->asked_clips};
        changed = true;
    }
    const store::Ticket committed = inner_->file.committed();
    changed |= committed != inner_->last_committed;
    inner_->last_committed = committed;
    return changed || scanned;
}

// --- the meet ---

const std::filesystem::path& Session::path() const {
    return inner_->file.path();
}
bool Session::read_only() const {
    return inner_->options.read_only;
}
const meet::State& Session::state() const {
    return inner_->state;
}
std::uint64_t Session::changes() const {
    return inner_->changes;
}
bool Session::solid(meet::EntityKey key) const {
    const auto found = inner_->last_ticket.find(key);
    return found == inner_->last_ticket.end() || found->second <= inner_->file.committed();
}
bool Session::all_solid() const {
    return std::all_of(inner_->last_ticket.begin(), inner_->last_ticket.end(),
                       [&](const auto& entry) { return entry.second <= inner_->file.committed(); });
}
std::optional<Error> Session::save_failure() const {
    return inner_->file.failure();
}
void Session::retry_save() {
    inner_->file.retry();
}
Result<void> Session::flush() {
    return inner_->file.flush();
}

Result<meet::ClipId> Session::add_clip(const std::filesystem::path& file, const std::string& name) {
    // A drive that does not answer at once is the clip's own matter, once it is there.
    const auto type = media::type_of_file(file, {{}, kGlance});
    if (type && *type != std::filesystem::file_type::regular)
        return Error{Category::not_found,
                     worded("There is no such file, or it is not a file that can be read."), file.string()};
    meet::Change change{base::to_translate("add clip"), {}, 0};
    meet::Clip clip;
    clip.id = {inner_->state.next_id(meet::Kind::clip)};
    inner_->put_at(clip, file);
    const meet::Run* run = inner_->current_run();
    if (const meet::ClipId known = run ? inner_->clip_of_others(clip) : meet::ClipId{}; known.valid()) {
        meet::Run longer = *run;
        longer.clips.push_back(known);
        change.edits.push_back({*run, longer});
        if (Result<void> done = inner_->commit(std::move(change)); !done) return done.error();
        select_clip(known);
        return known;
    }
    const std::size_t letter = run ? run->clips.size() : 0;
    clip.name = !name.empty() ? name
                : letter < 26 ? fmt::format("camera {}", static_cast<char>('A' + letter))
                              : fmt::format("camera {}", letter + 1);
    change.edits.push_back({std::nullopt, clip});
    if (run) {
        meet::Run longer = *run;
        longer.clips.push_back(clip.id);
        change.edits.push_back({*run, longer});
    } else {
        meet::Run first;
        first.id = {inner_->state.next_id(meet::Kind::run)};
        first.label = "run 1";
        first.clips.push_back(clip.id);
        if (!inner_->state.books().empty()) first.book = inner_->state.books().rbegin()->first;
        change.edits.push_back({std::nullopt, first});
        inner_->run = first.id;
    }
    Result<void> done = inner_->commit(std::move(change));
    if (!done) return done.error();
    select_clip(clip.id);
    return clip.id;
}

Result<meet::RunId> Session::add_run(const std::string& label, meet::AthleteId athlete,
                                     const std::vector<meet::ClipId>& clips) {
    meet::Run run;
    run.clips = clips;
    run.id = {inner_->state.next_id(meet::Kind::run)};
    run.label = label;
    run.athlete = athlete;
    if (!inner_->state.books().empty()) run.book = inner_->state.books().rbegin()->first;
    run.division = inner_->division_of(run);
    Result<void> done = inner_->commit_one(base::to_translate("add a run"), std::nullopt, run);
    if (!done) return done.error();
    select_run(run.id);
    return run.id;
}

Result<meet::AthleteId> Session::add_athlete(const meet::Athlete& athlete) {
    meet::Athlete added = athlete;
    added.id = {inner_->state.next_id(meet::Kind::athlete)};
    Result<void> done = inner_->commit_one("add number " + athlete.number, std::nullopt, added);
    if (!done) return done.error();
    return added.id;
}

Result<void> Session::put_floor_call(const std::string& station, meet::Call call, bool under_appeal,
                                     const std::string& judge) {
    meet::FloorCall now{{}, run(), station, call, judge, under_appeal};
    for (const meet::FloorCall& stored : inner_->state.floor_calls_of(now.run)) {
        if (stored.station != station) continue;
        now.id = stored.id;
        return inner_->commit_one("floor call for " + station, stored, now);
    }
    now.id = {inner_->state.next_id(meet::Kind::floor_call)};
    return inner_->commit_one("floor call for " + station, std::nullopt, now);
}

// --- where the reviewer is ---

meet::RunId Session::run() const {
    return inner_->run;
}

void Session::select_run(meet::RunId run) {
    if (!inner_->state.runs().contains(run)) return;
    inner_->run = run;
    inner_->selected = {};
    inner_->ruling = {};
    inner_->open_clips();
    inner_->read_book();
    inner_->ask_ruling();
}

meet::ClipId Session::clip() const {
    return inner_->clip;
}

void Session::select_clip(meet::ClipId clip) {
    if (inner_->desks.contains(clip)) inner_->clip = clip;
}

const std::vector<ClipView>& Session::clips() const {
    return inner_->views;
}

const ClipView* Session::current_clip() const {
    for (const ClipView& view : inner_->views) {
        if (view.id == inner_->clip) return &view;
    }
    return nullptr;
}

std::int64_t Session::frame() const {
    const ClipDesk* desk = inner_->current_desk();
    return desk ? desk->frame() : 0;
}

void Session::go_to_frame(std::int64_t frame) {
    inner_->hand_movement->note();
    if (ClipDesk* desk = inner_->current_desk()) desk->request(frame);
}

void Session::step(std::int64_t frames) {
    go_to_frame(frame() + frames);
}

base::Time Session::time() const {
    const ClipView* view = current_clip();
    if (!view || !view->table || view->table->size() == 0) return {};
    return view->table->time(frame());
}

const PictureView& Session::picture() const {
    const ClipDesk* desk = inner_->current_desk();
    return desk ? desk->picture() : inner_->no_picture;
}

std::int64_t Session::frame_of(meet::ClipId clip) const {
    const ClipDesk* desk = inner_->desk_of(clip);
    return desk ? desk->frame() : 0;
}

const PictureView& Session::picture_of(meet::ClipId clip) const {
    const ClipDesk* desk = inner_->desk_of(clip);
    return desk ? desk->picture() : inner_->no_picture;
}

void Session::place_clip(meet::ClipId clip, std::int64_t frame) {
    inner_->hand_movement->note();
    if (ClipDesk* desk = inner_->desk_of(clip)) desk->request(frame);
}

std::shared_ptr<const media::Picture> Session::side_picture(std::int64_t frame) {
    ClipDesk* desk = inner_->current_desk();
    return desk ? desk->side_picture(frame) : nullptr;
}

void Session::cancel_scan() {
    if (ClipDesk* desk = inner_->current_desk()) desk->cancel_scan();
}

// --- undo ---

std::optional<std::string> Session::undo_label() const {
    if (!inner_->history.can_undo()) return std::nullopt;
    return inner_->history.undo_label();
}

std::optional<std::string> Session::redo_label() const {
    if (!inner_->history.can_redo()) return std::nullopt;
    return inner_->history.redo_label();
}

Result<bool> Session::recall_earlier() {
    Inner& in = *inner_;
    while (!in.options.read_only && !in.history.can_undo() && in.earlier.more()) {
        const auto steps = in.earlier.batch(in.file);
        if (!steps) return steps.error();
        for (const EarlierStep& step : *steps)
            in.history.made_earlier(step);
    }
    return in.history.can_undo();
}

bool Session::undo_reaches_earlier() const {
    return inner_->history.can_undo() && inner_->history.undo_is_earlier();
}

Result<void> Session::undo() {
    if (!inner_->history.can_undo())
        return Error{Category::not_found, worded("There is nothing to undo."), ""};
    Result<std::int64_t> row = inner_->turn_round(inner_->history.undo_change());
    if (!row) return row.error();
    inner_->history.undone(*row);
    return {};
}

Result<void> Session::redo() {
    if (!inner_->history.can_redo())
        return Error{Category::not_found, worded("There is nothing to redo."), ""};
    Result<std::int64_t> row = inner_->turn_round(inner_->history.redo_change());
    if (!row) return row.error();
    inner_->history.redone(*row);
    return {};
}

// --- the ruling ---

const RulingView& Session::ruling() const {
    return inner_->ruling;
}

void Session::rule_anew() {
    // What is wrong with its book is said again, too.
    inner_->whole_book.reset();
    inner_->book_problems.clear();
    inner_->read_book();
    inner_->ask_ruling();
}

Result<void> Session::settle() {
    while (true) {
        poll();
        const bool pictures = std::all_of(inner_->desks.begin(), inner_->desks.end(),
                                          [](const auto& entry) { return entry.second->settled(); });
        if (pictures && inner_->ruling.current) return flush();
        std::this_thread::sleep_for(std::chrono::milliseconds(1));
    }
}

}  // namespace plumbmark::review
