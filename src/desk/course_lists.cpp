// The course book's keys: which division and lane, a further run, taking in a changed book, and what another
// one would change.
#include <fmt/format.h>

#include <algorithm>

#include "base/text.h"
#include "course/read.h"
#include "desk/internal/desk_core.h"
#include "desk/internal/panels.h"
#include "desk/internal/say.h"

namespace plumbmark::desk {
namespace fs = std::filesystem;

bool DeskCore::act_course(Action action) {
    switch (action) {
        case Action::add_run:
            return add_run(), true;
        case Action::division_and_lane:
            return list_divisions_and_lanes(), true;
        case Action::course_book:
            return views_.page = {PageKind::course_book, 0}, true;
        case Action::take_in_book:
            return list_taking_in(), true;
        case Action::placing:
            return open_placing(), true;
        case Action::study_run:
            return open_study(), true;
        case Action::what_if:
            // What was asked before is shown again; Esc lets it go.
            if (course_.asking()) return views_.page = {PageKind::what_if, 0}, true;
            return list_books(session_->path().parent_path()), true;
        default:
            return false;
    }
}

void DeskCore::add_run() {
    const auto stored = session_->state().runs().find(session_->run());
    if (stored == session_->state().runs().end())
        return say(tr("This meet has no run yet. Drop a clip here to begin one."));
    const auto run = session_->add_run(fmt::format("run {}", session_->state().runs().size() + 1), {},
                                       stored->second.clips);
    if (!run) return complain(run.error());
    carry_out(TakeRun{*run});
    say(tr("A run of its own on the same clips: marks and watched spans of the others say nothing of it."));
}

void DeskCore::list_divisions_and_lanes() {
    const course::CourseBook* book = session_->whole_book();
    if (!book || !session_->run().valid())
        return say(tr("Divisions and lanes come from a course book. Drop a .course file here."));
    if (book->divisions.empty() && book->lanes.empty())
        return say(tr("The course book of this run names no division and no lane."));
    const meet::Run& run = session_->state().runs().at(session_->run());
    std::vector<std::pair<std::string, std::string>> divisions{{"", tr("the course as a whole")}};
    for (const course::Division& one : book->divisions)
        divisions.emplace_back(one.key, one.name);
    std::vector<std::pair<std::string, std::string>> lanes{{"", ""}};
    for (const course::Lane& one : book->lanes)
        lanes.emplace_back(one.key, one.name);
    Chooser list;
    list.title = tr("Which division and lane is {} of?", run.label);
    list.typed = divisions.size() * lanes.size() > 9;
    for (const auto& [division, name] : divisions) {
        for (const auto& [lane, lane_name] : lanes) {
            const bool now = division == run.division && lane == run.lane;
            if (now) list.cursor = static_cast<int>(list.choices.size());
            list.choices.push_back({lane.empty() ? name : name + ", " + lane_name, now ? tr("as it is") : "",
                                    TakeCourse{division, lane}});
        }
    }
    views_.chooser = std::move(list);
}

void DeskCore::list_taking_in() {
    const auto book = course_.changed_book();
    if (!book) {
        return say(
            course_.changed_with_mistakes()
                ? tr("The changed course book has mistakes; {} lists them.", keys_.label(Action::course_book))
                : tr("The file of the course book is as the meet holds it, so there is nothing to take in."));
    }
    Chooser list;
    list.title = tr("Rule under the changed {}", book->file_name);
    list.choices = {{tr("every run"), tr("all are ruled anew"), TakeInBook{false}},
                    {tr("this run alone"), tr("the others keep theirs"), TakeInBook{true}}};
    views_.chooser = std::move(list);
}

void DeskCore::take_in(bool this_run_alone) {
    const auto book = course_.changed_book();
    if (!book) return;
    std::vector<meet::RunId> keep;
    for (const auto& [id, run] : session_->state().runs()) {
        if (this_run_alone && id != session_->run()) keep.push_back(id);
    }
    const auto taken = session_->take_in_book(*book, keep);
    if (!taken) return complain(taken.error());
    std::int64_t under = 0;
    for (const auto& [id, run] : session_->state().runs())
        under += run.book == *taken ? 1 : 0;
    say(tr("{} is in force for {}. {} takes it back.", book->file_name, tr_n("{} run", "{} runs", under),
           keys_.label(Action::undo)));
}

void DeskCore::list_books(const fs::path& folder) {
    Chooser list = folder_list(folder, {".course"}, [](const fs::path& path) { return TryBook{path}; });
    if (list.choices.empty()) return;
    list.title = std::string(tr("What would change under which course book?")) + " " + list.title;
    views_.chooser = std::move(list);
}

void DeskCore::try_book(const fs::path& path) {
    std::error_code problem;
    if (fs::is_directory(path, problem)) return list_books(path);
    const auto text = whole_file(path);
    if (!text) return complain(text.error());
    auto book = course::read_book_or_error(*text, path.filename().string());
    if (!book) return complain(book.error());
    review::WhatIf change;
    change.book = std::move(*book);
    change.book_file = path.filename().string();
    course_.ask(*session_, std::move(change));
    views_.page = {PageKind::what_if, 0};
}

bool DeskCore::page_key(int physical_key, int mods, std::optional<Action> action) {
    if (on_the_map()) return placing_page_key(physical_key, mods, action), true;
    if (on_the_study()) return study_page_key(physical_key, mods, action), true;
    if (on_the_season()) return season_page_key(physical_key, mods, action), true;
    if (on_the_trials()) return trials_page_key(physical_key, mods, action), true;
    PageView& page = views_.page;
    if (physical_key == key_down || physical_key == key_page_down)
        return page.scroll += physical_key == key_down ? 1 : 6, true;
    if (physical_key == key_up || physical_key == key_page_up)
        return page.scroll -= physical_key == key_up ? 1 : 6, true;
    if (!action) return true;
    const bool of_course = page.kind == PageKind::course_book;
    const bool closes = *action == Action::let_go || *action == Action::take ||
                        *action == (of_course ? Action::course_book : Action::what_if);
    if (closes) {
        if (!of_course) course_.stop_asking();
        page = {};
        return true;
    }
    if (of_course && *action == Action::take_in_book) {
        page = {};
        return false;
    }
    return true;
}

void DeskCore::draw_open_page(const Box& box) {
    const std::string let_go = keys_.label(Action::let_go);
    if (views_.page.kind == PageKind::course_book) {
        draw_page(look_, box, tr("Course book"), tr("{} closes this.", let_go), course_.lines(keys_),
                  views_.page);
    } else if (views_.page.kind == PageKind::what_if) {
        draw_page(look_, box, tr("What would change"), tr("{} closes this.", let_go),
                  course_.what_if_lines(keys_), views_.page);
        if (views_.page.kind == PageKind::none) course_.stop_asking();
    } else if (on_the_map()) {
        draw_placing_page(box);
    } else if (on_the_study()) {
        draw_study_page(box);
    } else if (on_the_season()) {
        draw_season_page(box);
    } else if (on_the_trials()) {
        draw_trials_page(box);
    }
}

}  // namespace plumbmark::desk
