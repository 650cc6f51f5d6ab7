// A coach's notes: written, changed and taken away with undo each, in order of time, and their pictures with
// faces hidden.
#include "review/coach_notes.h"

#include <algorithm>
#include <catch2/catch.hpp>

#include "review/athlete_page.h"
#include "review/sample_cameras.h"
#include "sight/faces.h"
#include "support/decoded_picture.h"
#include "support/face_clip.h"

namespace {

using namespace plumbmark;
using Catch::Contains;
using review::Session;

constexpr int kWidth = 800, kHeight = 600, kFaceX = 400, kFaceY = 300, kFaceHalf = 80;

constexpr const char* kBook =
    "course = \"Pier Nine trial\"\nrevision = \"1\"\n[surfaces]\npier = \"pier deck\"\ncoil = \"coil deck\"\n"
    "[[station]]\nkey = \"hop\"\nname = \"hop\"\nstart = \"pier\"\n"
    "[station.landing]\nsurface = \"coil\"\nparts = \"any foot\"\n";

/// A meet with a run of the athlete Mila Brandt, number 17, on a clip with a face, and a note that names her.
struct Faced {
    test::TemporaryFolder folder;
    std::unique_ptr<Session> session;

    bool open(meet::Consent consent) {
        const auto clip =
            test::clip_of(test::drawn_face(kWidth, kHeight, kFaceX, kFaceY, kFaceHalf), folder.path());
        if (!clip) return false;
        auto made =
            Session::create(folder / "trial.meet", {"Pier Nine Youth Open", "harbour hall", "2026-05-02"});
        REQUIRE(made.ok());
        session = std::move(*made);
        meet::Athlete athlete{{session->state().next_id(meet::Kind::athlete)}, "17", "Mila Brandt", "", ""};
        athlete.consent = consent;
        const auto id = session->add_athlete(athlete);
        REQUIRE(id.ok());
        REQUIRE(session->add_run("run 1", *id).ok());
        REQUIRE(session->add_clip(*clip).ok());
        REQUIRE(session->settle().ok());
        return true;
    }
    void mark_the_start() const {
        const media::FrameTable& table = *session->current_clip()->table;
        meet::Mark mark;
        mark.id = {session->state().next_id(meet::Kind::mark)};
        mark.run = session->run();
        mark.alternatives.resize(1);
        mark.alternatives[0].kind = meet::EventKind::signal;
        mark.sightings = {
            {session->clip(), meet::FrameRef{4, table[4].pts}, meet::FrameRef{5, table[5].pts}}};
        REQUIRE(session->apply({"the start", {{std::nullopt, mark}}, 0}).ok());
    }
    meet::NoteId note(std::int64_t frame, bool still) const {
        const auto made = review::add_note(*session, {session->clip(), frame, "Mila, look up, MILA!", still});
        INFO((made.ok() ? "" : made.error().text()));
        REQUIRE(made.ok());
        return *made;
    }
};

bool shows_a_face(media::RgbaImage image) {
    auto finder = sight::FaceFinder::open();
    REQUIRE(finder.ok());
    return !finder->find({image.pixels.data(), image.width, image.height}).empty();
}

}  // namespace

TEST_CASE("a note is written changed and removed and each of these is undone by one step") {
    test::SampleMeet sample("run 4");
    Session& session = *sample.session;
    const meet::ClipId clip = sample.clip("run-4-a.mp4");
    const auto made = review::add_note(session, {clip, 40, "Quick off the start.", false});
    REQUIRE(made.ok());
    const auto stored = [&]() -> const meet::CoachNote& { return session.state().notes().at(*made); };
    CHECK(stored().run == session.run());
    CHECK(stored().frame == sample.frame(clip, 40));
    CHECK(session.undo_label() == "write a coach's note");
    REQUIRE(review::change_note(session, *made, "Quicker.", true).ok());
    CHECK(stored().text == "Quicker.");
    CHECK(stored().still);
    CHECK(session.undo_label() == "change a coach's note");
    REQUIRE(session.undo().ok());
    CHECK(stored().text == "Quick off the start.");
    CHECK_FALSE(stored().still);
    REQUIRE(review::remove_note(session, *made).ok());
    CHECK(session.state().notes().empty());
    CHECK(session.undo_label() == "remove a coach's note");
    REQUIRE(session.undo().ok());
    CHECK(stored().text == "Quick off the start.");
    REQUIRE(session.undo().ok());
    CHECK(session.state().notes().empty());
}

TEST_CASE("a change of a note that changes nothing is no change") {
    test::SampleMeet sample("run 4");
    const auto made = review::add_note(*sample.session, {sample.clip("run-4-a.mp4"), 40, "Words.", true});
    REQUIRE(made.ok());
    const std::uint64_t before = sample.session->changes();
    REQUIRE(review::change_note(*sample.session, *made, "Words.", true).ok());
    CHECK(sample.session->changes() == before);
}

TEST_CASE("a note that says nothing or is of no frame of the run is refused and nothing changes") {
    test::SampleMeet sample("run 4");
    Session& session = *sample.session;
    const meet::ClipId clip = sample.clip("run-4-a.mp4");
    const auto frames = sample.view(clip).table->size();
    using base::Category;
    const auto refused = [&](const review::NewNote& note) {
        const auto made = review::add_note(session, note);
        REQUIRE_FALSE(made.ok());
        return made.error().category;
    };
    CHECK(refused({clip, frames, "x", false}) == Category::bad_input);
    CHECK(refused({clip, -1, "x", false}) == Category::bad_input);
    CHECK(refused({clip, 0, "", false}) == Category::bad_input);
    CHECK(refused({clip, 0, "\xff", false}) == Category::bad_input);
    CHECK(refused({sample.clip("run-1-a.mp4"), 0, "x", false}) == Category::not_found);
    CHECK(review::change_note(session, {77}, "x", false).error().category == Category::not_found);
    CHECK(review::remove_note(session, {77}).error().category == Category::not_found);
    CHECK(session.state().notes().empty());
    CHECK_FALSE(session.undo_label());
}

TEST_CASE("notes of two cameras stand in the order of the run's time") {
    test::SampleMeet sample("run 4");
    Session& session = *sample.session;
    const meet::ClipId a = sample.clip("run-4-a.mp4"), b = sample.clip("run-4-b.mp4");
    // The renderer's own offsets tell which frame of B is 1 s after frame n of A.
    const std::int64_t shift =
        test::sample_clip("run-4-b.mp4").offset_ns - test::sample_clip("run-4-a.mp4").offset_ns;
    const media::FrameTable &table_a = *sample.view(a).table, &table_b = *sample.view(b).table;
    const auto beside = [&](std::int64_t frame, std::int64_t later) {
        return table_b.frame_at(table_a.time(frame) + base::Duration{shift + later});
    };
    for (const auto& [clip, frame] : {std::pair{b, beside(300, 1'000'000'000)},
                                      {a, std::int64_t{300}},
                                      {b, beside(300, -1'000'000'000)},
                                      {a, std::int64_t{200}}})
        REQUIRE(review::add_note(session, {clip, frame, "x", false}).ok());
    const auto order = [&] {
        std::vector<std::int64_t> ids;
        for (const meet::CoachNote& note : review::notes_in_order(session.state(), session.run()))
            ids.push_back(note.id.value);
        return ids;
    };
    // Nothing ties camera B to the start signal yet: clip by clip.
    CHECK(order() == std::vector<std::int64_t>{4, 2, 3, 1});
    meet::Mark moment;
    moment.id = {session.state().next_id(meet::Kind::mark)};
    moment.run = session.run();
    moment.alternatives.resize(1);
    moment.alternatives[0].kind = meet::EventKind::moment;
    moment.alternatives[0].part = std::nullopt;
    moment.sightings = {{a, sample.frame(a, 100), sample.frame(a, 101)},
                        {b, sample.frame(b, beside(100, 0)), sample.frame(b, beside(101, 0) + 1)}};
    const auto tied = session.apply({"a moment", {{std::nullopt, moment}}, 0});
    INFO((tied.ok() ? "" : tied.error().text()));
    REQUIRE(tied.ok());
    CHECK(order() == std::vector<std::int64_t>{4, 3, 2, 1});
}

TEST_CASE("a short clip goes from a second before a frame to a second after it within the clip") {
    test::SampleMeet sample("run 4");
    const media::FrameTable& table = *sample.view(sample.clip("run-4-a.mp4")).table;
    const std::int64_t last = table.size() - 1;
    const auto [from, to] = review::around_note(table, 300);
    CHECK(table.time(from) <= table.time(300) - base::Duration{1'000'000'000});
    CHECK(table.time(from + 1) > table.time(300) - base::Duration{1'000'000'000});
    CHECK(table.time(to) <= table.time(300) + base::Duration{1'000'000'000});
    CHECK(table.time(to + 1) > table.time(300) + base::Duration{1'000'000'000});
    CHECK(review::around_note(table, 0)[0] == 0);
    CHECK(review::around_note(table, last)[1] == last);
}

TEST_CASE("a note's picture hides a face unless every athlete of the clip agreed to be shown") {
    for (const auto consent : {meet::Consent::unknown, meet::Consent::refused, meet::Consent::given}) {
        Faced faced;
        if (!faced.open(consent)) return;
        const meet::NoteId wanted = faced.note(20, true);
        (void)faced.note(10, false);
        const auto stills = review::note_stills(*faced.session);
        REQUIRE(stills.ok());
        REQUIRE(stills->stills.size() == 1);
        CHECK(stills->stills[0].note == wanted);
        REQUIRE(stills->stills[0].picture);
        CHECK(shows_a_face(*stills->stills[0].picture) == (consent == meet::Consent::given));
        CHECK_FALSE(stills->faces.empty());
    }
}

TEST_CASE("what is covered by hand is hidden in a note's picture whatever the consent") {
    Faced faced;
    if (!faced.open(meet::Consent::given)) return;
    const media::FrameTable& table = *faced.session->current_clip()->table;
    const meet::Cover cover{
        {1}, faced.session->clip(), {0, table[0].pts}, {39, table[39].pts}, {0.3, 0.2, 0.4, 0.6}, ""};
    REQUIRE(faced.session->apply({"cover", {{std::nullopt, cover}}, 0}).ok());
    (void)faced.note(20, true);
    const auto stills = review::note_stills(*faced.session);
    REQUIRE(stills.ok());
    REQUIRE(stills->stills.at(0).picture);
    CHECK_FALSE(shows_a_face(*stills->stills[0].picture));
}

TEST_CASE("a note's picture whose clip is away is told and the page is made all the same") {
    test::SampleMeet sample("run 4");
    REQUIRE(review::add_note(*sample.session, {sample.clip("run-4-a.mp4"), 40, "Words.", true}).ok());
    REQUIRE(sample.session->flush().ok());
    const std::filesystem::path path = sample.session->path();
    sample.session.reset();
    std::filesystem::remove(sample.folder.path() / "run-4-a.mp4");
    auto again = Session::open(path);
    REQUIRE(again.ok());
    for (const auto& [id, run] : (*again)->state().runs())
        if (run.label == "run 4") (*again)->select_run(id);
    REQUIRE((*again)->settle().ok());
    const auto page = review::athlete_page(**again);
    REQUIRE(page.ok());
    REQUIRE(page->notes.size() == 1);
    CHECK_FALSE(page->notes[0].picture);
    CHECK_FALSE(page->notes[0].no_picture.empty());
    CHECK_THAT(page->notes[0].no_picture.english(), !Contains(sample.folder.path().string()));
}

TEST_CASE("a clip of each note is written with faces hidden by consent and the page names it") {
    for (const auto consent : {meet::Consent::unknown, meet::Consent::given}) {
        Faced faced;
        if (!faced.open(consent)) return;
        REQUIRE(faced.session->add_book("trial.course", kBook).ok());
        faced.mark_the_start();
        REQUIRE(faced.session->settle().ok());
        (void)faced.note(2, false);
        auto page = review::athlete_page(*faced.session);
        INFO((page.ok() ? "" : page.error().text()));
        REQUIRE(page.ok());
        const std::filesystem::path folder = faced.folder / "short/clips";
        const auto made = review::write_short_clips(*faced.session, *page, folder);
        INFO((made.ok() ? "" : made.error().text()));
        REQUIRE(made.ok());
        // 25 frames a second: from the first to the 25th after frame 2.
        REQUIRE(made->files == std::vector<std::filesystem::path>{folder / "note-1-f0-27.mp4"});
        CHECK(page->notes[0].short_clip == "note-1-f0-27.mp4");
        CHECK(made->faces.size() == 1);
        const std::string count =
            test::run_line(
                "ffprobe -v error -count_frames -show_entries stream=nb_read_frames -of csv=p=0 '" +
                made->files[0].string() + "'")
                .words;
        CHECK(count == "28\n");
        CHECK(shows_a_face(test::decoded_picture(made->files[0])) == (consent == meet::Consent::given));
    }
}

TEST_CASE("a page holds the athlete's run against others and names who cannot be") {
    test::SampleMeet sample("run 4");
    Session& session = *sample.session;
    meet::RunId one;
    for (const auto& [id, run] : session.state().runs())
        if (run.label == "run 1") one = id;
    review::AthletePageWish wish;
    wish.against = {one, session.run(), one};
    double last = 0;
    wish.progress = [&last](double share) {
        CHECK(share >= last);
        last = share;
    };
    auto page = review::athlete_page(session, wish);
    REQUIRE(page.ok());
    CHECK(last == 1);
    CHECK(page->beside.size() == 1);  // once, and not against itself
    REQUIRE(page->figures.references.size() == 1);
    CHECK(page->figures.references[0].runs[0].label == "run 1");
    const auto empty = session.add_run("run 9");
    REQUIRE(empty.ok());
    for (const auto& [id, run] : session.state().runs())
        if (run.label == "run 4") session.select_run(id);
    REQUIRE(session.settle().ok());
    wish.progress = {};
    wish.against = {one, *empty};
    page = review::athlete_page(session, wish);
    REQUIRE(page.ok());
    CHECK(page->beside.size() == 1);
    CHECK_THAT(report::athlete_page_text(*page), Contains("Left out: run 9: "));
    wish.against = {{999}};
    CHECK(review::athlete_page(session, wish).error().category == base::Category::not_found);
    wish.against = {};
    wish.division = "nobody's";
    CHECK(review::athlete_page(session, wish).error().category == base::Category::not_found);
    std::stop_source stop;
    stop.request_stop();
    wish.division = "";
    wish.against = {one};
    wish.stop = stop.get_token();
    CHECK(review::athlete_page(session, wish).error().category == base::Category::cancelled);
}

TEST_CASE("who refused consent is named by number alone on every run of theirs and in the notes") {
    for (const auto consent : {meet::Consent::refused, meet::Consent::unknown}) {
        test::SampleMeet sample("run 4");
        Session& session = *sample.session;
        // Run 1 is made the same athlete's, with the name in both labels.
        const meet::RunId mine = session.run();
        meet::Athlete athlete{{session.state().next_id(meet::Kind::athlete)}, "17", "Mila Brandt", "", ""};
        athlete.consent = consent;
        const auto added = session.add_athlete(athlete);
        REQUIRE(added.ok());
        std::vector<meet::Edit> edits;
        for (const auto& [id, run] : session.state().runs()) {
            if (id != mine && run.label != "run 1") continue;
            meet::Run after = run;
            after.athlete = *added;
            after.entry = {};
            after.label += " of Brandt";
            edits.push_back({run, after});
        }
        REQUIRE(edits.size() == 2);
        REQUIRE(session.apply({"a change", edits, 0}).ok());
        REQUIRE(review::add_note(session, {session.clip(), 40, "Mila, look up, MILA!", false}).ok());
        REQUIRE(session.settle().ok());
        const auto page = review::athlete_page(session);
        INFO((page.ok() ? "" : page.error().text()));
        REQUIRE(page.ok());
        for (const std::string& text : {report::athlete_page_text(*page), report::athlete_page_html(*page)}) {
            const bool named = consent != meet::Consent::refused;
            CHECK((text.find("Mila") != std::string::npos) == named);
            CHECK((text.find("MILA") != std::string::npos) == named);
            CHECK((text.find("Brandt") != std::string::npos) == named);
            CHECK_THAT(text, Contains("17"));
        }
        CHECK(session.state().notes().begin()->second.text == "Mila, look up, MILA!");
    }
}
