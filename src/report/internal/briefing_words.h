// The sentences of a briefing. The book's names stand in isolates.
#pragma once

#include <vector>

#include "report/briefing.h"

namespace plumbmark::report {

/// Everything that one station of the book says; 'number' counts its stations from 0.
[[nodiscard]] std::vector<BriefingPoint> station_points(const course::CourseBook& book, std::size_t number);

/// Where its things are, by the book's plan.
[[nodiscard]] BriefingPlan station_plan(const course::CourseBook& book, std::size_t number);

/// What the book says of the course as a whole.
[[nodiscard]] std::vector<std::string> foremost_sentences(const course::CourseBook& book);
[[nodiscard]] std::vector<BriefingPoint> course_points(const course::CourseBook& book);

/// "the coil deck", the name in an isolate.
[[nodiscard]] std::string name_words(const std::string& name);
[[nodiscard]] std::string surface_list(const course::CourseBook& book,
                                       const std::vector<course::SurfaceId>& surfaces,
                                       const char* conjunction);
[[nodiscard]] std::string plane_name(const course::CourseBook& book, course::PlaneId plane);
/// "1.5 s", "1:30": a length of time as a course setter would write it, exact.
[[nodiscard]] std::string length_words(base::Duration length);
/// "An event exactly at that time is in time." or that it is too late.
[[nodiscard]] std::string at_cap_sentence(const course::CourseBook& book);

/// Where the athlete lands and what must hold there.
[[nodiscard]] std::vector<BriefingPoint> landing_points(const course::CourseBook& book,
                                                        const course::Station& station);

}  // namespace plumbmark::report
