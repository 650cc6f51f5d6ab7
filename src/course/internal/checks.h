// How the checks of a course book are written: each is a function over one book that reports what it finds. A
// new check is one function and one line in the list of its file.
#pragma once

#include <span>
#include <string>
#include <string_view>
#include <vector>

#include "base/text.h"
#include "base/worded.h"
#include "course/check.h"

namespace plumbmark::course::internal {

using base::Sentence;
using base::worded;

/// Takes the findings of one rule.
class Report {
  public:
    Report(std::string_view code, Severity severity, std::vector<Finding>& findings)
        : code_(code), severity_(severity), findings_(findings) {}
    void add(Place place, const Sentence& sentence, Sentence repair) {
        Sentence begun(base::sentence_case(sentence.english()), base::sentence_case(sentence.spoken()));
        findings_.push_back({code_, severity_, std::move(begun), place, std::move(repair)});
    }

  private:
    std::string code_;
    Severity severity_;
    std::vector<Finding>& findings_;
};

struct Rule {
    std::string_view code;
    Severity severity;
    std::string_view about;
    void (*run)(const CourseBook& book, Report& report);
};

/// Whether the course hangs together from station to station.
[[nodiscard]] std::span<const Rule> course_rules();
/// Whether each station by itself can be set off on and completed.
[[nodiscard]] std::span<const Rule> station_rules();
/// Whether the lengths of time in it leave room for one another.
[[nodiscard]] std::span<const Rule> time_rules();
/// Whether names and declarations say what they seem to.
[[nodiscard]] std::span<const Rule> naming_rules();

/// "'first bollard'": a surface as sentences call it.
[[nodiscard]] Sentence surface_words(const CourseBook& book, SurfaceId id);
/// "station 'hop'".
[[nodiscard]] Sentence station_words(const Station& station);
[[nodiscard]] bool contains(const std::vector<SurfaceId>& surfaces, SurfaceId id);

}  // namespace plumbmark::course::internal
