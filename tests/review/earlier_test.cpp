// Undo and redo across openings: what was done is read back from the journal.
#include <catch2/catch.hpp>
#include <filesystem>
#include <memory>
#include <random>
#include <string>
#include <vector>

#include "review/erasure.h"
#include "review/session.h"
#include "store/meet_file.h"
#include "support/temporary_folder.h"

using namespace plumbmark;
using review::Session;
namespace fs = std::filesystem;

namespace {

std::unique_ptr<Session> made(const fs::path& path) {
    auto session = Session::create(path, {"Pier Nine Youth Open", "harbour hall", "2026-05-02"});
    REQUIRE(session);
    return std::move(*session);
}

std::unique_ptr<Session> opened(const fs::path& path) {
    auto session = Session::open(path);
    REQUIRE(session);
    return std::move(*session);
}

meet::Change athlete_comes(std::int64_t id) {
    meet::Athlete athlete;
    athlete.id = meet::AthleteId{id};
    athlete.number = std::to_string(id);
    athlete.name = "Athlete " + std::to_string(id);
    return {"athlete " + std::to_string(id), {{std::nullopt, athlete}}, 0};
}

std::vector<std::string> athletes(const Session& session) {
    std::vector<std::string> names;
    for (const auto& [id, athlete] : session.state().athletes())
        names.push_back(athlete.name);
    return names;
}

void close(std::unique_ptr<Session>& session) {
    REQUIRE(session->flush());
    session.reset();
}

void recall(review::Session& session) {
    const auto recalled = session.recall_earlier();
    INFO((recalled ? std::string("recalled") : recalled.error().text()));
    REQUIRE(recalled.ok());
}

}  // namespace

TEST_CASE("what was done before an opening can be undone and redone, after it is asked for") {
    const test::TemporaryFolder folder;
    const fs::path path = folder / "trial.meet";
    auto session = made(path);
    REQUIRE(session->apply(athlete_comes(1)));
    REQUIRE(session->apply(athlete_comes(2)));
    REQUIRE(session->apply(athlete_comes(3)));
    REQUIRE(session->undo());
    const auto left = athletes(*session);
    close(session);

    session = opened(path);
    CHECK_FALSE(session->undo_label());
    CHECK_FALSE(session->undo_reaches_earlier());
    REQUIRE(session->recall_earlier().value());
    CHECK(session->undo_reaches_earlier());
    CHECK(session->undo_label() == "athlete 2");
    CHECK(session->redo_label() == "athlete 3");
    REQUIRE(session->redo());
    CHECK(athletes(*session).size() == 3);
    CHECK_FALSE(session->undo_reaches_earlier());
    REQUIRE(session->undo());
    CHECK(athletes(*session) == left);
    CHECK(session->undo_reaches_earlier());
    REQUIRE(session->undo());
    REQUIRE(session->undo());
    CHECK(athletes(*session).empty());
    CHECK_FALSE(session->recall_earlier().value());
    CHECK_FALSE(session->undo());
    close(session);

    // All of it is undone now, also for the next opening, and a new change ends what could be redone.
    session = opened(path);
    CHECK_FALSE(session->recall_earlier().value());
    CHECK(session->redo_label() == "athlete 1");
    REQUIRE(session->apply(athlete_comes(4)));
    CHECK_FALSE(session->redo_label());
    close(session);
    session = opened(path);
    REQUIRE(session->recall_earlier().value());
    CHECK(session->undo_label() == "athlete 4");
    CHECK_FALSE(session->redo_label());
    session.reset();
    const auto report = store::verify_chain(path);
    REQUIRE(report);
    CHECK(report->whole);
}

TEST_CASE("what was undone before is not redone after something new of this opening was undone") {
    const test::TemporaryFolder folder;
    const fs::path path = folder / "trial.meet";
    auto session = made(path);
    REQUIRE(session->apply(athlete_comes(1)));
    REQUIRE(session->apply(athlete_comes(2)));
    REQUIRE(session->undo());
    close(session);
    session = opened(path);
    REQUIRE(session->apply(athlete_comes(3)));
    REQUIRE(session->undo());
    REQUIRE(session->recall_earlier().value());
    CHECK(session->redo_label() == "athlete 3");
    REQUIRE(session->redo());
    CHECK_FALSE(session->redo_label());
}

// The model is a list with a mark in it: what stands before the mark, what can be redone behind it.
TEST_CASE(
    "after any doing, undoing, redoing and reopening the meet undoes in the same order as one that stayed "
    "open") {
    std::mt19937 dice(20260502);  // NOLINT: the same walk each time
    const test::TemporaryFolder folder;
    const fs::path path = folder / "trial.meet";
    auto session = made(path);
    std::vector<std::int64_t> stands, redoable;
    std::int64_t next = 1;
    int reopened = 0, turned = 0;
    for (int step = 0; step < 700; ++step) {
        const unsigned roll = dice() % 16;
        if (roll < 6) {
            REQUIRE(session->apply(athlete_comes(next)));
            stands.push_back(next++);
            redoable.clear();
        } else if (roll < 11) {
            if (!session->undo_label()) recall(*session);
            REQUIRE(session->undo().ok() == !stands.empty());
            if (stands.empty()) continue;
            redoable.push_back(stands.back());
            stands.pop_back();
            ++turned;
        } else if (roll < 15) {
            if (!session->undo_label()) recall(*session);
            REQUIRE(session->redo().ok() == !redoable.empty());
            if (redoable.empty()) continue;
            stands.push_back(redoable.back());
            redoable.pop_back();
            ++turned;
        } else {
            close(session);
            session = opened(path);
            ++reopened;
        }
        INFO("step " << step);
        REQUIRE(session->state().athletes().size() == stands.size());
        for (const std::int64_t id : stands)
            REQUIRE(session->state().athletes().contains(meet::AthleteId{id}));
    }
    CHECK(reopened > 20);
    CHECK(turned > 150);
    CHECK(stands.size() + redoable.size() > 0);
}

TEST_CASE("a journal longer than one batch is read as far back as is undone") {
    const test::TemporaryFolder folder;
    const fs::path path = folder / "trial.meet";
    auto session = made(path);
    for (std::int64_t id = 1; id <= 300; ++id)
        REQUIRE(session->apply(athlete_comes(id)));
    close(session);
    session = opened(path);
    for (std::size_t left = 300; left > 0; --left) {
        if (!session->undo_label()) REQUIRE(session->recall_earlier().value());
        REQUIRE(session->undo());
        REQUIRE(session->state().athletes().size() == left - 1);
    }
    CHECK_FALSE(session->recall_earlier().value());
    while (session->redo_label())
        REQUIRE(session->redo());
    CHECK(session->state().athletes().size() == 300);
}

TEST_CASE("nothing before an erasure is taken back, and a meet that is only read recalls nothing") {
    const test::TemporaryFolder folder;
    const fs::path path = folder / "trial.meet";
    auto session = made(path);
    REQUIRE(session->apply(athlete_comes(1)));
    REQUIRE(session->apply(athlete_comes(2)));
    close(session);
    {
        auto file = store::MeetFile::open(path);
        REQUIRE(file);
        const auto erasure = review::plan_erasure(*file, "1");
        REQUIRE(erasure);
        REQUIRE(review::erase(*file, *erasure));
    }
    session = opened(path);
    CHECK_FALSE(session->recall_earlier().value());
    REQUIRE(session->apply(athlete_comes(3)));
    close(session);
    review::SessionOptions only_read;
    only_read.read_only = true;
    auto reader = Session::open(path, only_read);
    REQUIRE(reader);
    CHECK_FALSE((*reader)->recall_earlier().value());
    reader->reset();
    session = opened(path);
    REQUIRE(session->recall_earlier().value());
    CHECK(session->undo_label() == "athlete 3");
    REQUIRE(session->undo());
    CHECK_FALSE(session->recall_earlier().value());
}
