#include "bench_ruling/reviews.h"

#include <algorithm>
#include <string>

namespace plumbmark::bench {
namespace {

using course::Part;
using course::SurfaceId;
using ruling::ClipIndex;
using ruling::Happening;
using ruling::MarkId;

constexpr std::int64_t kFrame = 16'666'666;  // 60 frames a second
constexpr int kRungs = 4;

class Maker {
  public:
    SurfaceId surface(const std::string& name) {
        made_.book.surfaces.push_back({name, name, {}, {}});
        return SurfaceId{static_cast<std::int64_t>(made_.book.surfaces.size()) - 1};
    }
    /// A station of a row of rungs for the hands, with both feet on the landing.
    void station(SurfaceId start, const std::vector<SurfaceId>& rungs, SurfaceId landing) {
        course::Station station;
        station.key = station.name = "station " + std::to_string(made_.book.stations.size() + 1);
        station.start = {start};
        for (const SurfaceId rung : rungs)
            station.in_play.push_back({rung, course::kHands, false, {}, false, {}});
        station.rows.push_back({rungs, 0, {}});
        station.landing.surfaces = {landing};
        station.landing.parts = course::LandingParts::both_feet;
        made_.book.stations.push_back(station);
    }
    void clip(int frames, std::int64_t offset = 0) {
        ruling::ClipFacts facts;
        facts.name = std::string("camera ") + static_cast<char>('A' + made_.evidence.clips.size());
        for (int i = 0; i < frames; ++i)
            facts.frame_times.push_back(base::Time{offset + i * kFrame});
        made_.evidence.clips.push_back(facts);
    }
    [[nodiscard]] base::Time time(std::size_t clip, int frame) const {
        return made_.evidence.clips[clip].frame_times[static_cast<std::size_t>(frame)];
    }
    void on(Part part, SurfaceId surface) {
        made_.evidence.contacts.push_back({next(), ClipIndex{0}, time(0, 0), part, surface, true});
    }
    void off(Part part, SurfaceId surface) {
        made_.evidence.contacts.push_back({next(), ClipIndex{0}, time(0, 0), part, surface, false});
    }
    void mark(const Happening& what, int frame, int width = 1) {
        ruling::Mark mark;
        mark.id = next();
        mark.alternatives = {what};
        mark.sightings = {
            {ClipIndex{static_cast<std::int64_t>(clip_)}, time(clip_, frame - width), time(clip_, frame)}};
        made_.evidence.marks.push_back(mark);
    }
    /// The next marks lie on this clip.
    void look_at(std::size_t clip) { clip_ = clip; }
    /// The last mark is seen on this clip, too.
    void also_on(std::size_t clip, int frame) {
        made_.evidence.marks.back().sightings.push_back(
            {ClipIndex{static_cast<std::int64_t>(clip)}, time(clip, frame - 1), time(clip, frame)});
    }
    void watch_all() {
        for (std::size_t c = 0; c < made_.evidence.clips.size(); ++c) {
            ruling::WatchedSpan span;
            span.id = next();
            span.clip = ClipIndex{static_cast<std::int64_t>(c)};
            span.after = made_.evidence.clips[c].frame_times.front();
            span.until = made_.evidence.clips[c].frame_times.back();
            span.scope.whole_athlete = true;
            made_.evidence.spans.push_back(span);
        }
    }
    Review& review() { return made_; }
    Review take() { return std::move(made_); }

  private:
    MarkId next() { return MarkId{++marks_}; }

    Review made_;
    std::int64_t marks_ = 0;
    std::size_t clip_ = 0;
};

ruling::Touch touch(Part part, SurfaceId surface) {
    return {part, surface, ruling::Grade::ungraded};
}
ruling::Release release(Part part, SurfaceId surface) {
    return {part, surface};
}
constexpr ruling::Signal kStart{ruling::SignalKind::start_given};
constexpr ruling::Signal kOver{ruling::SignalKind::run_over};

std::vector<SurfaceId> rungs(Maker& maker, int count, const std::string& of) {
    std::vector<SurfaceId> made;
    for (int i = 0; i < count; ++i)
        made.push_back(maker.surface("rung " + std::to_string(i + 1) + of));
    return made;
}

}  // namespace

Review twelve_marks() {
    Maker maker;
    const SurfaceId deck = maker.surface("deck");
    const std::vector<SurfaceId> rung = rungs(maker, kRungs, "");
    const SurfaceId quay = maker.surface("quay");
    maker.surface("floor");
    maker.station(deck, rung, quay);
    maker.clip(600);
    maker.on(Part::left_foot, deck);
    maker.on(Part::right_foot, deck);
    maker.mark(kStart, 10);
    maker.mark(touch(Part::left_hand, rung[0]), 60);
    maker.mark(release(Part::left_foot, deck), 70);
    maker.mark(release(Part::right_foot, deck), 75);
    maker.mark(touch(Part::right_hand, rung[1]), 90);
    maker.mark(release(Part::left_hand, rung[0]), 110);
    maker.mark(touch(Part::left_hand, rung[2]), 130);
    maker.mark(release(Part::right_hand, rung[1]), 150, 3);
    maker.mark(touch(Part::right_hand, rung[3]), 150, 3);
    maker.mark(release(Part::left_hand, rung[2]), 150, 3);
    maker.mark(touch(Part::left_foot, quay), 200);
    maker.mark(touch(Part::right_foot, quay), 210);
    maker.watch_all();
    return maker.take();
}

Review run_of(int stations, int shift) {
    Maker maker;
    SurfaceId deck = maker.surface("deck 1");
    maker.clip(60 * stations + shift + 120);
    maker.on(Part::left_foot, deck);
    maker.on(Part::right_foot, deck);
    int frame = shift + 10;
    maker.mark(kStart, frame);
    for (int s = 0; s < stations; ++s) {
        const std::string of = " of " + std::to_string(s + 1);
        const std::vector<SurfaceId> rung = rungs(maker, 2, of);
        const SurfaceId next = maker.surface("deck " + std::to_string(s + 2));
        maker.station(deck, rung, next);
        maker.mark(touch(Part::left_hand, rung[0]), frame + 5);
        maker.mark(release(Part::left_foot, deck), frame + 10);
        maker.mark(release(Part::right_foot, deck), frame + 12);
        maker.mark(touch(Part::right_hand, rung[1]), frame + 20);
        maker.mark(release(Part::left_hand, rung[0]), frame + 30);
        maker.mark(touch(Part::left_foot, next), frame + 40);
        maker.mark(touch(Part::right_foot, next), frame + 40);
        maker.mark(release(Part::right_hand, rung[1]), frame + 50);
        frame += 55;
        deck = next;
    }
    maker.mark(kOver, frame + 20);
    maker.watch_all();
    return maker.take();
}

Review two_hundred_marks_on_four_clips() {
    // 22 stations of eight marks with two more grips each make 200 with the start and the end.
    constexpr int kStations = 22, kMarks = 200;
    Maker maker;
    SurfaceId deck = maker.surface("deck 1");
    for (int c = 0; c < 4; ++c)
        maker.clip(3600, c * 7'300'000'000);
    maker.on(Part::left_foot, deck);
    maker.on(Part::right_foot, deck);
    int frame = 100, made = 0;
    const auto mark = [&](const Happening& what) {
        const auto clip = static_cast<std::size_t>(made % 4);
        maker.look_at(clip);
        frame += 12;
        // The clips begin at times of their own: clip c shows frame n of the run as its frame n + 3c.
        maker.mark(what, frame + 3 * static_cast<int>(clip));
        if (made % 5 == 0) maker.also_on((clip + 1) % 4, frame + 3 * static_cast<int>((clip + 1) % 4));
        ++made;
    };
    mark(kStart);
    for (int s = 0; s < kStations; ++s) {
        const std::vector<SurfaceId> rung = rungs(maker, 2, " of " + std::to_string(s + 1));
        const SurfaceId next = maker.surface("deck " + std::to_string(s + 2));
        maker.station(deck, rung, next);
        mark(touch(Part::left_hand, rung[0]));
        mark(release(Part::left_foot, deck));
        mark(release(Part::right_foot, deck));
        mark(touch(Part::right_hand, rung[1]));
        mark(release(Part::left_hand, rung[0]));
        mark(touch(Part::left_foot, next));
        mark(release(Part::right_hand, rung[1]));
        if (s % 9 != 0) {
            mark(touch(Part::left_hand, rung[0]));
            mark(release(Part::left_hand, rung[0]));
        }
        mark(touch(Part::right_foot, next));
        deck = next;
    }
    while (made < kMarks - 1) {
        mark(release(Part::left_foot, deck));
        if (made < kMarks - 1) mark(touch(Part::left_foot, deck));
    }
    mark(kOver);
    maker.watch_all();
    return maker.take();
}

Review overlapping(int touches) {
    Maker maker;
    const SurfaceId deck = maker.surface("deck");
    std::vector<SurfaceId> items;
    for (int i = 0; i < touches; ++i)
        items.push_back(maker.surface("item " + std::to_string(i + 1)));
    const SurfaceId quay = maker.surface("quay");
    course::Station station;
    station.key = station.name = "items";
    station.start = {deck};
    for (const SurfaceId item : items)
        station.in_play.push_back({item, course::kHands, true, {}, false, {}});
    station.landing.surfaces = {quay};
    maker.review().book.stations.push_back(station);
    maker.clip(300);
    maker.on(Part::left_foot, deck);
    maker.mark(kStart, 10);
    for (const SurfaceId item : items)
        maker.mark(touch(Part::left_hand, item), 100, 30);
    maker.mark(release(Part::left_foot, deck), 150);
    maker.mark(touch(Part::left_foot, quay), 200);
    maker.watch_all();
    return maker.take();
}

}  // namespace plumbmark::bench
