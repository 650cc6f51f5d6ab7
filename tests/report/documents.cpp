#include "documents.h"

namespace plumbmark::test {
namespace {

using course::Part;
using ruling::Clause;
using ruling::ClauseState;
using ruling::MarkId;
using ruling::Verdict;

enum Surface : std::int64_t { quayside, coil_deck, hawser, rung_deck, net, quay_deck, floor_, beam };

course::SurfaceId surface(Surface s) {
    return {static_cast<std::int64_t>(s)};
}

course::Station station(const char* key, const char* name, Surface start, Surface item, Surface landing) {
    course::Station out;
    out.key = key;
    out.name = name;
    out.start = {surface(start)};
    course::Item in_play;
    in_play.surface = surface(item);
    in_play.parts = course::kHands;
    out.in_play = {in_play};
    out.landing.surfaces = {surface(landing)};
    return out;
}

course::CourseBook book() {
    course::CourseBook out;
    out.name = "Pier Nine";
    out.revision = "3";
    const std::pair<const char*, const char*> surfaces[] = {
        {"quayside", "quayside"}, {"coil_deck", "coil deck"},
        {"hawser", "hawser"},     {"rung_deck", "rung deck"},
        {"net", "net"},           {"quay_deck", "quay deck"},
        {"floor", "floor"},       {"keel_beam", "keel beam"}};
    for (const auto& [key, name] : surfaces)
        out.surfaces.push_back({key, name, {}, {}});
    out.planes.push_back({"front_plane", "front plane", {}});
    out.stations = {station("bollard_hop", "bollard hop", quayside, coil_deck, coil_deck),
                    station("hawser_swing", "hawser swing", coil_deck, hawser, rung_deck),
                    station("net_traverse", "net traverse", rung_deck, net, quay_deck),
                    station("keel_beam", "keel beam", quay_deck, beam, quayside)};
    out.finish.name = "bell plate";
    out.finish.required = true;
    return out;
}

ruling::Mark mark(std::int64_t id, ruling::Happening what, std::int64_t clip, std::int64_t frame) {
    const ruling::Shown at = between(clip, frame);
    return {MarkId{id}, {std::move(what)}, false, {{at.clip, at.after, at.until}}};
}

ruling::Evidence evidence() {
    ruling::Evidence out;
    ruling::ClipFacts a{"camera A", {}, true, base::Duration{0}};
    for (std::int64_t frame = 0; frame < 1440; ++frame)
        a.frame_times.push_back(frame_time(frame));
    ruling::ClipFacts b = a;
    b.name = "camera B";
    b.frame_times.resize(1310);
    b.row_delay = base::Duration{12'000'000};
    out.clips = {a, b};
    out.marks = {
        mark(1, ruling::Signal{ruling::SignalKind::start_given}, 0, 59),
        mark(2, ruling::Touch{Part::left_foot, surface(coil_deck), ruling::Grade::weight}, 0, 337),
        mark(3, ruling::Touch{Part::right_foot, surface(rung_deck)}, 0, 852),
        mark(4, ruling::Cross{std::nullopt, course::PlaneId{0}}, 0, 1080),
        mark(5, ruling::Touch{Part::right_foot, surface(quay_deck)}, 0, 1098),
        mark(6, ruling::Touch{Part::left_foot, surface(quay_deck)}, 0, 1116),
    };
    out.marks[4].sightings.push_back({ruling::ClipIndex{1}, frame_time(977), frame_time(982)});
    out.marks[5].alternatives.emplace_back(ruling::Touch{Part::left_foot, surface(floor_)});
    out.marks[5].sightings[0].until = frame_time(1119);
    out.contacts = {
        {MarkId{7}, ruling::ClipIndex{0}, frame_time(50), Part::left_foot, surface(quayside), true}};
    ruling::Scope some;
    some.surfaces = {surface(floor_), surface(net)};
    some.planes = {course::PlaneId{0}};
    ruling::Scope whole;
    whole.whole_athlete = true;
    out.spans = {{MarkId{8}, ruling::ClipIndex{0}, frame_time(50), frame_time(1099), whole},
                 {MarkId{9}, ruling::ClipIndex{1}, frame_time(900), frame_time(1000), some}};
    return out;
}

ruling::StationRuling clear(std::int64_t index, const char* sentence, std::int64_t decided_by,
                            ruling::Shown at, std::int64_t margin) {
    ruling::StationRuling out;
    out.station = {index};
    out.verdict = Verdict::clear;
    out.sentence = sentence;
    out.clauses = {{Clause::start, ClauseState::kept, "set off from the start platform"},
                   {Clause::out_of_play, ClauseState::kept, "nothing out of play touched"},
                   {Clause::landing, ClauseState::kept, "landed"},
                   {Clause::cap, ClauseState::not_tested, ""}};
    out.deciding_clause = Clause::landing;
    out.deciding_mark = MarkId{decided_by};
    out.decided_at = at;
    out.rests_on = {MarkId{1}, MarkId{decided_by}, MarkId{8}};
    out.margin = ruling::Margin{margin, base::Duration{margin * 16'666'667}, false};
    return out;
}

ruling::WorldEvent event(std::int64_t mark_id, ruling::Happening what, std::int64_t frame,
                         const char* sentence) {
    return {MarkId{mark_id}, std::move(what), false, frame_time(frame), ruling::ClipIndex{0}, sentence};
}

ruling::StationRuling not_shown() {
    ruling::StationRuling out;
    out.station = {2};
    out.verdict = Verdict::not_shown;
    out.sentence = "the left foot's landing is seen by camera A only, behind the right leg";
    out.clauses = {
        {Clause::start, ClauseState::kept, "set off from the rung deck"},
        {Clause::part, ClauseState::kept, "hands and feet on the net only"},
        {Clause::out_of_play, ClauseState::not_shown, "nothing out of play before both feet were down"},
        {Clause::landing, ClauseState::not_shown, "both feet on the quay deck"}};
    const ruling::WorldEvent right = event(5, ruling::Touch{Part::right_foot, surface(quay_deck)}, 1099,
                                           "the right foot touches the quay deck");
    ruling::World cleared{{right, event(6, ruling::Touch{Part::left_foot, surface(quay_deck)}, 1118,
                                        "the left foot touches the quay deck")},
                          Verdict::clear,
                          Clause::landing,
                          "clear if",
                          "the left foot came onto the quay deck between f 1116 and f 1119",
                          false,
                          "clear if the left foot came onto the quay deck between f 1116 and f 1119"};
    ruling::World failed{{right, event(6, ruling::Touch{Part::left_foot, surface(floor_)}, 1118,
                                       "the left foot touches the floor")},
                         Verdict::fail,
                         Clause::out_of_play,
                         "fail if",
                         "it came onto the floor in those frames",
                         false,
                         "fail if it came onto the floor in those frames"};
    ruling::WorldEvent unseen{
        {}, ruling::Touch{Part::other, course::SurfaceId{}}, true, frame_time(1118), ruling::ClipIndex{0},
        ""};
    failed.events.push_back(unseen);
    out.worlds = {cleared, failed};
    out.begins_at = between(0, 852);
    out.settle = {{ruling::SettleKind::resolve_possible,
                   "say which surface the left foot touched",
                   {MarkId{6}},
                   between(0, 1116),
                   {Verdict::clear, Verdict::fail}},
                  {ruling::SettleKind::watch_span,
                   "watch the floor from f 1000 to f 1010",
                   {},
                   ruling::Shown{ruling::ClipIndex{1}, frame_time(1000), frame_time(1010)},
                   {Verdict::clear}}};
    return out;
}

ruling::StationRuling not_reached() {
    ruling::StationRuling out;
    out.station = {3};
    out.verdict = Verdict::not_reached;
    out.sentence = "depends on net traverse";
    return out;
}

}  // namespace

base::Time frame_time(std::int64_t frame) {
    return base::floor_to_time(frame, {1, 60});
}

ruling::Shown between(std::int64_t clip, std::int64_t frame) {
    return {ruling::ClipIndex{clip}, frame_time(frame), frame_time(frame + 1)};
}

report::RulingDocument pier_nine() {
    report::RulingDocument out;
    out.meet_name = "Pier Nine Youth Open";
    out.venue = "harbour warehouse, Pier Nine";
    out.date = "2026-05-02";
    out.run_label = "run 17";
    out.athlete_number = "41";
    out.athlete_name = "Ωκεανίς Παπαδάκη";
    out.question = "Were both feet on the quay deck before the floor was touched?";
    out.floor_calls = {{"net_traverse", meet::Call::fail, "deck judge", true},
                       {"bollard_hop", meet::Call::clear, "", false}};
    out.book = book();
    out.evidence = evidence();
    out.ruling.stations = {clear(0, "left foot on the coil deck, nothing out of play", 2, between(0, 337), 6),
                           clear(1, "right foot on the rung deck", 3, between(0, 852), 3), not_shown(),
                           not_reached()};
    out.ruling.results = {{2, false}, {3, false}};
    out.ruling.split_low = base::Duration{13'200'000'000};
    out.ruling.split_high = base::Duration{13'233'333'334};
    out.ruling.sentence = "two or three cleared";
    out.clips = {{meet::ClipId{1}, "camera A", "near-run-a.mp4", "b3:5f1d0c77e2a94410", 1440},
                 {meet::ClipId{2}, "camera B", "near-run-b.mp4", "b3:0e8827c1d95b3f62", 1310}};
    out.mark_words = {{MarkId{5}, "right foot touches quay deck"}};
    out.program_version = "0.1.0";
    return out;
}

report::RulingDocument pier_nine_failed() {
    report::RulingDocument out = pier_nine();
    out.evidence.marks[5].alternatives = {ruling::Touch{Part::left_foot, surface(floor_)}};
    ruling::StationRuling& station = out.ruling.stations[2];
    station.verdict = Verdict::fail;
    station.sentence = "the left foot touched the floor before both feet were on the quay deck";
    station.clauses[2].state = ClauseState::broken;
    station.clauses[2].sentence = "left foot on the floor";
    station.clauses[3].state = ClauseState::not_tested;
    station.deciding_clause = Clause::out_of_play;
    station.failing_clauses = {Clause::out_of_play};
    station.deciding_mark = MarkId{6};
    station.decided_at = ruling::Shown{ruling::ClipIndex{0}, frame_time(1116), frame_time(1119)};
    station.rests_on = {MarkId{5}, MarkId{6}};
    station.margin = ruling::Margin{0, base::Duration{11'000'000}, false};
    station.worlds.clear();
    station.settle.clear();
    out.ruling.stations[3].sentence = "the run ended at net traverse";
    out.ruling.results = {{2, false}};
    out.ruling.split = between(0, 852);
    out.ruling.sentence = "two cleared, split 13.200 to 13.234 s";
    return out;
}

media::RgbaImage plain_picture(int width, int height) {
    media::RgbaImage out{width, height, {}};
    for (int y = 0; y < height; ++y)
        for (int x = 0; x < width; ++x) {
            const auto shade = static_cast<std::uint8_t>(y < height / 2 ? 60 : 140);
            out.pixels.insert(out.pixels.end(), {shade, shade, static_cast<std::uint8_t>(shade + 20), 255});
        }
    return out;
}

std::vector<report::Still> stills_for(const report::StillPair& pair) {
    std::vector<report::Still> out;
    for (const auto side : {report::StillSide::not_yet, report::StillSide::it_is}) {
        report::Still still;
        still.caption = "left foot touches quay deck";
        still.station_key = pair.station_key;
        still.picture = plain_picture(160, 120);
        still.outlines = {
            {{{20, 70}, {140, 70}, {150, 110}, {10, 110}}, "quay deck", meet::DrawingKind::surface, {}},
            {{{30, 0}, {30, 119}}, "front plane", meet::DrawingKind::plane, std::array<double, 2>{90, 60}}};
        still.spot = {80, 74};
        still.side = side;
        still.clip = pair.clip;
        still.frame = side == report::StillSide::not_yet ? pair.before.value_or(0) : pair.after.value_or(0);
        still.mark = pair.mark;
        out.push_back(std::move(still));
    }
    return out;
}

std::vector<report::Still> all_stills(const report::RulingDocument& document) {
    std::vector<report::Still> out;
    for (const report::StillPair& pair : report::choose_stills(document))
        for (report::Still& still : stills_for(pair))
            out.push_back(std::move(still));
    return out;
}

}  // namespace plumbmark::test
