#include "store/internal/testing_json.h"

#include "base/check.h"
#include "meet/testing_words.h"
#include "store/internal/competition_json.h"
#include "store/internal/json_values.h"
#include "store/internal/read_word.h"
#include "store/internal/record_json.h"

namespace plumbmark::store {
namespace {

meet::Tester read_tester(std::int64_t id, const Json& value, const std::string& path) {
    const Members members(value, path,
                          {"name", "stature_mm", "span_mm", "reach_mm", "age_years", "sex", "level"});
    meet::Tester tester;
    tester.id = {id};
    tester.name = read_sealed(members, "name");
    tester.stature_mm = read_small_or_none(members, "stature_mm");
    tester.span_mm = read_small_or_none(members, "span_mm");
    tester.reach_mm = read_small_or_none(members, "reach_mm");
    tester.age_years = read_small_or_none(members, "age_years");
    if (!members.required("sex").is_null()) tester.sex = read_word(members, "sex", meet::kSexWords);
    tester.level = read_sealed(members, "level");
    return tester;
}

meet::RigItem read_item(const Json& value, const std::string& path) {
    const Members members(value, path, {"what", "where", "height_mm"});
    return {read_sealed(members, "what"), read_sealed(members, "where"),
            read_small_or_none(members, "height_mm")};
}

meet::RigPhoto read_photo(const Json& value, const std::string& path) {
    const Members members(value, path, {"path", "sha256", "taken_at_ms"});
    return {read_sealed(members, "path"), members.text("sha256"), members.whole_number("taken_at_ms")};
}

meet::RigState read_rig(std::int64_t id, const Json& value, const std::string& path) {
    const Members members(value, path, {"station", "items", "photos", "note"});
    return {{id},
            members.text("station"),
            read_each<meet::RigItem>(members, "items", read_item),
            read_each<meet::RigPhoto>(members, "photos", read_photo),
            read_sealed(members, "note")};
}

meet::Trial read_trial(std::int64_t id, const Json& value, const std::string& path) {
    const Members members(value, path,
                          {"station", "tester", "rig", "run", "start", "landing", "items", "seen", "how"});
    meet::Trial trial;
    trial.id = {id};
    trial.station = members.text("station");
    trial.tester = {members.whole_number("tester")};
    trial.rig = {members.whole_number("rig")};
    trial.run = {read_id_or_none(members, "run")};
    trial.start = members.text("start");
    trial.landing = members.text("landing");
    trial.items = read_each<std::string>(members, "items", read_text);
    trial.seen = read_word(members, "seen", meet::kTrialOutcomeWords);
    trial.how = read_sealed(members, "how");
    return trial;
}

meet::Closing read_closing(std::int64_t id, const Json& value, const std::string& path) {
    const Members members(value, path, {"station", "item", "reason"});
    return {{id}, members.text("station"), members.text("item"), read_sealed(members, "reason")};
}

meet::Release read_release(std::int64_t id, const Json& value, const std::string& path) {
    const Members members(value, path, {"station", "definition", "rig", "tester", "note", "signed_at_ms"});
    meet::Release release;
    release.id = {id};
    release.station = members.text("station");
    release.definition = members.text("definition");
    release.rig = {members.whole_number("rig")};
    release.tester = read_sealed(members, "tester");
    release.note = read_sealed(members, "note");
    release.signed_at_ms = members.whole_number("signed_at_ms");
    return release;
}

meet::CoachNote read_note(std::int64_t id, const Json& value, const std::string& path) {
    const Members members(value, path, {"run", "clip", "frame", "text", "still"});
    meet::CoachNote note;
    note.id = {id};
    note.run = {members.whole_number("run")};
    note.clip = {members.whole_number("clip")};
    note.frame = read_frame(members, "frame");
    note.text = read_sealed(members, "text");
    note.still = members.flag("still");
    return note;
}

}  // namespace

Json testing_json(const meet::Tester& tester) {
    return {{"name", sealed_text(tester.name)},
            {"stature_mm", number_or_null(tester.stature_mm)},
            {"span_mm", number_or_null(tester.span_mm)},
            {"reach_mm", number_or_null(tester.reach_mm)},
            {"age_years", number_or_null(tester.age_years)},
            {"sex", tester.sex ? Json(word_for(meet::kSexWords, *tester.sex)) : Json(nullptr)},
            {"level", sealed_text(tester.level)}};
}

Json testing_json(const meet::RigState& rig) {
    Json items = Json::array();
    for (const meet::RigItem& item : rig.items) {
        items.push_back({{"what", sealed_text(item.what)},
                         {"where", sealed_text(item.where)},
                         {"height_mm", number_or_null(item.height_mm)}});
    }
    Json photos = Json::array();
    for (const meet::RigPhoto& photo : rig.photos) {
        photos.push_back({{"path", sealed_text(photo.path)},
                          {"sha256", photo.sha256},
                          {"taken_at_ms", photo.taken_at_ms}});
    }
    return {{"station", rig.station},
            {"items", std::move(items)},
            {"photos", std::move(photos)},
            {"note", sealed_text(rig.note)}};
}

Json testing_json(const meet::Trial& trial) {
    return {{"station", trial.station},     {"tester", trial.tester.value},
            {"rig", trial.rig.value},       {"run", id_or_null(trial.run.value)},
            {"start", trial.start},         {"landing", trial.landing},
            {"items", trial.items},         {"seen", word_for(meet::kTrialOutcomeWords, trial.seen)},
            {"how", sealed_text(trial.how)}};
}

Json testing_json(const meet::Closing& closing) {
    return {{"station", closing.station}, {"item", closing.item}, {"reason", sealed_text(closing.reason)}};
}

Json testing_json(const meet::Release& release) {
    return {{"station", release.station},        {"definition", release.definition},
            {"rig", release.rig.value},          {"tester", sealed_text(release.tester)},
            {"note", sealed_text(release.note)}, {"signed_at_ms", release.signed_at_ms}};
}

Json testing_json(const meet::CoachNote& note) {
    return {{"run", note.run.value},
            {"clip", note.clip.value},
            {"frame", frame_json(note.frame)},
            {"text", sealed_text(note.text)},
            {"still", note.still}};
}

meet::Entity testing_from_json(meet::EntityKey key, const Json& value, const std::string& path) {
    using meet::Kind;
    switch (key.kind) {
        case Kind::tester:
            return read_tester(key.id, value, path);
        case Kind::rig:
            return read_rig(key.id, value, path);
        case Kind::trial:
            return read_trial(key.id, value, path);
        case Kind::closing:
            return read_closing(key.id, value, path);
        case Kind::release:
            return read_release(key.id, value, path);
        case Kind::coach_note:
            return read_note(key.id, value, path);
        default:
            PLUMBMARK_CHECK(!"a kind that is not of trying a course out");
            return {};
    }
}

}  // namespace plumbmark::store
