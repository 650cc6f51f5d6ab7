// [plan]: where the things stand.
#include <algorithm>
#include <cmath>

#include "course/internal/sections.h"

namespace plumbmark::course::internal {
namespace {

/// Metres from the origin: more than any hall, so that a measure in millimetres is told.
constexpr double kFarthest = 1'000;
constexpr double kLargestTolerance = 10;
constexpr std::size_t kMostPoints = 100;
/// Square metres: what is thinner is a line.
constexpr double kSmallestArea = 1e-4;
constexpr double kSamePlace = 1e-4;  ///< metres

Sentence outline_form() {
    return worded("3 to 100 corners in metres, one after the other around it, such as {}",
                  "[[0, 0], [1.2, 0], [1.2, 0.8], [0, 0.8]]");
}
Sentence line_form() {
    return worded("2 to 100 points [x, y, z] in metres, such as {}", "[[3.1, 0, 2.5], [3.1, 1, 2.5]]");
}
Sentence plane_line_form() {
    return worded("2 points in metres, such as {}", "[[6.25, -0.6], [6.25, 0.6]]");
}
Sentence past_form() {
    return worded("a point [x, y] in metres that lies past it, such as {}", "[6.5, 0]");
}

double cross(const PlanPoint& a, const PlanPoint& b, const PlanPoint& c) {
    return (b[0] - a[0]) * (c[1] - a[1]) - (b[1] - a[1]) * (c[0] - a[0]);
}

double area(const std::vector<PlanPoint>& outline) {
    double twice = 0;
    for (std::size_t i = 0; i < outline.size(); ++i) {
        const PlanPoint& a = outline[i];
        const PlanPoint& b = outline[(i + 1) % outline.size()];
        twice += a[0] * b[1] - a[1] * b[0];
    }
    return std::abs(twice) / 2;
}

bool sides_cross(const PlanPoint& a, const PlanPoint& b, const PlanPoint& c, const PlanPoint& d) {
    return cross(a, b, c) * cross(a, b, d) < 0 && cross(c, d, a) * cross(c, d, b) < 0;
}

bool crosses_itself(const std::vector<PlanPoint>& outline) {
    const std::size_t count = outline.size();
    for (std::size_t i = 0; i < count; ++i)
        for (std::size_t j = i + 1; j < count; ++j)
            if (sides_cross(outline[i], outline[(i + 1) % count], outline[j], outline[(j + 1) % count]))
                return true;
    return false;
}

double length(const std::vector<SpacePoint>& line) {
    double whole = 0;
    for (std::size_t i = 1; i < line.size(); ++i)
        whole +=
            std::hypot(line[i][0] - line[i - 1][0], line[i][1] - line[i - 1][1], line[i][2] - line[i - 1][2]);
    return whole;
}

class PlanReader {
  public:
    explicit PlanReader(Reading& reading) : reading_(reading), plan_(reading.book.plan) {}

    void read(const toml::table& table) {
        const Fields fields(table, place_of(table), "[plan]", kPlanKeys, reading_);
        plan_.tolerance = tolerance(fields);
        if (const toml::table* surfaces = fields.table(
                "surfaces",
                worded("a table with lines such as {}", "pier_deck = { outline = [...], top = 0.6 }"))) {
            for (const Entry& entry : in_written_order(*surfaces))
                read_surface(fields, entry);
        }
        if (const toml::table* planes = fields.table(
                "planes",
                worded("a table with lines such as {}", "start_line = { line = [...], past = [...] }"))) {
            for (const Entry& entry : in_written_order(*planes))
                read_plane(fields, entry);
        }
    }

  private:
    void read_surface(const Fields& plan, const Entry& entry) {
        const SurfaceId id = reading_.book.find_surface(entry.key);
        if (!id.valid())
            return tell_unknown(entry, worded("{} is not a declared surface", quoted(entry.key)),
                                worded("a surface from [surfaces]"), reading_.book.surfaces);
        const toml::table* table = table_of(plan, entry, "{ outline = [...], top = 0.6 }");
        if (table == nullptr) return;
        const Fields fields(*table, place_of(*table), worded("the plan of {}", quoted(entry.key)),
                            kSurfacePlanKeys, reading_);
        SurfacePlan its;
        its.surface = id;
        its.place = entry.key_place;
        its.tolerance = tolerance(fields);
        const bool has_outline = fields.has("outline"), has_line = fields.has("line");
        if (has_outline == has_line)
            return fields.problem(fields.place(),
                                  has_line
                                      ? worded("{} has an 'outline' and a 'line'", fields.what())
                                      : worded("{} has neither an 'outline' nor a 'line'", fields.what()),
                                  worded("one of the two"));
        if (has_outline) {
            its.outline = points<2>(fields, "outline", 3, outline_form());
            check_outline(fields, its.outline);
            if (!fields.has("top"))
                fields.missing("top", worded("the height of its top in metres, such as {}", "0.6"));
            its.top = number(fields, "top", -kFarthest, kFarthest).value_or(0);
        } else {
            its.line = points<3>(fields, "line", 2, line_form());
            if (!its.line.empty() && length(its.line) < kSamePlace)
                fields.problem(place_of(*fields.find("line")), worded("{} is a point", fields.what()),
                               line_form());
            if (fields.has("top"))
                fields.problem(
                    place_of(*fields.find("top")), worded("'top' stands beside a 'line'"),
                    worded("'top' with an 'outline' only: the points of a line have their heights"));
        }
        plan_.surfaces.push_back(std::move(its));
    }

    void check_outline(const Fields& fields, const std::vector<PlanPoint>& outline) {
        if (outline.empty()) return;
        if (area(outline) < kSmallestArea)
            fields.problem(place_of(*fields.find("outline")), worded("{} encloses nothing", fields.what()),
                           outline_form());
        else if (crosses_itself(outline))
            fields.problem(place_of(*fields.find("outline")), worded("the sides of {} cross", fields.what()),
                           outline_form());
    }

    void read_plane(const Fields& plan, const Entry& entry) {
        const PlaneId id = reading_.book.find_plane(entry.key);
        if (!id.valid())
            return tell_unknown(entry, worded("{} is not a declared plane", quoted(entry.key)),
                                worded("a plane from [planes]"), reading_.book.planes);
        const toml::table* table = table_of(plan, entry, "{ line = [...], past = [...] }");
        if (table == nullptr) return;
        const Fields fields(*table, place_of(*table), worded("the plan of {}", quoted(entry.key)),
                            kPlanePlanKeys, reading_);
        PlanePlan its;
        its.plane = id;
        its.place = entry.key_place;
        its.tolerance = tolerance(fields);
        if (!fields.has("line")) fields.missing("line", plane_line_form());
        if (!fields.has("past")) fields.missing("past", past_form());
        const auto line = points<2>(fields, "line", 2, plane_line_form(), 2);
        const toml::node* past = fields.find("past");
        if (line.empty() || past == nullptr) return;
        if (!read_point(*past, its.past)) return fields.wrong_kind(*past, "past", past_form());
        its.from = line[0], its.to = line[1];
        const double length = std::hypot(its.to[0] - its.from[0], its.to[1] - its.from[1]);
        if (length < kSamePlace)
            fields.problem(place_of(*fields.find("line")),
                           worded("{} has both ends in one place", fields.what()), plane_line_form());
        else if (std::abs(cross(its.from, its.to, its.past)) / length < kSamePlace)
            fields.problem(place_of(*past), worded("'past' lies on the plane itself"), past_form());
        plan_.planes.push_back(its);
    }

    std::optional<double> tolerance(const Fields& fields) {
        return number(fields, "tolerance", 0, kLargestTolerance);
    }

    std::optional<double> number(const Fields& fields, const char* key, double least, double most) {
        const toml::node* node = fields.find(key);
        if (node == nullptr) return std::nullopt;
        const auto value = node->is_number() ? node->value<double>() : std::nullopt;
        if (value && *value >= least && *value <= most) return value;
        fields.wrong_kind(
            *node, key,
            worded("a number of metres from {} to {}", static_cast<int>(least), static_cast<int>(most)));
        return std::nullopt;
    }

    template <std::size_t N>
    static bool read_point(const toml::node& node, std::array<double, N>& point) {
        const toml::array* list = node.as_array();
        if (list == nullptr || list->size() != N) return false;
        for (std::size_t i = 0; i < N; ++i) {
            const toml::node& one = *list->get(i);
            const auto value = one.is_number() ? one.value<double>() : std::nullopt;
            if (!value || !(std::abs(*value) <= kFarthest)) return false;
            point[i] = *value;
        }
        return true;
    }

    /// None where they are missing, or wrong, which is told.
    template <std::size_t N>
    std::vector<std::array<double, N>> points(const Fields& fields, const char* key, std::size_t least,
                                              const Sentence& form, std::size_t most = kMostPoints) {
        std::vector<std::array<double, N>> result;
        const toml::node* node = fields.find(key);
        if (node == nullptr) return result;
        const toml::array* list = node->as_array();
        if (list == nullptr || list->size() < least || list->size() > most) {
            fields.wrong_kind(*node, key, form);
            return result;
        }
        for (const toml::node& one : *list) {
            if (read_point(one, result.emplace_back())) continue;
            fields.problem(place_of(one),
                           worded("a point of {} is {}", quoted(key), described(one, reading_.document)),
                           form);
            return {};
        }
        return result;
    }

    template <class List>
    void tell_unknown(const Entry& entry, Sentence found, Sentence expected, const List& declared) {
        std::vector<std::string> keys;
        for (const auto& one : declared)
            keys.push_back(one.key);
        reading_.problems.add(entry.key_place, std::move(found), std::move(expected),
                              reading_.problems.crowded() ? "" : nearest_or_none(entry.key, keys));
    }

    /// Null where it is none, which is told.
    const toml::table* table_of(const Fields& plan, const Entry& entry, const std::string& form) const {
        const toml::table* table = entry.value->as_table();
        if (table == nullptr) plan.wrong_kind(*entry.value, entry.key, worded("a table such as {}", form));
        return table;
    }

    Reading& reading_;
    Plan& plan_;
};

}  // namespace

void read_plan(const Fields& course, Reading& reading) {
    if (const toml::table* table = course.table("plan", "a [plan] table")) PlanReader(reading).read(*table);
}

}  // namespace plumbmark::course::internal
