// The course book on the desk, by real key presses: what is to be looked at, its file while somebody writes
// it, divisions and lanes, and a further run on the same clip.
#include <algorithm>
#include <catch2/catch.hpp>
#include <chrono>
#include <memory>
#include <thread>

#include "desk/competition_meet.h"
#include "desk/drive.h"
#include "desk/internal/course_desk.h"
#include "desk/test_meet.h"
#include "review/session.h"
#include "support/file_bytes.h"
#include "support/in_language.h"

using namespace plumbmark;
namespace fs = std::filesystem;

namespace {

std::string book_text(const std::string& revision) {
    std::string text = test::course_text();
    const std::size_t at = text.find("revision = \"");
    REQUIRE(at != std::string::npos);
    text.replace(at, text.find('\n', at) - at, "revision = \"" + revision + "\"");
    // The test's course declares a plane that no station uses.
    const std::string landing = "[station.landing]\n";
    text.insert(text.rfind(landing) + landing.size(), "plane = \"quay_front\"\n");
    return text +
           "\n[[division]]\nkey = \"youth\"\nname = \"Youth\"\n"
           "[[lane]]\nkey = \"landside\"\nname = \"landside lane\"\n";
}

/// A meet whose book came from trial.course beside it.
fs::path meet_with_file(const fs::path& folder, const fs::path& clip) {
    const fs::path meet_file = test::make_meet(folder, clip);
    test::write_bytes(folder / "trial.course", book_text("11"));
    auto session = review::Session::open(meet_file);
    REQUIRE(session.ok());
    REQUIRE(
        (*session)
            ->take_in_book({"trial.course", test::bytes_of(folder / "trial.course"), folder / "trial.course"})
            .ok());
    REQUIRE((*session)->flush().ok());
    return meet_file;
}

/// Such a meet, opened; null where no clip can be made for it.
std::unique_ptr<review::Session> opened_meet(const fs::path& folder) {
    const auto clip = test::make_clip(folder, "camera-a.mp4", 10);
    if (!clip) return nullptr;
    auto session = review::Session::open(meet_with_file(folder, *clip));
    REQUIRE(session.ok());
    return std::move(*session);
}

bool says(const std::vector<desk::PageLine>& lines, const std::string& words) {
    return std::any_of(lines.begin(), lines.end(), [&](const desk::PageLine& line) {
        return line.text.find(words) != std::string::npos;
    });
}

}  // namespace

TEST_CASE("a changed course book is taken in, a division chosen and a further run made with keys alone") {
    if (!test::can_drive()) return;
    const test::TemporaryFolder folder;
    const auto clip = test::make_clip(folder.path(), "camera-a.mp4", 10);
    REQUIRE(clip);
    const fs::path meet_file = meet_with_file(folder.path(), *clip);
    test::write_bytes(folder / "trial.course", book_text("12"));
    const std::string script =
        "title f 0$\nmove 20 600\npause 1.5\nkey ctrl+b\npause 1\nkey Escape ctrl+shift+b\npause 1\nkey "
        "Return\npause 1\n"
        "key ctrl+n\npause 1\nkey ctrl+l\npause 1\nkey 4\npause 1\nkey ctrl+q\nclose\n";
    CHECK(test::drive(folder.path(), "PLUMBMARK_DESK_FILE='" + meet_file.string() + "'", script) == 0);
    const meet::State state = test::state_of(meet_file);
    REQUIRE(state.runs().size() == 2);
    const meet::Run& first = state.runs().begin()->second;
    const meet::Run& second = state.runs().rbegin()->second;
    CHECK(state.books().at(first.book).text == book_text("12"));
    CHECK(second.book == first.book);
    CHECK(second.clips == first.clips);
    CHECK(first.division.empty());
    CHECK(second.division == "youth");
    CHECK(second.lane == "landside");
}

TEST_CASE("the desk's page on the course book tells what is in force and what its file became") {
    const test::TemporaryFolder folder;
    const auto session = opened_meet(folder.path());
    if (!session) return;
    desk::CourseDesk course({});
    const desk::Keymap keys;
    const auto wait_for = [&](const std::string& summary) {
        for (int i = 0; i < 1000 && course.summary() != summary; ++i) {
            std::this_thread::sleep_for(std::chrono::milliseconds(10));
            course.update(*session);
        }
        INFO(course.summary());
        CHECK(course.summary() == summary);
    };
    course.update(*session);
    wait_for("");
    CHECK_FALSE(course.trouble());
    CHECK(says(course.lines(keys), "Nothing to mend."));
    CHECK_FALSE(course.changed_book());
    std::string slip = book_text("12");
    slip.replace(slip.find("start = "), 8, "strat = ");
    test::write_bytes(folder / "trial.course", slip);
    wait_for("trial.course changed: 1 mistake");
    CHECK(course.trouble());
    CHECK_FALSE(course.changed_book());
    CHECK(says(course.lines(keys), "'strat' is not a key of station"));
    std::string unused = book_text("12");
    unused.insert(unused.find("[surfaces]\n") + 11, "net = \"net\"\n");
    test::write_bytes(folder / "trial.course", unused);
    wait_for("trial.course changed: 1 to look at");
    CHECK_FALSE(course.trouble());
    CHECK(says(course.lines(keys), "takes it in."));
    const auto book = course.changed_book();
    REQUIRE(book);
    REQUIRE(session->take_in_book(*book).ok());
    course.update(*session);
    CHECK(course.summary() == "course book: 1 to look at");
    CHECK_FALSE(course.changed_book());
    CHECK(says(course.lines(keys), "'net' is declared, but no station uses it"));
}

TEST_CASE("the page about the course book tells mistakes and findings in German once German is chosen") {
    const test::TemporaryFolder folder;
    const auto session = opened_meet(folder.path());
    if (!session) return;
    desk::CourseDesk course({});
    const desk::Keymap keys;
    const auto wait_until = [&](const std::string& words) {
        for (int i = 0; i < 1000 && !says(course.lines(keys), words); ++i) {
            std::this_thread::sleep_for(std::chrono::milliseconds(10));
            course.update(*session);
        }
        CHECK(says(course.lines(keys), words));
    };
    std::string slip = book_text("12");
    slip.replace(slip.find("start = "), 8, "strat = ");
    test::write_bytes(folder / "trial.course", slip);
    course.update(*session);
    wait_until("'strat' is not a key of station");
    const test::InLanguage german("de");
    course.say_anew();
    course.update(*session);
    wait_until("»strat« ist hier kein Schlüssel; erwartet: key, name, start,");
    CHECK_FALSE(says(course.lines(keys), "is not a key of"));
    std::string unused = book_text("12");
    unused.insert(unused.find("[surfaces]\n") + 11, "net = \"net\"\n");
    test::write_bytes(folder / "trial.course", unused);
    wait_until("»net« ist genannt, doch keine Station verwendet die Fläche;");
    CHECK(
        says(course.lines(keys),
             "Sie verwenden oder dort, wo sie genannt ist, out_of_play = true schreiben. [surface-unused]"));
}

TEST_CASE("what another book would change is told on its page, and closing it forgets it") {
    const test::TemporaryFolder folder;
    const auto session = opened_meet(folder.path());
    if (!session) return;
    desk::CourseDesk course({});
    const desk::Keymap keys;
    review::WhatIf change;
    REQUIRE(review::put_setting(change, "brush_counts=false").ok());
    course.ask(*session, change);
    CHECK(course.asking());
    CHECK(says(course.what_if_lines(keys), "Ruling every run under both books"));
    for (int i = 0; i < 3000 && course.asking(); ++i) {
        std::this_thread::sleep_for(std::chrono::milliseconds(10));
        course.update(*session);
    }
    CHECK_FALSE(course.asking());
    CHECK(says(course.what_if_lines(keys), "Nothing changes in 1 run."));
    course.stop_asking();
    CHECK(course.what_if_lines(keys).empty());
}
