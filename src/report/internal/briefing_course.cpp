#include <fmt/format.h>

#include "base/text.h"
#include "course/words.h"
#include "report/internal/briefing_words.h"
#include "report/internal/plain.h"

namespace plumbmark::report {
namespace {

std::string out_of_play_sentence(const course::CourseBook& book) {
    std::vector<course::SurfaceId> named;
    for (std::size_t i = 0; i < book.surfaces.size(); ++i)
        if (book.surfaces[i].out_of_play) named.push_back({static_cast<std::int64_t>(i)});
    if (named.empty()) return {};
    return fmt::format("Out of play everywhere: {}.", surface_list(book, named, "and"));
}

std::string faces_sentence(const course::CourseBook& book) {
    std::vector<std::string> with_faces;
    for (const course::Surface& surface : book.surfaces) {
        if (!surface.parent.valid()) continue;
        const std::string whole = name_words(book.surface_name(surface.parent));
        if (with_faces.empty() || with_faces.back() != whole) with_faces.push_back(whole);
    }
    if (with_faces.empty()) return {};
    return fmt::format("Of {} only the faces that a station names are in play on it.",
                       base::listed(with_faces));
}

BriefingPoint format_point(const course::CourseBook& book) {
    if (book.format == course::Format::first_fail_ends)
        return {
            "format",
            "Format",
            {"The first fail ends the run.",
             "Ranked by stations cleared, then by the time of the last clear, and by the finish time when "
             "all are cleared."}};
    return {"format",
            "Format",
            {"Every station is tried, also after a fail. A station that is cleared brings its points; one "
             "that is "
             "not brings those of the farthest checkpoint reached, which are not added up.",
             "Ranked by points, then by time."}};
}

BriefingPoint start_point(const course::CourseBook& book) {
    const bool fails = book.false_start == course::FalseStart::fails_first_station;
    return {"false_start",
            "Start of the run",
            {"The run begins at the start signal.",
             fails ? "A false start fails the first station." : "A false start has no effect."}};
}

BriefingPoint cap_point(const course::CourseBook& book) {
    if (!book.run_cap) return {"run_cap", "Time for the run", {"There is no cap on the run as a whole."}};
    return {"run_cap",
            "Time for the run",
            {fmt::format(
                 "The run ends {} after the start signal: a station then under way fails, one that has not "
                 "begun is not reached.",
                 length_words(*book.run_cap)),
             at_cap_sentence(book)}};
}

BriefingPoint finish_point(const course::CourseBook& book) {
    const course::Finish& finish = book.finish;
    if (finish.name.empty()) return {"finish", "Finish", {"There is no finish signal."}};
    const std::string name = name_words(finish.name);
    BriefingPoint point{"finish", "Finish", {}};
    if (finish.surface)
        point.sentences.push_back(
            fmt::format("After the last station strike {}; until that station is completed it "
                        "is out of play.",
                        surface_list(book, {*finish.surface}, "or")));
    point.sentences.push_back(fmt::format(
        "{} must register after the last station{}. A miss changes nothing and may be repeated.",
        base::sentence_case(name), finish.required ? " for a full clear" : " to give the finish time"));
    if (!finish.required) point.sentences.emplace_back("A full clear does not need it.");
    point.sentences.push_back(
        fmt::format("If {} registers before that, the run ends and the station under way fails.", name));
    return point;
}

}  // namespace

std::string name_words(const std::string& name) {
    const std::string bare = plain(name);
    const std::string with = course::with_article(bare);
    return with.substr(0, with.size() - bare.size()) + isolated(bare);
}

std::string surface_list(const course::CourseBook& book, const std::vector<course::SurfaceId>& surfaces,
                         const char* conjunction) {
    std::vector<std::string> names;
    for (const course::SurfaceId id : surfaces)
        names.push_back(name_words(book.surface_name(id)));
    return base::listed(names, conjunction);
}

std::string plane_name(const course::CourseBook& book, course::PlaneId plane) {
    return name_words(book.plane(plane).name);
}

std::string length_words(base::Duration length) {
    constexpr std::int64_t kSecond = 1'000'000'000;
    const std::int64_t minutes = length.ns / (60 * kSecond);
    std::string fraction = std::to_string(kSecond + length.ns % kSecond).substr(1);
    fraction.erase(fraction.find_last_not_of('0') + 1);
    if (!fraction.empty()) fraction.insert(0, ".");
    const std::int64_t seconds = length.ns / kSecond - minutes * 60;
    if (minutes == 0) return fmt::format("{}{} s", seconds, fraction);
    return fmt::format("{}:{:02}{} min", minutes, seconds, fraction);
}

std::string at_cap_sentence(const course::CourseBook& book) {
    return book.at_cap_is_in_time ? "What happens exactly at that time is in time."
                                  : "What happens exactly at that time is too late.";
}

std::vector<std::string> foremost_sentences(const course::CourseBook& book) {
    std::vector<std::string> out{
        "Everything that a station does not name is out of play: touching it while the station is under way "
        "fails "
        "the station, and so does touching what is in play with a part that may not touch it.",
        "Only touches fail: a contact that is there already when a station begins is none."};
    for (std::string sentence : {out_of_play_sentence(book), faces_sentence(book)})
        if (!sentence.empty()) out.push_back(std::move(sentence));
    out.emplace_back(book.brush_counts ? "A brush counts like any touch where a touch is forbidden."
                                       : "A mere brush where a touch is forbidden does not count.");
    out.emplace_back(book.loose_counts ? "Hair, clothing and gear count as contact."
                                       : "Hair, clothing and gear do not count as contact.");
    return out;
}

std::vector<BriefingPoint> course_points(const course::CourseBook& book) {
    return {format_point(book), start_point(book), cap_point(book), finish_point(book)};
}

}  // namespace plumbmark::report
