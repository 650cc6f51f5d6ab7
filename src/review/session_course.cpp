// The course of a session: books by revision, and under which of them, of which division and in which lane
// the current run is ruled.

#include <algorithm>

#include "base/worded.h"
#include "review/competition.h"
#include "review/course_revision.h"
#include "review/internal/session_inner.h"

namespace plumbmark::review {

using base::Category;
using base::Error;
using base::Result;
using base::worded;

void Session::Inner::read_book() {
    const meet::Run* now = current_run();
    const meet::Run none;
    const meet::Run& wanted = now ? *now : none;
    const bool read = whole_book || !book_problems.empty() || !wanted.book.valid();
    const bool same_book = wanted.book == book_id && read;
    const std::string its_division = course_division(state, wanted), its_lane = course_lane(state, wanted);
    if (same_book && its_division == division && its_lane == lane) return;
    division = its_division;
    lane = its_lane;
    book.reset();
    book_error.reset();
    if (!same_book) {
        book_id = wanted.book;
        whole_book.reset();
        book_problems.clear();
        const auto found = state.books().find(book_id);
        if (found == state.books().end()) return;
        course::ReadBook fresh = course::read_book(found->second.text);
        book_problems = std::move(fresh.problems);
        if (fresh.book) whole_book = std::make_shared<const course::CourseBook>(std::move(*fresh.book));
    }
    if (!whole_book) return;
    Result<course::CourseBook> own = course::run_book(*whole_book, division, lane);
    if (own) {
        book = std::make_shared<const course::CourseBook>(std::move(*own));
    } else {
        book_error = own.error();
    }
}

std::string Session::Inner::division_of(const meet::Run& of) const {
    const auto athlete = state.athletes().find(of.athlete);
    const auto revision = state.books().find(of.book);
    if (athlete == state.athletes().end() || revision == state.books().end()) return {};
    const course::ReadBook read = course::read_book(revision->second.text);
    if (!read.book || athlete->second.division.empty()) return {};
    for (const course::Division& one : read.book->divisions) {
        if (one.key == athlete->second.division || one.name == athlete->second.division) return one.key;
    }
    return {};
}

meet::BookId Session::Inner::put_book(meet::Change& change, const NewBook& added) const {
    for (const auto& [id, revision] : state.books()) {
        if (revision.text == added.text) return id;
    }
    const meet::BookId id{state.next_id(meet::Kind::book)};
    meet::BookRevision revision{id, added.file_name, added.text, {}};
    if (!added.file.empty()) revision.path = stored_path(file.path(), added.file).path;
    change.edits.push_back({std::nullopt, std::move(revision)});
    return id;
}

namespace {

/// Two texts of one revision: nobody could say later which of them a ruling was reached under.
std::optional<Error> revision_taken(const meet::State& state, const course::CourseBook& book,
                                    const NewBook& added) {
    for (const auto& [id, stored] : state.books()) {
        if (stored.text == added.text) continue;
        const course::ReadBook read = course::read_book(stored.text);
        if (!read.book || read.book->revision != book.revision || read.book->name != book.name) continue;
        return Error{Category::bad_input,
                     worded("This meet holds revision '{}' of this course already, with another text. "
                            "Change 'revision' in the file, so that a ruling says which of them it was "
                            "reached under.",
                            book.revision),
                     added.file_name};
    }
    return std::nullopt;
}

}  // namespace

Result<meet::BookId> Session::add_book(const std::string& file_name, const std::string& text,
                                       const std::filesystem::path& file) {
    Result<course::CourseBook> read = course::read_book_or_error(text, file_name);
    if (!read) return read.error();
    meet::Change change{"course book " + read->revision, {}, 0};
    const meet::BookId id = inner_->put_book(change, {file_name, text, file});
    const meet::Run* run = inner_->current_run();
    if (run && run->book != id) {
        meet::Run under = *run;
        under.book = id;
        change.edits.push_back({*run, under});
    }
    if (change.edits.empty()) return id;
    Result<void> done = inner_->commit(std::move(change));
    if (!done) return done.error();
    return id;
}

Result<meet::BookId> Session::take_in_book(const NewBook& added, const std::vector<meet::RunId>& keep) {
    Result<course::CourseBook> read = course::read_book_or_error(added.text, added.file_name);
    if (!read) return read.error();
    if (std::optional<Error> taken = revision_taken(state(), *read, added)) return *taken;
    meet::Change change{"course book " + read->revision, {}, 0};
    const meet::BookId id = inner_->put_book(change, added);
    base::Sentence lacks;
    for (const auto& [run_id, run] : state().runs()) {
        if (run.book == id || std::find(keep.begin(), keep.end(), run_id) != keep.end()) continue;
        const std::vector<base::Sentence> missing = missing_from_book(state(), run_id, *read);
        if (!missing.empty())
            lacks = worded("{}\n{} names {}", lacks, run.label, base::listed_words(missing));
        meet::Run under = run;
        under.book = id;
        change.edits.push_back({run, std::move(under)});
    }
    if (!lacks.empty())
        return Error{Category::bad_input,
                     worded("Revision '{}' does not have what these runs name; declare it there, or say "
                            "that they keep the book that they have:{}",
                            read->revision, lacks),
                     added.file_name};
    if (change.edits.empty()) return id;
    Result<void> done = inner_->commit(std::move(change));
    if (!done) return done.error();
    return id;
}

Result<void> Session::set_division_and_lane(const std::string& division, const std::string& lane) {
    const meet::Run* run = inner_->current_run();
    if (!run) return Error{Category::not_found, worded("There is no run yet."), ""};
    if (!whole_book())
        return Error{Category::not_found,
                     worded("This run has no course book that reads, so it has no division or lane."), ""};
    if (Result<course::CourseBook> own = course::run_book(*whole_book(), division, lane); !own)
        return own.error();
    if (run->division == division && run->lane == lane) return {};
    meet::Run changed = *run;
    changed.division = division;
    changed.lane = lane;
    return inner_->commit_one("division and lane of a run", *run, changed);
}

const course::CourseBook* Session::book() const {
    return inner_->book.get();
}
const course::CourseBook* Session::whole_book() const {
    return inner_->whole_book.get();
}
const std::vector<course::BookProblem>& Session::book_problems() const {
    return inner_->book_problems;
}

}  // namespace plumbmark::review
