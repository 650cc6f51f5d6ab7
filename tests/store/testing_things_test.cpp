// What is kept of trying a course out, and what coaches note, in the file: it comes back as it was, goes with
// undo, keeps what is personal apart, and is refused where somebody wrote it otherwise.
#include <SQLiteCpp/SQLiteCpp.h>

#include <catch2/catch.hpp>

#include "meet/changes.h"
#include "store/meet_file.h"
#include "store/past_triggers.h"
#include "support/temporary_folder.h"

namespace plumbmark {
namespace {

using meet::Entity;
using store::MeetFile;

/// One of each kind, with every member that may be left open ('full') or with none of them.
std::vector<Entity> things(bool full) {
    meet::Clip clip;
    clip.id = {1};
    clip.time_base = {1, 90'000};
    meet::Run run;
    run.id = {1};
    run.clips = {{1}};
    meet::Tester tester;
    tester.id = {1};
    tester.name = "Zephyrine";
    meet::RigState rig{{1}, "hop", {}, {}, ""};
    meet::Trial trial;
    trial.id = {1};
    trial.station = "hop";
    trial.tester = {1};
    trial.rig = {1};
    trial.start = "pier_deck";
    trial.seen = meet::TrialOutcome::failed;
    const meet::Closing closing{{1}, "hop", "reach:u10", "Zephyrine reached it"};
    meet::Release release{{1}, "hop", std::string(64, 'd'), {1}, "Zephyrine", "", 0};
    meet::CoachNote note{{1}, {1}, {1}, {0, 0}, "", false};
    if (full) {
        tester.stature_mm = 300;
        tester.span_mm = 3'000;
        tester.reach_mm = 2'110;
        tester.age_years = 120;
        tester.sex = meet::Sex::male;
        tester.level = "Zephyrine's level";
        rig.items = {{"Zephyrine's hawser", "hook 3", 0}, {"", "by Zephyrine", {}}};
        rig.photos = {{"Zephyrine/a ☂.jpg", std::string(64, 'a'), meet::kLargestWholeNumber},
                      {"", std::string(64, 'b'), 0}};
        rig.note = "Zephyrine hung it";
        trial.run = {1};
        trial.landing = "coil_deck";
        trial.items = {"bar", "ring"};
        trial.seen = meet::TrialOutcome::not_said;
        trial.how = "Zephyrine slipped";
        release.note = "seen by Zephyrine";
        release.signed_at_ms = meet::kLargestWholeNumber;
        note.frame = {17, -9'007'199'254'740'993};
        note.text = "arms first, Zephyrine";
        note.still = true;
    }
    return {clip, run, tester, rig, trial, closing, release, note};
}

meet::Change coming(bool full) {
    meet::Change change{"come", {}, 0};
    for (const Entity& thing : things(full))
        change.edits.push_back({std::nullopt, thing});
    return change;
}

/// Makes a file with these changes, each on the disk and verified before the next.
void make_file(const std::filesystem::path& path, const std::vector<meet::Change>& changes) {
    auto file = MeetFile::create(path, {"Pier Nine Youth Open", "", ""});
    REQUIRE(file.ok());
    for (const meet::Change& change : changes) {
        file->submit(change);
        const auto written = file->flush();
        INFO((written ? std::string() : written.error().text()));
        REQUIRE(written.ok());
        REQUIRE(store::verify_chain(path)->whole);
    }
}

base::Result<MeetFile> opened(const std::filesystem::path& path) {
    store::OpenOptions reading;
    reading.read_only = true;
    return MeetFile::open(path, reading);
}

TEST_CASE("what was tried out and noted comes back and goes and comes again with undo") {
    for (const bool full : {true, false}) {
        CAPTURE(full);
        const test::TemporaryFolder folder;
        const auto path = folder / "a.meet";
        const meet::Change all = coming(full);
        make_file(path, {all, meet::inverse(all), all});
        const auto file = opened(path);
        REQUIRE(file.ok());
        for (const Entity& thing : things(full)) {
            CAPTURE(meet::kind_word(meet::key_of(thing).kind));
            CHECK(file->loaded().find(meet::key_of(thing)) == thing);
        }
        CHECK(file->changes(2, 1)->front().edits == all.edits);
        CHECK(file->loaded().last_used_ids().at(static_cast<std::size_t>(meet::Kind::coach_note)) == 1);
    }
}

TEST_CASE("what names a person among it stands apart and not in the chain") {
    const test::TemporaryFolder folder;
    const auto path = folder / "a.meet";
    make_file(path, {coming(true)});
    SQLite::Database db(path.string());
    // name, level; what and where, a path, note; how; reason; name and note; text.
    CHECK(db.execAndGet("SELECT count(*) FROM apart WHERE value LIKE '%Zephyrine%'").getInt() == 11);
    CHECK(db.execAndGet("SELECT count(*) FROM journal WHERE json LIKE '%Zephyrine%'").getInt() == 0);
    CHECK(db.execAndGet("SELECT count(*) FROM thing WHERE json LIKE '%Zephyrine%'").getInt() == 0);
    CHECK(db.execAndGet("SELECT count(*) FROM thing").getInt() == 6);
}

struct Spoilt {
    std::string kind, from, to, sentence;
};

TEST_CASE("what was tried out is refused where its row says what it cannot") {
    const std::vector<Spoilt> cases{
        {"tester", "\"male\"", "\"mal\"", "'mal' is not known here; did you mean 'male'?"},
        {"tester", "\"age_years\":120", "\"age_years\":121", "its age is not between 3 and 120 years"},
        {"tester", "\"age_years\"", "\"age\"", "age"},
        {"tester", "\"stature_mm\":300", "\"stature_mm\":-300", "a whole number from 0 is expected here"},
        {"tester", "\"stature_mm\":300", "\"stature_mm\":9000000000", "the number is too large"},
        {"rig", "\"height_mm\":0", "\"height_mm\":0.5", "a whole number from 0 is expected here"},
        {"rig", "\"photos\":[", "\"photos\":[7,", "photos[0]"},
        {"rig", "\"station\":\"hop\"", "\"station\":\"swing\"", "which is of another station"},
        {"trial", "\"items\":[\"bar\",\"ring\"]", "\"items\":[\"ring\",\"bar\"]",
         "its items are not in order, each once"},
        {"trial", "\"seen\":\"not_said\"", "\"seen\":\"said\"", "'said' is not known here"},
        {"trial", "\"tester\":1", "\"tester\":2", "it names tester 2, which does not exist"},
        {"trial", "\"run\":1", "\"run\":null", "it has no run, and does not say how it came out"},
        {"closing", "reach:u10", "Reach", "its item has other characters"},
        {"release", std::string(64, 'd'), std::string(63, 'd'), "is not 64 lower-case hexadecimal digits"},
        {"coach_note", "\"still\":true", "\"still\":1", "still"},
        {"coach_note", "\"clip\":1", "\"clip\":9", "it names clip 9, which does not exist"},
    };
    const test::TemporaryFolder folder;
    make_file(folder / "good.meet", {coming(true)});
    for (const Spoilt& one : cases) {
        CAPTURE(one.kind, one.to);
        const auto path = folder / "spoilt.meet";
        std::filesystem::copy_file(folder / "good.meet", path,
                                   std::filesystem::copy_options::overwrite_existing);
        {
            SQLite::Database db(path.string(), SQLite::OPEN_READWRITE);
            test::past_triggers(db, [&] {
                SQLite::Statement change(db, "UPDATE thing SET json = replace(json, ?, ?) WHERE kind = ?");
                change.bind(1, one.from);
                change.bind(2, one.to);
                change.bind(3, one.kind);
                CHECK(change.exec() == 1);
            });
        }
        const auto file = opened(path);
        REQUIRE_FALSE(file.ok());
        INFO(file.error().text());
        CHECK(file.error().text().find(one.sentence) != std::string::npos);
    }
}

}  // namespace
}  // namespace plumbmark
