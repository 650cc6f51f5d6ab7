#include "store/internal/camera_json.h"

#include "store/internal/competition_json.h"
#include "store/internal/json_values.h"
#include "store/internal/read_word.h"
#include "store/internal/record_json.h"

namespace plumbmark::store {
namespace {

using Point = std::array<double, 2>;

Json points_json(const std::vector<Point>& points) {
    Json list = Json::array();
    for (const Point& point : points)
        list.push_back(point_json(point));
    return list;
}

Json place_json(const meet::PlanPlace& place) {
    return {{"kind", word_for(kDrawingWords, place.kind)}, {"key", place.key}, {"corner", place.corner}};
}

meet::PlanPlace read_place(const Members& parent, const std::string& name) {
    const Members members(parent.required(name), parent.path_of(name), {"kind", "key", "corner"});
    return {read_word(members, "kind", kDrawingWords), members.text("key"), read_small(members, "corner")};
}

meet::StandPoint read_stand_point(const Json& value, const std::string& path) {
    const Members members(value, path, {"place", "at", "standard"});
    return {read_place(members, "place"), read_point(members.required("at"), members.path_of("at")),
            read_real(members, "standard")};
}

meet::StandEdge read_stand_edge(const Json& value, const std::string& path) {
    const Members members(value, path, {"from", "to", "at", "standard"});
    return {read_place(members, "from"), read_place(members, "to"),
            read_each<Point>(members, "at", read_point), read_real(members, "standard")};
}

meet::Pointed read_pointed(const Json& value, const std::string& path) {
    const Members members(value, path, {"clip", "frame", "at", "followed"});
    meet::Pointed pointed{meet::ClipId{members.whole_number("clip")}, read_frame(members, "frame"),
                          read_point(members.required("at"), members.path_of("at"))};
    if (members.has("followed"))
        pointed.followed = read_followed(members.required("followed"), members.path_of("followed"));
    return pointed;
}

/// The numbers of a lens by the names of their members.
template <class Lens, class Each>
void each_number(Lens& lens, const Each& each) {
    each("fx", lens.fx);
    each("fy", lens.fy);
    each("cx", lens.cx);
    each("cy", lens.cy);
    each("skew", lens.skew);
    each("k1", lens.k1);
    each("k2", lens.k2);
    each("p1", lens.p1);
    each("p2", lens.p2);
    each("k3", lens.k3);
    each("focal_standard", lens.focal_standard);
    each("principal_standard", lens.principal_standard);
    each("k1_standard", lens.k1_standard);
}

}  // namespace

Json followed_json(const meet::FollowedFrom& followed) {
    return {{"from", followed.from}, {"standard", followed.standard}};
}

meet::FollowedFrom read_followed(const Json& value, const std::string& path) {
    const Members members(value, path, {"from", "standard"});
    return {members.whole_number("from"), read_real(members, "standard")};
}

Json camera_json(const meet::CameraLens& lens) {
    Json object = plain_lens_json(lens);
    object["camera"] = sealed_text(lens.camera);
    object["source"] = sealed_text(lens.source);
    return object;
}

Json plain_lens_json(const meet::CameraLens& lens) {
    Json object{
        {"camera", lens.camera}, {"width", lens.width}, {"height", lens.height}, {"source", lens.source}};
    each_number(lens, [&](const char* name, double value) { object[name] = value; });
    return object;
}

Json camera_json(const meet::CameraStand& stand) {
    Json points = Json::array();
    for (const meet::StandPoint& point : stand.points) {
        points.push_back(
            {{"place", place_json(point.place)}, {"at", point_json(point.at)}, {"standard", point.standard}});
    }
    Json edges = Json::array();
    for (const meet::StandEdge& edge : stand.edges) {
        edges.push_back({{"from", place_json(edge.from)},
                         {"to", place_json(edge.to)},
                         {"at", points_json(edge.at)},
                         {"standard", edge.standard}});
    }
    return {{"clip", stand.clip.value},
            {"still", frame_json(stand.still)},
            {"knowledge", word_for(kLensKnownWords, stand.knowledge)},
            {"lens", id_or_null(stand.lens.value)},
            {"points", std::move(points)},
            {"edges", std::move(edges)}};
}

namespace {

template <class ReadText>
meet::CameraLens read_lens_with(std::int64_t id, const Json& value, const std::string& path,
                                const ReadText& text) {
    std::vector<std::string> known{"camera", "width", "height", "source"};
    meet::CameraLens lens;
    each_number(lens, [&](const char* name, double&) { known.emplace_back(name); });
    const Members members(value, path, known);
    lens.id = {id};
    lens.camera = text(members, "camera");
    lens.width = read_small(members, "width");
    lens.height = read_small(members, "height");
    each_number(lens, [&](const char* name, double& number) { number = read_real(members, name); });
    lens.source = text(members, "source");
    return lens;
}

}  // namespace

meet::CameraLens read_lens(std::int64_t id, const Json& value, const std::string& path) {
    return read_lens_with(
        id, value, path, [](const Members& members, const char* name) { return read_sealed(members, name); });
}

meet::CameraLens read_plain_lens(std::int64_t id, const Json& value, const std::string& path) {
    return read_lens_with(id, value, path,
                          [](const Members& members, const char* name) { return members.text(name); });
}

meet::CameraStand read_stand(std::int64_t id, const Json& value, const std::string& path) {
    const Members members(value, path, {"clip", "still", "knowledge", "lens", "points", "edges"});
    meet::CameraStand stand;
    stand.id = {id};
    stand.clip = {members.whole_number("clip")};
    stand.still = read_frame(members, "still");
    stand.knowledge = read_word(members, "knowledge", kLensKnownWords);
    stand.lens = {read_id_or_none(members, "lens")};
    stand.points = read_each<meet::StandPoint>(members, "points", read_stand_point);
    stand.edges = read_each<meet::StandEdge>(members, "edges", read_stand_edge);
    return stand;
}

void add_measured_members(Json& object, const meet::Mark& mark) {
    for (const meet::Pointed& pointed : mark.pointed) {
        Json place = {{"clip", pointed.clip.value},
                      {"frame", frame_json(pointed.frame)},
                      {"at", point_json(pointed.at)}};
        if (pointed.followed) place["followed"] = followed_json(*pointed.followed);
        object["pointed"].push_back(std::move(place));
    }
    if (!mark.measured) return;
    const meet::MeasuredMoment& moment = *mark.measured;
    object["measured"] = {{"clip", moment.clip.value},
                          {"frame", frame_json(moment.frame)},
                          {"from_ns", moment.from.ns},
                          {"to_ns", moment.to.ns}};
}

void read_measured_members(const Members& members, meet::Mark& mark) {
    if (members.has("pointed")) mark.pointed = read_each<meet::Pointed>(members, "pointed", read_pointed);
    if (!members.has("measured")) return;
    const Members moment(members.required("measured"), members.path_of("measured"),
                         {"clip", "frame", "from_ns", "to_ns"});
    mark.measured = meet::MeasuredMoment{{moment.whole_number("clip")},
                                         read_frame(moment, "frame"),
                                         {moment.whole_number("from_ns")},
                                         {moment.whole_number("to_ns")}};
}

}  // namespace plumbmark::store
