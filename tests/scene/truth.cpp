#include "truth.h"

#include <fmt/format.h>

#include <algorithm>
#include <nlohmann/json.hpp>

#include "digest.h"
#include "sight.h"
#include "sound.h"

namespace plumbmark::scene {
namespace {

using Json = nlohmann::ordered_json;

constexpr int kFormat = 1;

}  // namespace

base::Time to_time(double seconds) {
    return {static_cast<std::int64_t>(std::floor(seconds * 1e9 + 0.5))};
}

RunTruth truth_of(const Run& run) {
    RunTruth out;
    out.contacts = contacts_of(run.moves, 0, run.end);
    out.crossings = crossings_of(run.moves, 0, run.end);
    out.beep = to_time(run.beep);
    for (const double t : run.bells)
        out.bells.push_back(to_time(t));
    return out;
}

namespace {

Json in_metres(Vec3 v) {
    const auto rounded = [](double x) { return std::floor(x * 10000 + 0.5) / 10000; };
    return {rounded(v.x), rounded(v.y), rounded(v.z)};
}

Json visible_in(const Run& run, const std::function<bool(const View&)>& sees) {
    Json out = Json::array();
    for (const View& view : run.views)
        if (sees(view)) out.push_back(view.clip);
    return out;
}

Json event_of(const Run& run, const Contact& c) {
    return {{"event", c.touch ? "touch" : "release"},
            {"part", name_of(c.part)},
            {"surface", c.surface},
            {"time_ns", to_time(c.t).ns},
            {"at", in_metres(c.at)},
            {"visible_in", visible_in(run, [&](const View& v) { return sees_contact(run, v, c); })}};
}

Json event_of(const Run& run, const Crossing& c) {
    return {{"event", "cross"},
            {"part", c.part ? name_of(*c.part) : "whole_athlete"},
            {"plane", c.plane},
            {"direction", c.forward ? "forward" : "back"},
            {"time_ns", to_time(c.t).ns},
            {"at", in_metres(c.at)},
            {"visible_in", visible_in(run, [&](const View& v) {
                 return sees_point(run, v, c.t, c.at - Vec3{0.01, 0, 0});
             })}};
}

Json signal_of(const Run& run, const char* name, base::Time t, Vec3 lamp) {
    Json heard = Json::object();
    for (const View& v : run.views)
        heard[v.clip] = to_time(static_cast<double>(t.ns) * 1e-9 + sound_delay(v, lamp)).ns;
    const double at = static_cast<double>(t.ns) * 1e-9;
    return {{"event", "signal"},
            {"signal", name},
            {"time_ns", t.ns},
            {"at", in_metres(lamp)},
            {"visible_in", visible_in(run,
                                      [&](const View& v) {
                                          return sees_point(run, v, at,
                                                            lamp + unit(v.camera.at - lamp) * 0.06);
                                      })},
            {"heard_ns", heard}};
}

Json events_of(const Run& run, const RunTruth& truth) {
    std::vector<Json> all;
    for (const Contact& c : truth.contacts.events)
        all.push_back(event_of(run, c));
    for (const Crossing& c : truth.crossings)
        all.push_back(event_of(run, c));
    all.push_back(signal_of(run, "start", truth.beep, layout().start_lamp + Vec3{0, 0, 0.13}));
    for (const base::Time t : truth.bells)
        all.push_back(signal_of(run, "bell_plate", t, layout().bell_lamp));
    std::stable_sort(all.begin(), all.end(), [](const Json& a, const Json& b) {
        return a["time_ns"].get<std::int64_t>() < b["time_ns"].get<std::int64_t>();
    });
    return all;
}

Json drawings_of(const View& view) {
    Json surfaces = Json::object();
    for (const auto& [key, polygons] : outlines(view))
        surfaces[key] = polygons;
    Json lines = Json::object();
    for (const CoursePlane& plane : planes()) {
        const auto point = [&](double x, double z) -> Json {
            const auto p = project(view.camera, {x, 0, z});
            if (!p) return nullptr;
            return {std::floor(p->x * 10 + 0.5) / 10, std::floor(p->y * 10 + 0.5) / 10};
        };
        lines[plane.key] = {{"line", {point(plane.x, plane.z_low), point(plane.x, plane.z_high)}},
                            {"towards", point(plane.x + 0.5, 1.2)}};
    }
    return {{"surfaces", surfaces}, {"planes", lines}};
}

Json clip_of(const Run& run, const View& view, const RunTruth& truth, const ClipDigest& digest) {
    const auto sound = sound_of(run, view, truth.contacts);
    Json frames = Json::array();
    const auto ticks = view.ticks();
    for (std::size_t i = 0; i < ticks.size(); ++i)
        frames.push_back({ticks[i], base::floor_to_time(ticks[i], view.clock.time_base).ns,
                          i < digest.pictures_crc32.size() ? digest.pictures_crc32[i] : ""});
    return {{"clip", view.clip + ".mp4"},
            {"width", view.camera.width},
            {"height", view.camera.height},
            {"turned", view.turned},
            {"time_base", {view.clock.time_base.num, view.clock.time_base.den}},
            {"offset_ns", view.offset.ns},
            {"shutter_ns", view.shutter.ns},
            {"row_delay_ns", 0},
            {"camera",
             {{"at", in_metres(view.camera.at)},
              {"target", in_metres(view.camera.target)},
              {"focal_px", view.camera.focal}}},
            {"drawings", drawings_of(view)},
            {"sound_crc32", hex(crc32(0, sound.data(), sound.size() * sizeof sound[0]))},
            {"pictures_sha256", digest.pictures_sha256},
            {"frames", frames}};
}

Json rulings_of(const Run& run) {
    Json out = Json::array();
    for (const Ruling& r : run.rulings) {
        Json alone = Json::object();
        for (const auto& [clip, verdict] : r.on_clip)
            alone[clip] = name_of(verdict);
        out.push_back(
            {{"station", r.station}, {"verdict", name_of(r.on_all)}, {"alone", alone}, {"reason", r.reason}});
    }
    return out;
}

Json run_of(const Run& run, const std::map<std::string, ClipDigest>& digests) {
    const RunTruth truth = truth_of(run);
    Json standing = Json::array();
    for (const Contact& c : truth.contacts.standing)
        standing.push_back({{"part", name_of(c.part)}, {"surface", c.surface}});
    Json clips = Json::array();
    for (const View& view : run.views) {
        const auto digest = digests.find(view.clip);
        clips.push_back(clip_of(run, view, truth, digest == digests.end() ? ClipDigest{} : digest->second));
    }
    return {{"run", run.key},
            {"title", run.title},
            {"standing", standing},
            {"events", events_of(run, truth)},
            {"right_ruling", rulings_of(run)},
            {"clips", clips}};
}

// One line for each list or object that holds nothing but plain values or short lists of them.
bool is_flat(const Json& j, int depth) {
    if (!j.is_structured()) return true;
    if (depth == 0) return false;
    return std::all_of(j.begin(), j.end(), [&](const Json& child) { return is_flat(child, depth - 1); });
}

void write(const Json& j, int indent, std::string& out) {
    if (is_flat(j, 2) && j.dump().size() < 400) {
        out += j.dump();
        return;
    }
    const bool object = j.is_object();
    out += object ? "{\n" : "[\n";
    bool first = true;
    for (const auto& [key, value] : j.items()) {
        if (!first) out += ",\n";
        first = false;
        out += std::string(static_cast<std::size_t>(indent + 1), ' ');
        if (object) out += Json(key).dump() + ": ";
        write(value, indent + 1, out);
    }
    out += "\n" + std::string(static_cast<std::size_t>(indent), ' ') + (object ? "}" : "]");
}

}  // namespace

std::string truth_text(const std::map<std::string, ClipDigest>& digests) {
    Json all = {{"meet", "Pier Nine Youth Open"},
                {"format", kFormat},
                {"surfaces", surface_keys()},
                {"stations", {"bollard_hop", "hawser_swing", "gantry_rungs"}},
                {"gravity", "9.80665 m/s^2"}};
    Json names = Json::array();
    for (const CoursePlane& plane : planes())
        names.push_back(plane.key);
    all["planes"] = names;
    Json list = Json::array();
    for (const Run& run : runs())
        list.push_back(run_of(run, digests));
    all["runs"] = list;
    std::string out;
    write(all, 0, out);
    return out + "\n";
}

base::Result<std::map<std::string, ClipDigest>> digests_in(const std::string& text) {
    const Json all = Json::parse(text, nullptr, false);
    std::map<std::string, ClipDigest> out;
    try {
        for (const Json& run : all.at("runs")) {
            for (const Json& clip : run.at("clips")) {
                const auto file = clip.at("clip").get<std::string>();
                ClipDigest& digest = out[file.substr(0, file.rfind('.'))];
                digest.pictures_sha256 = clip.at("pictures_sha256").get<std::string>();
                for (const Json& frame : clip.at("frames"))
                    digest.pictures_crc32.push_back(frame.at(2).get<std::string>());
            }
        }
    } catch (const Json::exception& problem) {
        return base::Error{base::Category::damaged, std::string("not a truth file: ") + problem.what(), ""};
    }
    return out;
}

}  // namespace plumbmark::scene
