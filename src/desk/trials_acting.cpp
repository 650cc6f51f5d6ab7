// The page of the trials on the desk: opening it, its keys, and carrying out what it asks for.
#include <algorithm>

#include "base/text.h"
#include "desk/internal/desk_core.h"
#include "desk/internal/say.h"
#include "report/release_sheet.h"
#include "review/rig_text.h"
#include "review/trials_told.h"

namespace plumbmark::desk {
namespace fs = std::filesystem;

void DeskCore::open_trials() {
    if (session_->state().books().empty())
        return say(tr("The stations come from a course book. Drop a .course file here."));
    views_.play.playing = false;
    drop_question();
    views_.page = {PageKind::trials, 0};
    update_trials();
}

void DeskCore::update_trials() {
    if (!on_the_trials() || !session_) return trials_.close();
    trials_.update(*session_, views_.trials);
}

void DeskCore::trials_page_key(int physical_key, int mods, std::optional<Action> action) {
    if (views_.offer && (action == Action::take || action == Action::let_go)) {
        if (action == Action::take) commands_.add(views_.offer->accept);
        views_.offer.reset();
        carry_out_commands();
        return;
    }
    if (action == Action::undo) return undo();
    if (action == Action::redo) return redo();
    if (action == Action::let_go || action == Action::trials) {
        views_.page = {};
        return trials_.close();
    }
    if (const auto asked = trials_key(views_.trials, trials_, physical_key, mods))
        commands_.add(OfTrials{*asked});
    carry_out_commands();
}

void DeskCore::draw_trials_page(const Box& box) {
    std::string run;
    if (session_) {
        const auto stored = session_->state().runs().find(session_->run());
        if (stored != session_->state().runs().end()) run = stored->second.label;
    }
    draw_trials({look_, keys_, trials_, commands_, run}, box, views_.trials, views_.page);
    if (!on_the_trials()) trials_.close();
}

void DeskCore::carry_out_for_trials(const TrialsCommand& command) {
    if (!on_the_trials()) return;
    TrialsView& view = views_.trials;
    if (const auto* station = std::get_if<TakeTrialsStation>(&command)) {
        view.station = station->key;
        view.question.clear();
        return;
    }
    if (const auto* question = std::get_if<TakeQuestion>(&command))
        return void(view.question = question->key);
    if (const auto* turned = std::get_if<TurnBound>(&command)) {
        const auto count = static_cast<std::ptrdiff_t>(kTrialBounds.size());
        view.bound =
            static_cast<std::size_t>((static_cast<std::ptrdiff_t>(view.bound) + turned->by + count) % count);
        return;
    }
    if (std::holds_alternative<GoToQuestion>(command)) return go_to_question();
    // What is changed rests on the whole book as it is now, also where keys came faster than frames are
    // drawn.
    update_trials();
    if (trials_.document() == nullptr || trials_.working())
        return say(tr("The trials are still being ruled; in a moment."));
    if (trials_.station(view) == nullptr) return say(tr("The course book has no station."));
    if (std::holds_alternative<PrintReleases>(command)) return print_releases();
    change_trials(command);
}

void DeskCore::change_trials(const TrialsCommand& command) {
    TrialsView& view = views_.trials;
    if (std::holds_alternative<CloseQuestion>(command)) return write_reason();
    if (std::holds_alternative<ReleaseStation>(command)) return list_signers();
    if (std::holds_alternative<WriteSigner>(command))
        return write_for_trials(
            TrialsLine::signer, tr("Who releases {}?", trials_.station(view)->report.name),
            tr("It proves that the station can be cleared as it is defined, and certifies "
               "nothing of its structure, padding, fall height or rigging."),
            "");
    if (const auto* signed_by = std::get_if<SignRelease>(&command)) return release_station(signed_by->who);
    if (std::holds_alternative<WriteRig>(command)) return views_.trials.photos.clear(), write_rig();
    if (std::holds_alternative<EnterTrial>(command)) return list_testers();
    if (std::holds_alternative<WriteTester>(command))
        return write_for_trials(TrialsLine::tester, tr("What is the tester called?"), "", "");
    if (const auto* of = std::get_if<TrialOf>(&command))
        view.entering.tester = of->tester;
    else if (const auto* from = std::get_if<TrialFrom>(&command))
        view.entering.start = from->start;
    else if (const auto* to = std::get_if<TrialTo>(&command))
        return view.entering.landing = to->landing, enter_trial();
    ask_for_trial();
}

void DeskCore::write_for_trials(TrialsLine line, const std::string& title, const std::string& hint,
                                const std::string& text) {
    views_.trials.line = line;
    TextEntry entry;
    entry.kind = EntryKind::trials;
    entry.title = title;
    entry.hint = hint;
    entry.put(text);
    views_.entry = entry;
}

void DeskCore::keep_line_of_trials(const std::string& text) {
    const TrialsLine line = std::exchange(views_.trials.line, TrialsLine::none);
    const report::TrialsStation* station = trials_.station(views_.trials);
    if (!on_the_trials() || station == nullptr) return;
    const std::string words(base::trimmed(text));
    switch (line) {
        case TrialsLine::none:
            return;
        case TrialsLine::reason:
            return close_question(words);
        case TrialsLine::signer:
            return release_station(words);
        case TrialsLine::tester: {
            meet::Tester tester;
            tester.name = words;
            if (!apply_for_trials(review::tester_change(session_->state(), tester))) return;
            views_.trials.entering.tester = session_->state().testers().rbegin()->first;
            return ask_for_trial();
        }
        case TrialsLine::rig:
            return keep_rig(words);
        case TrialsLine::photos:
            return keep_photos(words);
    }
}

bool DeskCore::apply_for_trials(const base::Result<meet::Change>& change) {
    if (!change) return complain(change.error()), false;
    const auto done = session_->apply(*change);
    complain_if(done);
    return done.ok();
}

// --- open items ---

void DeskCore::go_to_question() {
    const study::Question* found = trials_.question(views_.trials);
    if (found == nullptr) return say(tr("Nothing is open on this station."));
    const study::Question question = *found;  // the page and what it shows are left
    if (!has_footage(question) || !session_->state().runs().contains(question.run))
        return say(tr("No footage shows this one. Have it tried, or close it with a reason ({}).",
                      keys_.label({'C', 0})));
    views_.page = {};
    trials_.close();
    views_.place = KeyPlace::run;
    views_.play.playing = false;
    if (session_->run() != question.run) carry_out(TakeRun{question.run});
    if (question.still) {
        carry_out(TakeClip{question.still->clip});
        session_->go_to_frame(question.still->frame.number);
        if (question.mark.valid()) session_->select(question.mark);
    } else if (question.mark.valid()) {
        session_->go_to_mark(question.mark);
    } else {
        say(question.sentence.spoken());
    }
}

void DeskCore::write_reason() {
    const study::Question* question = trials_.question(views_.trials);
    if (question == nullptr) return say(tr("Nothing is open on this station."));
    // What is written is about this one, wherever the cursor would stand meanwhile.
    views_.trials.question = question->key;
    write_for_trials(TrialsLine::reason, tr("Why is it closed? {}", question->sentence.spoken()),
                     tr("It is open again once the station is defined otherwise."),
                     question->closed_before.value_or(""));
}

void DeskCore::close_question(const std::string& reason) {
    if (reason.empty()) return say(tr("An open item is closed with a reason; nothing was changed."));
    const report::TrialsStation& station = *trials_.station(views_.trials);
    const std::string key = views_.trials.question;
    if (!apply_for_trials(review::closing_change(session_->state(), station.report, key, reason))) return;
    views_.trials.question.clear();
    say(tr("Closed. {} takes it back.", keys_.label(Action::undo)));
}

// --- releases ---

void DeskCore::list_signers() {
    const report::TrialsStation& station = *trials_.station(views_.trials);
    // Refused before anybody is asked for a name.
    const auto tried = review::release_change(session_->state(), station.report, "?", "", review::now());
    if (!tried) return complain(tried.error());
    Chooser list;
    list.title = tr("Who releases {}?", station.report.name);
    for (const auto& [id, tester] : session_->state().testers())
        list.choices.push_back({tester.name, tester.level, OfTrials{SignRelease{tester.name}}});
    if (list.choices.empty()) return carry_out_for_trials(WriteSigner{});
    list.choices.push_back({tr("somebody else"), tr("write the name"), OfTrials{WriteSigner{}}});
    list.typed = list.choices.size() > 9;
    views_.chooser = std::move(list);
}

void DeskCore::release_station(const std::string& who) {
    if (who.empty()) return say(tr("Somebody signs a release; nothing was changed."));
    const report::TrialsStation& station = *trials_.station(views_.trials);
    const std::string name = station.report.name;
    if (!apply_for_trials(review::release_change(session_->state(), station.report, who, "", review::now())))
        return;
    say(
        tr("{} is released by {}: it can be cleared as it is defined. Structure, padding, fall height and "
           "rigging are for qualified inspection. {} takes it back.",
           name, who, keys_.label(Action::undo)));
}

void DeskCore::print_releases() {
    const fs::path folder = fs::absolute(session_->path()).parent_path();
    complain_if(export_.begin_sheet(
        folder,
        ExportDesk::free_name(folder / (session_->path().stem().string() + "-releases.pdf"))
            .filename()
            .string(),
        ".pdf",
        [document = *trials_.document(), state = session_->state(), file = session_->path()](
            const auto& progress, const auto& stop) -> base::Result<std::string> {
            report::TrialsDocument printed = document;
            const auto added = review::add_sheet_pictures(printed, file, state, progress, stop);
            if (!added) return added.error();
            return report::release_sheet_pdf(printed);
        },
        tr("the sheet of releases")));
}

// --- what is written down ---

void DeskCore::list_testers() {
    const report::TrialsStation& station = *trials_.station(views_.trials);
    const auto run = session_->state().runs().find(session_->run());
    if (run == session_->state().runs().end())
        return say(tr("This meet has no run yet, so there is none to enter as a trial."));
    for (const auto& [id, trial] : session_->state().trials())
        if (trial.run == run->first && trial.station == station.report.key)
            return say(tr("{} is trial {} of {} already.", run->second.label, id.value, station.report.name));
    if (!station.report.rig)
        return say(tr("It is not written down how {} is set up. {} writes it down.", station.report.name,
                      keys_.label({'W', 0})));
    views_.trials.entering = {};
    views_.trials.entering.station = station.report.key;
    views_.trials.entering.run = run->first;
    if (session_->state().testers().empty()) return carry_out_for_trials(WriteTester{});
    Chooser list;
    list.title = tr("{} as a trial of {}: by whom?", run->second.label, station.report.name);
    for (const auto& [id, tester] : session_->state().testers())
        list.choices.push_back({tester.name, tester.level, OfTrials{TrialOf{id}}});
    list.choices.push_back({tr("somebody else"), tr("write the name"), OfTrials{WriteTester{}}});
    list.typed = list.choices.size() > 9;
    views_.chooser = std::move(list);
}

void DeskCore::ask_for_trial() {
    const report::TrialsStation& station = *trials_.station(views_.trials);
    const report::SurfaceNames& names = trials_.document()->surfaces;
    const auto name_of = [&](const std::string& key) {
        const auto known = names.find(key);
        return known == names.end() ? key : known->second;
    };
    const study::Ways& ways = station.report.ways;
    const meet::Trial& entering = views_.trials.entering;
    if (entering.station != station.report.key) return;
    Chooser list;
    if (entering.start.empty() && ways.starts.size() > 1) {
        list.title = tr("From where did it set off?");
        for (const std::string& key : ways.starts)
            list.choices.push_back({name_of(key), "", OfTrials{TrialFrom{key}}});
    } else if (ways.landings.size() > 1) {
        list.title = tr("Where did it land?");
        list.choices.push_back({tr("as its marks tell"), "", OfTrials{TrialTo{""}}});
        for (const std::string& key : ways.landings)
            list.choices.push_back({name_of(key), "", OfTrials{TrialTo{key}}});
    } else {
        return enter_trial();
    }
    list.typed = list.choices.size() > 9;
    views_.chooser = std::move(list);
}

void DeskCore::enter_trial() {
    const meet::Trial trial = std::exchange(views_.trials.entering, {});
    if (!apply_for_trials(review::trial_change(session_->state(), trial))) return;
    say(tr("Entered as trial {}: its ruling counts. {} takes it back.",
           session_->state().trials().rbegin()->first.value, keys_.label(Action::undo)));
}

void DeskCore::write_rig() {
    const study::StationReport& report = trials_.station(views_.trials)->report;
    write_for_trials(
        TrialsLine::rig, tr("How is {} set up now? What; where; metres high", report.name),
        tr("As: hawser;hook 3;2.25 | crash mat. Another rig asks for a new release, and trials on a "
           "rig with other items no longer count. Its photographs are asked for next."),
        report.rig ? review::rig_items_text(report.rig->items) : "");
}

void DeskCore::keep_rig(const std::string& text) {
    auto items = review::read_rig_items(text);
    if (!items) return complain(items.error());
    views_.trials.rig = std::move(*items);
    ask_for_photos(review::photo_files_text(std::exchange(views_.trials.photos, {})));
}

void DeskCore::ask_for_photos(const std::string& text) {
    write_for_trials(TrialsLine::photos,
                     tr("Which photographs show {}?", trials_.station(views_.trials)->report.name),
                     tr("Their files with | between them, or drop them here; none: leave it empty. They stay "
                        "where they are."),
                     text);
}

void DeskCore::keep_photos(const std::string& text) {
    meet::RigState rig;
    rig.station = trials_.station(views_.trials)->report.key;
    rig.items = views_.trials.rig;
    const auto files = review::read_photo_files(text, fs::absolute(session_->path()).parent_path());
    // A file that cannot be read costs no more than its own name.
    if (!apply_for_trials(review::rig_change(session_->state(), session_->path(), rig, files)))
        return ask_for_photos(text);
    views_.trials.rig.clear();
    say(tr("Written down as rig {}. {} takes it back.", session_->state().rigs().rbegin()->first.value,
           keys_.label(Action::undo)));
}

bool DeskCore::take_photo(const fs::path& file) {
    if (!on_the_trials() || trials_.station(views_.trials) == nullptr) return false;
    if (views_.entry && views_.trials.line == TrialsLine::photos) {
        const std::string written = views_.entry->words();
        const std::string between = base::trimmed(written).empty() ? "" : " | ";
        views_.entry->replace(written + between + file.string());
        return true;
    }
    // The rig itself is told first; what is dropped meanwhile waits.
    if (!views_.entry) views_.trials.photos.clear();
    views_.trials.photos.push_back(file);
    if (!views_.entry) write_rig();
    return true;
}

}  // namespace plumbmark::desk
