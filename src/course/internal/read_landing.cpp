// [station.landing]: what completes a station.
#include "course/internal/sections.h"

namespace plumbmark::course::internal {
namespace {

Sentence plane_form() {
    return worded("the key of a plane in quotes, or {}, or a list of these",
                  "{ plane = \"gantry_front\", by = \"whole athlete\" }");
}

class LandingReader {
  public:
    LandingReader(const Fields& fields, Reading& reading) : fields_(fields), reading_(reading) {}

    Landing read() {
        result_.place = fields_.place();
        result_.surfaces = fields_.surfaces("surface");
        read_parts();
        result_.same_surface = fields_.truth("same_surface", false);
        if (const toml::node* node = fields_.find("plane")) read_planes(*node);
        result_.hold = fields_.length_of_time("hold");
        result_.control = fields_.truth("control", false);
        result_.no_hands_down = fields_.truth("no_hands_down", false);
        tell_what_cannot_be();
        return std::move(result_);
    }

  private:
    void read_parts() {
        result_.parts = fields_.has("surface") ? LandingParts::any_foot : LandingParts::none;
        const toml::node* node = fields_.find("parts");
        if (node == nullptr) return;
        if (node->is_array()) {
            result_.parts = LandingParts::listed;
            result_.listed_parts = fields_.parts("parts", kEveryPart);
        } else {
            result_.parts = fields_.choice("parts", kLandingWords, result_.parts);
        }
    }

    void read_planes(const toml::node& node) {
        const toml::array* list = node.as_array();
        if (list == nullptr) return read_plane(node);
        if (list->empty()) fields_.wrong_kind(node, "plane", plane_form());
        for (const toml::node& element : *list) {
            if (result_.planes.size() == kMostPlanes) return;
            read_plane(element);
        }
    }

    void read_plane(const toml::node& node) {
        PlaneCondition condition;
        condition.place = place_of(node);
        if (const auto key = node.value_exact<std::string>()) {
            condition.plane = declared_plane(*key, place_of(node), reading_);
        } else if (const toml::table* table = node.as_table()) {
            const Fields fields(*table, place_of(node), worded("'{}' of {}", "plane", fields_.what()),
                                kPlaneConditionKeys, reading_);
            if (!fields.has("plane")) fields.missing("plane", worded("the key of a plane in quotes"));
            condition.plane = fields.plane("plane");
            condition.part = read_by(fields);
        } else {
            fields_.wrong_kind(node, "plane", plane_form());
        }
        if (condition.plane.valid()) result_.planes.push_back(condition);
    }

    // None: the whole athlete.
    std::optional<Part> read_by(const Fields& fields) {
        static constexpr std::array<Word<std::optional<Part>>, 6> kByWords{{{kWholeAthlete, std::nullopt},
                                                                            {"left hand", Part::left_hand},
                                                                            {"right hand", Part::right_hand},
                                                                            {"left foot", Part::left_foot},
                                                                            {"right foot", Part::right_foot},
                                                                            {"other", Part::other}}};
        return fields.choice("by", kByWords, std::optional<Part>{});
    }

    void tell_what_cannot_be() {
        if (result_.parts != LandingParts::none && !fields_.has("surface")) {
            fields_.missing("surface", worded("the surface or surfaces that 'parts' must be on"));
        }
        if (!fields_.has("surface") && !fields_.has("plane") && !result_.control) {
            if (result_.parts == LandingParts::none) {
                fields_.problem(fields_.place(), worded("{} asks for nothing", fields_.what()),
                                worded("at least one of 'surface', 'plane' or 'control'"));
            }
        }
        if (result_.control && result_.hold) {
            fields_.problem(place_of(*fields_.find("hold")), worded("'hold' stands beside 'control'"),
                            worded("one of the two: a judge's control mark takes the place of a hold"));
        }
    }

    const Fields& fields_;
    Reading& reading_;
    Landing result_;
};

}  // namespace

Landing read_landing(const toml::table& table, const Fields& station, Reading& reading) {
    const Fields fields(table, place_of(table), worded("the landing of {}", station.what()), kLandingKeys,
                        reading);
    return LandingReader(fields, reading).read();
}

}  // namespace plumbmark::course::internal
