#include "review/erasure.h"

#include <algorithm>
#include <set>
#include <tuple>

#include "base/text.h"
#include "base/worded.h"
#include "meet/personal.h"
#include "review/internal/earlier.h"

namespace plumbmark::review {
namespace {

using base::Category;
using base::Error;
using base::Result;
using meet::EntityKey;
using meet::Kind;

constexpr std::int64_t kRowsAtOnce = 2'000;

EntityKey clip_key(meet::ClipId clip) {
    return {Kind::clip, clip.value};
}

/// What things ever named, over the whole journal.
class Ties {
  public:
    void note(const meet::Entity& entity) {
        const EntityKey key = meet::key_of(entity);
        if (const auto* athlete = std::get_if<meet::Athlete>(&entity)) {
            numbers_[athlete->id] = athlete->number;
        } else if (const auto* entry = std::get_if<meet::Entry>(&entity)) {
            owners_[key].insert({Kind::athlete, entry->athlete.value});
        } else if (const auto* run = std::get_if<meet::Run>(&entity)) {
            if (run->athlete.valid()) owners_[key].insert({Kind::athlete, run->athlete.value});
            if (run->entry.valid()) owners_[key].insert({Kind::entry, run->entry.value});
            if (run->athlete.valid() || run->entry.valid()) athletes_runs_.insert(key);
            for (const meet::ClipId clip : run->clips)
                owners_[{Kind::clip, clip.value}].insert(key);
        } else if (const auto* decision = std::get_if<meet::Decision>(&entity)) {
            owners_[key].insert({Kind::appeal, decision->appeal.value});
        } else if (const auto* cover = std::get_if<meet::Cover>(&entity)) {
            owners_[key].insert(clip_key(cover->clip));
        } else if (const auto* stand = std::get_if<meet::CameraStand>(&entity)) {
            if (stand->lens.valid()) owners_[{Kind::lens, stand->lens.value}].insert(clip_key(stand->clip));
        } else if (const auto* tester = std::get_if<meet::Tester>(&entity)) {
            names_[tester->id].insert(tester->name);
        } else if (const auto* release = std::get_if<meet::Release>(&entity)) {
            signed_by_[key].insert(release->tester);
        } else if (const auto* trial = std::get_if<meet::Trial>(&entity)) {
            note_trial(key, *trial);
        } else if (const auto* publication = std::get_if<meet::Publication>(&entity)) {
            if (!publication->note.empty()) note_lines(key, *publication);
        } else {
            std::visit(
                [&](const auto& thing) {
                    if constexpr (requires { thing.run; }) owners_[key].insert({Kind::run, thing.run.value});
                },
                entity);
        }
    }

    /// Athletes that had this number last.
    [[nodiscard]] std::set<EntityKey> athletes(const std::string& number) const {
        std::set<EntityKey> found;
        for (const auto& [id, its] : numbers_) {
            if (its == number) found.insert({Kind::athlete, id.value});
        }
        return found;
    }

    /// What a tester was ever called; none where there never was such a tester.
    [[nodiscard]] std::optional<std::set<std::string>> names(meet::TesterId tester) const {
        const auto found = names_.find(tester);
        if (found == names_.end()) return std::nullopt;
        std::set<std::string> names = found->second;
        names.erase(std::string());  // of one that was erased already
        return names;
    }
    /// A tester, their trials, what they signed, and runs of which every trial ever was theirs.
    [[nodiscard]] std::set<EntityKey> of_tester(meet::TesterId tester) const {
        const EntityKey person{Kind::tester, tester.value};
        std::set<EntityKey> found{person};
        for (const auto& [release, signers] : signed_by_) {
            if (have_one(signers, names(tester).value_or(std::set<std::string>{}))) found.insert(release);
        }
        const auto theirs = [&](const EntityKey& trial) { return owners_.at(trial).contains(person); };
        for (const auto& [run, trials] : trials_) {
            if (!athletes_runs_.contains(run) && std::all_of(trials.begin(), trials.end(), theirs))
                found.insert(run);
        }
        return found;
    }

    /// These and all that ever belonged to one of them.
    [[nodiscard]] std::set<EntityKey> belonging_to(std::set<EntityKey> persons) const {
        std::set<EntityKey>& found = persons;
        // Athlete, entry, run, appeal, decision and the like: few steps; then nothing more comes.
        for (std::size_t before = 0; before != found.size();) {
            before = found.size();
            for (const auto& [key, owners] : owners_) {
                const bool belongs = std::any_of(owners.begin(), owners.end(), [&](const EntityKey& owner) {
                    return found.contains(owner);
                });
                if (belongs) found.insert(key);
            }
        }
        return found;
    }

  private:
    static bool have_one(const std::set<std::string>& some, const std::set<std::string>& others) {
        return std::any_of(some.begin(), some.end(),
                           [&](const std::string& one) { return others.contains(one); });
    }
    void note_trial(EntityKey key, const meet::Trial& trial) {
        owners_[key].insert({Kind::tester, trial.tester.value});
        if (!trial.run.valid()) return;
        owners_[key].insert({Kind::run, trial.run.value});
        trials_[{Kind::run, trial.run.value}].insert(key);
    }
    void note_lines(EntityKey key, const meet::Publication& publication) {
        for (const meet::PublishedLine& line : publication.lines)
            owners_[key].insert({Kind::entry, line.entry.value});
    }

    std::map<meet::AthleteId, std::string> numbers_;
    std::map<EntityKey, std::set<EntityKey>> owners_;
    std::set<EntityKey> athletes_runs_;
    std::map<meet::TesterId, std::set<std::string>> names_;
    std::map<EntityKey, std::set<std::string>> signed_by_;  // of releases
    std::map<EntityKey, std::set<EntityKey>> trials_;       // of runs
};

using Value = std::tuple<EntityKey, std::size_t, std::string>;

void collect_values(const meet::Entity& entity, std::set<Value>& values) {
    const auto members = meet::personal_members(entity);
    for (std::size_t i = 0; i < members.size(); ++i) {
        if (!members[i]->empty()) values.emplace(meet::key_of(entity), i, *members[i]);
    }
}

/// Calls 'each' with everything that any row of the journal says.
Result<void> walk(const store::MeetFile& file, const std::function<bool(double)>& progress,
                  const std::function<void(const meet::Entity&)>& each) {
    for (std::int64_t from = 1;; from += kRowsAtOnce) {
        const auto changes = file.changes(from, kRowsAtOnce);
        if (!changes) return changes.error();
        for (const meet::Change& change : *changes) {
            for (const meet::Edit& edit : change.edits) {
                if (edit.before) each(*edit.before);
                if (edit.after) each(*edit.after);
            }
        }
        const double all = static_cast<double>(std::max<std::int64_t>(1, file.rows_at_open()));
        if (progress && !progress(std::min(1.0, static_cast<double>(from + kRowsAtOnce) / all)))
            return Error{Category::cancelled, "Nothing was erased.", ""};
        if (std::ssize(*changes) < kRowsAtOnce) return {};
    }
}

bool is_now_of(const meet::State& state, const meet::Run& run, const std::set<EntityKey>& persons) {
    if (const auto entry = state.entries().find(run.entry); entry != state.entries().end())
        return persons.contains({Kind::athlete, entry->second.athlete.value});
    return persons.contains({Kind::athlete, run.athlete.value});
}

/// What of the state belongs to a person now. 'who' stands where a name may not be missing.
class Standing {
  public:
    Standing(const meet::State& state, std::string who) : state_(state), who_(std::move(who)) {}

    void plan_athletes(const std::set<EntityKey>& persons, Erasure& erasure) {
        for (const EntityKey& person : persons)
            empty(person, erasure);
        std::set<meet::EntryId> entries;
        for (const auto& [id, entry] : state_.entries()) {
            if (!persons.contains({Kind::athlete, entry.athlete.value})) continue;
            entries.insert(id);
            empty({Kind::entry, id.value}, erasure);
        }
        for (const auto& [id, run] : state_.runs()) {
            if (is_now_of(state_, run, persons)) plan_run(run, erasure);
        }
        plan_clips(erasure);
        plan_results(entries, erasure);
    }

    void plan_tester(meet::TesterId tester, const std::set<std::string>& names, Erasure& erasure) {
        empty({Kind::tester, tester.value}, erasure);
        std::int64_t trials = 0, releases = 0;
        for (const auto& [id, trial] : state_.trials()) {
            if (trial.tester != tester) continue;
            ++trials;
            empty({Kind::trial, id.value}, erasure);
        }
        for (const auto& [id, release] : state_.releases()) {
            if (!names.contains(release.tester)) continue;
            ++releases;
            empty({Kind::release, id.value}, erasure);
        }
        for (const auto& [id, run] : state_.runs()) {
            if (is_trial_of(run, tester)) plan_run(run, erasure);
        }
        plan_clips(erasure);
        erasure.stays.push_back("the measures, age and sex of " + who_);
        if (trials > 0)
            erasure.stays.push_back(base::counted(trials, "trial") +
                                    " with station, surfaces, items and how it came out");
        add_runs_stay(erasure);
        if (releases > 0)
            erasure.stays.push_back(base::counted(releases, "release") + " with what was released and when");
        if (!state_.rigs().empty() || !state_.closings().empty())
            erasure.stays.push_back("what was written of rigs and of closed questions");
    }

  private:
    [[nodiscard]] bool is_trial_of(const meet::Run& run, meet::TesterId tester) const {
        if (run.athlete.valid() || run.entry.valid()) return false;
        for (const meet::Trial& trial : state_.trials_of(run.id)) {
            if (trial.tester != tester) return false;
        }
        return !state_.trials_of(run.id).empty();
    }
    void plan_run(const meet::Run& run, Erasure& erasure) {
        runs_.insert(run.id);
        clips_.insert(run.clips.begin(), run.clips.end());
        empty({Kind::run, run.id.value}, erasure);
        empty_all(state_.marks_of(run.id), erasure);
        empty_all(state_.floor_calls_of(run.id), erasure);
        empty_all(state_.clock_times_of(run.id), erasure);
        empty_all(state_.appeals_of(run.id), erasure);
        empty_all(state_.trials_of(run.id), erasure);
        empty_all(state_.notes_of(run.id), erasure);
        for (const auto& [id, decision] : state_.decisions()) {
            if (state_.appeals().at(decision.appeal).run == run.id)
                empty({Kind::decision, id.value}, erasure);
        }
    }
    void plan_clips(Erasure& erasure) {
        std::set<meet::ClipId> shared;
        for (const auto& [id, run] : state_.runs()) {
            if (runs_.contains(id)) continue;
            for (const meet::ClipId clip : run.clips) {
                if (clips_.contains(clip)) shared.insert(clip);
            }
        }
        for (const meet::ClipId clip : clips_) {
            if (!shared.contains(clip)) empty({Kind::clip, clip.value}, erasure);
        }
        for (const auto& [id, cover] : state_.covers()) {
            if (clips_.contains(cover.clip) && !shared.contains(cover.clip))
                empty({Kind::cover, id.value}, erasure);
        }
        plan_lenses(shared, erasure);
        erasure.shared_clips = std::ssize(shared);
    }
    // "Maria's phone": of cameras whose clips are all of this person.
    void plan_lenses(const std::set<meet::ClipId>& shared, Erasure& erasure) {
        std::set<meet::LensId> theirs, others;
        for (const auto& [id, stand] : state_.stands()) {
            const bool is_theirs = clips_.contains(stand.clip) && !shared.contains(stand.clip);
            if (stand.lens.valid()) (is_theirs ? theirs : others).insert(stand.lens);
        }
        for (const meet::LensId lens : theirs) {
            if (!others.contains(lens)) empty({Kind::lens, lens.value}, erasure);
        }
    }
    void plan_results(const std::set<meet::EntryId>& entries, Erasure& erasure) {
        std::int64_t publications = 0;
        for (const auto& [id, publication] : state_.publications()) {
            const bool has_them =
                std::any_of(publication.lines.begin(), publication.lines.end(),
                            [&](const meet::PublishedLine& line) { return entries.contains(line.entry); });
            if (!has_them) continue;
            ++publications;
            empty({Kind::publication, id.value}, erasure);
        }
        erasure.stays.push_back("the number " + erasure.number + " and its division");
        if (!entries.empty())
            erasure.stays.push_back(base::counted(std::ssize(entries), "start") +
                                    " with heat, place in it and status");
        add_runs_stay(erasure);
        if (publications > 0)
            erasure.stays.push_back(base::counted(publications, "publication") + " with the places in them");
    }

    void add_runs_stay(Erasure& erasure) const {
        if (!runs_.empty())
            erasure.stays.push_back(base::counted(std::ssize(runs_), "run") +
                                    " with calls, times, marks and what was decided");
    }

    template <class T>
    void empty_all(const meet::Listed<T>& things, Erasure& erasure) {
        for (const T& thing : things)
            empty({meet::kind_for<T>(), thing.id.value}, erasure);
    }
    /// What stands in place of a value that people look things up by.
    [[nodiscard]] std::string stand_in(EntityKey key, std::size_t member) const {
        if (member > 0) return {};
        if (key.kind == Kind::run || key.kind == Kind::tester || key.kind == Kind::release) return who_;
        if (key.kind == Kind::lens) return "lens " + std::to_string(key.id);
        return key.kind == Kind::clip ? "clip " + std::to_string(key.id) : std::string();
    }
    void empty(EntityKey key, Erasure& erasure) {
        const std::optional<meet::Entity> before = state_.find(key);
        if (!before) return;
        meet::Entity after = *before;
        const auto members = meet::personal_members(after);
        const auto words = meet::personal_words(after);
        bool any = false;
        for (std::size_t i = 0; i < members.size(); ++i) {
            const std::string instead = stand_in(key, i);
            if (members[i]->empty() || *members[i] == instead) continue;
            any = true;
            ++erasure.goes[words[i]];
            *members[i] = instead;
        }
        if (any) erasure.change.edits.push_back({before, std::move(after)});
    }

    const meet::State& state_;
    const std::string who_;
    std::set<meet::RunId> runs_;
    std::set<meet::ClipId> clips_;
};

/// Those of the athletes that are meant: whoever has the number now, and those removed who had it.
Result<std::set<EntityKey>> persons_meant(const meet::State& state, const Ties& ties,
                                          const std::string& number) {
    std::set<EntityKey> persons;
    std::int64_t here = 0;
    for (const EntityKey& key : ties.athletes(number)) {
        const auto stored = state.athletes().find({key.id});
        if (stored != state.athletes().end() && stored->second.number != number) continue;
        here += stored != state.athletes().end() ? 1 : 0;
        persons.insert(key);
    }
    if (here > 1)
        return Error{
            Category::bad_input,
            "Several athletes have the number " + number + ". Give each a number of their own first.", ""};
    if (persons.empty())
        return Error{Category::not_found, "Nobody in this meet has or had the number " + number + ".", ""};
    return persons;
}

using Progress = std::function<bool(double)>;

/// The half of the whole that begins here.
Progress half(const Progress& whole, double begin) {
    return [&whole, begin](double share) { return !whole || whole(begin + share / 2); };
}

Result<Ties> ties_of(const store::MeetFile& file, const Progress& progress) {
    Ties ties;
    const auto note = [&](const meet::Entity& thing) { ties.note(thing); };
    if (Result<void> read = walk(file, half(progress, 0), note); !read) return read.error();
    return ties;
}

Erasure erasure_of(std::string who) {
    Erasure erasure;
    erasure.change.label = kErasureLabel + who;
    erasure.who = std::move(who);
    return erasure;
}

/// Adds what these things ever held and do not hold now.
Result<void> add_earlier(const store::MeetFile& file, const std::set<EntityKey>& ever,
                         const Progress& progress, Erasure& erasure) {
    std::set<Value> values;
    const auto note_values = [&](const meet::Entity& thing) {
        if (ever.contains(meet::key_of(thing))) collect_values(thing, values);
    };
    if (Result<void> read = walk(file, half(progress, 0.5), note_values); !read) return read;
    std::set<Value> standing;
    for (const EntityKey& key : ever) {
        if (const auto now = file.loaded().find(key)) collect_values(*now, standing);
        erasure.also.push_back(key);
    }
    erasure.earlier = std::count_if(values.begin(), values.end(),
                                    [&](const Value& value) { return !standing.contains(value); });
    return {};
}

}  // namespace

Result<Erasure> plan_erasure(const store::MeetFile& file, const std::string& number,
                             const Progress& progress) {
    const Result<Ties> ties = ties_of(file, progress);
    if (!ties) return ties.error();
    const Result<std::set<EntityKey>> persons = persons_meant(file.loaded(), *ties, number);
    if (!persons) return persons.error();
    Erasure erasure = erasure_of("number " + number);
    erasure.number = number;
    Standing(file.loaded(), erasure.who).plan_athletes(*persons, erasure);
    if (Result<void> added = add_earlier(file, ties->belonging_to(*persons), progress, erasure); !added)
        return added.error();
    return erasure;
}

Result<Erasure> plan_tester_erasure(const store::MeetFile& file, meet::TesterId tester,
                                    const Progress& progress) {
    const Result<Ties> ties = ties_of(file, progress);
    if (!ties) return ties.error();
    const auto names = ties->names(tester);
    if (!names)
        return Error{Category::not_found,
                     base::worded("There is no tester {} in this meet, and never was.", tester.value), ""};
    Erasure erasure = erasure_of("tester " + std::to_string(tester.value));
    Standing(file.loaded(), erasure.who).plan_tester(tester, *names, erasure);
    const std::set<EntityKey> ever = ties->belonging_to(ties->of_tester(tester));
    if (Result<void> added = add_earlier(file, ever, progress, erasure); !added) return added.error();
    return erasure;
}

Result<store::ChainReport> erase(store::MeetFile& file, const Erasure& erasure) {
    file.submit_erasing(erasure.change, erasure.also);
    if (Result<void> written = file.flush(); !written) return written.error();
    return store::verify_chain(file.path());
}

}  // namespace plumbmark::review
