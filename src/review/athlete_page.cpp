#include "review/athlete_page.h"

#include <fmt/format.h>

#include <algorithm>
#include <set>
#include <system_error>
#include <utility>

#include "base/check.h"
#include "base/worded.h"
#include "meet/who_ran.h"
#include "review/coach_notes.h"
#include "review/compare_runs.h"
#include "review/documents.h"
#include "review/evidence.h"
#include "review/export_clip.h"
#include "review/internal/without_name.h"
#include "review/study_runs.h"

namespace plumbmark::review {
namespace {

using base::Category;
using base::Error;
using base::Result;
using base::Sentence;
using base::worded;
using report::Reference;

Error cancelled() {
    return {Category::cancelled, worded("The athlete's page was stopped before it was made."), ""};
}

std::vector<meet::RunId> own_others(const meet::State& state, meet::RunId mine) {
    const meet::Athlete* athlete = meet::athlete_of(state, state.runs().at(mine));
    std::vector<meet::RunId> runs;
    for (const auto& [id, run] : state.runs())
        if (athlete && id != mine && meet::athlete_of(state, run) == athlete) runs.push_back(id);
    return runs;
}

/// The meet as it may be told of: without the names of those of these runs' athletes who refused consent.
meet::State tellable(const meet::State& state, const std::set<meet::RunId>& runs) {
    meet::State out = state;
    const auto apply = [&out](meet::Edit edit) {
        PLUMBMARK_CHECK(out.apply({"without a name", {std::move(edit)}, 0}).ok());
    };
    for (const meet::RunId id : runs) {
        if (!refuses_name(state, id)) continue;
        const meet::Athlete athlete = *meet::athlete_of(state, state.runs().at(id));
        // Another run of the same athlete may have taken the name out, by which texts are searched.
        if (const meet::Athlete& now = out.athletes().at(athlete.id); !(now == athlete))
            apply({now, athlete});
        out = without_name(out, id);
        for (const meet::CoachNote& note : state.notes_of(id)) {
            meet::CoachNote after = note;
            after.text = without_name(note.text, athlete.name, athlete.number);
            if (!(after == note)) apply({note, after});
        }
    }
    return out;
}

class Maker {
  public:
    Maker(const Session& session, const AthletePageWish& wish)
        : session_(session), wish_(wish), mine_(session.run()) {}

    Result<report::AthletePage> make() {
        if (!mine_.valid() || !session_.state().runs().contains(mine_))
            return Error{Category::not_found, worded("This meet has no run yet."), ""};
        if (auto found = find_runs(); !found) return found.error();
        if (auto made = add_ruling(); !made) return made.error();
        if (auto made = add_figures(); !made) return made.error();
        if (auto made = add_notes(); !made) return made.error();
        return std::move(page_);
    }

  private:
    Result<void> find_runs() {
        const meet::State& state = session_.state();
        own_ = own_others(state, mine_);
        for (const meet::RunId run : wish_.against) {
            if (!state.runs().contains(run))
                return Error{Category::not_found, worded("There is no such run in this meet."), ""};
            // Held against itself a run would seem open where it is not.
            const bool again = std::find(against_.begin(), against_.end(), run) != against_.end();
            if (run != mine_ && !again) against_.push_back(run);
        }
        if (!wish_.division.empty()) {
            auto found = runs_of_division(state, wish_.division, mine_);
            if (!found) return found.error();
            division_ = std::move(*found);
        }
        std::set<meet::RunId> all{mine_};
        for (const auto* runs : {&own_, &against_, &division_})
            all.insert(runs->begin(), runs->end());
        to_open_ = all.size();
        state_ = tellable(state, all);
        return {};
    }

    Result<void> add_ruling() {
        const RulingView& view = session_.ruling();
        if (view.error) return *view.error;
        if (!view.ruling || !view.current || !session_.book())
            return Error{Category::busy, worded("The ruling is still being reached."), ""};
        page_.ruling = ruling_document({state_, mine_, *session_.whole_book(), *session_.book(),
                                        *view.evidence, view.clips, *view.ruling});
        return {};
    }

    Result<void> add_figures() {
        RunStudy study(state_, session_.path());
        auto mine = open(study, mine_);
        if (!mine) return mine.error();
        std::vector<Group> groups;
        if (!own_.empty())
            if (auto added = add_group(groups, study, worded("the athlete's other runs"), own_, true); !added)
                return added;
        if (!wish_.division.empty())
            if (auto added =
                    add_group(groups, study, worded("division {}", wish_.division), division_, false);
                !added)
                return added;
        if (!against_.empty()) {
            std::vector<Sentence> names;
            for (const meet::RunId run : against_)
                names.emplace_back(state_.runs().at(run).label);
            if (auto added = add_group(groups, study, base::listed_words(names), against_, false); !added)
                return added;
            for (const meet::RunId run : against_)
                if (auto added = add_beside(study, *mine, run); !added) return added;
        }
        page_.figures = compare_one(*mine, groups);
        for (Sentence& note : left_out_)
            page_.figures.notes.push_back(std::move(note));
        return {};
    }

    Result<Opened> open(RunStudy& study, meet::RunId run) {
        if (const auto known = opened_.find(run); known != opened_.end()) return known->second;
        auto open = study.open(run, wish_.stop);
        if (!open) return open.error().category == Category::cancelled ? cancelled() : open.error();
        opened_[run] = *open;
        if (wish_.progress)
            wish_.progress(0.9 * static_cast<double>(opened_.size()) / static_cast<double>(to_open_));
        return *open;
    }

    /// Its best, and of several its median. The athlete's own runs have their best alone.
    Result<void> add_group(std::vector<Group>& groups, RunStudy& study, const Sentence& name,
                           const std::vector<meet::RunId>& ids, bool own) {
        std::vector<Opened> runs;
        for (const meet::RunId id : ids) {
            if (wish_.stop.stop_requested()) return cancelled();
            auto opened = open(study, id);
            if (opened) {
                runs.push_back(*opened);
            } else if (opened.error().category == Category::cancelled) {
                return opened.error();
            } else {
                left_out_.push_back(
                    worded("Left out: {}: {}", state_.runs().at(id).label, opened.error().sentence));
            }
        }
        groups.push_back({own ? Reference::Kind::own_best : Reference::Kind::group_best, name, runs});
        if (!own && runs.size() > 1) groups.push_back({Reference::Kind::group_median, name, std::move(runs)});
        return {};
    }

    Result<void> add_beside(RunStudy& study, const Opened& mine, meet::RunId run) {
        const auto other = open(study, run);
        if (!other)
            return other.error().category == Category::cancelled ? Result<void>(other.error())
                                                                 : Result<void>();
        auto two = compare_two(mine, *other, {});
        if (!two) return two.error();
        page_.beside.push_back(std::move(*two));
        return {};
    }

    Result<void> add_notes() {
        NoteStills stills;
        if (wish_.pictures) {
            auto made = note_stills(session_, wish_.stop);
            if (!made) return made.error();
            stills = std::move(*made);
            page_.faces = stills.faces;
        }
        for (const meet::CoachNote& note : notes_in_order(state_, mine_)) {
            report::PageNote& out = page_.notes.emplace_back();
            const meet::Clip& clip = state_.clips().at(note.clip);
            out.clip = clip.name;
            out.frame = note.frame.number;
            out.at = frame_time(clip, note.frame);
            out.text = note.text;
            const auto still = std::find_if(stills.stills.begin(), stills.stills.end(),
                                            [&](const NoteStill& one) { return one.note == note.id; });
            if (still == stills.stills.end()) continue;
            out.picture = std::move(still->picture);
            out.no_picture = still->trouble;
        }
        if (wish_.progress) wish_.progress(1);
        return {};
    }

    const Session& session_;
    const AthletePageWish& wish_;
    meet::RunId mine_;
    meet::State state_;  ///< as it may be told of
    std::vector<meet::RunId> own_, against_, division_;
    std::size_t to_open_ = 1;
    std::map<meet::RunId, Opened> opened_;
    std::vector<Sentence> left_out_;
    report::AthletePage page_;
};

}  // namespace

Result<report::AthletePage> athlete_page(const Session& session, const AthletePageWish& wish) {
    return Maker(session, wish).make();
}

Result<ShortClips> write_short_clips(const Session& session, report::AthletePage& page,
                                     const std::filesystem::path& folder,
                                     const std::function<void(double)>& progress,
                                     const std::stop_token& stop) {
    std::error_code problem;
    std::filesystem::create_directories(folder, problem);
    if (problem || !std::filesystem::is_directory(folder, problem))
        return Error{Category::io, worded("The folder cannot be made. Choose another one."), folder.string()};
    const std::vector<meet::CoachNote> notes = notes_in_order(session.state(), session.run());
    const meet::State told = tellable(session.state(), {session.run()});
    ShortClips made;
    for (std::size_t i = 0; i < notes.size() && i < page.notes.size(); ++i) {
        if (stop.stop_requested())
            return Error{Category::cancelled, worded("Writing the clips was stopped."), ""};
        const auto view = std::find_if(session.clips().begin(), session.clips().end(),
                                       [&](const ClipView& one) { return one.id == notes[i].clip; });
        if (view == session.clips().end() || !view->table || view->error ||
            notes[i].frame.number >= view->table->size()) {
            made.notices.push_back(worded("No clip of note {}: the file of {} cannot be read.",
                                          static_cast<std::int64_t>(i) + 1, page.notes[i].clip));
            continue;
        }
        ExportWish wish;
        wish.clip = notes[i].clip;
        wish.frames = around_note(*view->table, notes[i].frame.number);
        wish.out = folder / fmt::format("note-{}-f{}-{}.mp4", i + 1, (*wish.frames)[0], (*wish.frames)[1]);
        auto work = plan_export(session, wish);
        if (!work) return work.error();
        work->state = told;
        const auto share = [&](double part) {
            if (progress) progress((static_cast<double>(i) + part) / static_cast<double>(notes.size()));
        };
        auto written = carry_out_export(*work, share, stop);
        if (!written) return written.error();
        page.notes[i].short_clip = wish.out.filename().string();
        made.files.push_back(wish.out);
        if (std::find(made.faces.begin(), made.faces.end(), written->faces) == made.faces.end())
            made.faces.push_back(written->faces);
        for (Sentence& notice : written->notices)
            made.notices.push_back(std::move(notice));
    }
    return made;
}

}  // namespace plumbmark::review
