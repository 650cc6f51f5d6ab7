#include "oracle/random_case.h"

#include <algorithm>

namespace plumbmark::oracle {
namespace {

using course::Part;
using course::SurfaceId;

constexpr std::int64_t kUnitNs = 10'000'000;
constexpr std::int64_t kFrameUnits = 2;

struct Told {
    ruling::Happening what;
    int frame;  // it happens after this frame and by the next one; -1: before the first
};

// How far a review goes its own way. Were every step of it a gamble, hardly a station would be cleared or
// failed for certain; so a part of the stories is smooth, and a part of the reviewers careful, each for
// itself.
struct Temper {
    bool smooth = false;   // the athlete mostly does what the station asks
    bool careful = false;  // the reviewer mostly marks it all, tightly and without doubt
};

bool slips(Dice& dice, bool rarely, int percent) {
    return dice.percent(rarely ? (percent + 5) / 6 : percent);
}

// What really happens, in order.
class Story {
  public:
    Story(Dice& dice, const course::CourseBook& book, Temper temper, int frames, std::size_t most)
        : dice_(dice), book_(book), smooth_(temper.smooth), latest_(frames - 2), most_(most) {
        // The signal that the run is over mostly gets an interval of its own, after everything else: in the
        // same interval as the landing it would leave open which was first.
        over_ = dice_.percent(72);
        if (over_ && !dice_.percent(12)) --latest_;
    }

    std::vector<Told> events;
    std::vector<ruling::ContactStatement> statements;

    void tell() {
        stand();
        if (slips(4)) say(ruling::Infraction{ruling::InfractionKind::false_start});
        if (slips(2)) say(ruling::Signal{ruling::SignalKind::run_over});
        if (!dice_.percent(6)) {
            now_ = dice_.percent(4) ? -1 : 0;
            say(ruling::Signal{ruling::SignalKind::start_given});
            now_ = std::max(now_ + (dice_.percent(80) ? 1 : 0), 0);
        }
        for (const course::Station& station : book_.stations) {
            if (slips(2)) say(ruling::Signal{ruling::SignalKind::start_given});  // a second one
            run(station);
            if (events.size() >= most_) break;
        }
        finish();
    }

  private:
    bool slips(int percent) { return oracle::slips(dice_, smooth_, percent); }
    void stand() {
        for (Part part : {Part::left_foot, Part::right_foot}) {
            if (dice_.percent(part == Part::left_foot ? 96 : 18))
                state(part, book_.stations[0].start[0], true);
        }
        const std::vector<course::Item>& items = book_.stations[0].in_play;
        if (!items.empty() && slips(8) && items[0].surface != book_.stations[0].start[0])
            state(any_of(items[0].parts), items[0].surface, true);
    }
    void state(Part part, SurfaceId surface, bool on) {
        ruling::ContactStatement said;
        said.clip = ruling::ClipIndex{0};
        said.part = part;
        said.surface = surface;
        said.on = on;
        statements.push_back(said);
        if (on) on_.push_back({part, surface});
    }

    void say(ruling::Happening what) {
        if (events.size() >= most_) return;
        if (!slips(26)) now_ = std::min(now_ + 1 + (slips(40) ? 1 : 0), latest_);
        events.push_back({std::move(what), now_});
    }
    bool is_on(Part part, SurfaceId surface) const {
        return std::find(on_.begin(), on_.end(), std::pair(part, surface)) != on_.end();
    }
    ruling::Grade grade() {
        return dice_.percent(70)   ? ruling::Grade::ungraded
               : dice_.percent(50) ? ruling::Grade::brush
                                   : ruling::Grade::weight;
    }
    void touch(Part part, SurfaceId surface) {
        if (is_on(part, surface) || events.size() >= most_) return;
        on_.push_back({part, surface});
        say(ruling::Touch{part, surface, grade()});
    }
    void release(Part part, SurfaceId surface) {
        if (!is_on(part, surface) || events.size() >= most_) return;
        on_.erase(std::find(on_.begin(), on_.end(), std::pair(part, surface)));
        say(ruling::Release{part, surface});
    }
    static std::vector<Part> all_of(course::PartSet set) {
        std::vector<Part> all;
        for (Part part : course::kAllParts) {
            if (set.has(part)) all.push_back(part);
        }
        return all;
    }
    Part any_of(course::PartSet set) { return dice_.of(all_of(set)); }
    Part any_part() { return course::kAllParts[static_cast<std::size_t>(dice_.below(6))]; }

    void leave(const course::Station& station) {
        for (Part part : {Part::left_foot, Part::right_foot}) {
            if (dice_.percent(85)) release(part, station.start[0]);
        }
    }

    void run(const course::Station& station) {
        if (slips(6)) stumble(station);
        if (slips(25)) leave(station);
        for (const course::Item& item : station.in_play)
            use(station, item);
        if (dice_.percent(45)) leave(station);
        if (slips(12)) stumble(station);
        if (slips(6)) touch(Part::left_foot, station.start[0]);
        for (const course::Checkpoint& checkpoint : station.checkpoints) {
            if (checkpoint.crossed && dice_.percent(60))
                say(ruling::Cross{std::nullopt, *checkpoint.crossed, ruling::Direction::forward});
        }
        for (const course::PlaneCondition& condition : station.landing.planes) {
            if (!slips(20)) say(ruling::Cross{condition.part, condition.plane, ruling::Direction::forward});
        }
        if (station.start_plane && dice_.percent(40)) {
            say(ruling::Cross{Part::left_foot, *station.start_plane, ruling::Direction::forward});
        }
        if (!slips(8)) land(station.landing);
    }

    void use(const course::Station& station, const course::Item& item) {
        if (slips(item.required ? 5 : 45)) return;
        const Part part = !slips(12) ? any_of(item.parts) : any_part();
        touch(part, item.surface);
        if (slips(20)) leave(station);
        if (dice_.percent(25)) release(part, item.surface);
        if (item.once && slips(40)) {
            release(part, item.surface);
            touch(part, item.surface);
        }
    }

    void stumble(const course::Station& station) {
        switch (dice_.below(6)) {
            case 0:
                return touch(any_part(), book_.find_surface("floor"));
            case 1:
                return touch(any_part(), SurfaceId{});
            case 2:
                return say(ruling::Infraction{dice_.percent(50) ? ruling::InfractionKind::assistance
                                                                : ruling::InfractionKind::lack_of_control});
            case 3: {
                // The compiler may evaluate arguments in any order; the dice must not notice.
                const SurfaceId surface{dice_.below(static_cast<int>(book_.surfaces.size()))};
                return touch(any_part(), surface);
            }
            case 4:
                return touch(any_of(course::kHands), station.landing.surfaces[0]);
            default:
                return touch(Part::other, station.start[0]);
        }
    }

    void land(const course::Landing& landing) {
        using course::LandingParts;
        SurfaceId deck = dice_.of(landing.surfaces);
        std::vector<Part> parts{Part::left_foot};
        if (landing.parts == LandingParts::both_feet) parts = {Part::left_foot, Part::right_foot};
        if (landing.parts == LandingParts::any_hand) parts = {Part::right_hand};
        if (landing.parts == LandingParts::both_hands) parts = {Part::left_hand, Part::right_hand};
        if (landing.parts == LandingParts::listed) parts = all_of(landing.listed_parts);
        for (Part part : parts) {
            if (!slips(5)) touch(part, deck);
            if (dice_.percent(25)) deck = dice_.of(landing.surfaces);
        }
        if (landing.hold) {
            now_ = std::min(now_ + dice_.below(3), latest_);
            if (slips(60)) release(parts[0], deck);
        }
        if (landing.control && !slips(15)) say(ruling::Control{});
        for (const course::PlaneCondition& condition : landing.planes) {
            if (slips(15)) say(ruling::Cross{condition.part, condition.plane, ruling::Direction::back});
        }
    }

    void finish() {
        if (book_.finish.surface && dice_.percent(60)) touch(Part::right_hand, *book_.finish.surface);
        if (!book_.finish.name.empty() && dice_.percent(60)) {
            say(ruling::Signal{ruling::SignalKind::finish_registers});
        }
        if (over_) {
            most_ = events.size() + 1;
            now_ = ++latest_;
            say(ruling::Signal{ruling::SignalKind::run_over});
            most_ = events.size() + (slips(12) ? 1 : 0);
            stumble(book_.stations.back());
            if (!book_.finish.name.empty()) say(ruling::Signal{ruling::SignalKind::finish_registers});
        }
    }

    Dice& dice_;
    const course::CourseBook& book_;
    bool smooth_;
    int latest_;  // the last frame after which something happens
    std::size_t most_;
    bool over_ = false;
    int now_ = 0;
    std::vector<std::pair<Part, SurfaceId>> on_;
};

// What a reviewer makes of it.
class Review {
  public:
    Review(Dice& dice, const Mix& mix, Case& review, Temper temper, int frames, int clips)
        : dice_(dice), mix_(mix), case_(review), careful_(temper.careful), frames_(frames), clips_(clips) {
        for (int c = 0; c < clips; ++c) {
            ruling::ClipFacts facts;
            facts.name = c == 0 ? "camera A" : "camera B";
            for (int k = 0; k < frames; ++k)
                facts.frame_times.push_back(time(k));
            case_.evidence.clips.push_back(facts);
        }
        shift_ = dice_.below(3) - 1;
    }

    void write(const Story& story) {
        for (ruling::ContactStatement said : story.statements) {
            said.id = next();
            said.at = time(0);
            case_.evidence.contacts.push_back(said);
        }
        for (const Told& told : story.events) {
            if (!slips(5)) case_.evidence.marks.push_back(mark(told));
        }
        if (dice_.percent(10)) state_later(story);
        if (dice_.percent(3)) garble();
        watch();
    }

    /// A moment that the clips share, and that is no event of the story: a hand clap. Seen on one clip alone
    /// it changes nothing.
    void clap() {
        ruling::Mark made;
        made.id = next();
        made.alternatives = {ruling::SharedMoment{}};
        const int frame = dice_.below(frames_ - 1);
        for (int clip = 0; clip < clips_; ++clip)
            made.sightings.push_back(sighting(clip, frame + clip * shift_));
        const auto place = dice_.below(static_cast<int>(case_.evidence.marks.size()) + 1);
        case_.evidence.marks.insert(case_.evidence.marks.begin() + place, made);
    }

  private:
    bool slips(int percent) { return oracle::slips(dice_, careful_, percent); }
    static base::Time time(int frame) { return {frame * kFrameUnits * kUnitNs}; }
    ruling::MarkId next() { return ruling::MarkId{next_++}; }

    // At some later frame, how it then was with a contact that came or went in the story.
    void state_later(const Story& story) {
        if (story.events.empty()) return;
        ruling::ContactStatement said;
        const int frame = dice_.below(frames_);
        const Told& some = dice_.of(story.events);
        const auto* touched = std::get_if<ruling::Touch>(&some.what);
        const auto* left = std::get_if<ruling::Release>(&some.what);
        if (touched == nullptr && left == nullptr) return;
        said.part = touched != nullptr ? touched->part : left->part;
        said.surface = touched != nullptr ? touched->surface : left->surface;
        said.on = left != nullptr;  // before it
        for (const Told& told : story.events) {
            if (told.frame >= frame) break;
            const auto* touch = std::get_if<ruling::Touch>(&told.what);
            const auto* release = std::get_if<ruling::Release>(&told.what);
            if (touch != nullptr && touch->part == said.part && touch->surface == said.surface)
                said.on = true;
            if (release != nullptr && release->part == said.part && release->surface == said.surface)
                said.on = false;
        }
        said.id = next();
        said.clip = ruling::ClipIndex{0};
        said.at = time(frame);
        case_.evidence.contacts.push_back(said);
    }
    // A slip of the reviewer: often the review then has no world.
    void garble() {
        std::vector<ruling::Mark>& marks = case_.evidence.marks;
        if (marks.empty()) return;
        ruling::Mark& some = marks[static_cast<std::size_t>(dice_.below(static_cast<int>(marks.size())))];
        const int frame = dice_.below(frames_ - 1);
        some.sightings = {{ruling::ClipIndex{0}, time(frame), time(frame + 1)}};
    }

    ruling::Mark mark(const Told& told) {
        ruling::Mark made;
        made.id = next();
        made.alternatives.push_back(told.what);
        if (slips(6)) add_alternative(made);
        made.possible = slips(6);
        const bool on_second = clips_ > 1 && dice_.percent(55);
        if (on_second) made.sightings.push_back(sighting(1, told.frame + shift_));
        if (!on_second || dice_.percent(55)) made.sightings.push_back(sighting(0, told.frame));
        if (slips(1)) made.sightings.clear();
        return made;
    }
    ruling::Sighting sighting(int clip, int frame) {
        int from = frame - (slips(13) ? 1 + dice_.below(2) : 0);
        int to = frame + 1 + (slips(13) ? 1 + dice_.below(2) : 0);
        ruling::Sighting seen;
        seen.clip = ruling::ClipIndex{clip};
        if (frame >= 0 && !dice_.percent(4)) from = std::max(from, 0);
        if (from >= 0) seen.after = time(std::min(from, frames_ - 2));
        if (to < frames_) seen.until = time(std::max(to, 1));
        if (from < 0 && to < 0) seen.until = time(0);
        if (frame < 0 && from < 0) seen.until = time(std::max(0, to));
        return seen;
    }
    void add_alternative(ruling::Mark& made) {
        if (const auto* touch = std::get_if<ruling::Touch>(&made.alternatives[0])) {
            ruling::Touch other = *touch;
            other.surface = SurfaceId{dice_.below(static_cast<int>(case_.book.surfaces.size()))};
            if (other.surface != touch->surface) made.alternatives.push_back(other);
        }
    }

    void span(int clip, int from, int to, ruling::Scope scope) {
        if (from >= to) return;
        case_.evidence.spans.push_back(
            {next(), ruling::ClipIndex{clip}, time(from), time(to), std::move(scope)});
    }
    static ruling::Scope whole() {
        ruling::Scope scope;
        scope.whole_athlete = true;
        return scope;
    }
    // Everything named, but one surface or plane.
    ruling::Scope all_but_one() {
        ruling::Scope scope;
        const int left_out = dice_.below(static_cast<int>(case_.book.surfaces.size()));
        for (int i = 0; i < static_cast<int>(case_.book.surfaces.size()); ++i) {
            if (i != left_out) scope.surfaces.push_back(SurfaceId{i});
        }
        for (std::size_t i = 0; i < case_.book.planes.size(); ++i)
            scope.planes.push_back(course::PlaneId{static_cast<std::int64_t>(i)});
        return scope;
    }

    void watch() {
        const int last = frames_ - 1;
        const int clip = clips_ > 1 && dice_.percent(30) ? 1 : 0;
        const int kind = slips(mix_.unwatched) ? 74 + dice_.below(26) : 0;
        if (kind < 74) {
            span(clip, 0, last, whole());
        } else if (kind < 86) {
            const int gap = 1 + dice_.below(last - 1);
            const bool narrow = dice_.percent(60);
            span(clip, 0, gap, whole());
            span(clip, gap + 1, last, whole());
            if (narrow) span(clip, gap, gap + 1, all_but_one());
        } else if (kind < 94) {
            const int from = dice_.percent(60) ? 0 : dice_.below(last);
            span(clip, from, last, whole());
        } else {
            span(clip, 0, last, all_but_one());
        }
        ruling::Scope finish;
        finish.finish_signal = true;
        if (!case_.book.finish.name.empty() && !slips(25)) span(clip, 0, last, finish);
    }

    Dice& dice_;
    const Mix& mix_;
    Case& case_;
    bool careful_;
    int frames_;
    int clips_;
    int shift_ = 0;
    std::int64_t next_ = 1;
};

}  // namespace

Case random_case(std::uint64_t seed, const Mix& mix) {
    Dice dice(seed * 0x9e3779b97f4a7c15ULL + 1);
    const bool timed = dice.percent(20);
    const int clips = dice.percent(timed ? 5 : 11) ? 2 : 1;
    // Where much can go unseen, most of the work lies in lengths of time and in a second clip.
    const bool costly = timed || clips == 2;
    const Temper temper{dice.percent(mix.smooth), dice.percent(costly ? mix.careful_costly : mix.careful)};
    int frames = timed ? 4 + dice.below(2) : clips == 2 ? 4 : 5 + dice.below(4);
    // Where nothing goes unseen, a longer clip costs little.
    if (temper.careful) frames += timed || clips == 2 ? 1 : 2;
    Case made;
    made.unit_ns = kUnitNs;
    made.book = random_book(dice, mix, kUnitNs, timed, costly ? 2 : 3);
    Story story(
        dice, made.book, temper, frames,
        static_cast<std::size_t>(4 + dice.below(costly ? 2 : 3) + (temper.smooth && temper.careful ? 2 : 0)));
    story.tell();
    Review review(dice, mix, made, temper, frames, clips);
    review.write(story);
    for (ruling::ClipFacts& clip : made.evidence.clips) {
        clip.durations_known = !dice.percent(timed ? 15 : 6);
        if (dice.percent(5)) clip.row_delay.ns = (1 + dice.below(2)) * kUnitNs;
    }
    if (dice.percent(clips > 1 ? 40 : 2)) review.clap();
    for (ruling::Mark& mark : made.evidence.marks)
        for (ruling::Sighting& seen : mark.sightings)
            if (made.evidence.clips[static_cast<std::size_t>(seen.clip.value)].row_delay.ns > 0)
                seen.row_known = dice.percent(30);
    return made;
}

}  // namespace plumbmark::oracle
