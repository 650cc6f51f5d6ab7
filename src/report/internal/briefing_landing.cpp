#include <fmt/format.h>

#include "base/text.h"
#include "course/words.h"
#include "report/internal/briefing_words.h"
#include "report/internal/plain.h"

namespace plumbmark::report {
namespace {

std::string parts_down(const course::Landing& landing) {
    switch (landing.parts) {
        case course::LandingParts::any_part:
            return "any part of the body";
        case course::LandingParts::any_foot:
            return "a foot";
        case course::LandingParts::both_feet:
            return "both feet";
        case course::LandingParts::both_hands:
            return "both hands";
        case course::LandingParts::any_hand:
            return "a hand";
        case course::LandingParts::listed:
            return course::parts_listed(landing.listed_parts) + " all at once";
        case course::LandingParts::none:
            break;
    }
    return {};
}

std::string contact_sentence(const course::CourseBook& book, const course::Landing& landing) {
    if (landing.parts == course::LandingParts::none) {
        if (landing.surfaces.empty()) return "No contact is asked for.";
        return fmt::format("{} may be touched; no contact is asked for.",
                           base::sentence_case(surface_list(book, landing.surfaces, "and")));
    }
    std::string where = surface_list(book, landing.surfaces, "or");
    if (landing.surfaces.size() > 1)
        where += landing.same_surface ? ", all on one and the same of these" : ", on one or several of these";
    else if (landing.same_surface)
        where += ", all on that one surface";
    return fmt::format("Get {} onto {}.", parts_down(landing), where);
}

std::string plane_sentence(const course::CourseBook& book, const course::PlaneCondition& condition) {
    const std::string plane = plane_name(book, condition.plane);
    if (condition.part)
        return fmt::format("{} must be past {}.",
                           base::sentence_case(course::part_with_article(*condition.part)), plane);
    return fmt::format("The whole athlete must be past {}, to the last part.", plane);
}

std::string control_sentence(const course::Landing& landing) {
    return landing.control
               ? "A judge gives a sign when the athlete is in control; all of this must hold at that "
                 "moment, else the sign does nothing."
               : "No judge's sign is needed.";
}

std::string hold_sentence(const course::Landing& landing) {
    if (!landing.hold) return "No time of holding is asked for.";
    return fmt::format("Hold it for {} without a break; after a break the time begins anew.",
                       length_words(*landing.hold));
}

std::string hands_sentence(const course::Landing& landing) {
    if (!landing.no_hands_down) return "Hands may touch the landing.";
    return "No hands down: a hand on the landing before the station is completed fails it.";
}

}  // namespace

std::vector<BriefingPoint> landing_points(const course::CourseBook& book, const course::Station& station) {
    const course::Landing& landing = station.landing;
    BriefingPoint where{"landing", "Landing", {contact_sentence(book, landing)}};
    for (const course::PlaneCondition& plane : landing.planes)
        where.sentences.push_back(plane_sentence(book, plane));
    if (landing.planes.empty()) where.sentences.emplace_back("No plane has to be passed.");
    where.sentences.emplace_back(
        "The station is completed at the first moment at which all of this holds together, after setting "
        "off, with "
        "everything required used.");
    return {std::move(where),
            {"hold", "Hold and control", {hold_sentence(landing), control_sentence(landing)}},
            {"hands", "Hands", {hands_sentence(landing)}}};
}

}  // namespace plumbmark::report
