// The truth of the sample meet: the hand-written rulings against plain logic on the solved events, what each
// camera shows, and the files in the repository against a fresh rendering.
#include <algorithm>
#include <catch2/catch.hpp>
#include <fstream>
#include <nlohmann/json.hpp>
#include <set>
#include <sstream>

#include "meet_files.h"
#include "sight.h"
#include "support/sanitized.h"
#include "support/test_places.h"

using namespace plumbmark::scene;

namespace {

const std::string kFolder = (plumbmark::test::source_folder() / "sample_clips").string();

const Run& run_named(std::string_view key) {
    const auto& all = runs();
    return *std::find_if(all.begin(), all.end(), [&](const Run& r) { return r.key == key; });
}

// What one station of this course asks, in plain words: items and the kind of limb they allow, where to land
// and how.
struct Plain {
    std::string key, start, landing;
    std::set<std::string> items;
    bool hands = false;      // items allow hands; else feet
    bool both_feet = false;  // at once on the landing
    std::string plane;       // the whole athlete must be past it
};
const std::vector<Plain> kStations = {
    {"bollard_hop", "pier_deck", "coil_deck", {"bollard_1", "bollard_2", "bollard_3"}, false, false, ""},
    {"hawser_swing", "coil_deck", "gantry_deck", {"hawser"}, true, true, "gantry_front_plane"},
    {"gantry_rungs", "gantry_deck", "quay_deck", {"rung_1", "rung_2", "rung_3", "rung_4"}, true, false, ""}};

bool is_foot(Part p) {
    return p == Part::left_foot || p == Part::right_foot;
}
bool is_hand(Part p) {
    return p == Part::left_hand || p == Part::right_hand;
}

// One pass over the events of a run: no network, no automaton, no unseen events. 'without' leaves one contact
// out of the world, 'delay' moves the touch of a part on a surface.
std::vector<Verdict> plain_rulings(const Run& run, double delay = 0, Part part = Part::other,
                                   const std::string& surface = "") {
    struct Event {
        double t;
        Part part;
        std::string surface;  // empty: the whole athlete passes the plane
        bool on;
    };
    const RunTruth truth = truth_of(run);
    std::vector<Event> events;
    for (const Contact& c : truth.contacts.events)
        events.push_back({c.t + (c.touch && c.part == part && c.surface == surface ? delay : 0), c.part,
                          c.surface, c.touch});
    for (const Crossing& c : truth.crossings)
        if (!c.part) events.push_back({c.t, Part::other, "", c.forward});
    std::stable_sort(events.begin(), events.end(), [](const Event& a, const Event& b) { return a.t < b.t; });
    std::set<std::pair<Part, std::string>> on;
    for (const Contact& c : truth.contacts.standing)
        on.insert({c.part, c.surface});
    std::vector<Verdict> out(kStations.size(), Verdict::not_reached);
    std::size_t at = 0;
    bool used = false;
    bool past = false;
    for (const Event& e : events) {
        if (at == kStations.size() || e.t < run.beep) continue;
        const Plain& station = kStations[at];
        if (e.surface.empty()) {
            past = e.on;
        } else if (!e.on) {
            on.erase({e.part, e.surface});
        } else {
            on.insert({e.part, e.surface});
            const bool item = station.items.count(e.surface) > 0;
            const bool earlier = at > 0 && !used && kStations[at - 1].items.count(e.surface) > 0;
            const bool allowed = item ? (station.hands ? is_hand(e.part) : is_foot(e.part))
                                      : e.surface == station.start || e.surface == station.landing || earlier;
            if (!allowed) {
                out[at] = Verdict::fail;
                return out;
            }
            used = used || item;
        }
        const bool left = on.count({Part::left_foot, station.landing}) > 0;
        const bool right = on.count({Part::right_foot, station.landing}) > 0;
        const bool stands = station.both_feet ? left && right : left || right;
        if (used && stands && (station.plane.empty() || past)) {
            out[at++] = Verdict::clear;
            used = false;
        }
    }
    if (at < kStations.size()) out[at] = Verdict::fail;  // the run is over
    return out;
}

}  // namespace

TEST_CASE("The rulings written by hand agree with plain logic on the solved events") {
    for (const Run& run : runs()) {
        const auto plain = plain_rulings(run);
        REQUIRE(run.rulings.size() == kStations.size());
        for (std::size_t i = 0; i < kStations.size(); ++i) {
            INFO(run.key << " " << kStations[i].key << ": plain logic says " << name_of(plain[i]));
            REQUIRE(run.rulings[i].station == kStations[i].key);
            REQUIRE(run.rulings[i].on_all == plain[i]);
        }
    }
}

TEST_CASE("In no run does anything but a hand or a foot touch a surface") {
    for (const Run& run : runs()) {
        for (const Contact& c : truth_of(run).contacts.events) {
            INFO(run.key << " " << c.t << " " << c.surface);
            REQUIRE(c.part != Part::other);
            REQUIRE(c.surface != "uprights");
        }
    }
}

TEST_CASE("The bell plate registers after the last station where the run is a full clear, and nowhere else") {
    for (const std::string key : {"run-1", "run-4"}) {
        const Run& run = run_named(key);
        REQUIRE(run.bells.size() == 1);
        const auto events = truth_of(run).contacts.events;
        const auto quay = std::find_if(events.begin(), events.end(),
                                       [](const Contact& c) { return c.surface == "quay_deck"; });
        const auto plate = std::find_if(events.begin(), events.end(),
                                        [](const Contact& c) { return c.surface == "bell_plate"; });
        REQUIRE(quay->t < plate->t);
        REQUIRE(plate->t < run.bells[0]);
        REQUIRE(run.bells[0] < plate->t + 0.01);
    }
    REQUIRE(run_named("run-2").bells.empty());
    REQUIRE(run_named("run-3").bells.empty());
}

TEST_CASE("The near thing of run 4: what camera A cannot see decides it, and camera B sees it") {
    const Run& run = run_named("run-4");
    const auto events = truth_of(run).contacts.events;
    const auto find = [&](Part part, bool touch) {
        return *std::find_if(events.begin(), events.end(), [&](const Contact& c) {
            return c.surface == "gantry_deck" && c.part == part && c.touch == touch;
        });
    };
    const Contact left_on = find(Part::left_foot, true);
    const Contact right_off = find(Part::right_foot, false);
    const Contact right_on = find(Part::right_foot, true);
    const View& a = run.views[0];
    const View& b = run.views[1];
    REQUIRE(right_on.t < left_on.t);
    REQUIRE(left_on.t < right_off.t);
    REQUIRE(sees_contact(run, a, right_on));
    REQUIRE(sees_contact(run, a, right_off));
    REQUIRE_FALSE(sees_contact(run, a, left_on));
    REQUIRE(sees_contact(run, b, left_on));
    REQUIRE(sees_contact(run, b, right_off));
    // B has a frame at which both feet are on the deck; its frames order the two without any other clip.
    const auto ticks = b.ticks();
    REQUIRE(std::any_of(ticks.begin(), ticks.end(), [&](std::int64_t tick) {
        return b.run_time(tick) >= to_time(left_on.t) && b.run_time(tick) < to_time(right_off.t);
    }));
    // Had the hidden touch come a tenth of a second later, the ruling would be another, and camera A would
    // not show the difference: between its last sight of the foot in the air and its next there is room for
    // both.
    REQUIRE(plain_rulings(run, 0.1, Part::left_foot, "gantry_deck")[1] == Verdict::fail);
    const auto left_foot_seen = [&](double t) {
        const Skeleton s = skeleton_of(run.moves.posture(t));
        return sees_contact(
            run, a,
            {t, Part::left_foot, "gantry_deck", true, (s.heel[0] + s.toe[0]) * 0.5 - Vec3{0, 0, 0.036}});
    };
    double hidden_from = left_on.t;
    while (!left_foot_seen(hidden_from))
        hidden_from -= 0.002;
    double hidden_to = left_on.t;
    while (!left_foot_seen(hidden_to))
        hidden_to += 0.002;
    REQUIRE(hidden_from < right_off.t - 0.04);
    REQUIRE(hidden_to > right_off.t + 0.04);
}

TEST_CASE("The contacts that decide the other runs are seen by their camera") {
    const auto seen = [&](const std::string& key, Part part, const std::string& surface) {
        const Run& run = run_named(key);
        const auto events = truth_of(run).contacts.events;
        const auto it = std::find_if(events.begin(), events.end(), [&](const Contact& c) {
            return c.touch && c.part == part && c.surface == surface;
        });
        REQUIRE(it != events.end());
        return sees_contact(run, run.views[0], *it);
    };
    REQUIRE(seen("run-2", Part::left_foot, "coil_deck"));
    REQUIRE(seen("run-2", Part::left_foot, "floor"));
    REQUIRE(seen("run-3", Part::right_foot, "rung_2"));
    REQUIRE(seen("run-1", Part::right_foot, "gantry_deck"));
    REQUIRE(seen("run-1", Part::left_foot, "gantry_deck"));
    REQUIRE(seen("run-1", Part::right_hand, "bell_plate"));
}

TEST_CASE(
    "The clips and the truth in the repository are those that the scene renders (every fifteenth frame, "
    "under "
    "sanitizers every sixtieth)") {
    const int every = plumbmark::test::kSanitized ? 60 : 15;
    const auto report = check_meet(kFolder, every, 2, [](const std::string&) {});
    REQUIRE(report.ok());
    for (const std::string& fault : report->faults)
        UNSCOPED_INFO(fault);
    REQUIRE(report->faults.empty());
    REQUIRE(report->clips == 5);
    REQUIRE(report->compared > 3'000 / every);
}

TEST_CASE("A truth file with one digit changed is told, and so is a file that is no truth") {
    std::ifstream in(kFolder + "/truth.json", std::ios::binary);
    std::ostringstream text;
    text << in.rdbuf();
    const auto digests = digests_in(text.str());
    REQUIRE(digests.ok());
    REQUIRE(truth_text(*digests) == text.str());
    std::string changed = text.str();
    const auto at = changed.find("\"time_ns\":") + 12;
    changed[at] = changed[at] == '5' ? '6' : '5';
    const auto again = digests_in(changed);
    REQUIRE(again.ok());
    REQUIRE(truth_text(*again) != changed);
    REQUIRE_FALSE(digests_in("{\"runs\": 3").ok());
    REQUIRE_FALSE(digests_in("{}").ok());
}

TEST_CASE("The clips are small enough for the repository") {
    std::uintmax_t total = 0;
    for (const Run& run : runs()) {
        for (const View& view : run.views) {
            std::ifstream in(kFolder + "/" + view.clip + ".mp4", std::ios::binary | std::ios::ate);
            REQUIRE(in);
            const auto size = static_cast<std::uintmax_t>(in.tellg());
            REQUIRE(size < 4U * 1024 * 1024);
            total += size;
        }
    }
    REQUIRE(total < 11U * 1024 * 1024);
}
