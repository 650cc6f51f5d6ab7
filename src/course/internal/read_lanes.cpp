// [[lane]]: what stands in place of what.
#include <algorithm>

#include "course/internal/sections.h"

namespace plumbmark::course::internal {
namespace {

class InPlaceReader {
  public:
    InPlaceReader(const Fields& fields, Lane& lane, Reading& reading)
        : fields_(fields), lane_(lane), reading_(reading) {}

    void read() {
        const toml::table* table =
            fields_.table("in_place", worded("a table such as {}", "{ coil_deck = \"coil_deck_b\" }"));
        if (table == nullptr) return;
        for (const Entry& entry : in_written_order(*table))
            read(entry);
    }

  private:
    void read(const Entry& entry) {
        const auto here = entry.value->value_exact<std::string>();
        if (!here) {
            fields_.problem(
                place_of(*entry.value),
                worded_in("course book", "{} is {}", quoted(entry.key),
                          described(*entry.value, reading_.document)),
                entry.value->is_table()
                    ? worded("a face's key in quotes, such as {}", "\"keel_beam.top\" = \"keel_beam_b.top\"")
                    : worded("the key of what stands there in this lane, in quotes"));
            return;
        }
        const Place place = place_of(*entry.value);
        const bool usual_known = known(entry.key, entry.key_place);
        if (!known(*here, place) || !usual_known) return;
        const CourseBook& book = reading_.book;
        const bool surfaces = book.find_surface(entry.key).valid() && book.find_surface(*here).valid();
        const bool planes = book.find_plane(entry.key).valid() && book.find_plane(*here).valid();
        if (surfaces && planes) {
            fields_.problem(
                entry.key_place,
                worded("{} and {} are keys of surfaces and of planes, and this does not say which",
                       quoted(entry.key), quoted(*here)),
                worded("keys that a surface and a plane do not share"));
        } else if (surfaces) {
            read_surface(entry, *here, place);
        } else if (planes) {
            add(lane_.planes, book.find_plane(entry.key), book.find_plane(*here), *here, place);
        } else {
            fields_.problem(place,
                            worded("{} and {} are a surface and a plane", quoted(entry.key), quoted(*here)),
                            worded("a surface in place of a surface, or a plane in place of a plane"));
        }
    }

    bool known(std::string_view key, Place place) {
        const CourseBook& book = reading_.book;
        if (book.find_surface(key).valid() || book.find_plane(key).valid()) return true;
        std::vector<std::string> keys;
        for (const Surface& surface : book.surfaces)
            keys.push_back(surface.key);
        for (const Plane& plane : book.planes)
            keys.push_back(plane.key);
        reading_.problems.add(place,
                              worded("{} is neither a declared surface nor a declared plane", quoted(key)),
                              worded("a surface from [surfaces] or a plane from [planes]"),
                              reading_.problems.crowded() ? "" : nearest_or_none(key, keys));
        return false;
    }

    std::vector<std::string> faces_of(SurfaceId parent) const {
        std::vector<std::string> keys;
        for (const Surface& surface : reading_.book.surfaces) {
            if (surface.parent == parent && !surface.out_of_play) keys.push_back(surface.key);
        }
        return keys;
    }

    // A surface with faces stands for its faces, each in place of the one with the same last word.
    void read_surface(const Entry& entry, const std::string& here, Place place) {
        const CourseBook& book = reading_.book;
        const std::vector<std::string> faces = faces_of(book.find_surface(entry.key));
        if (faces.empty()) {
            const SurfaceId usual = usable_surface(entry.key, entry.key_place, reading_);
            const SurfaceId now = usable_surface(here, place, reading_);
            if (usual.valid() && now.valid()) add(lane_.surfaces, usual, now, here, place);
            return;
        }
        for (const std::string& face : faces) {
            const std::string other = here + face.substr(entry.key.size());
            const SurfaceId now = book.find_surface(other);
            if (!now.valid() || book.surface(now).out_of_play) {
                fields_.problem(place, worded("{} has no face in place of {}", quoted(here), quoted(face)),
                                worded("{} among its faces, or a line for each face here", quoted(other)));
            } else {
                add(lane_.surfaces, book.find_surface(face), now, other, place);
            }
        }
    }

    template <class IdType>
    void add(std::vector<InPlaceOf<IdType>>& list, IdType usual, IdType here, std::string_view key,
             Place place) {
        if (usual == here) {
            fields_.problem(place, worded("{} stands in its own place", quoted(key)),
                            worded("another key, or no line"));
            return;
        }
        const auto clash = std::find_if(list.begin(), list.end(), [&](const InPlaceOf<IdType>& one) {
            return one.usual == usual || one.here == here;
        });
        if (clash != list.end()) {
            fields_.problem(place,
                            clash->here == here
                                ? worded("{} stands in place of two", quoted(key))
                                : worded("{} stands in a place that is taken already", quoted(key)),
                            worded("each of them once in a lane"));
            return;
        }
        list.push_back({usual, here});
    }

    const Fields& fields_;
    Lane& lane_;
    Reading& reading_;
};

}  // namespace

void read_lanes(const Fields& course, Reading& reading) {
    const auto tables = course.tables("lane", kMostLanes, worded("{} tables", "[[lane]]"));
    for (std::size_t i = 0; i < tables.size(); ++i) {
        Lane lane;
        lane.place = place_of(*tables[i]);
        const auto key = (*tables[i])["key"].value_exact<std::string>();
        const Sentence what =
            key && good_key(*key) ? worded("lane {}", quoted(*key)) : worded("lane number {}", i + 1);
        const Fields fields(*tables[i], lane.place, what, kLaneKeys, reading);
        lane.key = fields.own_key("north");
        lane.name = fields.name("name", "north lane");
        InPlaceReader(fields, lane, reading).read();
        tell_repeated_key(reading.book.lanes, lane, worded("lane"), *tables[i], reading.problems);
        reading.book.lanes.push_back(std::move(lane));
    }
}

}  // namespace plumbmark::course::internal
