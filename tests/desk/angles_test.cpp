// Several cameras of one run: together and apart, marks from one to another, which shows it best; the list of
// marks, and what the ruling needs next. On the sample meet, whose truth is known.
#include <catch2/catch.hpp>
#include <cctype>

#include "desk/key_bench.h"
#include "review/capture_time.h"

using namespace plumbmark;
using namespace plumbmark::desk;
using test::KeyBench;

namespace {

constexpr meet::RunId kOneCamera{4}, kBothCameras{5};
constexpr std::int64_t kSecondBeganBefore =
    1'237'300'000 + 250'000'000;  // ns; offsets in sample_clips/truth.json

struct Cameras {
    meet::ClipId a, b;
};

Cameras to_run(KeyBench& bench, meet::RunId run) {
    bench.session().select_run(run);
    REQUIRE(bench.session().settle());
    const Cameras cameras{bench.session().clips()[0].id, bench.session().clips()[1].id};
    bench.session().select_clip(cameras.a);
    bench.settle();
    return cameras;
}

std::int64_t time_ns(KeyBench& bench, meet::ClipId clip, std::int64_t frame) {
    for (const review::ClipView& view : bench.session().clips())
        if (view.id == clip) return view.table->time(frame).ns;
    return -1;
}

const meet::Sighting& on(const meet::Mark& mark, meet::ClipId clip) {
    for (const meet::Sighting& sighting : mark.sightings)
        if (sighting.clip == clip) return sighting;
    FAIL("no sighting there");
    return mark.sightings.front();
}

std::string last_message(KeyBench& bench) {
    const auto& messages = bench.core().views().messages;
    return messages.empty() ? "" : messages.back().text;
}

}  // namespace

TEST_CASE(
    "the other camera follows to the same moment, while stepping and while playing, or stays when told to") {
    KeyBench bench;
    if (!bench.can_run()) return;
    const auto [a, b] = to_run(bench, kBothCameras);
    const auto apart_ms = [&, a = a, b = b] {
        const std::int64_t there = time_ns(bench, b, bench.session().frame_of(b));
        return std::abs(there - time_ns(bench, a, bench.session().frame()) - kSecondBeganBefore) / 1'000'000;
    };
    bench.session().go_to_frame(200);
    bench.settle();
    CHECK(apart_ms() <= 21);  // a frame of the second, and half of what the marks leave open
    bench.press(Action::play);
    for (int n = 0; n < 40 && bench.session().frame() < 206; ++n)
        bench.settle();
    bench.press(Action::play);
    bench.settle();
    CHECK(bench.session().frame() >= 206);
    CHECK(apart_ms() <= 21);
    const std::int64_t there = bench.session().frame_of(b);
    bench.press(Action::apart);
    bench.press(Action::ten_on);
    bench.settle();
    CHECK(bench.session().frame_of(b) == there);
    bench.press(Action::apart);
    bench.settle();
    CHECK(bench.session().frame_of(b) > there);
    CHECK(apart_ms() <= 21);
}

TEST_CASE("a mark copied to the other camera encloses the moment there, and undo takes it back") {
    KeyBench bench;
    if (!bench.can_run()) return;
    const auto [a, b] = to_run(bench, kBothCameras);
    bench.session().set_hand({course::Part::left_foot, "gantry_deck", ""});
    bench.session().go_to_frame(300);
    bench.settle();
    bench.press(Action::touch);
    const meet::MarkId id = bench.session().selected();
    bench.press(Action::copy_mark);
    bench.settle();
    const meet::Mark& mark = bench.session().state().marks().at(id);
    REQUIRE(mark.sightings.size() == 2);
    CHECK(bench.session().clip() == b);
    CHECK(bench.session().selected() == id);
    const meet::Sighting &here = on(mark, a), &there = on(mark, b);
    const auto shifted = [&, a = a](const meet::FrameRef& frame) {
        return time_ns(bench, a, frame.number) + kSecondBeganBefore;
    };
    CHECK(time_ns(bench, b, there.early->number) <= shifted(*here.early));
    CHECK(time_ns(bench, b, there.late->number) >= shifted(*here.late));
    // As wide as the tie, no wider: less than five frames of 20 ms.
    CHECK(there.late->number - there.early->number < 5);
    CHECK(bench.session().frame() == there.late->number);
    bench.press(Action::undo);
    CHECK(bench.session().state().marks().at(id).sightings.size() == 1);
}

TEST_CASE("a mark is not copied to a camera that is not tied, and the desk says what to do") {
    KeyBench bench;
    if (!bench.can_run()) return;
    to_run(bench, kOneCamera);
    bench.session().go_to_mark((*bench.session().state().marks_of(kOneCamera).begin()).id);
    bench.settle();
    const auto changes = bench.session().changes();
    bench.press(Action::copy_mark);
    CHECK(bench.session().changes() == changes);
    CHECK(last_message(bench).find("is not tied to") != std::string::npos);
    CHECK(last_message(bench).find("H on the second") != std::string::npos);
}

TEST_CASE("the camera on which the surface in hand lies largest is one key away, and the next one more") {
    KeyBench bench;
    if (!bench.can_run()) return;
    const auto [a, b] = to_run(bench, kBothCameras);
    bench.session().set_hand({course::Part::left_foot, "gantry_deck", ""});
    const auto area = [&](meet::ClipId clip) {
        double sum = 0;
        for (const auto& [id, drawing] : bench.session().state().drawings()) {
            if (drawing.clip != clip || drawing.key != "gantry_deck") continue;
            for (std::size_t i = 0; i < drawing.points.size(); ++i) {
                const auto &p = drawing.points[i], &q = drawing.points[(i + 1) % drawing.points.size()];
                sum += (p[0] * q[1] - q[0] * p[1]) / 2;
            }
        }
        return std::abs(sum);
    };
    const meet::ClipId best = area(a) > area(b) ? a : b, other = best == a ? b : a;
    REQUIRE(area(other) > 0);
    for (const meet::ClipId from : {a, b}) {
        bench.session().select_clip(from);
        bench.press(Action::best_angle);
        CHECK(bench.session().clip() == (from == best ? other : best));
        CHECK(last_message(bench).find("px large there") != std::string::npos);
    }
    bench.session().set_hand({});
    bench.press(Action::best_angle);
    CHECK(last_message(bench).find("Choose a surface or a plane first") != std::string::npos);
}

TEST_CASE(
    "the list of marks holds all of them, is narrowed by what is typed, and goes where one was chosen") {
    KeyBench bench;
    if (!bench.can_run()) return;
    const auto [a, b] = to_run(bench, kBothCameras);
    const meet::State& state = bench.session().state();
    bench.press(Action::mark_list);
    REQUIRE(bench.core().views().chooser);
    const auto count = [&] { return bench.core().views().chooser->shown().size(); };
    const auto length = [](const auto& listed) {
        std::size_t n = 0;
        for (auto it = listed.begin(); !(it == listed.end()); ++it)
            ++n;
        return n;
    };
    CHECK(count() == length(state.marks_of(kBothCameras)) + length(state.contacts_of(kBothCameras)) +
                         length(state.watched_of(kBothCameras)));
    const std::size_t all = count();
    for (const char letter : std::string("left foot touches gantry deck")) {
        bench.core().key(std::toupper(letter), 0, false);
        bench.core().text(static_cast<unsigned char>(letter));
    }
    CHECK(count() == 1);
    CHECK(all > 30);
    bench.core().key(key_enter, 0, false);
    bench.settle();
    const meet::Mark& mark = state.marks().at(bench.session().selected());
    CHECK(mark.alternatives.front().surface == "gantry_deck");
    CHECK(bench.session().clip() == b);  // camera A does not show it
    CHECK(bench.session().frame() == on(mark, b).late->number);
}

TEST_CASE(
    "Enter takes what the ruling needs next: a signal to mark, what would settle it, the next station") {
    KeyBench bench;
    if (!bench.can_run()) return;
    to_run(bench, kOneCamera);
    SheetView& sheet = bench.core().views().sheet;
    sheet.focus = 1;
    const auto settle = next_need(bench.session(), sheet);
    REQUIRE(settle);
    CHECK(settle->words == station_ruling(bench.session(), 1)->settle.front().sentence);
    bench.press(Action::take);
    bench.settle();
    CHECK(bench.session().frame() > 380);
    // A station that is clear leaves the next that is not.
    sheet.focus = 0;
    const auto other = next_need(bench.session(), sheet);
    REQUIRE(other);
    CHECK(other->words == "station 2 is not shown yet; look at it");
    bench.press(Action::take);
    CHECK(sheet.focus == 1);
    // Without a start there is nothing to count from.
    meet::MarkId begun;
    for (const meet::Mark& mark : bench.session().state().marks_of(kOneCamera))
        if (mark.alternatives.front().kind == meet::EventKind::signal &&
            mark.alternatives.front().signal == ruling::SignalKind::start_given)
            begun = mark.id;
    bench.session().select(begun);
    REQUIRE(bench.session().remove_selected());
    const auto start = next_need(bench.session(), sheet);
    REQUIRE(start);
    CHECK(start->words.find("start signal") != std::string::npos);
    // A run that is clear throughout needs nothing.
    bench.session().select_run(meet::RunId{1});
    REQUIRE(bench.session().settle());
    sheet = {};
    CHECK_FALSE(next_need(bench.session(), sheet));
}

TEST_CASE("brightness and contrast belong to a camera, are told on its picture, and stop at their ends") {
    KeyBench bench;
    if (!bench.can_run()) return;
    const auto [a, b] = to_run(bench, kBothCameras);
    for (int n = 0; n < 20; ++n)
        bench.press(Action::brighter);
    bench.press(Action::less_contrast);
    bench.session().select_clip(b);
    bench.settle();
    const PicturesView& view = bench.core().views().pictures;
    CHECK(tone_of(view, a) == Tone{Tone::kMost, -1});
    CHECK(tone_of(view, b).plain());
    CHECK(tone_words(tone_of(view, a)) == "brightness +8 and contrast -1");
    bench.session().select_clip(a);
    bench.press(Action::plain_tone);
    CHECK(view.tones.empty());
}
