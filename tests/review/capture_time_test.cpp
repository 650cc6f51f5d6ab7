// Capture time and repeated pictures on their way into a ruling: what the file says, what the reviewer says,
// and what each mark then rests on.
#include "review/capture_time.h"

#include <array>
#include <catch2/catch.hpp>
#include <cstdio>
#include <cstdlib>

#include "course/read.h"
#include "review/evidence.h"
#include "review/exchange.h"
#include "review/session.h"
#include "ruling/ruling.h"
#include "support/temporary_folder.h"

namespace {

namespace fs = std::filesystem;
namespace meet = plumbmark::meet;
namespace media = plumbmark::media;
namespace ruling = plumbmark::ruling;
using namespace plumbmark::review;
using plumbmark::base::Time;
using plumbmark::course::Part;
using plumbmark::test::TemporaryFolder;

const char* const kBook = R"(course = "a hold of two seconds"
revision = "1"
[surfaces]
pier_deck = "pier deck"
quay_deck = "quay deck"
[[station]]
key = "drop"
name = "drop and stand"
start = "pier_deck"
landing = { surface = "quay_deck", parts = "any foot", hold = 2 }
)";

plumbmark::course::CourseBook book() {
    auto read = plumbmark::course::read_book_or_error(kBook, "test.course");
    REQUIRE(read.ok());
    return *read;
}

constexpr std::int64_t kTicks = 3'000;  // 30 frames a second of 1/90000 s

meet::FrameRef frame(std::int64_t n) {
    return {n, n * kTicks};
}

/// One run on one clip of 30 frames a second, kept in memory: no file, so that the ruling rests on the meet
/// alone.
class Trial {
  public:
    Trial() {
        clip_.id = {1};
        clip_.name = "camera A";
        clip_.frame_count = 1'000;
        clip_.time_base = {1, 90'000};
        clip_.row_delay = plumbmark::base::Duration{0};
    }
    meet::Clip& clip() { return clip_; }
    void event(meet::Event what, std::int64_t early, std::int64_t late) {
        meet::Mark mark;
        mark.id = {++ids_};
        mark.run = {1};
        mark.alternatives = {std::move(what)};
        mark.sightings = {{{1}, frame(early), frame(late)}};
        add(mark);
    }
    void contact(meet::EventKind kind, Part part, const std::string& surface, std::int64_t early,
                 std::int64_t late) {
        meet::Event what;
        what.kind = kind;
        what.part = part;
        what.surface = surface;
        event(what, early, late);
    }
    void signal(ruling::SignalKind kind, std::int64_t early, std::int64_t late) {
        meet::Event what;
        what.kind = meet::EventKind::signal;
        what.signal = kind;
        event(what, early, late);
    }
    void on(Part part, const std::string& surface, std::int64_t at) {
        add(meet::ContactStatement{{++ids_}, {1}, {1}, frame(at), part, surface, true});
    }
    void watch(std::int64_t from, std::int64_t to) {
        add(meet::WatchedSpan{{++ids_}, {1}, {1}, frame(from), frame(to), {}});
    }
    [[nodiscard]] meet::State state() const {
        meet::Run run;
        run.id = {1};
        run.label = "run 1";
        run.clips = {{1}};
        meet::Change change{"all", {{std::nullopt, clip_}, {std::nullopt, run}}, 0};
        change.edits.insert(change.edits.end(), edits_.begin(), edits_.end());
        meet::State state;
        const auto applied = state.apply(change);
        INFO((applied.ok() ? "" : applied.error().text()));
        REQUIRE(applied.ok());
        return state;
    }
    [[nodiscard]] ruling::Evidence evidence() const {
        const auto made = run_evidence(state(), {1}, book(), [](meet::ClipId) { return nullptr; });
        REQUIRE(made.ok());
        return made->evidence;
    }
    [[nodiscard]] ruling::Verdict verdict() const {
        const auto ruled = ruling::rule_run(book(), evidence(), {});
        INFO((ruled.ok() ? "" : ruled.error().text()));
        REQUIRE(ruled.ok());
        return ruled->stations.front().verdict;
    }

  private:
    void add(meet::Entity thing) { edits_.push_back({std::nullopt, std::move(thing)}); }
    meet::Clip clip_;
    std::int64_t ids_ = 0;
    std::vector<meet::Edit> edits_;
};

meet::CaptureMap map(const std::string& text) {
    auto read = meet::read_capture(text);
    REQUIRE(read.ok());
    for (meet::CaptureStretch& stretch : *read)
        stretch.from = frame(stretch.from.number);
    return *read;
}

/// On the quay for 100 frames: 3.3 s as shown, 0.4 s where eight times as many pictures were taken.
Trial stood_for_a_hundred_frames() {
    Trial trial;
    trial.on(Part::left_foot, "pier_deck", 0);
    trial.signal(ruling::SignalKind::start_given, 0, 1);
    trial.contact(meet::EventKind::release, Part::left_foot, "pier_deck", 5, 6);
    trial.contact(meet::EventKind::touch, Part::right_foot, "quay_deck", 10, 11);
    trial.contact(meet::EventKind::release, Part::right_foot, "quay_deck", 110, 111);
    trial.signal(ruling::SignalKind::run_over, 115, 116);
    trial.watch(0, 120);
    return trial;
}

fs::path made(const TemporaryFolder& folder, const std::string& name, const std::string& arguments) {
    const fs::path file = folder / name;
    const std::string command = "ffmpeg -v error -y " + arguments + " '" + file.string() + "'";
    REQUIRE(std::system(command.c_str()) == 0);
    return file;
}

std::shared_ptr<const media::FrameTable> scanned(const fs::path& file) {
    auto table = media::scan_clip(file);
    REQUIRE(table.ok());
    return std::make_shared<const media::FrameTable>(std::move(*table));
}

}  // namespace

TEST_CASE("a hold is measured in capture time, not as the file shows it") {
    Trial trial = stood_for_a_hundred_frames();
    CHECK(trial.verdict() == ruling::Verdict::clear);
    trial.clip().capture = map("240 shown 30");
    CHECK(trial.verdict() == ruling::Verdict::fail);
    trial.clip().capture = map("as shown");
    CHECK(trial.verdict() == ruling::Verdict::clear);
    trial.clip().capture = map("15 shown 30");
    CHECK(trial.verdict() == ruling::Verdict::clear);
    trial.clip().capture = map("as shown; @40 240 shown 30; @60 as shown");
    // 20 frames pass in 1/12 s: 7/12 s less.
    const Time end = *trial.evidence().marks.back().sightings.front().until;
    CHECK(std::abs(end.ns - (3'866'666'666 - 583'333'333)) <= 2);
}

TEST_CASE("a clip whose file says that it is slowed shows order only until the reviewer says more") {
    Trial trial = stood_for_a_hundred_frames();
    trial.clip().slowed = meet::Rates{{240, 1}, {30, 1}};
    CHECK_FALSE(trial.evidence().clips.front().durations_known);
    CHECK(trial.verdict() == ruling::Verdict::not_shown);
    CHECK(capture_sentence(trial.clip()).find("recorded at 240 pictures a second, shown at 30") !=
          std::string::npos);
    trial.clip().capture = map("240 shown 30");
    CHECK(trial.verdict() == ruling::Verdict::fail);
    trial.clip().capture = map("as shown");
    CHECK(trial.verdict() == ruling::Verdict::clear);
    CHECK(capture_sentence(trial.clip()) == "capture time: as given by the reviewer, as shown");
}

TEST_CASE("an unknown stretch between the marks takes their durations, and one outside does not") {
    Trial trial = stood_for_a_hundred_frames();
    trial.clip().capture = map("as shown; @50 unknown; @60 as shown");
    CHECK_FALSE(trial.evidence().clips.front().durations_known);
    CHECK(trial.verdict() == ruling::Verdict::not_shown);
    trial.clip().capture = map("as shown; @120 unknown");
    CHECK(trial.evidence().clips.front().durations_known);
    CHECK(trial.verdict() == ruling::Verdict::clear);
}

TEST_CASE("the early end of a bracket goes back over repeated pictures, and the late end stays") {
    Trial trial = stood_for_a_hundred_frames();
    trial.clip().repeated = {{frame(8), 10, true}, {frame(10), 11, false}, {frame(109), 110, false}};
    const ruling::Evidence evidence = trial.evidence();
    const auto time = [](std::int64_t n) { return Time{n * 1'000'000'000 / 30}; };
    CHECK(evidence.marks[2].sightings.front() == ruling::Sighting{{0}, time(8), time(11)});
    CHECK(evidence.marks[3].sightings.front() == ruling::Sighting{{0}, time(109), time(111)});
    CHECK(evidence.marks[1].sightings.front() == ruling::Sighting{{0}, time(5), time(6)});
    const meet::State state = trial.state();
    CHECK(repeats_words(state, {4}) == "f 10 of camera A shows f 8 again");
    CHECK(repeats_words(state, {3}).empty());
}

TEST_CASE("a bracket that only repeated pictures made sharp settles no more than the camera saw") {
    // 61 frames from first touch to last, a hold of 2 s shown by one frame; five of them repeat the one
    // before.
    const auto stood = [](std::int64_t until) {
        Trial trial;
        trial.on(Part::left_foot, "pier_deck", 0);
        trial.signal(ruling::SignalKind::start_given, 0, 1);
        trial.contact(meet::EventKind::release, Part::left_foot, "pier_deck", 5, 6);
        trial.contact(meet::EventKind::touch, Part::right_foot, "quay_deck", 10, 11);
        trial.contact(meet::EventKind::release, Part::right_foot, "quay_deck", until, until + 1);
        trial.signal(ruling::SignalKind::run_over, 80, 81);
        trial.watch(0, 90);
        return trial;
    };
    Trial trial = stood(73);
    CHECK(trial.verdict() == ruling::Verdict::clear);
    trial.clip().repeated = {{frame(68), 73, true}};
    CHECK(trial.verdict() == ruling::Verdict::not_shown);
}

TEST_CASE("a statement and a watched span speak of the pictures, not of their repetitions") {
    Trial trial;
    trial.on(Part::left_foot, "pier_deck", 12);
    trial.watch(12, 30);
    trial.watch(40, 50);
    trial.watch(61, 64);
    trial.clip().repeated = {{frame(10), 12, true},
                             {frame(27), 30, false},
                             {frame(38), 40, false},
                             {frame(48), 50, true},
                             {frame(60), 64, true}};
    const ruling::Evidence evidence = trial.evidence();
    const auto time = [](std::int64_t n) { return Time{n * 1'000'000'000 / 30}; };
    CHECK(evidence.contacts.front().at == time(10));
    // A beginning goes back over exact repetitions only: what is nearly equal may hide something.
    REQUIRE(evidence.spans.size() == 2);
    CHECK(evidence.spans[0].after == time(10));
    CHECK(evidence.spans[0].until == time(27));
    CHECK(evidence.spans[1].after == time(40));
    CHECK(evidence.spans[1].until == time(48));
}

TEST_CASE("the rate a clip is shown at is measured to the file's ticks, whatever frames are missing") {
    const TemporaryFolder folder;
    const auto rate = [&](const std::string& name, const std::string& arguments) {
        const auto table = scanned(made(folder, name, arguments));
        return shown_rate(*table, 0, table->size());
    };
    const std::string at = "-f lavfi -i testsrc2=s=64x48:d=3:r=";
    using plumbmark::base::Rational;
    CHECK(rate("a.mp4", at + "30000/1001 -c:v libx264 -preset ultrafast") == Rational{30'000, 1'001});
    CHECK(rate("b.mkv", at + "30000/1001 -c:v libx264 -preset ultrafast") == Rational{30'000, 1'001});
    CHECK(rate("c.mkv", at + "60 -c:v libx264 -preset ultrafast") == Rational{60, 1});
    CHECK(rate("d.mp4", at + "25 -vf \"select=mod(n\\,7)\" -fps_mode passthrough -c:v libx264 "
                             "-preset ultrafast") == Rational{25, 1});
    CHECK(rate("e.mp4", at + "17 -c:v libx264 -preset ultrafast") == Rational{17, 1});
}

TEST_CASE("a file's word is stored as a fact, the reviewer's as a change with undo that keeps the facts") {
    const TemporaryFolder folder;
    const fs::path slow =
        made(folder, "slow.mp4",
             "-f lavfi -i testsrc2=s=320x240:d=4:r=24 -vf fps=30 -c:v libx264 -qp 0 -preset "
             "ultrafast -metadata com.android.capture.fps=240.0 -movflags use_metadata_tags");
    auto made_session = Session::create(folder / "a.meet", {"Pier Nine Youth Open", "harbour hall", ""});
    REQUIRE(made_session.ok());
    Session& session = **made_session;
    REQUIRE(session.add_book("test.course", kBook).ok());
    REQUIRE(session.add_clip(slow).ok());
    const meet::ClipId id = session.clip();
    REQUIRE(session.settle().ok());
    const auto clip = [&]() -> const meet::Clip& { return session.state().clips().at(id); };
    CHECK(clip().slowed == meet::Rates{{240, 1}, {30, 1}});
    REQUIRE(session.watch(0, 90, {}).ok());
    REQUIRE(session.settle().ok());
    CHECK_FALSE(session.ruling().evidence->clips.front().durations_known);

    REQUIRE(session.set_capture(id, *meet::read_capture("240; @60 as shown")).ok());
    CHECK(meet::capture_text(clip().capture) == "240 shown 30; @60 as shown");
    CHECK(clip().capture[1].from.pts == (*session.current_clip()->table)[60].pts);
    CHECK(session.undo_label() == "capture time 240 shown 30; @60 as shown");
    REQUIRE(session.find_repeats().ok());
    REQUIRE(clip().repeated);
    CHECK(clip().repeated->size() == 24);
    CHECK(session.undo_label() == "capture time 240 shown 30; @60 as shown");
    CHECK(session.ruling().evidence->clips.front().durations_known);

    REQUIRE(session.undo().ok());
    CHECK(clip().capture.empty());
    CHECK(session.undo_label() == "watched f 0 to 90");
    CHECK(clip().repeated->size() == 24);
    REQUIRE(session.redo().ok());
    CHECK(clip().capture.size() == 2);
    CHECK(clip().repeated->size() == 24);

    const auto refused = session.set_capture(id, *meet::read_capture("240; @120 30"));
    REQUIRE_FALSE(refused.ok());
    CHECK(refused.error().sentence.english().find("frames 0 to 119") != std::string::npos);
    CHECK_FALSE(session.set_capture({77}, {}).ok());

    // The text that is exchanged says it too, and a text without it leaves it.
    auto text = give_out_marks(session);
    REQUIRE(text.ok());
    CHECK(meet::capture_text(text->clips.front().capture) == "240 shown 30; @60 as shown");
    REQUIRE(session.set_capture(id, {}).ok());
    CHECK(clip().capture.empty());
    REQUIRE(take_in_marks(session, *text).ok());
    CHECK(clip().capture.size() == 2);
    text->clips.front().capture.clear();
    REQUIRE(take_in_marks(session, *text).ok());
    CHECK(clip().capture.size() == 2);

    REQUIRE(session.flush().ok());
    made_session->reset();
    auto again = Session::open(folder / "a.meet");
    REQUIRE(again.ok());
    CHECK((*again)->state().clips().at(id).capture.size() == 2);
    CHECK((*again)->state().clips().at(id).repeated->size() == 24);
    CHECK((*again)->state().clips().at(id).slowed == meet::Rates{{240, 1}, {30, 1}});
}

TEST_CASE("frames and capture times answer each other") {
    const TemporaryFolder folder;
    const auto table = scanned(
        made(folder, "f.mp4", "-f lavfi -i testsrc2=s=64x48:d=2:r=30 -c:v libx264 -preset ultrafast"));
    meet::Clip clip;
    clip.capture = *completed(*meet::read_capture("as shown; @10 240 shown 30; @30 0.5 shown 30"), *table);
    for (std::int64_t n = 0; n < table->size(); ++n) {
        const Time t = captured_at(clip, *table, n);
        CHECK(frame_captured_at(clip, *table, t) == n);
        CHECK(frame_captured_at(clip, *table, t - plumbmark::base::Duration{1}) == n - 1);
    }
}
