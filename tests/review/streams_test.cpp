// Choosing another stream of a clip's file: everything follows, it is kept, and marks forbid it.
#include <catch2/catch.hpp>
#include <cstdlib>
#include <iostream>

#include "review/exchange.h"
#include "review/session.h"
#include "support/temporary_folder.h"

using namespace plumbmark;
using review::Session;
namespace fs = std::filesystem;

namespace {

/// Two streams of pictures (20 frames at 25/s, 30 at 30/s) and two of sound; none without the ffmpeg program.
std::optional<fs::path> two_of_each(const test::TemporaryFolder& folder) {
    const fs::path clip = folder / "two.mkv";
    const std::string command =
        "ffmpeg -v error -nostdin -f lavfi -i testsrc2=s=160x120:r=25:d=0.8 -f lavfi -i "
        "testsrc=s=192x144:r=30:d=1 -f lavfi -i sine=f=440:d=1 -f lavfi -i sine=f=880:d=1 -map 0:v -map 1:v "
        "-map 2:a -map 3:a -c:v libx264 -pix_fmt yuv420p -c:a aac '" +
        clip.string() + "' 2>/dev/null";
    if (std::system(command.c_str()) == 0) return clip;
    std::cout << "skipped: the program ffmpeg cannot make the clip\n";
    return std::nullopt;
}

std::unique_ptr<Session> session_on(const fs::path& meet_file, const fs::path& clip) {
    auto session = Session::create(meet_file, {"Pier Nine Youth Open", "harbour hall", "2026-05-02"});
    REQUIRE(session);
    REQUIRE((*session)->add_clip(clip, "camera A"));
    REQUIRE((*session)->settle());
    return std::move(*session);
}

std::int64_t frames(const Session& session) {
    const review::ClipView* clip = session.current_clip();
    return clip && clip->table ? clip->table->size() : -1;
}

void settle(Session& session) {
    REQUIRE(session.settle());
    REQUIRE(session.picture().exact);
}

meet::Event control() {
    meet::Event event;
    event.kind = meet::EventKind::control;
    return event;
}

}  // namespace

TEST_CASE("another stream's frames, pictures and facts take the place of the first one's, with undo") {
    const test::TemporaryFolder folder;
    const auto clip = two_of_each(folder);
    if (!clip) return;
    auto session = session_on(folder / "a.meet", *clip);
    settle(*session);
    CHECK(frames(*session) == 20);
    CHECK(session->picture().picture->width() == 160);

    REQUIRE(session->choose_streams(session->clip(), {1, std::nullopt}));
    CHECK(session->undo_label() == "other streams of a clip");
    settle(*session);
    CHECK(frames(*session) == 30);
    CHECK(session->picture().picture->width() == 192);
    session->poll();
    CHECK(session->state().clips().at(session->clip()).frame_count == 30);
    CHECK(session->current_clip()->streams == meet::StreamChoice{1, std::nullopt});

    REQUIRE(session->undo());
    settle(*session);
    CHECK(frames(*session) == 20);
    CHECK(session->picture().picture->width() == 160);
    CHECK(session->state().clips().at(session->clip()).frame_count == 20);
    REQUIRE(session->redo());
    settle(*session);
    CHECK(frames(*session) == 30);
}

TEST_CASE("the choice is kept with the clip, and marks are made on its frames") {
    const test::TemporaryFolder folder;
    const auto clip = two_of_each(folder);
    if (!clip) return;
    const fs::path meet_file = folder / "a.meet";
    {
        auto session = session_on(meet_file, *clip);
        REQUIRE(session->choose_streams(session->clip(), {1, 1}));
        settle(*session);
        session->go_to_frame(29);
        settle(*session);
        REQUIRE(session->mark(control()));
        REQUIRE(session->flush());
    }
    auto opened = Session::open(meet_file);
    REQUIRE(opened);
    Session& session = **opened;
    settle(session);
    CHECK(session.current_clip()->streams == meet::StreamChoice{1, 1});
    CHECK(frames(session) == 30);
    const meet::Mark& mark = session.state().marks().begin()->second;
    REQUIRE(mark.sightings[0].late);
    CHECK(mark.sightings[0].late->number == 29);
    CHECK(mark.sightings[0].late->pts == (*session.current_clip()->table)[29].pts);
}

TEST_CASE("other pictures are refused while something rests on these; another sound is not") {
    const test::TemporaryFolder folder;
    const auto clip = two_of_each(folder);
    if (!clip) return;
    auto session = session_on(folder / "a.meet", *clip);
    settle(*session);
    session->go_to_frame(5);
    settle(*session);
    REQUIRE(session->mark(control()));
    const auto refused = session->choose_streams(session->clip(), {1, std::nullopt});
    REQUIRE_FALSE(refused);
    CHECK(refused.error().text() ==
          "camera A: 1 mark, drawing or stand of the camera rests on the pictures of this stream, and would "
          "name other ones in "
          "another. Add the file once more as a clip of its own, and choose the stream there.");
    CHECK(frames(*session) == 20);

    REQUIRE(session->choose_streams(session->clip(), {std::nullopt, 1}));
    CHECK(session->current_clip()->streams.sound == 1);
    CHECK(frames(*session) == 20);
    CHECK(session->state().marks().size() == 1);

    // The same file as a clip of its own: the way that the refusal names.
    const auto second = session->add_clip(*clip, "camera B");
    REQUIRE(second);
    settle(*session);
    REQUIRE(session->choose_streams(*second, {1, std::nullopt}));
    settle(*session);
    CHECK(frames(*session) == 30);
    CHECK(session->clips()[0].table->size() == 20);
    // Once nothing rests on it any more it may change.
    REQUIRE(session->undo());
    REQUIRE(session->undo());
    REQUIRE(session->undo());
    REQUIRE(session->undo());
    CHECK(session->state().marks().empty());
    settle(*session);
    CHECK(session->choose_streams(session->clip(), {1, std::nullopt}));
}

TEST_CASE("a stream that the file does not have is refused, and the first one is no choice") {
    const test::TemporaryFolder folder;
    const auto clip = two_of_each(folder);
    if (!clip) return;
    auto session = session_on(folder / "a.meet", *clip);
    settle(*session);
    CHECK(session->choose_streams(session->clip(), {2, std::nullopt}).error().text() ==
          "The file has 2 video streams, so there is no video stream 3.");
    CHECK(session->choose_streams(session->clip(), {std::nullopt, 7}).error().text() ==
          "The file has 2 sound streams, so there is no sound stream 8.");
    CHECK(session->choose_streams({99}, {}).error().category == base::Category::not_found);
    REQUIRE(session->choose_streams(session->clip(), {0, std::nullopt}));
    CHECK(session->state().clips().at(session->clip()).streams == meet::StreamChoice{});
}

TEST_CASE("marks that are given out say their stream, and are taken in on no other") {
    const test::TemporaryFolder folder;
    const auto clip = two_of_each(folder);
    if (!clip) return;
    auto session = session_on(folder / "a.meet", *clip);
    REQUIRE(session->choose_streams(session->clip(), {1, std::nullopt}));
    settle(*session);
    session->go_to_frame(12);
    settle(*session);
    REQUIRE(session->mark(control()));
    const auto text = review::give_out_marks(*session);
    REQUIRE(text);
    REQUIRE(text->clips.size() == 1);
    CHECK(text->clips[0].stream == 1);

    auto other = session_on(folder / "b.meet", *clip);
    settle(*other);
    const auto refused = review::take_in_marks(*other, *text);
    REQUIRE_FALSE(refused);
    CHECK(refused.error().text().find("made on video stream 2 of the file, and the clip shows stream 1") !=
          std::string::npos);
    REQUIRE(other->choose_streams(other->clip(), {1, std::nullopt}));
    settle(*other);
    REQUIRE(review::take_in_marks(*other, *text));
    CHECK(other->state().marks().begin()->second.sightings[0].late->number == 12);
}
