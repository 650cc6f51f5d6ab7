// What the session and its works say in the window's language, and the same English beside it.
#include <catch2/catch.hpp>
#include <filesystem>

#include "base/catalogue.h"
#include "review/book_watch.h"
#include "review/clip_search.h"
#include "review/course_revision.h"
#include "review/evidence.h"
#include "review/export_clip.h"
#include "review/faces.h"
#include "review/sealing.h"
#include "review/session.h"
#include "review/sound_ties.h"
#include "review/standings_outlook.h"
#include "review/words.h"
#include "support/in_language.h"
#include "support/temporary_folder.h"
#include "support/test_places.h"

using namespace plumbmark;
using namespace plumbmark::review;

namespace {

namespace fs = std::filesystem;
using test::TemporaryFolder;

const fs::path kSamples = test::source_folder() / "sample_clips";

void says(const base::Sentence& sentence, const std::string& english, const std::string& german) {
    CHECK(sentence.english() == english);
    CHECK(sentence.spoken() == german);
}

const char* const kBook =
    "course = \"Pier Nine trial\"\nrevision = \"1\"\n"
    "[surfaces]\npier = \"pier deck\"\ncoil = \"coil deck\"\n"
    "[[station]]\nkey = \"hop\"\nname = \"hop\"\nstart = \"pier\"\n"
    "[station.landing]\nsurface = \"coil\"\nparts = \"any foot\"\n";

std::unique_ptr<Session> meet_with_clip(const TemporaryFolder& folder) {
    auto made = Session::create(folder / "trial.meet", {"Pier Nine Youth Open", "", "2026-05-02"});
    REQUIRE(made.ok());
    Session& session = **made;
    REQUIRE(session.add_book("trial.course", kBook).ok());
    REQUIRE(session.add_run("run 1").ok());
    REQUIRE(session.add_clip(kSamples / "run-2-a.mp4").ok());
    REQUIRE(session.settle().ok());
    return std::move(*made);
}

meet::Event touch_of(const std::string& surface) {
    meet::Event event;
    event.part = course::Part::left_foot;
    event.surface = surface;
    return event;
}

}  // namespace

TEST_CASE("what a command refuses is said in German and its English stays as it was") {
    const TemporaryFolder folder;
    const auto session = meet_with_clip(folder);
    const test::InLanguage german("de");
    says(
        session->move_early(1).error().sentence,
        "Nothing is selected. Click a mark on the run strip, or step to one with Ctrl and an arrow.",
        "Es ist nichts ausgewählt. Eine Marke auf der Zeitleiste anklicken, oder mit Strg und einem Pfeil zu "
        "einer gehen.");
    says(session->watch(2, 999'999, {}).error().sentence,
         "The clip has frames 0 to " + std::to_string(session->current_clip()->table->size() - 1) +
             ", so there is no frame 999999.",
         "Der Clip hat die Bilder 0 bis " + std::to_string(session->current_clip()->table->size() - 1) +
             ", also gibt es kein Bild 999999.");
    says(session->mark(touch_of("net")).error().sentence, "The course book declares no surface 'net'.",
         "Das Parcoursbuch nennt keine Fläche »net«.");
    meet::StreamChoice choice;
    choice.video = 3;
    says(session->choose_streams(session->clip(), choice).error().sentence,
         "The file has 1 video stream, so there is no video stream 4.",
         "Die Datei hat 1 Bildspur, also gibt es keine Bildspur 4.");
    // The label of a change is kept, and English.
    REQUIRE(session->mark(touch_of("coil")).ok());
    CHECK(session->undo_label() == "mark left foot touches coil deck");
}

TEST_CASE("a mark that does not fit the course book is named in both languages") {
    const TemporaryFolder folder;
    const auto session = meet_with_clip(folder);
    const media::FrameTable& table = *session->current_clip()->table;
    meet::Mark mark;
    mark.id = {session->state().next_id(meet::Kind::mark)};
    mark.run = session->run();
    mark.alternatives = {touch_of("net")};
    mark.possible = true;
    mark.sightings = {
        {session->clip(), meet::FrameRef{118, table[118].pts}, meet::FrameRef{119, table[119].pts}}};
    REQUIRE(session->apply({"mark", {{std::nullopt, mark}}, 0}).ok());
    const test::InLanguage german("de");
    const auto evidence = run_evidence(session->state(), session->run(), *session->book(),
                                       [](meet::ClipId) { return std::shared_ptr<media::FrameTable>(); });
    REQUIRE_FALSE(evidence.ok());
    CHECK(evidence.error().text() ==
          "the mark 'left foot touches net, f 118 to 119, possible': the course book in force for this run "
          "declares no surface 'net'; mark it on a declared surface, or declare it");
    CHECK(
        evidence.error().spoken() ==
        "die Marke »linker Fuß berührt net, B 118 bis 119, möglich«: das für diesen Lauf geltende "
        "Parcoursbuch nennt keine Fläche »net«; auf einer genannten Fläche markieren, oder die Fläche darin "
        "nennen");
    // One language alone is the thread's: English unless it is Speaking.
    CHECK(mark_words(mark, session->book()) == "left foot touches net, f 118 to 119, possible");
    const base::Speaking speaking;
    CHECK(mark_words(mark, session->book()) == "linker Fuß berührt net, B 118 bis 119, möglich");
    CHECK(mark_sentence(mark, session->book()).english() == "left foot touches net, f 118 to 119, possible");
}

TEST_CASE("a revision that lacks what runs name says so line by line in German") {
    const TemporaryFolder folder;
    const auto session = meet_with_clip(folder);
    REQUIRE(session->put_floor_call("hop", meet::Call::clear, false, "").ok());
    REQUIRE(session->mark(touch_of("pier")).ok());
    std::string text = kBook;
    text.replace(text.find("revision = \"1\""), 14, "revision = \"2\"");
    for (std::size_t at; (at = text.find("pier")) != std::string::npos;)
        text.replace(at, 4, "quay");
    text.replace(text.find("key = \"hop\""), 11, "key = \"jump\"");
    const test::InLanguage german("de");
    const auto refused = session->take_in_book({"trial.course", text, {}});
    REQUIRE_FALSE(refused.ok());
    says(refused.error().sentence,
         "Revision '2' does not have what these runs name; declare it there, or say that they keep the book "
         "that they have:\nrun 1 names the station 'hop' and the surface 'pier'",
         "Die Revision »2« hat nicht, was diese Läufe nennen; es darin nennen, oder angeben, dass sie das "
         "Buch "
         "behalten, das sie haben:\nrun 1 nennt die Station »hop« und die Fläche »pier«");
}

TEST_CASE("the offer of a tie by sound is made in German with the same numbers") {
    const test::InLanguage german("de");
    TieProposal proposal;
    proposal.first.clip.name = "camera A";
    proposal.second.clip.name = "camera B";
    media::SoundTie tie;
    tie.first_at = base::Time{2'000'000'000};
    tie.second_at = base::Time{3'250'000'000};
    tie.half_width = base::Duration{1'000'000};
    proposal.outcome.tie = tie;
    says(tie_words(proposal, 0), "camera B is 1.250 s later than camera A (± 1 ms, by sound)",
         "camera B ist 1.250 s später als camera A (± 1 ms, nach dem Ton)");
    proposal.error = base::Error{base::Category::io, "x", "camera B"};
    says(tie_words(proposal, 0), "camera B: x", "camera B: x");
    says(read_metres("12 m").error().sentence, "'12 m' is no distance. Write metres, 0 to 1000, as in 12.5.",
         "»12 m« ist keine Entfernung. Meter angeben, 0 bis 1000, wie in 12.5.");
}

TEST_CASE("keys and seals are told of in German") {
    const test::InLanguage german("de");
    says(holder_words("Ines Quay", meet::Capacity::head_judge), "Ines Quay (head judge)",
         "Ines Quay (Oberkampfrichter)");
    meet::State state;
    CHECK(last_seal_words(state).empty());
    meet::SigningKey key;
    key.id = {1};
    key.holder = "Ines Quay";
    key.public_key = std::string(64, 'a');
    meet::Seal seal;
    seal.id = {1};
    seal.row = 131;
    seal.row_sha256 = std::string(64, '0');
    seal.key = {1};
    seal.signature = std::string(128, 'd');
    REQUIRE(state.apply({"seal", {{std::nullopt, key}, {std::nullopt, seal}}, 0}).ok());
    const base::Sentence words = last_seal_words(state);
    CHECK(words.english().find("Sealed up to row 131 by Ines Quay (head judge), 1970-01-01 00:00:00 UTC: ") ==
          0);
    CHECK(words.spoken().find(
              "Versiegelt bis Zeile 131 von Ines Quay (Oberkampfrichter), 1970-01-01 00:00:00 UTC: ") == 0);
    NewKey wish;
    wish.holder = "Tove Anker";
    says(check_new_key(state, wish).error().sentence,
         "This meet has a key already, of Ines Quay (head judge). Replace that one.",
         "Dieser Wettkampf hat schon einen Schlüssel, von Ines Quay (Oberkampfrichter). Diesen ersetzen.");
}

TEST_CASE("a clip that is away is told of in German with where it was") {
    const TemporaryFolder folder;
    const test::InLanguage german("de");
    meet::Clip clip;
    clip.name = "camera A";
    clip.relative_path = "gone.mp4";
    says(search_clip_file(clip, {folder.path(), {}}, {}).error().sentence,
         "camera A is not where it was (gone.mp4), neither in the meet's folder, nor below it, nor beside "
         "other clips. Put the file back there, or drop it onto the window; the marks on it are kept.",
         "camera A ist nicht, wo der Clip war (gone.mp4), weder im Ordner des Wettkampfs noch darunter noch "
         "neben anderen Clips. Die Datei dorthin zurücklegen oder auf das Fenster ziehen; die Marken darauf "
         "bleiben erhalten.");
}

TEST_CASE("what was given out and why it cannot be is said in German") {
    const TemporaryFolder folder;
    const auto session = meet_with_clip(folder);
    const test::InLanguage german("de");
    ExportWish wish;
    wish.clip = session->clip();
    wish.frames = {{3, 5}};
    wish.slower = 4;
    wish.plain = true;
    wish.out = folder / "out.mp4";
    const auto work = plan_export(*session, wish);
    REQUIRE(work.ok());
    const auto made = carry_out_export(*work);
    REQUIRE(made.ok());
    says(made->words, "f 3 to 5 of camera A, 3 frames, " + made->kind + ", 1/4 speed",
         "B 3 bis 5 von camera A, 3 Bilder, " + made->kind + ", 1/4 der Geschwindigkeit");
    CHECK(made->faces.english().find("Faces in these pictures were searched for by program") == 0);
    CHECK(made->faces.spoken().find("Gesichter in diesen Bildern hat ein Programm gesucht") == 0);
    wish.frames = {{3, 900'000}};
    const std::string last = std::to_string(session->current_clip()->table->size() - 1);
    says(plan_export(*session, wish).error().sentence,
         "camera A has frames 0 to " + last + ", so there is no stretch from 3 to 900000.",
         "camera A hat die Bilder 0 bis " + last + ", also gibt es keinen Abschnitt von 3 bis 900000.");
}
