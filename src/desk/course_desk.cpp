#include "desk/internal/course_desk.h"

#include <fmt/format.h>

#include <algorithm>

#include "base/text.h"
#include "desk/internal/say.h"
#include "desk/internal/what_if_page.h"
#include "review/course_revision.h"

namespace plumbmark::desk {
namespace fs = std::filesystem;
namespace {

std::string at_place(course::Place place) {
    return place.line > 0 ? tr("line {}: ", place.line) : std::string();
}

void add_findings(const std::vector<course::Finding>& findings, std::vector<PageLine>& lines) {
    for (const course::Finding& finding : findings) {
        const bool error = finding.severity == course::Severity::error;
        lines.push_back({fmt::format("{}{}", at_place(finding.place), finding.sentence.spoken()),
                         error ? PageInk::trouble : PageInk::body, 1});
        lines.push_back({fmt::format("{} [{}]", finding.repair.spoken(), finding.code), PageInk::soft, 2});
    }
    if (findings.empty()) lines.push_back({tr("Nothing to mend."), PageInk::soft, 1});
}

void add_problems(const std::vector<course::BookProblem>& problems, std::vector<PageLine>& lines) {
    for (const course::BookProblem& problem : problems)
        lines.push_back({tr("line {}", problem.spoken()), PageInk::trouble, 1});
}

void add_book(const review::BookFile& book, std::vector<PageLine>& lines) {
    if (book.error) {
        lines.push_back({book.error->sentence.spoken(), PageInk::trouble, 1});
    } else if (!book.book) {
        add_problems(book.problems, lines);
    } else {
        add_findings(book.findings, lines);
    }
}

std::string revision_of(const review::BookFile& book) {
    return book.book ? tr("{}, revision {}", book.book->name, book.book->revision)
                     : book.path.filename().string();
}

}  // namespace

void CourseDesk::update(const review::Session& session) {
    const meet::State& state = session.state();
    const auto run = state.runs().find(session.run());
    const meet::BookId wanted = run == state.runs().end() ? meet::BookId{} : run->second.book;
    const auto stored = state.books().find(wanted);
    if (stored == state.books().end()) {
        book_ = {};
        in_force_.reset();
        watch_.reset();
        file_.reset();
    } else if (wanted != book_ || !in_force_) {
        book_ = wanted;
        const meet::BookRevision& revision = stored->second;
        in_force_ = std::make_shared<const review::BookFile>(review::book_file(
            revision.file_name.empty() ? tr("course book") : revision.file_name, revision.text));
        only_guessed_ = revision.path.empty();
        const fs::path file = only_guessed_ && !revision.file_name.empty()
                                  ? session.path().parent_path() / revision.file_name
                                  : review::file_of_book(session.path(), revision);
        if (file.empty())
            watch_.reset();
        else if (!watch_ || watch_->file() != file)
            watch_ = std::make_unique<review::BookWatch>(file, wake_);
    }
    file_ = watch_ ? watch_->now() : nullptr;
    held_ = file_ && std::any_of(state.books().begin(), state.books().end(),
                                 [&](const auto& entry) { return entry.second.text == file_->text; });
    if (!job_) return;
    if (auto answer = job_->take()) {
        answer_ = std::move(answer);
        job_.reset();
    }
}

void CourseDesk::say_anew() {
    in_force_.reset();
    watch_.reset();
}

std::string CourseDesk::summary() const {
    if (changed()) {
        const std::string name = file_->path.filename().string();
        if (!file_->book)
            return tr_n("{1} changed: {0} mistake", "{1} changed: {0} mistakes", std::ssize(file_->problems),
                        name);
        return file_->findings.empty() ? tr("{} changed", name)
                                       : tr("{} changed: {} to look at", name, file_->findings.size());
    }
    if (in_force_ && !in_force_->findings.empty())
        return tr("course book: {} to look at", in_force_->findings.size());
    return {};
}

bool CourseDesk::trouble() const {
    if (changed()) return !file_->book || course::has_errors(file_->findings);
    return in_force_ && course::has_errors(in_force_->findings);
}

std::vector<PageLine> CourseDesk::lines(const Keymap& keys) const {
    std::vector<PageLine> lines;
    if (!in_force_) {
        lines.push_back(
            {tr("This run has no course book yet. Drop a .course file onto the window."), PageInk::body, 0});
        return lines;
    }
    lines.push_back({tr("In force for this run: {}", revision_of(*in_force_)), PageInk::heading, 0});
    add_book(*in_force_, lines);
    if (!file_ || (file_->error && only_guessed_)) return lines;
    lines.push_back({"", PageInk::body, 0});
    lines.push_back({tr("On the disk: {}", file_->path.string()), PageInk::heading, 0});
    if (held_ && !file_->error) {
        const bool same = file_->text == in_force_->text;
        lines.push_back({same
                             ? tr("The file is the one in force. It is looked at again whenever it is saved.")
                             : tr("The meet holds this revision for other runs already."),
                         PageInk::soft, 1});
        return lines;
    }
    if (file_->book)
        lines.push_back({tr("It was changed, to revision {}. {} takes it in.", file_->book->revision,
                            keys.label(Action::take_in_book)),
                         PageInk::body, 1});
    add_book(*file_, lines);
    return lines;
}

std::optional<review::NewBook> CourseDesk::changed_book() const {
    if (!changed() || !file_->book) return std::nullopt;
    return review::NewBook{file_->path.filename().string(), file_->text, file_->path};
}

void CourseDesk::ask(const review::Session& session, review::WhatIf change) {
    stop_asking();
    job_ = std::make_unique<review::WhatIfJob>(session.path().parent_path(), session.state(),
                                               std::move(change), wake_);
}

void CourseDesk::stop_asking() {
    job_.reset();
    answer_.reset();
}

std::vector<PageLine> CourseDesk::what_if_lines(const Keymap& keys) const {
    if (job_)
        return {{tr("Ruling every run under both books: {} %", static_cast<int>(job_->progress() * 100)),
                 PageInk::heading, 0},
                {tr("{} stops it. The meet is not changed.", keys.label(Action::let_go)), PageInk::soft, 0}};
    if (!answer_) return {};
    if (!answer_->ok()) return {{answer_->error().spoken(), PageInk::trouble, 0}};
    return what_if_page(**answer_);
}

}  // namespace plumbmark::desk
