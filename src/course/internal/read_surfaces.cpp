// [surfaces] and [planes]: everything that marks and stations can name.
#include <algorithm>

#include "course/internal/sections.h"

namespace plumbmark::course::internal {
namespace {

constexpr const char* kSurfaceTable = "{ name = \"keel beam\", faces = { top = \"top of the keel beam\" } }";

// A word of the course itself under [surfaces] or [planes] would silently become a surface. A [[lane]] and a
// [plan] cannot, and books from before there were any may have a surface of that key.
bool good_declared_key(const Entry& entry, const Sentence& kind, Reading& reading) {
    const bool word = std::find(kCourseKeys.begin(), kCourseKeys.end(), entry.key) != kCourseKeys.end();
    if (word && entry.key != "lane" && entry.key != "plan") {
        reading.problems.add(entry.key_place,
                             worded("{} is a word of the course and no key of a {}", quoted(entry.key), kind),
                             worded("it above the first [heading], or another key"));
        return false;
    }
    if (good_key(entry.key)) return true;
    reading.problems.add(entry.key_place, worded("{} is no key of a {}", quoted(entry.key), kind),
                         worded("1 to 64 letters, digits, '_' or '-', without spaces"));
    return false;
}

std::string checked_name(const Entry& entry, const std::string& name, Reading& reading) {
    if (!good_name(name)) {
        reading.problems.add(
            place_of(*entry.value),
            worded("the name of {} is {}", quoted(entry.key), name.empty() ? worded("empty") : quoted(name)),
            worded("1 to 200 letters on one line"));
    }
    return name;
}

class SurfaceReader {
  public:
    explicit SurfaceReader(Reading& reading) : reading_(reading) {}

    // False when there are too many.
    bool read(const Entry& entry) {
        if (!good_declared_key(entry, worded("surface"), reading_)) return true;
        if (const auto name = entry.value->value_exact<std::string>()) {
            return add({std::string(entry.key), checked_name(entry, *name, reading_), {}, entry.key_place});
        }
        const toml::table* table = entry.value->as_table();
        if (table == nullptr) {
            wrong(entry, worded("a name in quotes, or a table such as {}", kSurfaceTable));
            // Declared all the same: one slip here should not be told again at every use.
            return add({std::string(entry.key), std::string(entry.key), {}, entry.key_place});
        }
        return read_table(entry, *table);
    }

  private:
    void wrong(const Entry& entry, Sentence expected) {
        reading_.problems.add(place_of(*entry.value),
                              worded_in("course book", "{} is {}", quoted(entry.key),
                                        described(*entry.value, reading_.document)),
                              std::move(expected));
    }

    bool read_table(const Entry& entry, const toml::table& table) {
        const Fields fields(table, place_of(table), worded("surface {}", quoted(entry.key)), kSurfaceKeys,
                            reading_);
        Surface surface{std::string(entry.key), fields.name("name", "keel beam"), {}, entry.key_place};
        surface.out_of_play = fields.truth("out_of_play", false);
        const SurfaceId parent{static_cast<std::int64_t>(reading_.book.surfaces.size())};
        if (!add(std::move(surface))) return false;
        const toml::table* faces =
            fields.table("faces", worded("a table such as {}", "{ top = \"top of the keel beam\" }"));
        if (faces == nullptr) return true;
        if (faces->empty())
            fields.wrong_kind(*faces, "faces", worded("at least one face, or no 'faces' at all"));
        for (const Entry& face : in_written_order(*faces)) {
            if (!read_face(face, entry.key, parent)) return false;
        }
        return true;
    }

    bool read_face(const Entry& face, std::string_view surface_key, SurfaceId parent) {
        if (!good_key(face.key)) {
            reading_.problems.add(face.key_place,
                                  worded("{} is no key of a {}", quoted(face.key), worded("face")),
                                  worded("1 to 64 letters, digits, '_' or '-', without spaces"));
            return true;
        }
        Surface result{std::string(surface_key) + "." + std::string(face.key), {}, parent, face.key_place};
        if (const auto name = face.value->value_exact<std::string>()) {
            result.name = checked_name(face, *name, reading_);
        } else if (const toml::table* table = face.value->as_table()) {
            const Fields fields(*table, place_of(*table), worded("face {}", quoted(result.key)), kFaceKeys,
                                reading_);
            result.name = fields.name("name", "top of the keel beam");
            result.out_of_play = fields.truth("out_of_play", false);
        } else {
            wrong(face, worded("a name in quotes"));
        }
        return add(std::move(result));
    }

    bool add(Surface surface) {
        if (reading_.book.surfaces.size() == kMostSurfaces) {
            reading_.problems.add(surface.place,
                                  worded("there are more than {} surfaces and faces", kMostSurfaces),
                                  worded("at most {}", kMostSurfaces));
            return false;
        }
        reading_.book.surfaces.push_back(std::move(surface));
        return true;
    }

    Reading& reading_;
};

}  // namespace

void read_surfaces(const Fields& course, Reading& reading) {
    constexpr const char* kLine = "pier_deck = \"pier deck\"";
    const Sentence expected = worded("a {} table with lines such as {}", "[surfaces]", kLine);
    if (!course.has("surfaces")) course.missing("surfaces", expected);
    const toml::table* table = course.table("surfaces", expected);
    if (table == nullptr) return;
    if (table->empty())
        course.problem(place_of(*table), worded("[surfaces] is empty"), worded("lines such as {}", kLine));
    SurfaceReader reader(reading);
    for (const Entry& entry : in_written_order(*table)) {
        if (!reader.read(entry)) return;
    }
}

void read_planes(const Fields& course, Reading& reading) {
    const toml::table* table = course.table(
        "planes", worded("a {} table with lines such as {}", "[planes]", "start_line = \"start line\""));
    if (table == nullptr) return;
    for (const Entry& entry : in_written_order(*table)) {
        if (!good_declared_key(entry, worded("plane"), reading)) continue;
        if (reading.book.planes.size() == kMostPlanes) {
            course.problem(entry.key_place, worded("there are more than {} planes", kMostPlanes),
                           worded("at most {}", kMostPlanes));
            return;
        }
        const auto name = entry.value->value_exact<std::string>();
        if (!name) {
            course.problem(place_of(*entry.value),
                           worded_in("course book", "{} is {}", quoted(entry.key),
                                     described(*entry.value, reading.document)),
                           worded("the plane's name in quotes"));
        }
        reading.book.planes.push_back({std::string(entry.key),
                                       name ? checked_name(entry, *name, reading) : std::string(entry.key),
                                       entry.key_place});
    }
}

}  // namespace plumbmark::course::internal
