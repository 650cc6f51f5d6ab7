#include "course/random_book.h"

#include <rapidcheck.h>

namespace plumbmark::course::testing {
namespace {

bool coin() {
    return *rc::gen::arbitrary<bool>();
}

std::int32_t number(std::int32_t least, std::int32_t most) {
    return *rc::gen::inRange(least, most + 1);
}

template <class T>
T one_of(const std::vector<T>& values) {
    return values[static_cast<std::size_t>(number(0, static_cast<int>(values.size()) - 1))];
}

// A key that no other thing has: a syllable of some script and a counter.
std::string key(std::size_t i) {
    return one_of<std::string>({"deck", "κάβος", "係船柱", "حبل", "a-b", "_"}) + std::to_string(i);
}

std::string name() {
    return one_of<std::string>({"coil deck", "say \"hop\"", "back\\slash", "# no comment", "καλώδιο",
                                "もやい結び", "حبل السفينة", "it's", "a = b", "🪢 knot", "{ x }",
                                "tab is no letter"}) +
           std::string(static_cast<std::size_t>(number(0, 3)), 'x');
}

std::optional<base::Duration> maybe_length() {
    if (coin()) return std::nullopt;
    const std::int64_t unit = one_of<std::int64_t>({1, 1'000, 33'366'667, 100'000'000, 1'000'000'000});
    return base::Duration{unit * number(1, 86'400)};
}

PartSet parts() {
    PartSet set;
    for (Part part : kAllParts) {
        if (coin()) set.add(part);
    }
    return set.empty() ? kHands : set;
}

template <class IdType>
IdType id_below(std::size_t count) {
    return IdType{number(0, static_cast<int>(count) - 1)};
}

class BookMaker {
  public:
    CourseBook make() {
        book_.name = name();
        book_.revision = name();
        book_.format = coin() ? Format::first_fail_ends : Format::every_station_counts;
        book_.brush_counts = coin();
        book_.loose_counts = coin();
        book_.at_cap_is_in_time = coin();
        book_.false_start = coin() ? FalseStart::fails_first_station : FalseStart::no_effect;
        book_.run_cap = maybe_length();
        surfaces();
        for (int i = number(0, 3); i > 0; --i)
            book_.planes.push_back({key(book_.planes.size()), name(), {}});
        for (int i = number(1, 4); i > 0; --i)
            book_.stations.push_back(station(key(book_.stations.size())));
        finish();
        for (int i = number(0, 2); i > 0; --i)
            division();
        for (int i = number(0, 2); i > 0; --i)
            lane();
        if (coin()) plan();
        return std::move(book_);
    }

  private:
    void surfaces() {
        for (int i = number(1, 6); i > 0; --i) {
            const std::size_t at = book_.surfaces.size();
            book_.surfaces.push_back({key(at), name(), {}, {}, at > 0 && coin()});
            const int faces = at > 0 ? number(0, 2) : 0;
            for (int f = 0; f < faces; ++f) {
                const std::string face = book_.surfaces[at].key + "." + key(static_cast<std::size_t>(f));
                book_.surfaces.push_back(
                    {face, name(), SurfaceId{static_cast<std::int64_t>(at)}, {}, coin()});
            }
            if (faces == 0 && !book_.surfaces[at].out_of_play)
                usable_.push_back(SurfaceId{static_cast<std::int64_t>(at)});
            for (std::size_t f = at + 1; f < book_.surfaces.size(); ++f) {
                if (!book_.surfaces[f].out_of_play)
                    usable_.push_back(SurfaceId{static_cast<std::int64_t>(f)});
            }
        }
    }

    // At least one usable surface, none twice.
    std::vector<SurfaceId> some_surfaces() {
        std::vector<SurfaceId> some;
        for (SurfaceId id : usable_) {
            if (coin()) some.push_back(id);
        }
        return some.empty() ? std::vector<SurfaceId>{usable_.front()} : some;
    }

    Station station(std::string station_key) {
        Station station;
        station.key = std::move(station_key);
        station.name = name();
        station.start = some_surfaces();
        if (!book_.planes.empty() && coin()) {
            station.start_plane = id_below<PlaneId>(book_.planes.size());
            station.start_plane_parts = parts();
            station.start_plane_until = coin() ? BehindUntil::signal : BehindUntil::set_off;
        }
        if (coin()) in_play(station);
        landing(station.landing);
        station.exit = coin() ? Exit::shared : Exit::free;
        station.attempts = number(1, 99);
        station.cap = maybe_length();
        station.rest_limit = maybe_length();
        station.step_down_allowed = coin();
        station.previous_items_neutral = coin();
        station.points = number(0, 5);
        for (int i = number(0, 2); i > 0; --i)
            checkpoint(station);
        return station;
    }

    void in_play(Station& station) {
        const std::vector<SurfaceId> surfaces = some_surfaces();
        for (SurfaceId id : surfaces) {
            Item item;
            item.surface = id;
            item.parts = parts();
            item.required = coin();
            item.once = coin();
            if (coin()) item.after = one_of(surfaces);
            station.in_play.push_back(item);
        }
        for (int i = number(0, 2); i > 0; --i)
            station.rows.push_back({surfaces, number(0, 500), {}});
    }

    void landing(Landing& landing) {
        using enum LandingParts;
        landing.surfaces = some_surfaces();
        landing.parts =
            one_of<LandingParts>({any_part, any_foot, both_feet, any_hand, both_hands, none, listed});
        if (landing.parts == listed) landing.listed_parts = parts();
        landing.same_surface = coin();
        landing.no_hands_down = coin();
        landing.control = coin();
        if (!landing.control) landing.hold = maybe_length();
        for (int i = book_.planes.empty() ? 0 : number(0, 2); i > 0; --i) {
            const auto by =
                one_of<std::optional<Part>>({std::nullopt, Part::left_foot, Part::right_hand, Part::other});
            landing.planes.push_back({id_below<PlaneId>(book_.planes.size()), by, {}});
        }
        if (landing.parts == none && !landing.planes.empty() && coin()) landing.surfaces.clear();
    }

    void checkpoint(Station& station) {
        Checkpoint checkpoint{key(station.checkpoints.size()), name(), {}, {}, number(1, 100), {}};
        if (book_.planes.empty() || coin()) {
            checkpoint.touched = one_of(usable_);
        } else {
            checkpoint.crossed = id_below<PlaneId>(book_.planes.size());
        }
        station.checkpoints.push_back(std::move(checkpoint));
    }

    void finish() {
        if (coin()) return;
        book_.finish.name = name();
        book_.finish.required = coin();
        if (coin()) book_.finish.surface = one_of(usable_);
    }

    void division() {
        Division division;
        division.key = key(book_.divisions.size());
        division.name = name();
        division.run_cap = maybe_length();
        for (std::size_t i = 0; i < book_.stations.size(); ++i) {
            const int choice = number(0, 2);
            if (choice == 0) division.left_out.push_back(StationId{static_cast<std::int64_t>(i)});
            if (choice == 1) division.stations.push_back(station(book_.stations[i].key));
        }
        book_.divisions.push_back(std::move(division));
    }

    static double metres() { return number(-160'000, 160'000) / 160.0; }
    static std::optional<double> maybe_tolerance() {
        if (coin()) return std::nullopt;
        return number(0, 1000) / 300.0;
    }

    void plan() {
        book_.plan.tolerance = maybe_tolerance();
        for (std::size_t i = 0; i < book_.surfaces.size(); ++i) {
            if (!coin()) continue;
            SurfacePlan its;
            its.surface = SurfaceId{static_cast<std::int64_t>(i)};
            its.tolerance = maybe_tolerance();
            const double x = metres() / 2, y = metres() / 2;
            if (coin()) {
                its.line = {{x, y, metres()}, {x + 0.1, y, metres()}};
            } else {
                its.outline = {{x, y}, {x + 1.1, y}, {x + 1.3, y + 0.7}, {x, y + 0.9}};
                its.top = metres();
            }
            book_.plan.surfaces.push_back(std::move(its));
        }
        for (std::size_t i = 0; i < book_.planes.size(); ++i) {
            const double x = metres() / 2, y = metres() / 2;
            if (coin())
                book_.plan.planes.push_back({PlaneId{static_cast<std::int64_t>(i)},
                                             {x, y},
                                             {x + 1.5, y + 0.25},
                                             {x, y + 1},
                                             maybe_tolerance(),
                                             {}});
        }
    }

    bool also_a_plane(SurfaceId id) const { return book_.find_plane(book_.surface(id).key).valid(); }

    // A chain of some surfaces, each in the place of the one before, and planes alike.
    void lane() {
        Lane lane{key(book_.lanes.size()), name(), {}, {}, {}};
        std::vector<SurfaceId> chain;
        for (SurfaceId id : usable_) {
            if (coin() && !also_a_plane(id)) chain.push_back(id);
        }
        for (std::size_t i = 1; i < chain.size(); ++i)
            lane.surfaces.push_back({chain[i - 1], chain[i]});
        for (std::size_t i = 1; i < book_.planes.size(); ++i) {
            const bool shared = book_.find_surface(book_.planes[i - 1].key).valid();
            const auto id = static_cast<std::int64_t>(i);
            if (!shared && coin()) lane.planes.push_back({PlaneId{id - 1}, PlaneId{id}});
        }
        book_.lanes.push_back(std::move(lane));
    }

    CourseBook book_;
    std::vector<SurfaceId> usable_;
};

}  // namespace

CourseBook random_book() {
    return BookMaker().make();
}

}  // namespace plumbmark::course::testing
