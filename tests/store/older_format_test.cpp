// Files of older formats: the first, made before clips had the SHA-256 of their files, is a sample meet of
// that time, and so is that of the seventh; the others of old-files were made by the programs of their
// formats: format-4.meet to format-6.meet with 'new' and 'repeats', with 'new', 'add-run' and 'course', and
// with 'new', 'divisions', 'enter', 'call', 'appeal' and 'standings', format-8.meet with 'new' and marks of
// a shared moment, a touch and two drawings, format-9.meet with 'new', marks of every kind, a drawing with
// its still, and 'cover'.
#include <SQLiteCpp/SQLiteCpp.h>

#include <catch2/catch.hpp>

#include "store/meet_file.h"
#include "support/file_bytes.h"
#include "support/temporary_folder.h"
#include "support/test_places.h"

using namespace plumbmark;
using namespace plumbmark::store;
using plumbmark::test::bytes_of;

namespace {

const std::filesystem::path kFormat1 =
    test::source_folder() / "tests" / "store" / "old-files" / "format-1.meet";

const std::filesystem::path kFormat4 =
    test::source_folder() / "tests" / "store" / "old-files" / "format-4.meet";

const std::filesystem::path kFormat5 =
    test::source_folder() / "tests" / "store" / "old-files" / "format-5.meet";

const std::filesystem::path kFormat6 =
    test::source_folder() / "tests" / "store" / "old-files" / "format-6.meet";

const std::filesystem::path kFormat7 =
    test::source_folder() / "tests" / "store" / "old-files" / "format-7.meet";

const std::filesystem::path kFormat8 =
    test::source_folder() / "tests" / "store" / "old-files" / "format-8.meet";

const std::filesystem::path kFormat9 =
    test::source_folder() / "tests" / "store" / "old-files" / "format-9.meet";

int format_of(const std::filesystem::path& path) {
    return SQLite::Database(path.string(), SQLite::OPEN_READONLY).execAndGet("PRAGMA user_version").getInt();
}

meet::Change with_content(const meet::Clip& clip, const std::optional<meet::ClipContent>& content) {
    meet::Clip known = clip;
    known.content = content;
    return {"content of a clip", {{clip, known}}, 0};
}

/// Opens a file that holds 'before' for writing, and stores a change in it.
void store_change(const std::filesystem::path& path, const meet::State& before, const meet::Change& change) {
    auto file = MeetFile::open(path);
    REQUIRE(file.ok());
    CHECK(file->loaded() == before);
    (void)file->submit(change);
    REQUIRE(file->flush().ok());
}

}  // namespace

TEST_CASE("a file of the first format is read as it is, and nothing of it changes") {
    REQUIRE(format_of(kFormat1) == 1);
    const test::TemporaryFolder folder;
    const auto path = folder / "old.meet";
    std::filesystem::copy_file(kFormat1, path);
    OpenOptions reading;
    reading.read_only = true;
    const auto file = MeetFile::open(path, reading);
    REQUIRE(file.ok());
    REQUIRE_FALSE(file->loaded().clips().empty());
    for (const auto& [id, clip] : file->loaded().clips())
        CHECK_FALSE(clip.content);
    const auto report = verify_chain(path);
    REQUIRE(report.ok());
    CHECK(report->whole);
    CHECK(bytes_of(path) == bytes_of(kFormat1));
}

TEST_CASE(
    "a file of the first format is brought to this one when it is opened for writing, with all it held") {
    const test::TemporaryFolder folder;
    const auto path = folder / "old.meet";
    std::filesystem::copy_file(kFormat1, path);
    OpenOptions reading;
    reading.read_only = true;
    const meet::State before = MeetFile::open(path, reading)->loaded();
    const meet::ClipContent content{std::string(64, 'c'), 1'777'000'000'123'456'789};
    const meet::Clip clip = before.clips().begin()->second;
    store_change(path, before, with_content(clip, content));
    CHECK(format_of(path) == 10);
    {
        auto file = MeetFile::open(path);
        REQUIRE(file.ok());
        const meet::Clip& known = file->loaded().clips().at(clip.id);
        CHECK(known.content == content);
        (void)file->submit(with_content(known, std::nullopt));
        REQUIRE(file->flush().ok());
    }
    CHECK(MeetFile::open(path, reading)->loaded() == before);
    const auto report = verify_chain(path);
    REQUIRE(report.ok());
    INFO(report->sentence);
    CHECK(report->whole);
}

TEST_CASE("a SHA-256 that is none is refused") {
    const test::TemporaryFolder folder;
    const auto path = folder / "old.meet";
    std::filesystem::copy_file(kFormat1, path);
    meet::State state = MeetFile::open(path)->loaded();
    const meet::Clip clip = state.clips().begin()->second;
    for (const std::string& bad :
         {std::string(), std::string(63, 'a'), std::string(64, 'A'), std::string(64, 'g')}) {
        const auto applied = state.apply(with_content(clip, meet::ClipContent{bad, 0}));
        REQUIRE_FALSE(applied.ok());
        CHECK(applied.error().sentence.english().find("SHA-256") != std::string::npos);
    }
}

TEST_CASE("a content that was changed beside the journal is found by verifying") {
    const test::TemporaryFolder folder;
    const auto path = folder / "old.meet";
    std::filesystem::copy_file(kFormat1, path);
    {
        auto file = MeetFile::open(path);
        REQUIRE(file.ok());
        const meet::Clip clip = file->loaded().clips().begin()->second;
        (void)file->submit(with_content(clip, meet::ClipContent{std::string(64, 'c'), 5}));
        REQUIRE(file->flush().ok());
    }
    SQLite::Database(path.string(), SQLite::OPEN_READWRITE)
        .exec("UPDATE clip_content SET sha256 = replace(sha256, 'c', 'd')");
    const auto report = verify_chain(path);
    REQUIRE(report.ok());
    CHECK_FALSE(report->whole);
    CHECK(report->sentence.find("the tables hold another clip") != std::string::npos);
}

TEST_CASE(
    "a file of the fourth format is read as it is, and takes divisions, lanes and paths once it is written "
    "to") {
    REQUIRE(format_of(kFormat4) == 4);
    const test::TemporaryFolder folder;
    const auto path = folder / "old.meet";
    std::filesystem::copy_file(kFormat4, path);
    OpenOptions reading;
    reading.read_only = true;
    const meet::State before = MeetFile::open(path, reading)->loaded();
    CHECK(bytes_of(path) == bytes_of(kFormat4));
    REQUIRE(before.runs().size() == 1);
    CHECK(before.clips().begin()->second.repeated.has_value());
    const meet::Run run = before.runs().begin()->second;
    const meet::BookRevision book = before.books().begin()->second;
    CHECK(run.division.empty());
    CHECK(run.lane.empty());
    CHECK(book.path.empty());
    meet::Run divided = run;
    divided.division = "under_12";
    divided.lane = "seaside";
    meet::BookRevision placed = book;
    placed.path = "books/pier-nine.course";
    store_change(path, before, {"division and lane", {{run, divided}, {book, placed}}, 0});
    CHECK(format_of(path) == 10);
    {
        auto file = MeetFile::open(path);
        REQUIRE(file.ok());
        CHECK(file->loaded().runs().at(run.id) == divided);
        CHECK(file->loaded().books().at(book.id) == placed);
        CHECK(file->changes(file->rows_at_open(), 1)->front().edits[0].after == meet::Entity(divided));
        CHECK(file->journal(file->rows_at_open(), 1)->front().canonical_json.find("books/") ==
              std::string::npos);  // a path is kept apart
        (void)file->submit({"back", {{divided, run}, {placed, book}}, 0});
        REQUIRE(file->flush().ok());
    }
    CHECK(MeetFile::open(path, reading)->loaded() == before);
    CHECK(verify_chain(path)->whole);
}

TEST_CASE("a run's lane that was changed beside the journal is found by verifying") {
    const test::TemporaryFolder folder;
    const auto path = folder / "old.meet";
    std::filesystem::copy_file(kFormat4, path);
    {
        auto file = MeetFile::open(path);
        REQUIRE(file.ok());
        const meet::Run run = file->loaded().runs().begin()->second;
        meet::Run divided = run;
        divided.lane = "seaside";
        (void)file->submit({"lane", {{run, divided}}, 0});
        REQUIRE(file->flush().ok());
    }
    SQLite::Database(path.string(), SQLite::OPEN_READWRITE).exec("UPDATE run_course SET lane = 'landside'");
    const auto report = verify_chain(path);
    REQUIRE(report.ok());
    CHECK_FALSE(report->whole);
    CHECK(report->sentence.find("the tables hold another run") != std::string::npos);
}

TEST_CASE("a file of the fifth format is read as it is, and takes a competition once it is written to") {
    REQUIRE(format_of(kFormat5) == 5);
    const test::TemporaryFolder folder;
    const auto path = folder / "old.meet";
    std::filesystem::copy_file(kFormat5, path);
    OpenOptions reading;
    reading.read_only = true;
    const meet::State before = MeetFile::open(path, reading)->loaded();
    CHECK(bytes_of(path) == bytes_of(kFormat5));
    REQUIRE(before.runs().size() == 2);
    CHECK(before.rules() == meet::Rules{});
    CHECK(before.entries().empty());
    const meet::Run run = before.runs().begin()->second;
    const meet::Athlete athlete{{1},    "17",   "Łukasz Ż.", "Pier club",
                                "u14g", "2013", "girls",     meet::Consent::given};
    meet::Run entered = run;
    entered.entry = {1};
    meet::Rules rules;
    rules.appeals.minutes = 15;
    const meet::Round round{{1}, "Final", meet::RoundKind::final, 1};
    const meet::Entry entry{{1}, {1}, {1}, 1, 3, "", meet::EntryStatus::entered, ""};
    const meet::FloorCall call{{1},
                               run.id,
                               "bollard_hop",
                               meet::Call::fail,
                               "judge at the coil deck",
                               false,
                               meet::WallTime{1'777'000'000'123},
                               2};
    const meet::Change all{"enter",
                           {{before.rules(), rules},
                            {std::nullopt, athlete},
                            {std::nullopt, round},
                            {std::nullopt, entry},
                            {run, entered},
                            {std::nullopt, call}},
                           0};
    store_change(path, before, all);
    CHECK(format_of(path) == 10);
    {
        auto file = MeetFile::open(path);
        REQUIRE(file.ok());
        const meet::State& now = file->loaded();
        CHECK(now.rules() == rules);
        CHECK(now.athletes().at({1}) == athlete);
        CHECK(now.entries().at({1}) == entry);
        CHECK(now.runs().at(run.id) == entered);
        CHECK(now.floor_calls().at({1}) == call);
        // Names, and a year of birth, are kept apart; numbers and years of the meet are not.
        const std::string row = file->journal(file->rows_at_open(), 1)->front().canonical_json;
        CHECK(row.find("2013") == std::string::npos);
        CHECK(row.find("girls") == std::string::npos);
        CHECK(row.find("judge at") == std::string::npos);
        CHECK(row.find("\"consent\":\"given\"") != std::string::npos);
        (void)file->submit(meet::inverse(all));
        REQUIRE(file->flush().ok());
    }
    meet::State after = MeetFile::open(path, reading)->loaded();
    CHECK(after.runs() == before.runs());
    CHECK(after.rules() == before.rules());
    CHECK(after.entries().empty());
    CHECK(verify_chain(path)->whole);
}

TEST_CASE(
    "a file of the sixth format is read as it is, and takes keys, seals and covers once it is written to") {
    REQUIRE(format_of(kFormat6) == 6);
    const test::TemporaryFolder folder;
    const auto path = folder / "old.meet";
    std::filesystem::copy_file(kFormat6, path);
    OpenOptions reading;
    reading.read_only = true;
    const meet::State before = MeetFile::open(path, reading)->loaded();
    CHECK(bytes_of(path) == bytes_of(kFormat6));
    REQUIRE(before.publications().size() == 2);
    CHECK(before.decisions().size() == 1);
    CHECK(before.keys().empty());
    CHECK(before.seals().empty());
    const meet::SigningKey first{
        {1}, std::string(64, 'a'), "Ines Quay", meet::Capacity::head_judge, {1'777'000'000'123}, {}, ""};
    const meet::SigningKey second{
        {2}, std::string(64, 'b'), "Ines Quay", meet::Capacity::jury, {1'777'000'000'124},
        {1}, std::string(128, 'c')};
    const meet::Seal seal{{1}, 10, std::string(64, 'd'), {2}, {1'777'000'000'125}, std::string(128, 'e'),
                          {2}};
    const meet::Clip clip{{1}, "camera A", "", "", "ab12", 100, {1, 90'000}, {}, {}, {}, {}};
    const meet::Cover cover{
        {1}, {1}, {3, 9'000}, {7, 21'000}, {0.25, 0.5, 0.125, 0.1}, "a face in the crowd"};
    const meet::Change all{"record",
                           {{std::nullopt, first},
                            {std::nullopt, second},
                            {std::nullopt, seal},
                            {std::nullopt, clip},
                            {std::nullopt, cover}},
                           0};
    store_change(path, before, all);
    CHECK(format_of(path) == 10);
    {
        auto file = MeetFile::open(path);
        REQUIRE(file.ok());
        const meet::State& now = file->loaded();
        CHECK(now.keys().at({1}) == first);
        CHECK(now.keys().at({2}) == second);
        CHECK(now.seals().at({1}) == seal);
        CHECK(now.covers().at({1}) == cover);
        // Names and free text are kept apart; what is signed is not.
        const std::string row = file->journal(file->rows_at_open(), 1)->front().canonical_json;
        CHECK(row.find("Ines") == std::string::npos);
        CHECK(row.find("crowd") == std::string::npos);
        CHECK(row.find("\"replaces\":null,\"signature\":null") != std::string::npos);
        CHECK(row.find("\"box\":[0.25,0.5,0.125,0.1]") != std::string::npos);
        (void)file->submit(meet::inverse(all));
        REQUIRE(file->flush().ok());
    }
    const meet::State after = MeetFile::open(path, reading)->loaded();
    CHECK(after.publications() == before.publications());
    CHECK(after.keys().empty());
    CHECK(after.covers().empty());
    CHECK(verify_chain(path)->whole);
}

TEST_CASE("a file of the seventh format is read as it is, and takes shared moments once it is written to") {
    REQUIRE(format_of(kFormat7) == 7);
    const test::TemporaryFolder folder;
    const auto path = folder / "old.meet";
    std::filesystem::copy_file(kFormat7, path);
    OpenOptions reading;
    reading.read_only = true;
    const meet::State before = MeetFile::open(path, reading)->loaded();
    CHECK(bytes_of(path) == bytes_of(kFormat7));
    REQUIRE_FALSE(before.marks().empty());
    meet::Mark moment = before.marks().rbegin()->second;
    moment.id = {before.next_id(meet::Kind::mark)};
    moment.alternatives = {meet::Event{}};
    moment.alternatives.front().kind = meet::EventKind::moment;
    moment.note = "a hand clap";
    const meet::Change change{"moment", {{std::nullopt, moment}}, 0};
    store_change(path, before, change);
    CHECK(format_of(path) == 10);
    {
        auto file = MeetFile::open(path);
        REQUIRE(file.ok());
        CHECK(file->loaded().marks().at(moment.id) == moment);
        // Every mark that was there before came through the change of the table.
        for (const auto& [id, mark] : before.marks())
            CHECK(file->loaded().marks().at(id) == mark);
        (void)file->submit(meet::inverse(change));
        REQUIRE(file->flush().ok());
    }
    CHECK(MeetFile::open(path, reading)->loaded().marks() == before.marks());
    CHECK(verify_chain(path)->whole);
}

TEST_CASE("what is kept as JSON and was changed beside the journal is found by opening or verifying") {
    const test::TemporaryFolder folder;
    const auto path = folder / "a.meet";
    {
        auto file = MeetFile::create(path, {"Pier Nine Youth Open", "", ""});
        REQUIRE(file.ok());
        (void)file->submit(
            {"round", {{std::nullopt, meet::Round{{1}, "Final", meet::RoundKind::final, 1}}}, 0});
        REQUIRE(file->flush().ok());
    }
    const std::string good = bytes_of(path);
    const auto altered = [&](const std::string& sql) {
        test::write_bytes(path, good);
        SQLite::Database(path.string(), SQLite::OPEN_READWRITE).exec(sql);
    };
    altered("UPDATE thing SET json = replace(json, 'Final', 'Finale')");
    CHECK(MeetFile::open(path).ok());
    CHECK_FALSE(verify_chain(path)->whole);
    for (const char* sql : {"UPDATE thing SET json = '{'", "UPDATE thing SET json = '{}'",
                            "UPDATE thing SET json = replace(json, '\"kind\"', '\"kin\"')",
                            "UPDATE thing SET json = replace(json, 'final', 'semi')",
                            "UPDATE thing SET kind = 'tent'", "UPDATE thing SET kind = 'mark'",
                            "UPDATE thing SET id = 7", "INSERT INTO thing VALUES ('rules', 1, '{}')"}) {
        altered(sql);
        const auto file = MeetFile::open(path);
        INFO(sql);
        REQUIRE_FALSE(file.ok());
        CHECK(file.error().category == base::Category::damaged);
    }
}

TEST_CASE(
    "drawings of the eighth format hold for the whole clip, and take a still once the file is written to") {
    REQUIRE(format_of(kFormat8) == 8);
    const test::TemporaryFolder folder;
    const auto path = folder / "old.meet";
    std::filesystem::copy_file(kFormat8, path);
    OpenOptions reading;
    reading.read_only = true;
    const meet::State before = MeetFile::open(path, reading)->loaded();
    CHECK(bytes_of(path) == bytes_of(kFormat8));
    REQUIRE(before.drawings().size() == 2);
    CHECK(before.marks().at({1}).alternatives.front().kind == meet::EventKind::moment);
    for (const auto& [id, drawing] : before.drawings())
        CHECK_FALSE(drawing.still);
    const meet::Drawing drawing = before.drawings().begin()->second;
    meet::Drawing drawn_there = drawing;
    drawn_there.still = meet::FrameRef{17, -9'007'199'254'740'993};
    store_change(path, before, {"redraw", {{drawing, drawn_there}}, 0});
    CHECK(format_of(path) == 10);
    {
        auto file = MeetFile::open(path);
        REQUIRE(file.ok());
        CHECK(file->loaded().drawings().at(drawing.id) == drawn_there);
        CHECK(file->changes(file->rows_at_open(), 1)->front().edits[0].after == meet::Entity(drawn_there));
        CHECK(verify_chain(path)->whole);
        (void)file->submit({"back", {{drawn_there, drawing}}, 0});
        REQUIRE(file->flush().ok());
    }
    CHECK(MeetFile::open(path, reading)->loaded() == before);
}

TEST_CASE("a drawing's still that was changed beside the journal is found by verifying") {
    const test::TemporaryFolder folder;
    const auto path = folder / "old.meet";
    std::filesystem::copy_file(kFormat8, path);
    {
        auto file = MeetFile::open(path);
        REQUIRE(file.ok());
        const meet::Drawing drawing = file->loaded().drawings().begin()->second;
        meet::Drawing drawn_there = drawing;
        drawn_there.still = meet::FrameRef{17, 0};
        (void)file->submit({"redraw", {{drawing, drawn_there}}, 0});
        REQUIRE(file->flush().ok());
    }
    SQLite::Database(path.string(), SQLite::OPEN_READWRITE)
        .exec("UPDATE drawing_still SET frame_number = 18");
    const auto report = verify_chain(path);
    REQUIRE(report.ok());
    CHECK_FALSE(report->whole);
}

TEST_CASE(
    "a file of the ninth format is read as it is, and takes lenses, stands and what was measured once it is "
    "written to") {
    REQUIRE(format_of(kFormat9) == 9);
    const test::TemporaryFolder folder;
    const auto path = folder / "old.meet";
    std::filesystem::copy_file(kFormat9, path);
    OpenOptions reading;
    reading.read_only = true;
    const meet::State before = MeetFile::open(path, reading)->loaded();
    CHECK(bytes_of(path) == bytes_of(kFormat9));
    CHECK(verify_chain(path)->whole);
    REQUIRE(before.marks().size() == 3);
    CHECK(before.drawings().begin()->second.still->number == 17);
    CHECK(before.covers().size() == 1);
    CHECK((before.lenses().empty() && before.stands().empty()));
    for (const auto& [id, mark] : before.marks())
        CHECK((mark.pointed.empty() && !mark.measured));
    const meet::ClipId clip = before.clips().begin()->first;
    const meet::Mark mark = before.marks().at({2});
    meet::Mark measured = mark;
    measured.pointed = {{clip, {41, -9'007'199'254'740'993}, {412.0625, 1.0 / 3}}};
    measured.measured = meet::MeasuredMoment{clip, {41, 95'951}, {0}, {9'007'199'254'740'991}};
    meet::CameraLens lens;
    lens.id = {1};
    lens.camera = "phone at the pier end ☂";
    lens.width = lens.height = 1'000'000;
    lens.fx = 1e-300;
    lens.fy = 0.1 + 0.2;
    lens.k3 = -1e300;
    meet::CameraStand stand;
    stand.id = {1};
    stand.clip = clip;
    stand.still = {17, 9'007'199'254'740'993};
    stand.knowledge = meet::LensKnown::measured;
    stand.lens = {1};
    const meet::PlanPlace corner{meet::DrawingKind::surface, "coil_deck", 9'999};
    const meet::PlanPlace end{meet::DrawingKind::plane, "line", 1};
    stand.points = {{corner, {1.5, 2.5}, 0.25}, {end, {-3, 4}, 1}};
    stand.edges = {{corner, end, {{1, 2}}, 1}, {end, corner, {{5, 6}, {7, 8}}, 2}};
    const meet::Change all{"camera", {{mark, measured}, {std::nullopt, lens}, {std::nullopt, stand}}, 0};
    store_change(path, before, all);
    CHECK(format_of(path) == 10);
    {
        auto file = MeetFile::open(path);
        REQUIRE(file.ok());
        CHECK(file->loaded().marks().at({2}) == measured);
        CHECK(file->loaded().lenses().at({1}) == lens);
        CHECK(file->loaded().stands().at({1}) == stand);
        CHECK(file->changes(file->rows_at_open(), 1)->front().edits == all.edits);
        CHECK(verify_chain(path)->whole);
        (void)file->submit(meet::inverse(all));
        REQUIRE(file->flush().ok());
    }
    {
        auto file = MeetFile::open(path);
        REQUIRE(file.ok());
        CHECK(file->loaded().marks() == before.marks());
        CHECK((file->loaded().lenses().empty() && file->loaded().stands().empty()));
        CHECK(verify_chain(path)->whole);
        (void)file->submit(all);
        REQUIRE(file->flush().ok());
    }
    CHECK(MeetFile::open(path, reading)->loaded().stands().at({1}) == stand);
    CHECK(verify_chain(path)->whole);
}

TEST_CASE("what was measured in a file that an older program made is found where it was changed") {
    for (const char* sql :
         {"UPDATE mark SET measured_to_ns = measured_to_ns + 1 WHERE id = 2",
          "UPDATE mark SET measured_clip = NULL, measured_number = NULL, measured_pts = NULL, "
          "measured_from_ns = NULL, measured_to_ns = NULL WHERE id = 2",
          "UPDATE mark_pointed SET x = x + 1", "DELETE FROM mark_pointed",
          "UPDATE mark_pointed SET position = 1"}) {
        CAPTURE(sql);
        const test::TemporaryFolder folder;
        const auto path = folder / "old.meet";
        std::filesystem::copy_file(kFormat9, path);
        {
            auto file = MeetFile::open(path);
            REQUIRE(file.ok());
            const meet::Mark mark = file->loaded().marks().at({2});
            meet::Mark measured = mark;
            const meet::ClipId clip = mark.sightings.front().clip;
            measured.pointed = {{clip, {41, 95'951}, {412, 300}}};
            measured.measured = meet::MeasuredMoment{clip, {41, 95'951}, {5}, {6}};
            (void)file->submit({"measure", {{mark, measured}}, 0});
            REQUIRE(file->flush().ok());
        }
        SQLite::Database(path.string(), SQLite::OPEN_READWRITE).exec(sql);
        const auto report = verify_chain(path);
        CHECK_FALSE((report && report->whole));
    }
}
