// Random changes to a meet, for tests of the state and of the store. Everything follows from one seed.
#pragma once

#include <algorithm>
#include <random>
#include <string>

#include "meet/changes.h"
#include "meet/random_cameras.h"
#include "meet/random_competition.h"
#include "meet/random_testing.h"

namespace plumbmark::test {

class RandomChanges {
  public:
    explicit RandomChanges(std::uint64_t seed) : random_(seed) {}

    /// A change that applies to 'state': things come, change and go, singly and several at once.
    [[nodiscard]] meet::Change next(const meet::State& state);

    /// The same with one thing spoilt: a wrong 'before', a link to nothing, an id that is taken, a bracket or
    /// span that runs backwards, a mark without events. It may still apply now and then; only a model can
    /// tell.
    [[nodiscard]] meet::Change spoilt(const meet::State& state);

    [[nodiscard]] std::int64_t number(std::int64_t from, std::int64_t to) {
        return std::uniform_int_distribution<std::int64_t>(from, to)(random_);
    }

  private:
    [[nodiscard]] meet::Entity make(const meet::State& state, meet::Kind kind, std::int64_t id);
    [[nodiscard]] static std::vector<const meet::Run*> with_footage(const meet::State& state);
    [[nodiscard]] meet::Edit edit(const meet::State& state);
    [[nodiscard]] std::string text();
    [[nodiscard]] meet::Event event();
    void add_capture(meet::Clip& clip);
    void spoil(const meet::State& state, meet::CameraStand& stand);
    [[nodiscard]] meet::FrameRef frame(std::int64_t number) const { return {number, number * 1001 - 500}; }
    [[nodiscard]] CompetitionMaker competition() {
        return {[this](std::int64_t from, std::int64_t to) { return number(from, to); },
                [this] { return text(); }};
    }
    [[nodiscard]] CameraMaker cameras() {
        return {[this](std::int64_t from, std::int64_t to) { return number(from, to); },
                [this] { return text(); }};
    }
    [[nodiscard]] TestingMaker testing() {
        return {[this](std::int64_t from, std::int64_t to) { return number(from, to); },
                [this] { return text(); }};
    }
    [[nodiscard]] bool one_in(int n) { return number(1, n) == 1; }

    std::mt19937_64 random_;
};

inline std::string RandomChanges::text() {
    static const std::vector<std::string> kTexts{
        "",           "Ann",     "Łukasz Ż.",        "Ελένη",        "さくら 🙂", "أمل",
        "O'Neil; --", "\"q\\\"", "line\nbreak\ttab", "<b>&amp;</b>", "e\xCC\x81",      "\xEF\xAC\xB3"};
    return kTexts[static_cast<std::size_t>(number(0, static_cast<std::int64_t>(kTexts.size()) - 1))];
}

inline meet::Event RandomChanges::event() {
    meet::Event event;
    event.kind = static_cast<meet::EventKind>(number(0, 6));
    const auto part = static_cast<course::Part>(number(0, 5));
    switch (event.kind) {
        case meet::EventKind::touch:
            event.grade = static_cast<ruling::Grade>(number(0, 2));
            [[fallthrough]];
        case meet::EventKind::release:
            event.part = part;
            if (const auto n = number(0, 9); n > 0) event.surface = "bollard-" + std::to_string(n);
            break;
        case meet::EventKind::cross:
            if (!one_in(2)) event.part = part;
            event.plane = "plane-" + std::to_string(number(1, 9));
            event.direction = static_cast<ruling::Direction>(number(0, 1));
            break;
        case meet::EventKind::signal:
            event.signal = static_cast<ruling::SignalKind>(number(0, 2));
            break;
        case meet::EventKind::infraction:
            event.infraction = static_cast<ruling::InfractionKind>(number(0, 2));
            break;
        case meet::EventKind::control:
        case meet::EventKind::moment:
            break;
    }
    return event;
}

inline void RandomChanges::add_capture(meet::Clip& clip) {
    const auto rates = [&] { return meet::Rates{{number(1, 240), number(1, 2)}, {30'000, 1'001}}; };
    std::int64_t from = 0;
    for (std::int64_t i = number(0, 3); i > 0; --i, from += number(1, 99)) {
        const auto pace = static_cast<meet::Pace>(number(0, 2));
        clip.capture.push_back({frame(from), pace, pace == meet::Pace::retimed ? rates() : meet::Rates{}});
    }
    if (one_in(3)) clip.slowed = rates();
    if (one_in(3)) return;
    clip.repeated.emplace();
    std::int64_t last = 0;
    for (std::int64_t i = number(0, 3); i > 0; --i) {
        const std::int64_t first = last + number(0, 9);
        last = first + number(1, 3);
        clip.repeated->push_back({frame(first), last, one_in(2)});
    }
}

inline std::vector<const meet::Run*> RandomChanges::with_footage(const meet::State& state) {
    std::vector<const meet::Run*> runs;
    for (const auto& [id, run] : state.runs()) {
        if (!run.clips.empty()) runs.push_back(&run);
    }
    return runs;
}

// A thing with links only to what is there; kinds that need footage fall back to a clip or a run.
inline meet::Entity RandomChanges::make(const meet::State& state, meet::Kind kind, std::int64_t id) {
    const auto pick = [&](const auto& map) { return std::next(map.begin(), number(0, std::ssize(map) - 1)); };
    const auto coordinate = [&] {
        return static_cast<double>(number(-10'000'000, 10'000'000)) / 4096.0 / 10.0;
    };
    const auto point = [&] { return std::array<double, 2>{coordinate(), coordinate()}; };
    const auto pick_in = [&](const auto& list) {
        return list[static_cast<std::size_t>(number(0, std::ssize(list) - 1))];
    };
    switch (kind) {
        case meet::Kind::meet_info:
            return meet::MeetInfo{text(), text(), "2026-05-02"};
        case meet::Kind::athlete:
            return meet::Athlete{meet::AthleteId{id},
                                 std::to_string(number(1, 999)),
                                 text(),
                                 text(),
                                 text(),
                                 one_in(2) ? "2012" : "",
                                 text(),
                                 static_cast<meet::Consent>(number(0, 2))};
        case meet::Kind::book:
            // Every third has a path; out of the id, so that all that is drawn stays as it was.
            return meet::BookRevision{meet::BookId{id}, text(), "[course]\n# " + text(),
                                      id % 3 == 0 ? "books/hop " + std::to_string(id) : std::string()};
        case meet::Kind::clip: {
            meet::Clip clip{meet::ClipId{id}, text(), text(), text(), "ab12", number(0, 999),
                            {1, 90'000},      {},     {},     {},     {}};
            if (one_in(2)) clip.row_delay = base::Duration{number(0, 33'000'000)};
            if (one_in(2)) {
                const auto stream = static_cast<int>(number(0, 3));
                clip.streams = {stream, stream == 3 ? std::nullopt : std::optional(stream / 2)};
            }
            // Out of what was drawn already, so that all that is drawn later stays as it was.
            if (const std::int64_t n = clip.frame_count; n % 3 == 0)
                clip.content = {std::string(64, static_cast<char>('a' + n / 3 % 6)), n - 500};
            if (const auto n = static_cast<int>(clip.frame_count); n % 5 == 0)
                clip.picture = {1 + n, 1080, n / 5 % 4};
            add_capture(clip);
            return clip;
        }
        case meet::Kind::run: {
            meet::Run run{meet::RunId{id}, {}, {}, text(), {}, text()};
            if (!state.athletes().empty() && one_in(2)) run.athlete = pick(state.athletes())->first;
            if (!state.books().empty() && one_in(2)) run.book = pick(state.books())->first;
            for (const auto& [clip, value] : state.clips()) {
                if (!one_in(4)) run.clips.push_back(clip);
            }
            std::shuffle(run.clips.begin(), run.clips.end(), random_);
            if (run.label.size() % 2 == 0) run.division = run.label;
            if (run.question.size() % 3 == 0) run.lane = run.question;
            if (!state.entries().empty() && one_in(2)) run.entry = pick(state.entries())->first;
            if (!state.runs().empty() && one_in(4)) run.rerun_of = pick(state.runs())->first;
            return run;
        }
        case meet::Kind::mark: {
            const meet::Run& run = *pick_in(with_footage(state));
            meet::Mark mark{meet::MarkId{id}, run.id, {event()}, one_in(3), {}, text(), {}};
            if (mark.alternatives.front().kind == meet::EventKind::moment) mark.possible = false;
            const auto shared = [](const meet::Event& one) { return one.kind == meet::EventKind::moment; };
            if (const meet::Event other = event(); one_in(3) && !(other == mark.alternatives[0]) &&
                                                   !shared(other) && !shared(mark.alternatives[0]))
                mark.alternatives.push_back(other);
            for (const meet::ClipId clip : run.clips) {
                if (!mark.sightings.empty() && one_in(2)) continue;
                const std::int64_t early = number(0, 900);
                mark.sightings.push_back({clip, frame(early), frame(early + number(1, 5))});
                if (one_in(5)) mark.sightings.back().early.reset();
                if (one_in(5)) mark.sightings.back().late.reset();
            }
            if (one_in(2)) mark.spot = point();
            cameras().add_measured(mark, run);
            return mark;
        }
        case meet::Kind::contact: {
            const meet::Run& run = *pick_in(with_footage(state));
            const auto clip = run.clips[static_cast<std::size_t>(number(0, std::ssize(run.clips) - 1))];
            return meet::ContactStatement{meet::MarkId{id},
                                          run.id,
                                          clip,
                                          frame(number(0, 900)),
                                          static_cast<course::Part>(number(0, 5)),
                                          "keel-beam",
                                          one_in(2)};
        }
        case meet::Kind::watched: {
            const meet::Run& run = *pick_in(with_footage(state));
            const auto clip = run.clips[static_cast<std::size_t>(number(0, std::ssize(run.clips) - 1))];
            const std::int64_t from = number(0, 900);
            meet::WatchedSpan span{
                meet::MarkId{id}, run.id, clip, frame(from), frame(from + number(1, 99)), {}};
            if (one_in(2)) span.scope = {false, {"deck", "net"}, {"line"}, one_in(2)};
            return span;
        }
        case meet::Kind::drawing: {
            meet::Drawing drawing{meet::DrawingId{id},         pick(state.clips())->first,
                                  meet::DrawingKind::surface,  "deck",
                                  {point(), point(), point()}, {}};
            if (one_in(2)) {
                drawing.kind = meet::DrawingKind::plane;
                drawing.points.pop_back();
                if (one_in(2)) drawing.towards = point();
            }
            if (one_in(2)) drawing.still = frame(number(0, 900));
            return drawing;
        }
        case meet::Kind::floor_call: {
            meet::FloorCall call{meet::FloorCallId{id},
                                 pick(state.runs())->first,
                                 "hawser-swing",
                                 static_cast<meet::Call>(number(0, 1)),
                                 text(),
                                 one_in(3)};
            if (one_in(2)) call.at = meet::WallTime{number(0, 2'000'000'000'000)};
            if (call.call == meet::Call::fail && one_in(2))
                call.points = static_cast<std::int32_t>(number(0, 9));
            return call;
        }
        case meet::Kind::lens:
            return cameras().lens(id);
        case meet::Kind::stand:
            return cameras().stand(state, id);
        default:
            if (TestingMaker::makes(kind)) return testing().make(state, kind, id);
            return competition().make(state, kind, id);
    }
}

inline meet::Edit RandomChanges::edit(const meet::State& state) {
    auto kind = CompetitionMaker::possible(
        state, static_cast<meet::Kind>(number(0, static_cast<std::int64_t>(meet::kKinds) - 1)));
    kind = TestingMaker::possible(state, kind);
    const bool needs_footage = kind == meet::Kind::mark || kind == meet::Kind::contact ||
                               kind == meet::Kind::watched || kind == meet::Kind::coach_note;
    const bool needs_run = needs_footage || kind == meet::Kind::floor_call;
    if ((needs_run && state.runs().empty()) || (needs_footage && with_footage(state).empty()))
        kind = state.clips().empty() ? meet::Kind::clip : meet::Kind::run;
    const bool needs_clip = kind == meet::Kind::drawing || kind == meet::Kind::stand;
    if (needs_clip && state.clips().empty()) kind = meet::Kind::clip;
    if (kind == meet::Kind::meet_info) return {state.info(), make(state, kind, 0)};
    if (kind == meet::Kind::rules) return {state.rules(), make(state, kind, 0)};
    const std::int64_t last = state.next_id(kind);
    const auto stored = state.find({kind, number(1, last)});
    if (!stored || one_in(2)) return {std::nullopt, make(state, kind, last)};
    if (one_in(3)) return {stored, std::nullopt};
    return {stored, make(state, kind, meet::key_of(*stored).id)};
}

inline meet::Change RandomChanges::next(const meet::State& state) {
    while (true) {
        meet::State ahead = state;
        meet::Change change{"change " + std::to_string(number(1, 99)), {}, 0};
        for (std::int64_t left = one_in(3) ? number(2, 6) : 1; left > 0; --left) {
            const meet::Edit one = edit(ahead);
            if (ahead.apply({"", {one}, 0})) change.edits.push_back(one);
        }
        if (!change.edits.empty()) return change;
    }
}

// Where another stand is, or with a clip or a lens that may not be there.
inline void RandomChanges::spoil(const meet::State& state, meet::CameraStand& stand) {
    if (!state.stands().empty() && one_in(2)) {
        const meet::CameraStand& other = state.stands().begin()->second;
        stand.clip = other.clip;
        stand.still = other.still;
    } else if (one_in(2)) {
        stand.clip = {number(0, 9)};
    } else {
        stand.knowledge = meet::LensKnown::measured;
        stand.lens = {number(0, 9)};
    }
}

inline meet::Change RandomChanges::spoilt(const meet::State& state) {
    meet::Change change = next(state);
    meet::Edit& victim = change.edits[static_cast<std::size_t>(number(0, std::ssize(change.edits) - 1))];
    switch (number(0, 5)) {
        case 0:
            victim.before = make(state, meet::Kind::athlete, number(1, 3));
            break;
        case 1:
            victim.before.reset();
            break;
        case 2:
            std::reverse(change.edits.begin(), change.edits.end());
            break;
        case 3:
            if (auto* mark = victim.after ? std::get_if<meet::Mark>(&*victim.after) : nullptr) {
                if (one_in(2)) mark->alternatives.clear();
                for (meet::Sighting& sighting : mark->sightings)
                    std::swap(sighting.early, sighting.late);
            }
            if (auto* span = victim.after ? std::get_if<meet::WatchedSpan>(&*victim.after) : nullptr)
                std::swap(span->from, span->to);
            if (auto* trial = victim.after ? std::get_if<meet::Trial>(&*victim.after) : nullptr)
                trial->run = {};
            break;
        case 4:
            if (auto* run = victim.after ? std::get_if<meet::Run>(&*victim.after) : nullptr)
                run->clips.push_back(meet::ClipId{number(0, 9)});
            if (auto* call = victim.after ? std::get_if<meet::FloorCall>(&*victim.after) : nullptr)
                call->run = meet::RunId{number(0, 9)};
            if (auto* stand = victim.after ? std::get_if<meet::CameraStand>(&*victim.after) : nullptr)
                spoil(state, *stand);
            if (auto* mark = victim.after ? std::get_if<meet::Mark>(&*victim.after) : nullptr)
                mark->pointed.push_back({{number(0, 9)}, frame(901), {}});
            if (victim.after) testing().spoil(state, *victim.after);
            break;
        default:
            change.edits.push_back(edit(state));
            break;
    }
    return change;
}

}  // namespace plumbmark::test
