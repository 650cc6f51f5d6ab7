// What leaves the desk: by real key presses, and what is offered and refused.
#include <catch2/catch.hpp>
#include <chrono>
#include <memory>
#include <thread>

#include "desk/drive.h"
#include "desk/internal/export_desk.h"
#include "desk/test_meet.h"
#include "media/frame_table.h"
#include "review/session.h"
#include "support/decoded_picture.h"
#include "support/file_bytes.h"

using namespace plumbmark;
namespace fs = std::filesystem;
using desk::ExportKind;

namespace {

/// A meet whose athlete agrees to be shown.
struct Opened {
    test::TemporaryFolder folder;
    std::unique_ptr<review::Session> session;
    fs::path file;

    bool open(bool with_sound = false) {
        auto clip = test::make_clip(folder.path(), "camera-a.mp4", 60, "320x180");
        if (!clip) return false;
        if (with_sound) {
            const fs::path heard = folder / "heard.mp4";
            const std::string command = "ffmpeg -v error -nostdin -i '" + clip->string() +
                                        "' -f lavfi -i sine=440:d=2.4 -c:v copy -c:a aac -shortest '" +
                                        heard.string() + "'";
            if (std::system(command.c_str()) != 0) return false;
            clip = heard;
        }
        file = test::make_meet(folder.path(), *clip);
        auto opened = review::Session::open(file);
        REQUIRE(opened.ok());
        session = std::move(*opened);
        meet::Athlete athlete;
        athlete.number = "41";
        athlete.consent = meet::Consent::given;
        const auto made = session->add_athlete(athlete);
        REQUIRE(made.ok());
        const meet::Run before = session->state().runs().at(session->run());
        meet::Run after = before;
        after.athlete = *made;
        REQUIRE(session->apply({"named", {{before, after}}, 0}).ok());
        REQUIRE(session->settle().ok());
        REQUIRE(session->flush().ok());
        return true;
    }
};

base::Result<review::Exported> wait_for(desk::ExportDesk& giving) {
    for (int i = 0; i < 6000; ++i) {
        if (auto done = giving.take()) return std::move(*done);
        std::this_thread::sleep_for(std::chrono::milliseconds(10));
    }
    return base::Error{base::Category::busy, "it does not end", ""};
}

}  // namespace

TEST_CASE("a still and the marks as a table go out with keys alone") {
    if (!test::can_drive()) return;
    Opened meet;
    if (!meet.open()) return;
    meet.session.reset();
    const std::string script =
        "title f 0$\nmove 20 600\npause 1.5\nkey Right Right\npause 1\nkey ctrl+p\npause 1\nkey "
        "Return\npause 3\n"
        "key ctrl+e\npause 1\nkey 7\npause 1\nkey Return\npause 3\nkey ctrl+q\nclose\n";
    CHECK(test::drive(meet.folder.path(), "PLUMBMARK_DESK_FILE='" + meet.file.string() + "'", script) == 0);
    std::vector<fs::path> stills, tables;
    for (const auto& entry : fs::directory_iterator(meet.folder.path())) {
        if (entry.path().extension() == ".png") stills.push_back(entry.path());
        if (entry.path().extension() == ".csv") tables.push_back(entry.path());
        CHECK(entry.path().extension() != ".part");
    }
    REQUIRE(stills.size() == 1);
    REQUIRE(tables.size() == 1);
    CHECK(tables.front().filename().string().ends_with("-marks.csv"));
    CHECK(stills.front().filename().string().ends_with("-f2.png"));
    CHECK(test::bytes_of(tables.front()).starts_with("run,mark,kind,clip,"));
    const media::RgbaImage still = test::decoded_picture(stills.front());
    CHECK(still.width == 320);
    CHECK(still.height > 180);
}

TEST_CASE("the desk offers what there is and a name that is free and writes over nothing") {
    Opened meet;
    if (!meet.open()) return;
    desk::ExportDesk giving({});
    const desk::Chooser list = desk::ExportDesk::offers(*meet.session, 0);
    REQUIRE(list.choices.size() == 9);
    std::size_t i = 0;
    for (const ExportKind kind :
         {ExportKind::real_speed, ExportKind::half, ExportKind::quarter, ExportKind::eighth,
          ExportKind::still, ExportKind::plain_still, ExportKind::csv, ExportKind::json, ExportKind::vtt})
        CHECK(std::get<ExportKind>(list.choices[i++].command) == kind);
    const auto name = giving.prepare(*meet.session, -1, ExportKind::still);
    REQUIRE(name.ok());
    CHECK(name->parent_path() == meet.file.parent_path());
    CHECK(name->extension() == ".png");
    CHECK(giving.begin(*meet.session, "  ").error().category == base::Category::bad_input);
    CHECK(giving.begin(*meet.session, "still.jpg")
              .error()
              .sentence.english()
              .starts_with("The name of this file ends in .png"));
    CHECK_FALSE(giving.busy());
    REQUIRE(giving.begin(*meet.session, name->string()).ok());
    CHECK(giving.busy());
    CHECK(giving.words().starts_with("writing " + name->filename().string() + ", "));
    CHECK(giving.prepare(*meet.session, -1, ExportKind::csv).error().category == base::Category::busy);
    const auto done = wait_for(giving);
    REQUIRE(done.ok());
    CHECK(done->file == *name);
    CHECK_FALSE(giving.busy());
    const std::string before = test::bytes_of(*name);
    const auto again = giving.prepare(*meet.session, -1, ExportKind::still);
    REQUIRE(again.ok());
    CHECK(again->stem() == name->stem().string() + "-2");
    CHECK(giving.begin(*meet.session, name->string())
              .error()
              .sentence.english()
              .starts_with("A file of that name is there"));
    CHECK(test::bytes_of(*name) == before);
}

TEST_CASE(
    "without a ruling a clip is of the second before and after the frame and Esc leaves nothing of it") {
    Opened meet;
    if (!meet.open()) return;
    desk::ExportDesk giving({});
    meet.session->go_to_frame(30);
    const auto name = giving.prepare(*meet.session, -1, ExportKind::quarter);
    REQUIRE(name.ok());
    meet.session->go_to_frame(50);  // a playing clip goes on meanwhile
    REQUIRE(giving.begin(*meet.session, "quarter.mp4").ok());
    const auto done = wait_for(giving);
    REQUIRE(done.ok());
    CHECK(done->file == meet.folder / "quarter.mp4");
    const auto table = media::scan_clip(done->file);
    REQUIRE(table.ok());
    CHECK(table->size() == 51);  // f 5 to f 55 at 25 a second
    CHECK(table->exact_time(50) == base::Rational{8, 1});
    REQUIRE(giving.prepare(*meet.session, -1, ExportKind::eighth).ok());
    REQUIRE(giving.begin(*meet.session, "eighth.mp4").ok());
    CHECK(giving.stop());
    CHECK(wait_for(giving).error().category == base::Category::cancelled);
    CHECK_FALSE(giving.stop());
    CHECK_FALSE(fs::exists(meet.folder / "eighth.mp4"));
    CHECK_FALSE(fs::exists(meet.folder / "eighth.mp4.part"));
}

TEST_CASE("a clip that is heard is offered with its sound and goes out with it") {
    Opened meet;
    if (!meet.open(true)) return;
    const desk::Chooser list = desk::ExportDesk::offers(*meet.session, -1);
    REQUIRE(list.choices.size() == 10);
    REQUIRE(std::get<ExportKind>(list.choices[1].command) == ExportKind::with_sound);
    for (const ExportKind kind : {ExportKind::with_sound, ExportKind::real_speed}) {
        desk::ExportDesk giving({});
        const auto name = giving.prepare(*meet.session, -1, kind);
        REQUIRE(name.ok());
        REQUIRE(giving.begin(*meet.session, name->string()).ok());
        const auto done = wait_for(giving);
        REQUIRE(done.ok());
        const auto table = media::scan_clip(done->file);
        REQUIRE(table.ok());
        CHECK(table->info().has_sound == (kind == ExportKind::with_sound));
    }
}
