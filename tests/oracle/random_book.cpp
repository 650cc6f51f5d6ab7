#include "oracle/random_case.h"

namespace plumbmark::oracle {
namespace {

using course::Part;
using course::PartSet;
using course::SurfaceId;

class BookMaker {
  public:
    BookMaker(Dice& dice, const Mix& mix, std::int64_t unit_ns, bool timed, int most_stations)
        : dice_(dice), mix_(mix), unit_ns_(unit_ns), timed_(timed), most_stations_(most_stations) {}

    course::CourseBook make() {
        book_.name = "Pier Nine trial";
        book_.revision = "1";
        book_.format = dice_.percent(mix_.every_counts) ? course::Format::every_station_counts
                                                        : course::Format::first_fail_ends;
        book_.brush_counts = !dice_.percent(15);
        book_.loose_counts = !dice_.percent(10);
        book_.at_cap_is_in_time = dice_.percent(60);
        if (dice_.percent(20)) book_.false_start = course::FalseStart::no_effect;
        const int stations = timed_                            ? (dice_.percent(80) ? 1 : 2)
                             : dice_.percent(mix_.one_station) ? 1
                             : dice_.percent(85)               ? 2
                                                               : most_stations_;
        SurfaceId platform = surface("deck_0");
        for (int i = 0; i < stations; ++i)
            platform = station(i, stations, platform);
        surface("floor");
        if (dice_.percent(35)) finish();
        if (timed_ && dice_.percent(20)) book_.run_cap = units(2 + dice_.below(5));
        return book_;
    }

  private:
    SurfaceId surface(const std::string& key) {
        course::Surface made;
        made.key = made.name = key;
        book_.surfaces.push_back(made);
        return SurfaceId{static_cast<std::int64_t>(book_.surfaces.size()) - 1};
    }
    course::PlaneId plane(const std::string& key) {
        course::Plane made;
        made.key = made.name = key;
        book_.planes.push_back(made);
        return course::PlaneId{static_cast<std::int64_t>(book_.planes.size()) - 1};
    }
    base::Duration units(int n) const { return {n * unit_ns_}; }

    SurfaceId station(int i, int stations, SurfaceId start) {
        course::Station made;
        made.key = made.name = "station_" + std::to_string(i);
        made.start = {start};
        if (dice_.percent(5)) made.start.push_back(surface("box_" + std::to_string(i)));
        const bool last = i + 1 == stations;
        items(made, i, stations == 3 ? 1 : stations == 1 ? 3 : 2);
        const SurfaceId next = surface("deck_" + std::to_string(i + 1));
        if (dice_.percent(mix_.free_exit)) made.exit = course::Exit::free;
        landing(made, i, next, last);
        shared_roles(made);
        if (dice_.percent(mix_.attempts)) made.attempts = dice_.percent(75) ? 2 : 3;
        made.step_down_allowed = dice_.percent(10);
        made.previous_items_neutral = !dice_.percent(20);
        start_plane(made, i);
        if (timed_ && dice_.percent(25)) made.cap = units(1 + dice_.below(5));
        if (timed_ && dice_.percent(15)) made.rest_limit = units(1 + dice_.below(4));
        if (book_.format == course::Format::every_station_counts) points(made, i);
        book_.stations.push_back(made);
        return next;
    }

    // Now and then a start surface is an item as well, or the landing is.
    void shared_roles(course::Station& made) {
        if (made.in_play.empty() || !made.rows.empty() || !dice_.percent(mix_.shared_roles)) return;
        made.in_play[0].surface = dice_.percent(50) ? made.start[0] : made.landing.surfaces[0];
        for (course::Item& item : made.in_play)
            item.after.reset();
    }

    void points(course::Station& made, int i) {
        if (dice_.percent(60)) made.points = 3 + dice_.below(3);
        const int checkpoints = dice_.percent(28) ? 1 + dice_.below(2) : 0;
        for (int k = 0; k < checkpoints; ++k) {
            course::Checkpoint checkpoint;
            checkpoint.key = checkpoint.name = "checkpoint_" + std::to_string(k);
            checkpoint.points = 1 + dice_.below(4);
            if (!made.in_play.empty() && dice_.percent(70)) {
                checkpoint.touched = dice_.of(made.in_play).surface;
            } else if (!made.landing.planes.empty() && dice_.percent(40)) {
                checkpoint.crossed = made.landing.planes[0].plane;
            } else if (book_.planes.size() < kMostPlanes && dice_.percent(70)) {
                checkpoint.crossed = plane("gate_" + std::to_string(i) + std::to_string(k));
            } else {
                checkpoint.touched = made.landing.surfaces[0];
            }
            made.checkpoints.push_back(checkpoint);
        }
    }

    PartSet allowed() {
        const std::vector<PartSet> choices{course::kHands,
                                           course::kHands,
                                           course::kFeet,
                                           course::kFeet,
                                           course::kWholeBody,
                                           PartSet{Part::left_hand},
                                           PartSet{Part::right_foot, Part::left_hand}};
        return dice_.of(choices);
    }

    void items(course::Station& made, int i, int most) {
        const int count = dice_.below(most + 1);
        for (int k = 0; k < count; ++k) {
            course::Item item;
            item.surface = item_surface("item_" + std::to_string(i) + std::string(1, "abc"[k]));
            item.parts = allowed();
            item.required = dice_.percent(30);
            item.once = dice_.percent(12);
            if (k > 0 && dice_.percent(20)) item.after = made.in_play[0].surface;
            made.in_play.push_back(item);
        }
        if (count < 2 || !dice_.percent(count == 2 ? 30 : 70)) return;
        course::ItemRow row;
        for (const course::Item& item : made.in_play)
            row.members.push_back(item.surface);
        row.max_skipped = dice_.below(count);
        made.rows.push_back(row);
    }

    // A surface of its own, or the one face of one: the rest of that surface is out of play.
    SurfaceId item_surface(const std::string& key) {
        const SurfaceId whole = surface(key);
        if (!dice_.percent(6)) return whole;
        const SurfaceId face = surface(key + ".top");
        book_.surfaces.back().parent = whole;
        return face;
    }

    void landing(course::Station& made, int i, SurfaceId next, bool last) {
        using course::LandingParts;
        const std::vector<LandingParts> choices{
            LandingParts::any_foot, LandingParts::any_foot,  LandingParts::any_foot,   LandingParts::any_foot,
            LandingParts::any_part, LandingParts::both_feet, LandingParts::both_feet,  LandingParts::any_hand,
            LandingParts::listed,   LandingParts::any_foot,  LandingParts::both_hands, LandingParts::none};
        course::Landing& l = made.landing;
        l.parts = dice_.of(choices);
        const bool needs_contact = !last && made.exit == course::Exit::shared;
        if (l.parts == LandingParts::none && needs_contact) l.parts = LandingParts::any_foot;
        l.surfaces = {next};
        if (l.parts == LandingParts::listed) l.listed_parts = listed();
        if (last && dice_.percent(12)) {
            l.surfaces.push_back(surface("ledge"));
            l.same_surface = dice_.percent(50);
        }
        if (l.parts == LandingParts::none || dice_.percent(12)) {
            course::PlaneCondition condition;
            condition.plane = plane("plane_" + std::to_string(i));
            if (dice_.percent(50)) condition.part = dice_.percent(50) ? Part::left_foot : Part::other;
            l.planes.push_back(condition);
        }
        if (timed_ && dice_.percent(65)) {
            l.hold = units(1 + dice_.below(4));
        } else if (dice_.percent(7)) {
            l.control = true;
        }
        const bool hands = l.parts == LandingParts::any_hand || l.parts == LandingParts::both_hands ||
                           l.parts == LandingParts::listed;
        l.no_hands_down = !hands && dice_.percent(22);
    }

    PartSet listed() {
        const std::vector<PartSet> choices{PartSet{Part::left_foot, Part::right_hand},
                                           PartSet{Part::left_foot, Part::right_hand}, PartSet{Part::other},
                                           PartSet{Part::left_hand, Part::right_hand, Part::left_foot}};
        return dice_.of(choices);
    }

    void start_plane(course::Station& made, int i) {
        if (book_.planes.size() >= kMostPlanes || !dice_.percent(i == 0 ? 11 : 7)) return;
        made.start_plane = plane("line_" + std::to_string(i));
        made.start_plane_parts = dice_.percent(50) ? course::kFeet : PartSet{Part::left_foot};
        if (i == 0 && dice_.percent(60)) made.start_plane_until = course::BehindUntil::signal;
    }

    void finish() {
        book_.finish.name = "bell plate";
        book_.finish.required = dice_.percent(50);
        if (dice_.percent(50) && book_.surfaces.size() + 1 < kMostSurfaces)
            book_.finish.surface = surface("bell_plate");
    }

    Dice& dice_;
    const Mix& mix_;
    std::int64_t unit_ns_;
    bool timed_;
    int most_stations_;
    course::CourseBook book_;
};

}  // namespace

course::CourseBook random_book(Dice& dice, const Mix& mix, std::int64_t unit_ns, bool timed,
                               int most_stations) {
    for (;;) {
        course::CourseBook book = BookMaker(dice, mix, unit_ns, timed, most_stations).make();
        if (book.surfaces.size() < kMostSurfaces && book.planes.size() <= kMostPlanes) return book;
    }
}

}  // namespace plumbmark::oracle
