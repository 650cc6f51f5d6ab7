#include <algorithm>

#include "base/worded.h"
#include "store/internal/camera_json.h"
#include "store/internal/read_word.h"
#include "store/marks_json.h"

namespace plumbmark::store {
namespace {

using base::worded;

constexpr const char* kFormat = "plumbmark-marks/1";

const std::vector<std::string> kEventMembers{"event",     "part",   "surface",    "plane",
                                             "direction", "signal", "infraction", "grade"};

using Point = std::array<double, 2>;

class Reader {
  public:
    MarksText read(const Json& whole) {
        const Members top(whole, "", {"format", "run", "clips", "marks", "contacts", "watched", "drawings"});
        if (top.text("format") != kFormat)
            fail_at("format", worded("'{}' is expected here; this text has another format", kFormat));
        text_.run = top.text("run");
        each(top, "clips", [&](const Json& item, const std::string& path) { read_clip(item, path); });
        if (text_.clips.empty()) fail_at("clips", worded("a marks text names at least one clip"));
        each(top, "marks", [&](const Json& item, const std::string& path) { read_mark(item, path); });
        each(top, "contacts", [&](const Json& item, const std::string& path) { read_contact(item, path); });
        each(top, "watched", [&](const Json& item, const std::string& path) { read_watched(item, path); });
        each(top, "drawings", [&](const Json& item, const std::string& path) { read_drawing(item, path); });
        return std::move(text_);
    }

  private:
    // A list that may be left out stands for an empty one.
    template <class Read>
    static void each(const Members& members, const std::string& name, Read read) {
        if (!members.has(name)) return;
        const Json& list = members.list(name);
        for (std::size_t i = 0; i < list.size(); ++i)
            read(list[i], item_path(members.path_of(name), i));
    }

    void read_clip(const Json& item, const std::string& path) {
        const Members members(item, path, {"key", "file", "stream", "capture"});
        NamedClip clip{members.text("key"), members.text("file")};
        if (members.has("stream")) {
            const std::int64_t stream = members.whole_number("stream");
            if (stream > meet::kMostStreams)
                fail_at(members.path_of("stream"), worded("no file has that many streams"));
            clip.stream = static_cast<int>(stream);
        }
        if (members.has("capture")) {
            base::Result<meet::CaptureMap> capture = meet::read_capture(members.text("capture"));
            if (!capture) fail_at(members.path_of("capture"), capture.error().sentence);
            clip.capture = std::move(*capture);
        }
        if (clip.key.empty()) fail_at(members.path_of("key"), worded("a clip's key may not be empty"));
        const bool taken = std::any_of(text_.clips.begin(), text_.clips.end(),
                                       [&](const NamedClip& other) { return other.key == clip.key; });
        if (taken) fail_at(members.path_of("key"), worded("two clips have the key '{}'", clip.key));
        text_.clips.push_back(std::move(clip));
    }

    [[nodiscard]] meet::ClipId clip_in(const Members& members) const {
        const std::string key = members.text("clip");
        std::vector<std::string> keys;
        for (const NamedClip& clip : text_.clips)
            keys.push_back(clip.key);
        const auto found = std::find(keys.begin(), keys.end(), key);
        if (found == keys.end()) fail_on_word(members.path_of("clip"), key, keys);
        return meet::ClipId{found - keys.begin()};
    }

    static std::optional<meet::FrameRef> frame_or_null(const Members& members, const std::string& name) {
        if (members.required(name).is_null()) return std::nullopt;
        return meet::FrameRef{members.whole_number(name), 0};
    }

    static Point read_point(const Json& value, const std::string& path) {
        if (read_list(value, path).size() != 2)
            fail_at(path, worded("a point is written as two numbers, [x, y]"));
        return {read_number(value[0], item_path(path, 0)), read_number(value[1], item_path(path, 1))};
    }

    static std::vector<Point> read_points(const Members& members, const std::string& name) {
        std::vector<Point> points;
        const Json& list = members.list(name);
        for (std::size_t i = 0; i < list.size(); ++i)
            points.push_back(read_point(list[i], item_path(members.path_of(name), i)));
        return points;
    }

    // The rules for values are those of the meet; here they get the path of the text.
    template <class Thing>
    static void require_sense(Thing thing, const std::string& path) {
        thing.id.value = 0;
        if (const base::Result<void> good = meet::check_values(thing); !good)
            fail_at(path, good.error().sentence);
    }

    static void refuse_unused(const Members& members, const std::string& event,
                              const std::vector<std::string>& used) {
        for (const std::string& name : kEventMembers) {
            if (name == "event" || !members.has(name)) continue;
            if (std::find(used.begin(), used.end(), name) == used.end())
                fail_at(members.path_of(name),
                        worded("this has no place in an event of the kind '{}'", event));
        }
    }

    static meet::Event read_event(const Members& members) {
        meet::Event event;
        event.kind = read_word(members, "event", kEventWords);
        const std::string kind = members.text("event");
        switch (event.kind) {
            case meet::EventKind::touch:
            case meet::EventKind::release: {
                const bool touch = event.kind == meet::EventKind::touch;
                refuse_unused(members, kind,
                              touch ? std::vector<std::string>{"part", "surface", "grade"}
                                    : std::vector<std::string>{"part", "surface"});
                event.part = read_word(members, "part", kPartWords);
                event.surface = members.text("surface");
                if (members.has("grade")) event.grade = read_word(members, "grade", kGradeWords);
                break;
            }
            case meet::EventKind::cross:
                refuse_unused(members, kind, {"part", "plane", "direction"});
                if (members.text("part") != "whole") event.part = read_part_or_whole(members);
                event.plane = members.text("plane");
                if (members.has("direction"))
                    event.direction = read_word(members, "direction", kDirectionWords);
                break;
            case meet::EventKind::signal:
                refuse_unused(members, kind, {"signal"});
                event.signal = read_word(members, "signal", kSignalWords);
                break;
            case meet::EventKind::infraction:
                refuse_unused(members, kind, {"infraction"});
                event.infraction = read_word(members, "infraction", kInfractionWords);
                break;
            case meet::EventKind::control:
            case meet::EventKind::moment:
                refuse_unused(members, kind, {});
                break;
        }
        return event;
    }

    static course::Part read_part_or_whole(const Members& members) {
        const std::string word = members.text("part");
        const auto part = value_of(kPartWords, word);
        std::vector<std::string> known = words_in(kPartWords);
        known.emplace_back("whole");
        if (!part) fail_on_word(members.path_of("part"), word, known);
        return *part;
    }

    static std::vector<meet::Event> read_alternatives(const Members& members) {
        if (!members.has("alternatives")) return {read_event(members)};
        for (const std::string& name : kEventMembers) {
            if (members.has(name))
                fail_at(members.path_of(name),
                        worded("where there are alternatives, the event stands in each of them"));
        }
        std::vector<meet::Event> events;
        each(members, "alternatives", [&](const Json& item, const std::string& path) {
            events.push_back(read_event(Members(item, path, kEventMembers)));
        });
        return events;
    }

    [[nodiscard]] meet::Sighting read_sighting(const Members& members) const {
        return {clip_in(members), frame_or_null(members, "early"), frame_or_null(members, "late")};
    }

    [[nodiscard]] meet::Pointed read_pointed(const Members& members) const {
        meet::Pointed pointed{clip_in(members),
                              {members.whole_number("frame"), 0},
                              read_point(members.required("at"), members.path_of("at"))};
        if (members.has("followed"))
            pointed.followed = read_followed(members.required("followed"), members.path_of("followed"));
        return pointed;
    }

    [[nodiscard]] meet::MeasuredMoment read_measured(const Members& members) const {
        return {clip_in(members),
                {members.whole_number("frame"), 0},
                {members.whole_number("from_ns")},
                {members.whole_number("to_ns")}};
    }

    void read_mark(const Json& item, const std::string& path) {
        std::vector<std::string> known = kEventMembers;
        for (const char* name : {"clip", "early", "late", "possible", "also", "alternatives", "note", "spot",
                                 "pointed", "measured"})
            known.emplace_back(name);
        const Members members(item, path, known);
        meet::Mark mark;
        mark.alternatives = read_alternatives(members);
        mark.sightings.push_back(read_sighting(members));
        each(members, "also", [&](const Json& other, const std::string& where) {
            mark.sightings.push_back(read_sighting(Members(other, where, {"clip", "early", "late"})));
        });
        if (members.has("possible")) mark.possible = members.flag("possible");
        if (members.has("note")) mark.note = members.text("note");
        if (members.has("spot")) mark.spot = read_point(members.required("spot"), members.path_of("spot"));
        each(members, "pointed", [&](const Json& place, const std::string& where) {
            mark.pointed.push_back(read_pointed(Members(place, where, {"clip", "frame", "at", "followed"})));
        });
        if (members.has("measured"))
            mark.measured = read_measured(Members(members.required("measured"), members.path_of("measured"),
                                                  {"clip", "frame", "from_ns", "to_ns"}));
        require_sense(mark, path);
        text_.marks.push_back(std::move(mark));
    }

    void read_contact(const Json& item, const std::string& path) {
        const Members members(item, path, {"clip", "frame", "part", "surface", "state"});
        meet::ContactStatement contact;
        contact.clip = clip_in(members);
        contact.frame = {members.whole_number("frame"), 0};
        contact.part = read_word(members, "part", kPartWords);
        contact.surface = members.text("surface");
        constexpr std::array kStates{Word<bool>{true, "on"}, Word<bool>{false, "off"}};
        contact.on = read_word(members, "state", kStates);
        require_sense(contact, path);
        text_.contacts.push_back(std::move(contact));
    }

    static meet::Scope read_scope(const Members& parent) {
        const Json& value = parent.required("scope");
        const std::string path = parent.path_of("scope");
        if (value.is_string()) {
            if (value != "athlete") fail_on_word(path, value.get<std::string>(), {"athlete"});
            return {};
        }
        const Members members(value, path, {"athlete", "surfaces", "planes", "finish"});
        meet::Scope scope;
        scope.whole_athlete = members.has("athlete") && members.flag("athlete");
        scope.finish_signal = members.has("finish") && members.flag("finish");
        each(members, "surfaces", [&](const Json& key, const std::string& where) {
            scope.surfaces.push_back(read_text(key, where));
        });
        each(members, "planes", [&](const Json& key, const std::string& where) {
            scope.planes.push_back(read_text(key, where));
        });
        return scope;
    }

    void read_watched(const Json& item, const std::string& path) {
        const Members members(item, path, {"clip", "from", "to", "scope"});
        meet::WatchedSpan span;
        span.clip = clip_in(members);
        span.from = {members.whole_number("from"), 0};
        span.to = {members.whole_number("to"), 0};
        span.scope = read_scope(members);
        require_sense(span, path);
        text_.watched.push_back(std::move(span));
    }

    void read_drawing(const Json& item, const std::string& path) {
        const bool plane = item.is_object() && item.contains("plane");
        const Members members(item, path,
                              plane ? std::vector<std::string>{"clip", "plane", "points", "towards", "still"}
                                    : std::vector<std::string>{"clip", "surface", "polygon", "still"});
        meet::Drawing drawing;
        drawing.clip = clip_in(members);
        drawing.kind = plane ? meet::DrawingKind::plane : meet::DrawingKind::surface;
        drawing.key = members.text(plane ? "plane" : "surface");
        drawing.points = read_points(members, plane ? "points" : "polygon");
        if (members.has("towards"))
            drawing.towards = read_point(members.required("towards"), members.path_of("towards"));
        if (members.has("still")) drawing.still = {members.whole_number("still"), 0};
        require_sense(drawing, path);
        text_.drawings.push_back(std::move(drawing));
    }

    MarksText text_;
};

}  // namespace

base::Result<MarksText> read_marks(std::string_view json_text) {
    const base::Result<Json> whole = parse_json(json_text);
    if (!whole) return whole.error();
    try {
        return Reader().read(*whole);
    } catch (const ReadProblem& problem) {
        return problem.error;
    }
}

}  // namespace plumbmark::store
