#include "ruling/internal/contradiction.h"

#include <algorithm>

#include "ruling/internal/smallest.h"
#include "ruling/internal/support.h"

namespace plumbmark::ruling {
namespace {

constexpr std::int64_t kOneAttempt = 3'000;
constexpr int kMostRounds = 200;
constexpr std::size_t kMostNamed = 8;

/// The mark said no more than 'this may have happened, at any time': whoever leaves a mark out of a set must
/// not thereby claim that it did not happen, as a watched span over it would.
Mark weakened(const Evidence& evidence, Mark mark) {
    mark.possible = true;
    mark.sightings.clear();
    for (std::size_t clip = 0; clip < evidence.clips.size(); ++clip)
        mark.sightings.push_back({ClipIndex{static_cast<std::int64_t>(clip)}, std::nullopt, std::nullopt});
    return mark;
}

class Finder {
  public:
    Finder(const CoursePtr& course, const Evidence& evidence, const Settings& settings, Work& work)
        : course_(course), evidence_(evidence), settings_(settings), work_(work) {}

    /// Refused, and of the fewest items where that could be found within the work allowed.
    Kept find() {
        const Refused sound = [this](const Kept& kept) {
            return knows_refused(with_the_rest_weakened(kept));
        };
        return smallest_refused(irreducible(), sound, kMostRounds).kept;
    }

  private:
    Kept irreducible() {
        std::vector<std::size_t> order(item_count(evidence_));
        for (std::size_t i = 0; i < order.size(); ++i)
            order[i] = i;
        const Kept all(order.size(), true);
        // Quickly first, as if what is left out had not happened; right when it also holds if that may have.
        const auto quick = [this](const Kept& kept) { return std::optional(refused(only(evidence_, kept))); };
        const std::optional<Kept> few = minimal(all, order, quick);
        if (few && refused(with_the_rest_weakened(*few))) return *few;
        const auto sound = [this](const Kept& kept) {
            return std::optional(refused(with_the_rest_weakened(kept)));
        };
        return minimal(all, order, sound).value_or(all);
    }
    std::optional<bool> knows_refused(const Evidence& evidence) {
        const auto again = work_.rule(course_, evidence, settings_, kOneAttempt);
        if (!again) return std::nullopt;
        return !again->ok() && again->error().category == base::Category::contradiction;
    }
    /// Not known within the work allowed counts as not refused: the set then stays larger, and true.
    bool refused(const Evidence& evidence) { return knows_refused(evidence).value_or(false); }
    Evidence with_the_rest_weakened(const Kept& kept) const {
        Evidence some = only(evidence_, kept);
        for (std::size_t m = 0; m < evidence_.marks.size(); ++m) {
            if (!kept[m] && touches_on(evidence_.marks[m], some))
                some.marks.push_back(weakened(evidence_, evidence_.marks[m]));
        }
        return some;
    }
    /// Whether the mark speaks of a contact or a plane that the set speaks of too.
    static bool touches_on(const Mark& mark, const Evidence& some) {
        for (const Happening& what : mark.alternatives) {
            for (const Mark& other : some.marks) {
                for (const Happening& said : other.alternatives) {
                    if (same_subject(what, said)) return true;
                }
            }
            for (const ContactStatement& contact : some.contacts) {
                if (same_subject(what, Release{contact.part, contact.surface})) return true;
            }
        }
        return false;
    }
    static std::optional<Release> contact_of(const Happening& what) {
        if (const auto* touch = std::get_if<Touch>(&what)) return Release{touch->part, touch->surface};
        if (const auto* release = std::get_if<Release>(&what)) return *release;
        return std::nullopt;
    }
    static bool same_subject(const Happening& a, const Happening& b) {
        if (contact_of(a)) return contact_of(a) == contact_of(b);
        const auto* one = std::get_if<Cross>(&a);
        const auto* two = std::get_if<Cross>(&b);
        return one && two && one->plane == two->plane;
    }

    const CoursePtr& course_;
    const Evidence& evidence_;
    const Settings& settings_;
    Work& work_;
};

Sentence place_words(const Words& words, ClipIndex clip, const Sentence& range) {
    return say("{}, {}", words.clip(clip), range);
}

Sentence mark_words(const Words& words, const Mark& mark) {
    const Sentence event = words.ways(mark, Form::present);
    std::vector<Sentence> places;
    for (const Sighting& seen : mark.sightings)
        places.push_back(place_words(words, seen.clip, words.range({seen.clip, seen.after, seen.until})));
    const Sentence place = places.empty() ? say("at an unknown time") : listed(places);
    return mark.possible ? say("'possibly {}' ({})", event, place)
                         : say_in("what is marked, and where", "'{}' ({})", event, place);
}

Sentence contact_words(const Words& words, const ContactStatement& contact) {
    const Sentence who = words.part(contact.part);
    const Sentence place = place_words(words, contact.clip, base::clock_text(contact.at));
    return contact.on
               ? say_in("where a part is", "'{} is {}' ({})", who, words.on_surface(contact.surface), place)
               : say("'{} is off {}' ({})", who, words.surface(contact.surface), place);
}

Sentence scope_words(const Words& words, const Scope& scope) {
    std::vector<Sentence> what;
    if (scope.whole_athlete) what.push_back(say("the whole athlete"));
    for (const course::SurfaceId surface : scope.surfaces)
        what.push_back(words.surface(surface));
    for (const course::PlaneId plane : scope.planes)
        what.push_back(words.plane(plane));
    if (scope.finish_signal) what.push_back(words.finish());
    return listed(what);
}

std::vector<Sentence> named_all(const Evidence& evidence, const Words& words) {
    std::vector<Sentence> all;
    for (const Mark& mark : evidence.marks)
        all.push_back(mark_words(words, mark));
    for (const ContactStatement& contact : evidence.contacts)
        all.push_back(contact_words(words, contact));
    for (const WatchedSpan& span : evidence.spans)
        all.push_back(say("'watched: {}' ({})", scope_words(words, span.scope),
                          place_words(words, span.clip, words.range({span.clip, span.after, span.until}))));
    return all;
}

Sentence counted_list(std::vector<Sentence> all) {
    if (all.size() > kMostNamed) {
        const std::size_t more = all.size() - kMostNamed;
        all.resize(kMostNamed);
        all.push_back(say_in("of a list that is cut off", "{} more", more));
    }
    return listed(all);
}

}  // namespace

Kept smallest_contradiction(const CoursePtr& course, const Evidence& evidence, const Settings& settings,
                            Work& work) {
    return Finder(course, evidence, settings, work).find();
}

base::Error contradiction_of(const CoursePtr& course, const Evidence& evidence, const Settings& settings,
                             const Words& words, Work& work) {
    const Kept kept = smallest_contradiction(course, evidence, settings, work);
    const std::vector<Sentence> all = named_all(only(evidence, kept), words);
    const Sentence refusal =
        all.size() == 1 ? say("This cannot be true: {}. Look at it again.", all.front())
                        : say("These cannot all be true: {}. Look at them again; one of them is wrong.",
                              counted_list(all));
    return {base::Category::contradiction, refusal, ""};
}

base::Error tangle_of(const CoursePtr& course, const Evidence& evidence, const Settings& settings,
                      const Words& words) {
    base::Result<Roles> roles = Roles::make(course, evidence);
    if (!roles) return roles.error();
    base::Result<Prepared> prepared = prepare(*roles, evidence);
    if (!prepared) return prepared.error();
    std::vector<Sentence> overlapping;
    const AsCalled called;
    for (const int m : Search(*roles, *prepared, settings, called).tangle())
        overlapping.push_back(mark_words(words, evidence.marks[static_cast<std::size_t>(m)]));
    const Sentence refusal =
        overlapping.size() < 2
            ? say("Too much of this run is unwatched to try every way it can have been. Mark watched spans "
                  "where your view was clear.")
            : say("There are too many ways in which this can have been: the brackets of {} overlap. Tighten "
                  "their brackets where the pictures allow it, and mark watched spans where your view was "
                  "clear.",
                  counted_list(overlapping));
    return {base::Category::too_tangled, refusal, ""};
}

}  // namespace plumbmark::ruling
