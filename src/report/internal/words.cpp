#include "report/internal/words.h"

#include <fmt/format.h>

#include <algorithm>
#include <string_view>

#include "base/text.h"
#include "report/internal/plain.h"

namespace plumbmark::report {
namespace {

template <class Tag, class List>
bool names_one(base::Id<Tag> id, const List& list) {
    return id.valid() && static_cast<std::size_t>(id.value) < list.size();
}

/// Words for each kind of happening.
struct HappeningWords {
    const course::CourseBook& book;

    std::string operator()(const ruling::Touch& touch) const {
        const char* grade = touch.grade == ruling::Grade::brush    ? " (a brush)"
                            : touch.grade == ruling::Grade::weight ? " (with weight)"
                                                                   : "";
        return fmt::format("{} touches {}{}", course::part_words(touch.part),
                           surface_words(book, touch.surface), grade);
    }
    std::string operator()(const ruling::Release& release) const {
        return fmt::format("{} leaves {}", course::part_words(release.part),
                           surface_words(book, release.surface));
    }
    std::string operator()(const ruling::Cross& cross) const {
        const std::string who = cross.part ? std::string(course::part_words(*cross.part)) : "whole athlete";
        const char* way = cross.direction == ruling::Direction::forward ? "past" : "back behind";
        return fmt::format("{} {} {}", who, way, plane_words(book, cross.plane));
    }
    std::string operator()(const ruling::Signal& signal) const {
        switch (signal.kind) {
            case ruling::SignalKind::start_given:
                return "start signal";
            case ruling::SignalKind::run_over:
                return "run over";
            case ruling::SignalKind::finish_registers:
                break;
        }
        return (book.finish.name.empty() ? "finish signal" : plain(book.finish.name)) + " registers";
    }
    std::string operator()(const ruling::Infraction& infraction) const {
        switch (infraction.kind) {
            case ruling::InfractionKind::assistance:
                return "infraction: assistance";
            case ruling::InfractionKind::false_start:
                return "infraction: false start";
            case ruling::InfractionKind::lack_of_control:
                break;
        }
        return "infraction: lack of control";
    }
    std::string operator()(const ruling::Control&) const { return "in control on the landing"; }
    std::string operator()(const ruling::SharedMoment&) const { return "moment that clips share"; }
};

std::string alternatives_words(const ruling::Mark& mark, const course::CourseBook& book) {
    std::vector<std::string> words;
    for (const ruling::Happening& what : mark.alternatives)
        words.push_back(happening_words(what, book));
    return (mark.possible ? "possibly: " : "") + base::listed(words, "or");
}

std::string contact_words(const ruling::ContactStatement& contact, const course::CourseBook& book) {
    return fmt::format("{} is {} {}", course::part_words(contact.part), contact.on ? "on" : "off",
                       surface_words(book, contact.surface));
}

template <class List>
auto find_mark(const List& list, ruling::MarkId id) -> const typename List::value_type* {
    const auto found =
        std::find_if(list.begin(), list.end(), [id](const auto& entry) { return entry.id == id; });
    return found == list.end() ? nullptr : &*found;
}

std::string at_words(const RulingDocument& document, const ruling::ContactStatement& contact) {
    const auto frame = frame_at(document.evidence, contact.clip, contact.at);
    return fmt::format("{}, {}({})", clip_words(document, contact.clip),
                       frame ? fmt::format("f {} ", *frame) : "", base::clock_text(contact.at));
}

std::string sightings_words(const RulingDocument& document, const ruling::Mark& mark) {
    std::vector<std::string> words;
    for (const ruling::Sighting& sighting : mark.sightings)
        words.push_back(shown_words(document, {sighting.clip, sighting.after, sighting.until}));
    return words.empty() ? "at an unknown time" : fmt::format("{}", fmt::join(words, "; "));
}

constexpr std::size_t kMostWorldEvents = 5;

/// How many events at their beginning all worlds share.
std::size_t common_start(const std::vector<ruling::World>& worlds) {
    if (worlds.size() < 2) return 0;
    for (std::size_t i = 0;; ++i) {
        for (const ruling::World& world : worlds) {
            const auto& first = worlds.front().events;
            if (i >= first.size() || i >= world.events.size() || world.events[i].mark != first[i].mark ||
                world.events[i].unseen != first[i].unseen || world.events[i].what != first[i].what)
                return i;
        }
    }
}

std::string world_event_words(const RulingDocument& document, const ruling::WorldEvent& event) {
    const std::string words =
        event.sentence.empty() ? happening_words(event.what, document.book) : plain(event.sentence.english());
    const auto frame = frame_at(document.evidence, event.clip, event.at);
    return words + (event.unseen ? " (unseen" : " (marked") + (frame ? fmt::format(", f {})", *frame) : ")");
}

}  // namespace

std::string surface_words(const course::CourseBook& book, course::SurfaceId id) {
    return names_one(id, book.surfaces) ? plain(book.surfaces[static_cast<std::size_t>(id.value)].name)
                                        : "an undeclared surface";
}

std::string plane_words(const course::CourseBook& book, course::PlaneId id) {
    return names_one(id, book.planes) ? plain(book.planes[static_cast<std::size_t>(id.value)].name)
                                      : "an undeclared plane";
}

std::string station_words(const course::CourseBook& book, course::StationId id) {
    return names_one(id, book.stations) ? plain(book.stations[static_cast<std::size_t>(id.value)].name)
                                        : "an unnamed station";
}

std::string clip_words(const RulingDocument& document, ruling::ClipIndex clip) {
    if (names_one(clip, document.clips) && !document.clips[static_cast<std::size_t>(clip.value)].name.empty())
        return plain(document.clips[static_cast<std::size_t>(clip.value)].name);
    if (names_one(clip, document.evidence.clips))
        return plain(document.evidence.clips[static_cast<std::size_t>(clip.value)].name);
    return "an unknown clip";
}

std::string happening_words(const ruling::Happening& what, const course::CourseBook& book) {
    return std::visit(HappeningWords{book}, what);
}

std::string scope_words(const ruling::Scope& scope, const RulingDocument& document) {
    std::vector<std::string> words;
    if (scope.whole_athlete) words.emplace_back("the whole athlete");
    for (const course::SurfaceId surface : scope.surfaces)
        words.push_back(surface_words(document.book, surface));
    for (const course::PlaneId plane : scope.planes)
        words.push_back(plane_words(document.book, plane));
    if (scope.finish_signal) words.emplace_back("the finish signal");
    return words.empty() ? "nothing" : base::listed(words);
}

std::string frames_words(const RulingDocument& document, const ruling::Shown& shown) {
    const auto frame = [&](const std::optional<base::Time>& t) {
        return t ? frame_at(document.evidence, shown.clip, *t) : std::nullopt;
    };
    const auto early = frame(shown.after);
    const auto late = frame(shown.until);
    if (early && late) return fmt::format("f {} to {}", *early, *late);
    return fmt::format("{} to {}", early ? fmt::format("f {}", *early) : "before the clip",
                       late ? fmt::format("f {}", *late) : "after the clip");
}

std::string shown_words(const RulingDocument& document, const ruling::Shown& shown) {
    std::string times;
    if (shown.after && shown.until)
        times = fmt::format(" ({} to {})", base::clock_text(*shown.after), base::clock_text(*shown.until));
    else if (shown.until)
        times = fmt::format(" (by {})", base::clock_text(*shown.until));
    else if (shown.after)
        times = fmt::format(" (after {})", base::clock_text(*shown.after));
    return fmt::format("{}, {}{}", clip_words(document, shown.clip), frames_words(document, shown), times);
}

ruling::Shown span_shown(const ruling::WatchedSpan& span) {
    return {span.clip, span.after, span.until};
}

std::string mark_says(const RulingDocument& document, ruling::MarkId id) {
    if (const auto given = document.mark_words.find(id); given != document.mark_words.end())
        return plain(given->second);
    if (const auto* mark = find_mark(document.evidence.marks, id))
        return alternatives_words(*mark, document.book);
    if (const auto* contact = find_mark(document.evidence.contacts, id))
        return contact_words(*contact, document.book);
    if (const auto* span = find_mark(document.evidence.spans, id))
        return "watched: " + scope_words(span->scope, document);
    return fmt::format("mark {}", id.value);
}

std::string mark_line(const RulingDocument& document, ruling::MarkId id) {
    const auto note = document.repeats.find(id);
    const std::string repeats = note == document.repeats.end() ? "" : " (" + plain(note->second) + ")";
    const std::string says = mark_says(document, id);
    if (const auto* mark = find_mark(document.evidence.marks, id))
        return says + ": " + sightings_words(document, *mark) + repeats;
    if (const auto* contact = find_mark(document.evidence.contacts, id))
        return says + ": " + at_words(document, *contact) + repeats;
    if (const auto* span = find_mark(document.evidence.spans, id))
        return fmt::format("watched {}: {}{}", shown_words(document, span_shown(*span)),
                           scope_words(span->scope, document), repeats);
    return says;
}

std::string measure_sentences(const RulingDocument& document, const MeasureEntry& one) {
    return base::sentence_case(mark_says(document, one.mark)) + ": " + full_stop(plain(one.says)) + " " +
           full_stop(plain(one.rests_on));
}

std::string clip_times_sentences(const ClipEntry& clip) {
    std::string text = full_stop(base::sentence_case(plain(clip.capture)));
    if (clip.repeated.empty()) return text;
    return text + (text.empty() ? "" : " ") + full_stop(base::sentence_case(plain(clip.repeated)));
}

std::string verdict_line(const ruling::StationRuling& ruling) {
    return std::string(ruling::verdict_words(ruling.verdict)) + (ruling.if_reached ? " if reached" : "");
}

const char* call_words(meet::Call call) {
    return call == meet::Call::clear ? "clear" : "fail";
}

std::string outcome_words(const FloorCallEntry& call, const ruling::StationRuling& ruling,
                          WhenNotShown when_not_shown) {
    switch (outcome_of(call.call, ruling, when_not_shown)) {
        case CallOutcome::upheld:
            return "the call is upheld: the footage shows the same";
        case CallOutcome::overturned:
            return fmt::format("the call is overturned: the footage shows {}", verdict_line(ruling));
        case CallOutcome::stands:
            return "the call stands: the footage neither upholds nor overturns it";
        case CallOutcome::athletes_favour:
            return "the footage does not settle it, and this meet then rules in the athlete's favour: CLEAR";
        case CallOutcome::run_again:
            return "the footage does not settle it, and this meet then has the run repeated";
        case CallOutcome::falls_away:
            break;
    }
    return "the call falls away: the run was over before this station";
}

std::string margin_sentence(const ruling::Margin& margin) {
    if (margin.unlimited) return "However much wider the marks were, the ruling would be the same.";
    if (margin.frames == 0)
        return fmt::format(
            "It hangs on single frames: with every mark it rests on one frame wider at both ends it would no "
            "longer be "
            "shown (it holds up to {}).",
            base::duration_text(margin.time));
    return fmt::format("It holds with every mark it rests on {} wider at both ends (up to {}).",
                       base::counted(margin.frames, "frame"), base::duration_text(margin.time));
}

std::string world_sentence(const ruling::World& world) {
    return world.sentence.empty() ? ruling::verdict_words(world.verdict) : plain(world.sentence.english());
}

std::string differing_events(const RulingDocument& document, const std::vector<ruling::World>& worlds,
                             const ruling::World& world) {
    const std::size_t from = common_start(worlds);
    std::vector<std::string> words;
    for (std::size_t i = from; i < world.events.size() && words.size() < kMostWorldEvents; ++i)
        words.push_back(world_event_words(document, world.events[i]));
    if (words.empty()) return {};
    const bool more = world.events.size() > from + words.size();
    return fmt::format("in this order: {}{}", fmt::join(words, "; "), more ? "; and so on" : "");
}

std::string athlete_words(const RulingDocument& document) {
    const std::string bib = document.athlete_number.empty() ? "" : "bib " + plain(document.athlete_number);
    const std::string name = plain(document.athlete_name);
    return bib.empty() || name.empty() ? bib + name : bib + ", " + name;
}

std::vector<FloorCallEntry> calls_for(const RulingDocument& document, course::StationId station) {
    std::vector<FloorCallEntry> calls;
    if (!names_one(station, document.book.stations)) return calls;
    const std::string& key = document.book.stations[static_cast<std::size_t>(station.value)].key;
    std::copy_if(document.floor_calls.begin(), document.floor_calls.end(), std::back_inserter(calls),
                 [&key](const FloorCallEntry& call) { return call.station == key; });
    return calls;
}

bool under_appeal(const RulingDocument& document, course::StationId station) {
    const auto calls = calls_for(document, station);
    return std::any_of(calls.begin(), calls.end(),
                       [](const FloorCallEntry& call) { return call.under_appeal; });
}

std::string full_stop(std::string text) {
    static constexpr std::string_view kEnds = ".?!";
    if (!text.empty() && kEnds.find(text.back()) == std::string_view::npos) text += '.';
    return text;
}

}  // namespace plumbmark::report
