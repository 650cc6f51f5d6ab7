// Official results sealed from the real window, by real key presses; what came of it is verified in the file.
#include <catch2/catch.hpp>
#include <filesystem>

#include "desk/competition_meet.h"
#include "desk/drive.h"
#include "meet/floor_entry.h"
#include "review/competition.h"
#include "review/sealing.h"
#include "store/meet_file.h"
#include "support/file_bytes.h"

using namespace plumbmark;
namespace fs = std::filesystem;

namespace {

constexpr const char* kPassphrase = "hawser and bell";

/// A meet whose two athletes have run, so that its results can be official.
fs::path make_run_meet(const fs::path& folder) {
    fs::path file = test::make_competition(folder, {"17", "4"});
    for (const std::int64_t entry : {1, 2}) {
        const auto done = review::change_meet(file, [&](const meet::State& state) {
            review::MeetCourses courses(state);
            const course::CourseBook* book = courses.of_entry({entry});
            REQUIRE(book != nullptr);
            meet::FloorLine line;
            line.entry = {entry};
            line.calls = *meet::read_calls("cc", *book);
            line.times[""] = {base::Duration{20'000'000'000 + entry * 1'000'000'000}};
            return meet::floor_change(state, *book, line);
        });
        REQUIRE(done.ok());
    }
    return file;
}

fs::path keys_of(const fs::path& folder) {
    return folder / "data" / "plumbmark" / "keys";
}

meet::SigningKey make_key(const fs::path& folder, const fs::path& meet_file) {
    review::NewKey wish;
    wish.holder = "Ines Quay";
    wish.folder = keys_of(folder);
    wish.passphrase = kPassphrase;
    wish.cost = {1, 8U << 20U};
    const auto made = review::add_key(meet_file, wish);
    REQUIRE(made.ok());
    return *made;
}

void play(const fs::path& folder, const fs::path& meet_file, const std::string& script) {
    const std::string environment =
        "PLUMBMARK_DESK_FILE='" + meet_file.string() + "' XDG_DATA_HOME='" + (folder / "data").string() + "'";
    CHECK(test::drive(folder, environment,
                      "title ^open.meet\nkey F8\ntitle floor entry\nkey F7\ntitle standings · all$\n" +
                          script + "pause 0.5\nkey ctrl+q\nclose\n") == 0);
}

store::SealReport seals_of(const fs::path& meet_file) {
    const auto chain = store::verify_chain(meet_file);
    REQUIRE(chain.ok());
    CHECK(chain->whole);
    const auto report = store::verify_seals(meet_file);
    REQUIRE(report.ok());
    CHECK(report->problem.empty());
    return *report;
}

const meet::Publication& official_one(const meet::State& state) {
    REQUIRE(state.publications().size() == 1);
    const meet::Publication& only = state.publications().begin()->second;
    CHECK(only.official);
    return only;
}

bool holds(const fs::path& file, const std::string& words) {
    return test::bytes_of(file).find(words) != std::string::npos;
}

}  // namespace

TEST_CASE("official results are sealed with a passphrase; a wrong one is told and tried again") {
    if (!test::can_drive()) return;
    const test::TemporaryFolder folder;
    const fs::path meet_file = make_run_meet(folder.path());
    const meet::SigningKey key = make_key(folder.path(), meet_file);
    play(folder.path(), meet_file,
         "key o\npause 1\nkey Return\npause 1\ntype hawser\nkey Return\npause 1\ntitle standings · all$\n"
         // One letter too many is taken back.
         "pause 1\ntype hawser and bella\nkey BackSpace Return\npause 1\ntitle standings · all$\n");
    const auto report = seals_of(meet_file);
    const meet::State state = test::state_of(meet_file);
    REQUIRE(report.seals.size() == 1);
    CHECK(report.seals.front().seal.key == key.id);
    CHECK(report.seals.front().seal.publication == official_one(state).id);
    // All rows but that of the seal itself.
    CHECK(report.sealed_up_to() == report.rows - 1);
    CHECK(review::unsealed_publications(state).empty());
    CHECK_FALSE(holds(meet_file, kPassphrase));
}

TEST_CASE("results that are given out without a seal are told as not sealed, and sealed later") {
    if (!test::can_drive()) return;
    const test::TemporaryFolder folder;
    const fs::path meet_file = make_run_meet(folder.path());
    (void)make_key(folder.path(), meet_file);
    play(folder.path(), meet_file, "key o\npause 1\nkey Return\npause 1\ntype haw\nkey Escape\npause 1\n");
    CHECK(seals_of(meet_file).seals.empty());
    const meet::State bare = test::state_of(meet_file);
    CHECK(review::unsealed_publications(bare) == std::vector{official_one(bare).id});
    play(folder.path(), meet_file,
         "key k\npause 1\ntype " + std::string(kPassphrase) +
             "\nkey Return\npause 1\ntitle standings · all$\n");
    const auto report = seals_of(meet_file);
    REQUIRE(report.seals.size() == 1);
    CHECK(report.seals.front().seal.publication == official_one(bare).id);
    CHECK(review::unsealed_publications(test::state_of(meet_file)).empty());
}

TEST_CASE("a meet without a key gets one when its results are official: a name, and a passphrase twice") {
    if (!test::can_drive()) return;
    const test::TemporaryFolder folder;
    const fs::path meet_file = make_run_meet(folder.path());
    play(folder.path(), meet_file,
         "key o\npause 1\nkey Return\npause 1\n"
         // The offer, the name, a passphrase that is too short, one that is then typed differently.
         "key Return\npause 1\ntype Ines Quay\nkey Return\npause 1\ntype short\nkey Return\npause 1\n"
         "type " +
             std::string(kPassphrase) +
             "\nkey Return\npause 1\ntype hawser and ball\nkey Return\npause 1\ntype " + kPassphrase +
             "\nkey Return\npause 1\ntype " + kPassphrase +
             "\nkey Return\npause 1\ntitle standings · all$\npause 1\n");
    const auto report = seals_of(meet_file);
    REQUIRE(report.keys.size() == 1);
    CHECK(report.keys.front().key.holder == "Ines Quay");
    CHECK(report.keys.front().key.capacity == meet::Capacity::head_judge);
    REQUIRE(report.seals.size() == 1);
    // The key's own row is under the seal, too.
    CHECK(report.keys.front().row <= report.sealed_up_to());
    CHECK(store::open_key(keys_of(folder.path()), report.keys.front().key.public_key, kPassphrase).ok());
    CHECK_FALSE(holds(meet_file, kPassphrase));
}
