#include "report/internal/shapes.h"

namespace plumbmark::report {
namespace {

const char* shape(ruling::Verdict verdict) {
    switch (verdict) {
        case ruling::Verdict::clear:
            return R"(<circle cx="7" cy="7" r="5.6" fill="#009E73"/>)";
        case ruling::Verdict::fail:
            return R"(<rect x="1.8" y="1.8" width="10.4" height="10.4" fill="#D55E00"/>)";
        case ruling::Verdict::not_shown:
            // Orange alone is under 3 : 1 on white, so a line of ink runs round it.
            return R"(<path d="M7 1.4 12.6 7 7 12.6 1.4 7Z" fill="none" stroke="#1d1f21" stroke-width="2.5"/>)"
                   R"(<path d="M7 1.4 12.6 7 7 12.6 1.4 7Z" fill="none" stroke="#E69F00" stroke-width="1.5"/>)";
        case ruling::Verdict::not_reached:
            break;
    }
    return R"(<rect x="2" y="5.8" width="10" height="2.4" fill="#767676"/>)";
}

}  // namespace

std::string verdict_shape(ruling::Verdict verdict) {
    return std::string(R"(<svg class="shape" viewBox="0 0 14 14" aria-hidden="true">)") + shape(verdict) +
           "</svg>";
}

const char* limb_colour(course::Part part) {
    switch (part) {
        case course::Part::left_hand:
            return "#56B4E9";
        case course::Part::left_foot:
            return "#0072B2";
        case course::Part::right_hand:
            return "#CC79A7";
        case course::Part::right_foot:
            return "#8E4585";
        case course::Part::other:
        case course::Part::loose:
            break;
    }
    return "#8C8C8C";
}

const char* limb_letters(course::Part part) {
    switch (part) {
        case course::Part::left_hand:
            return "LH";
        case course::Part::right_hand:
            return "RH";
        case course::Part::left_foot:
            return "LF";
        case course::Part::right_foot:
            return "RF";
        case course::Part::other:
            return "O";
        case course::Part::loose:
            break;
    }
    return "G";
}

}  // namespace plumbmark::report
