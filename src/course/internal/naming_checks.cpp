#include <algorithm>
#include <set>

#include "course/internal/checks.h"
#include "course/internal/likeness.h"

namespace plumbmark::course::internal {

Sentence surface_words(const CourseBook& book, SurfaceId id) {
    return worded("'{}'", book.surface_name(id));
}

Sentence station_words(const Station& station) {
    return worded("station '{}'", station.name);
}

bool contains(const std::vector<SurfaceId>& surfaces, SurfaceId id) {
    return std::find(surfaces.begin(), surfaces.end(), id) != surfaces.end();
}

namespace {

/// What a check of names says of things of one kind, in the plural: "surfaces".
constexpr const char* kind_words(const Surface&) {
    return base::to_translate("surfaces");
}
constexpr const char* kind_words(const Plane&) {
    return base::to_translate("planes");
}
constexpr const char* kind_words(const Station&) {
    return base::to_translate("stations");
}
constexpr const char* kind_words(const Division&) {
    return base::to_translate("divisions");
}
constexpr const char* kind_words(const Lane&) {
    return base::to_translate("lanes");
}

template <class Thing>
void report_equal_names(const std::vector<Thing>& things, Report& report) {
    for (std::size_t i = 0; i < things.size(); ++i) {
        for (std::size_t j = 0; j < i; ++j) {
            if (things[i].name != things[j].name) continue;
            report.add(
                things[i].place,
                worded(
                    "'{}' and '{}' are both called '{}', so a ruling's sentences cannot tell these {} apart.",
                    things[j].key, things[i].key, things[i].name,
                    base::looked_up_word(kind_words(things[i]))),
                worded("Give one of them another name."));
            break;
        }
    }
}

void equal_names(const CourseBook& book, Report& report) {
    report_equal_names(book.surfaces, report);
    report_equal_names(book.planes, report);
    report_equal_names(book.stations, report);
    report_equal_names(book.divisions, report);
    report_equal_names(book.lanes, report);
}

Sentence likeness_words(Likeness how) {
    switch (how) {
        case Likeness::same_folded:
            return worded("differ only in capitals, blanks, '_' or '-'");
        case Likeness::look_same:
            return worded("look the same, as '0' and 'O' do");
        default:
            return worded("are one letter apart");
    }
}

// One thing's name and key in the forms that are compared; each name is held against all before it.
template <class Thing>
class AlikeNames {
  public:
    AlikeNames(const std::vector<Thing>& things, Report& report) : things_(things), report_(report) {}

    void tell() {
        for (const Thing& thing : things_) {
            names_.emplace_back(thing.name);
            keys_.emplace_back(thing.key);
            tell_first_like(names_.size() - 1);
        }
    }

  private:
    void tell_first_like(std::size_t i) {
        for (std::size_t j = 0; j < i; ++j) {
            if (things_[i].name == things_[j].name) continue;  // told as equal names
            const Likeness names = likeness(names_[j], names_[i]);
            if (names != Likeness::none) return add_names(i, names, things_[j].name, things_[i].name);
            if (!keys_are_neighbours(things_[i], things_[j])) continue;
            const Likeness keys = likeness(keys_[j], keys_[i]);
            if (keys != Likeness::none) return add_keys(i, keys, things_[j].key, things_[i].key);
        }
    }

    // A face's key begins with that of its surface, so only faces of one surface are written side by side.
    static bool keys_are_neighbours(const Surface& a, const Surface& b) { return a.parent == b.parent; }
    template <class Other>
    static bool keys_are_neighbours(const Other&, const Other&) {
        return true;
    }

    void add_names(std::size_t i, Likeness how, const std::string& first, const std::string& second) {
        report_.add(things_[i].place,
                    worded("The names '{}' and '{}' of two {} {}, so one is easily taken for the other.",
                           first, second, base::looked_up_word(kind_words(things_[i])), likeness_words(how)),
                    worded("Give one of them a name that sounds and looks different."));
    }
    void add_keys(std::size_t i, Likeness how, const std::string& first, const std::string& second) {
        report_.add(things_[i].place,
                    worded("The keys '{}' and '{}' of two {} {}, so one is easily taken for the other.",
                           first, second, base::looked_up_word(kind_words(things_[i])), likeness_words(how)),
                    worded("Give one of them another key."));
    }

    const std::vector<Thing>& things_;
    Report& report_;
    std::vector<ComparedWord> names_;
    std::vector<ComparedWord> keys_;
};

void names_alike(const CourseBook& book, Report& report) {
    AlikeNames(book.surfaces, report).tell();
    AlikeNames(book.planes, report).tell();
    AlikeNames(book.stations, report).tell();
    AlikeNames(book.divisions, report).tell();
    AlikeNames(book.lanes, report).tell();
}

// The stations of the course and those that its divisions have of their own.
std::vector<const Station*> every_station(const CourseBook& book) {
    std::vector<const Station*> stations;
    for (const Station& station : book.stations)
        stations.push_back(&station);
    for (const Division& division : book.divisions) {
        for (const Station& station : division.stations)
            stations.push_back(&station);
    }
    return stations;
}

bool has_faces(const CourseBook& book, SurfaceId id) {
    return std::any_of(book.surfaces.begin(), book.surfaces.end(),
                       [&](const Surface& surface) { return surface.parent == id; });
}

// What the stations, the divisions' stations and the finish name.
std::set<SurfaceId> surfaces_of_course(const CourseBook& book) {
    std::set<SurfaceId> used = surfaces_named(book);
    for (const Division& division : book.divisions) {
        for (const Station& station : division.stations)
            used.merge(surfaces_named(station));
    }
    return used;
}

std::set<PlaneId> planes_of_course(const CourseBook& book) {
    std::set<PlaneId> used;
    for (const Station* station : every_station(book)) {
        if (station->start_plane) used.insert(*station->start_plane);
        for (const PlaneCondition& condition : station->landing.planes)
            used.insert(condition.plane);
        for (const Checkpoint& checkpoint : station->checkpoints) {
            if (checkpoint.crossed) used.insert(*checkpoint.crossed);
        }
    }
    return used;
}

void surface_unused(const CourseBook& book, Report& report) {
    std::set<SurfaceId> used = surfaces_of_course(book);
    for (const Lane& lane : book.lanes) {
        for (const auto& one : lane.surfaces)
            used.insert(one.here);
    }
    for (std::size_t i = 0; i < book.surfaces.size(); ++i) {
        const SurfaceId id{static_cast<std::int64_t>(i)};
        const Surface& surface = book.surfaces[i];
        if (surface.out_of_play || used.count(id) > 0 || has_faces(book, id)) continue;
        report.add(surface.place,
                   worded("'{}' is declared, but no station uses it, so every touch of it is out of play.",
                          surface.key),
                   worded("Use it, or write out_of_play = true where it is declared."));
    }
}

// Calls back for each surface and plane that a lane replaces: with its key, that of what stands there in this
// lane, whether the course uses it, and whether the course uses the other where this lane replaces it not.
template <class Callback>
void each_replaced(const CourseBook& book, const Lane& lane, Callback callback) {
    const auto walk = [&](const auto& list, const auto& used, const auto& key_of) {
        for (const auto& one : list) {
            const bool replaced = std::any_of(list.begin(), list.end(),
                                              [&](const auto& other) { return other.usual == one.here; });
            callback(key_of(one.usual), key_of(one.here), used.count(one.usual) > 0,
                     used.count(one.here) > 0 && !replaced);
        }
    };
    walk(lane.surfaces, surfaces_of_course(book), [&](SurfaceId id) { return book.surface(id).key; });
    walk(lane.planes, planes_of_course(book), [&](PlaneId id) { return book.plane(id).key; });
}

void lane_replaces_nothing(const CourseBook& book, Report& report) {
    for (const Lane& lane : book.lanes) {
        each_replaced(book, lane, [&](const std::string& usual, const std::string& here, bool used, bool) {
            if (used) return;
            report.add(
                lane.place,
                worded("In lane '{}' '{}' stands in place of '{}', which no station uses, so it stands "
                       "nowhere.",
                       lane.name, here, usual),
                worded("Name what the stations use, or take it out of in_place."));
        });
    }
}

void lane_keeps_both(const CourseBook& book, Report& report) {
    for (const Lane& lane : book.lanes) {
        each_replaced(book, lane, [&](const std::string& usual, const std::string& here, bool, bool both) {
            if (!both) return;
            report.add(
                lane.place,
                worded("In lane '{}' '{}' stands in place of '{}' and in its own as well.", lane.name, here,
                       usual),
                worded("Declare one of its own for this lane, or say what stands in place of '{}'.", here));
        });
    }
}

void out_of_play_used(const CourseBook& book, Report& report) {
    for (const Station* station : every_station(book)) {
        for (SurfaceId id : surfaces_named(*station)) {
            if (!book.surface(id).out_of_play && !has_faces(book, id)) continue;
            const Sentence its = station_words(*station), surface = surface_words(book, id);
            if (has_faces(book, id))
                report.add(station->place,
                           worded("{} uses {}, which has faces, without saying which one.", its, surface),
                           worded("Name the face."));
            else
                report.add(station->place, worded("{} uses {}, which is declared out of play.", its, surface),
                           worded("Take out_of_play away, or take the surface out of the station."));
        }
    }
}

void plane_unused(const CourseBook& book, Report& report) {
    std::set<PlaneId> used = planes_of_course(book);
    for (const Lane& lane : book.lanes) {
        for (const auto& one : lane.planes)
            used.insert(one.here);
    }
    for (std::size_t i = 0; i < book.planes.size(); ++i) {
        if (used.count(PlaneId{static_cast<std::int64_t>(i)}) > 0) continue;
        report.add(book.planes[i].place,
                   worded("Plane '{}' is declared, but no station uses it.", book.planes[i].key),
                   worded("Use it in a start, a landing or a checkpoint, or take it away."));
    }
}

constexpr Rule kRules[] = {
    {"equal-names", Severity::warning,
     "Two surfaces, planes, stations, divisions or lanes with the same name.", equal_names},
    {"names-alike", Severity::warning,
     "Names or keys of two surfaces, planes, stations, divisions or lanes that are easily taken for one "
     "another.",
     names_alike},
    {"surface-unused", Severity::warning,
     "A surface that no station uses and that is not declared out of play.", surface_unused},
    {"out-of-play-used", Severity::error,
     "A station that uses a surface declared out of play or one that has faces.", out_of_play_used},
    {"lane-replaces-nothing", Severity::warning,
     "A lane that puts something in the place of what no station uses.", lane_replaces_nothing},
    {"lane-keeps-both", Severity::warning,
     "A lane that puts in another's place what the course already uses elsewhere.", lane_keeps_both},
    {"plane-unused", Severity::warning, "A plane that no station uses.", plane_unused},
};

}  // namespace

std::span<const Rule> naming_rules() {
    return kRules;
}

}  // namespace plumbmark::course::internal
