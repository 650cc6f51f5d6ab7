#include "course/write.h"

#include <fmt/format.h>
#include <fmt/ranges.h>

#include <algorithm>

#include "base/text.h"
#include "course/internal/lengths.h"
#include "course/internal/vocabulary.h"

namespace plumbmark::course {
namespace {

using namespace internal;

// A TOML basic string.
std::string in_quotes(std::string_view text) {
    std::string out = "\"";
    for (const char c : text) {
        const auto byte = static_cast<unsigned char>(c);
        if (c == '"' || c == '\\') {
            out += '\\';
            out += c;
        } else if (byte < 0x20 || byte == 0x7F) {
            out += fmt::format("\\u{:04X}", byte);
        } else {
            out += c;
        }
    }
    return out + "\"";
}

std::string as_key(std::string_view key) {
    const bool bare = !key.empty() && std::all_of(key.begin(), key.end(), [](char c) {
        return (c >= 'a' && c <= 'z') || (c >= 'A' && c <= 'Z') || (c >= '0' && c <= '9') || c == '_' ||
               c == '-';
    });
    return bare ? std::string(key) : in_quotes(key);
}

std::string one_or_list(const std::vector<std::string>& words) {
    if (words.size() == 1) return words.front();
    std::string list = "[";
    for (const std::string& word : words)
        list += (list.size() > 1 ? ", " : "") + word;
    return list + "]";
}

std::string list_of_parts(PartSet parts) {
    std::string list = "[";
    for (Part part : kAllParts) {
        if (!parts.has(part)) continue;
        list += (list.size() > 1 ? ", " : "") + in_quotes(word_for(PartSet{part}, kPartWords));
    }
    return list + "]";
}

std::string parts_text(PartSet parts) {
    const std::string_view word = word_for(parts, kPartWords);
    return word.empty() ? list_of_parts(parts) : in_quotes(word);
}

class Writer {
  public:
    explicit Writer(const CourseBook& book) : book_(book) {}

    std::string write() {
        settings();
        surfaces();
        planes();
        for (const Station& station : book_.stations)
            write_station(station, "station", &station == &book_.stations[0]);
        finish();
        for (const Division& division : book_.divisions)
            write_division(division);
        for (const Lane& lane : book_.lanes)
            write_lane(lane);
        write_plan();
        return std::move(out_);
    }

  private:
    void line(std::string_view key, std::string_view value) { out_ += fmt::format("{} = {}\n", key, value); }
    void heading(std::string_view text) { out_ += fmt::format("\n{}\n", text); }
    void length(std::string_view key, const std::optional<base::Duration>& value) {
        if (value) line(key, seconds_text(*value));
    }
    void truth(std::string_view key, bool value, bool otherwise) {
        if (value != otherwise) line(key, value ? "true" : "false");
    }
    template <class Value, std::size_t N>
    void choice(std::string_view key, Value value, const std::array<Word<Value>, N>& words) {
        line(key, in_quotes(word_for(value, words)));
    }
    std::string surface(SurfaceId id) const { return in_quotes(book_.surface(id).key); }
    std::string plane(PlaneId id) const { return in_quotes(book_.plane(id).key); }
    std::string surface_list(const std::vector<SurfaceId>& ids) const {
        std::vector<std::string> keys;
        for (SurfaceId id : ids)
            keys.push_back(surface(id));
        return one_or_list(keys);
    }

    void settings() {
        line("course", in_quotes(book_.name));
        line("revision", in_quotes(book_.revision));
        choice("format", book_.format, kFormatWords);
        truth("brush_counts", book_.brush_counts, true);
        truth("loose_counts", book_.loose_counts, true);
        truth("at_cap_is_in_time", book_.at_cap_is_in_time, true);
        if (book_.false_start != FalseStart::fails_first_station)
            choice("false_start", book_.false_start, kFalseStartWords);
        length("run_cap", book_.run_cap);
    }

    std::string named(const Surface& surface, const std::string& faces) const {
        if (faces.empty() && !surface.out_of_play) return in_quotes(surface.name);
        std::string table = "{ name = " + in_quotes(surface.name);
        if (surface.out_of_play) table += ", out_of_play = true";
        if (!faces.empty()) table += ", faces = { " + faces + " }";
        return table + " }";
    }

    void surfaces() {
        heading("[surfaces]");
        for (std::size_t i = 0; i < book_.surfaces.size(); ++i) {
            const Surface& surface = book_.surfaces[i];
            if (surface.parent.valid()) continue;
            std::string faces;
            for (const Surface& face : book_.surfaces) {
                if (face.parent != SurfaceId{static_cast<std::int64_t>(i)}) continue;
                const std::string key = face.key.substr(std::min(face.key.size(), surface.key.size() + 1));
                faces += (faces.empty() ? "" : ", ") + as_key(key) + " = " + named(face, "");
            }
            line(as_key(surface.key), named(surface, faces));
        }
    }

    void planes() {
        if (book_.planes.empty()) return;
        heading("[planes]");
        for (const Plane& plane : book_.planes)
            line(as_key(plane.key), in_quotes(plane.name));
    }

    void write_station(const Station& station, const std::string& table, bool first) {
        heading("[[" + table + "]]");
        line("key", in_quotes(station.key));
        line("name", in_quotes(station.name));
        line("start", surface_list(station.start));
        if (station.start_plane) start_plane(station, first);
        in_play(station);
        if (station.exit != Exit::shared) choice("exit", station.exit, kExitWords);
        if (station.attempts != 1) line("attempts", std::to_string(station.attempts));
        length("cap", station.cap);
        length("rest_limit", station.rest_limit);
        truth("step_down_allowed", station.step_down_allowed, false);
        truth("previous_items_neutral", station.previous_items_neutral, true);
        if (station.points != 1) line("points", std::to_string(station.points));
        landing(station.landing, table);
        for (const Checkpoint& checkpoint : station.checkpoints)
            write_checkpoint(checkpoint, table);
    }

    void start_plane(const Station& station, bool first) {
        const BehindUntil usual = first ? BehindUntil::signal : BehindUntil::set_off;
        std::string more;
        if (station.start_plane_parts != kWholeBody)
            more += ", parts = " + parts_text(station.start_plane_parts);
        if (station.start_plane_until != usual)
            more += ", until = " + in_quotes(word_for(station.start_plane_until, kUntilWords));
        const std::string key = plane(*station.start_plane);
        line("start_plane", more.empty() ? key : "{ plane = " + key + more + " }");
    }

    void in_play(const Station& station) {
        if (station.in_play.empty() && station.rows.empty()) return;
        out_ += "in_play = [\n";
        for (const Item& item : station.in_play) {
            out_ +=
                fmt::format("    {{ surface = {}, parts = {}", surface(item.surface), parts_text(item.parts));
            if (item.required) out_ += ", required = true";
            if (item.after) out_ += ", after = " + surface(*item.after);
            if (item.once) out_ += ", once = true";
            out_ += " },\n";
        }
        for (const ItemRow& row : station.rows) {
            out_ += fmt::format("    {{ row = {}, max_skipped = {} }},\n", surface_list(row.members),
                                row.max_skipped);
        }
        out_ += "]\n";
    }

    void landing(const Landing& landing, const std::string& table) {
        heading("[" + table + ".landing]");
        if (!landing.surfaces.empty()) line("surface", surface_list(landing.surfaces));
        if (landing.parts == LandingParts::listed) {
            line("parts", list_of_parts(landing.listed_parts));
        } else {
            choice("parts", landing.parts, kLandingWords);
        }
        truth("same_surface", landing.same_surface, false);
        std::vector<std::string> planes;
        for (const PlaneCondition& condition : landing.planes)
            planes.push_back(plane_condition(condition));
        if (!planes.empty()) line("plane", one_or_list(planes));
        length("hold", landing.hold);
        truth("control", landing.control, false);
        truth("no_hands_down", landing.no_hands_down, false);
    }

    std::string plane_condition(const PlaneCondition& condition) const {
        const std::string_view by =
            condition.part ? word_for(PartSet{*condition.part}, kPartWords) : kWholeAthlete;
        return "{ plane = " + plane(condition.plane) + ", by = " + in_quotes(by) + " }";
    }

    void write_checkpoint(const Checkpoint& checkpoint, const std::string& table) {
        heading("[[" + table + ".checkpoint]]");
        line("key", in_quotes(checkpoint.key));
        line("name", in_quotes(checkpoint.name));
        if (checkpoint.touched) line("touched", surface(*checkpoint.touched));
        if (checkpoint.crossed) line("crossed", plane(*checkpoint.crossed));
        line("points", std::to_string(checkpoint.points));
    }

    void finish() {
        const Finish& finish = book_.finish;
        if (finish.name.empty() && !finish.required && !finish.surface) return;
        heading("[finish]");
        if (!finish.name.empty()) line("name", in_quotes(finish.name));
        if (finish.surface) line("surface", surface(*finish.surface));
        line("required", finish.required ? "true" : "false");
    }

    void write_division(const Division& division) {
        heading("[[division]]");
        line("key", in_quotes(division.key));
        line("name", in_quotes(division.name));
        length("run_cap", division.run_cap);
        std::vector<std::string> out;
        for (StationId id : division.left_out)
            out.push_back(in_quotes(book_.station(id).key));
        if (!out.empty()) line("left_out", one_or_list(out));
        for (const Station& station : division.stations) {
            // Whether the station begins the division's course decides a default; "until" is then always
            // written.
            write_station(station, "division.station", station.start_plane_until == BehindUntil::set_off);
        }
    }

    // A line for each: a table on one line may become longer than a line can be.
    void write_lane(const Lane& lane) {
        heading("[[lane]]");
        line("key", in_quotes(lane.key));
        line("name", in_quotes(lane.name));
        if (lane.surfaces.empty() && lane.planes.empty()) return;
        heading("[lane.in_place]");
        for (const auto& [usual, here] : lane.surfaces)
            line(as_key(book_.surface(usual).key), surface(here));
        for (const auto& [usual, here] : lane.planes)
            line(as_key(book_.plane(usual).key), plane(here));
    }

    template <std::size_t N>
    static std::string point(const std::array<double, N>& at) {
        std::vector<std::string> numbers;
        for (const double one : at)
            numbers.push_back(fmt::format("{}", one));
        return fmt::format("[{}]", fmt::join(numbers, ", "));
    }
    template <class Point>
    static std::string points(const std::vector<Point>& list) {
        std::vector<std::string> out;
        for (const Point& one : list)
            out.push_back(point(one));
        return fmt::format("[{}]", fmt::join(out, ", "));
    }
    static std::string with_tolerance(std::string table, const std::optional<double>& tolerance) {
        return "{ " + table + (tolerance ? fmt::format(", tolerance = {} }}", *tolerance) : " }");
    }

    void write_plan() {
        const Plan& plan = book_.plan;
        if (plan.empty()) return;
        heading("[plan]");
        if (plan.tolerance) line("tolerance", fmt::format("{}", *plan.tolerance));
        if (!plan.surfaces.empty()) heading("[plan.surfaces]");
        for (const SurfacePlan& its : plan.surfaces)
            line(as_key(book_.surface(its.surface).key),
                 with_tolerance(its.outline.empty()
                                    ? "line = " + points(its.line)
                                    : fmt::format("outline = {}, top = {}", points(its.outline), its.top),
                                its.tolerance));
        if (!plan.planes.empty()) heading("[plan.planes]");
        for (const PlanePlan& its : plan.planes)
            line(as_key(book_.plane(its.plane).key),
                 with_tolerance(fmt::format("line = {}, past = {}", points(std::vector{its.from, its.to}),
                                            point(its.past)),
                                its.tolerance));
    }

    const CourseBook& book_;
    std::string out_;
};

}  // namespace

std::string write_book(const CourseBook& book) {
    return Writer(book).write();
}

}  // namespace plumbmark::course
