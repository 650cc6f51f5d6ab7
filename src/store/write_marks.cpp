#include <nlohmann/json.hpp>

#include "store/internal/words.h"
#include "store/marks_json.h"

namespace plumbmark::store {
namespace {

using Json = nlohmann::ordered_json;  // members in the order that the document describes them

Json frame(const std::optional<meet::FrameRef>& frame) {
    return frame ? Json(frame->number) : Json(nullptr);
}

Json point(const std::array<double, 2>& point) {
    return Json::array({point[0], point[1]});
}

Json points(const std::vector<std::array<double, 2>>& all) {
    Json list = Json::array();
    for (const auto& one : all)
        list.push_back(point(one));
    return list;
}

void add_event(Json& object, const meet::Event& event) {
    object["event"] = word_for(kEventWords, event.kind);
    switch (event.kind) {
        case meet::EventKind::touch:
        case meet::EventKind::release:
            object["part"] = word_for(kPartWords, event.part.value());
            object["surface"] = event.surface;
            if (event.grade != ruling::Grade::ungraded) object["grade"] = word_for(kGradeWords, event.grade);
            break;
        case meet::EventKind::cross:
            object["part"] = event.part ? word_for(kPartWords, *event.part) : "whole";
            object["plane"] = event.plane;
            object["direction"] = word_for(kDirectionWords, event.direction);
            break;
        case meet::EventKind::signal:
            object["signal"] = word_for(kSignalWords, event.signal);
            break;
        case meet::EventKind::infraction:
            object["infraction"] = word_for(kInfractionWords, event.infraction);
            break;
        case meet::EventKind::control:
        case meet::EventKind::moment:
            break;
    }
}

class Writer {
  public:
    explicit Writer(const MarksText& text) : text_(text) {}

    [[nodiscard]] Json write() const {
        Json whole{{"format", "plumbmark-marks/1"}, {"run", text_.run}, {"clips", Json::array()}};
        for (const NamedClip& clip : text_.clips) {
            whole["clips"].push_back(Json{{"key", clip.key}, {"file", clip.file}});
            if (clip.stream != 0) whole["clips"].back()["stream"] = clip.stream;
            if (!clip.capture.empty()) whole["clips"].back()["capture"] = meet::capture_text(clip.capture);
        }
        for (const char* name : {"marks", "contacts", "watched", "drawings"})
            whole[name] = Json::array();
        for (const meet::Mark& mark : text_.marks)
            whole["marks"].push_back(write_mark(mark));
        for (const meet::ContactStatement& contact : text_.contacts)
            whole["contacts"].push_back(write_contact(contact));
        for (const meet::WatchedSpan& span : text_.watched)
            whole["watched"].push_back(write_watched(span));
        for (const meet::Drawing& drawing : text_.drawings)
            whole["drawings"].push_back(write_drawing(drawing));
        return whole;
    }

  private:
    [[nodiscard]] const std::string& key_of(meet::ClipId clip) const {
        return text_.clips.at(static_cast<std::size_t>(clip.value)).key;
    }

    void add_sighting(Json& object, const meet::Sighting& sighting) const {
        object["clip"] = key_of(sighting.clip);
        object["early"] = frame(sighting.early);
        object["late"] = frame(sighting.late);
    }

    [[nodiscard]] Json write_mark(const meet::Mark& mark) const {
        Json object = Json::object();
        add_sighting(object, mark.sightings.front());
        if (mark.alternatives.size() == 1) {
            add_event(object, mark.alternatives.front());
        } else {
            object["alternatives"] = Json::array();
            for (const meet::Event& event : mark.alternatives) {
                Json one = Json::object();
                add_event(one, event);
                object["alternatives"].push_back(std::move(one));
            }
        }
        if (mark.possible) object["possible"] = true;
        for (std::size_t i = 1; i < mark.sightings.size(); ++i) {
            Json also = Json::object();
            add_sighting(also, mark.sightings[i]);
            object["also"].push_back(std::move(also));
        }
        if (!mark.note.empty()) object["note"] = mark.note;
        if (mark.spot) object["spot"] = point(*mark.spot);
        for (const meet::Pointed& pointed : mark.pointed) {
            Json place{
                {"clip", key_of(pointed.clip)}, {"frame", pointed.frame.number}, {"at", point(pointed.at)}};
            if (pointed.followed)
                place["followed"] =
                    Json{{"from", pointed.followed->from}, {"standard", pointed.followed->standard}};
            object["pointed"].push_back(std::move(place));
        }
        if (mark.measured) {
            object["measured"] = Json{{"clip", key_of(mark.measured->clip)},
                                      {"frame", mark.measured->frame.number},
                                      {"from_ns", mark.measured->from.ns},
                                      {"to_ns", mark.measured->to.ns}};
        }
        return object;
    }

    [[nodiscard]] Json write_contact(const meet::ContactStatement& contact) const {
        return {{"clip", key_of(contact.clip)},
                {"frame", contact.frame.number},
                {"part", word_for(kPartWords, contact.part)},
                {"surface", contact.surface},
                {"state", contact.on ? "on" : "off"}};
    }

    [[nodiscard]] Json write_watched(const meet::WatchedSpan& span) const {
        return {{"clip", key_of(span.clip)},
                {"from", span.from.number},
                {"to", span.to.number},
                {"scope", write_scope(span.scope)}};
    }

    static Json write_scope(const meet::Scope& scope) {
        if (scope == meet::Scope{}) return "athlete";
        Json object = Json::object();
        if (scope.whole_athlete) object["athlete"] = true;
        if (!scope.surfaces.empty()) object["surfaces"] = scope.surfaces;
        if (!scope.planes.empty()) object["planes"] = scope.planes;
        if (scope.finish_signal) object["finish"] = true;
        return object;
    }

    [[nodiscard]] Json write_drawing(const meet::Drawing& drawing) const {
        const bool plane = drawing.kind == meet::DrawingKind::plane;
        Json object = Json::object();
        object["clip"] = key_of(drawing.clip);
        object[plane ? "plane" : "surface"] = drawing.key;
        object[plane ? "points" : "polygon"] = points(drawing.points);
        if (drawing.towards) object["towards"] = point(*drawing.towards);
        if (drawing.still) object["still"] = drawing.still->number;
        return object;
    }

    const MarksText& text_;
};

}  // namespace

std::string write_marks(const MarksText& marks) {
    return Writer(marks).write().dump(2, ' ', false, Json::error_handler_t::replace) + "\n";
}

}  // namespace plumbmark::store
