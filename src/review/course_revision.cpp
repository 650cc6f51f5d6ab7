#include "review/course_revision.h"

#include <algorithm>
#include <map>

#include "base/worded.h"

namespace plumbmark::review {
namespace {

/// Collects what the book does not have.
class Missing {
  public:
    explicit Missing(const course::CourseBook& book) : book_(book) {}

    void surface(const std::string& key) {
        if (!key.empty() && !book_.find_surface(key).valid()) add(base::worded("the surface '{}'", key));
    }
    void plane(const std::string& key) {
        if (!key.empty() && !book_.find_plane(key).valid()) add(base::worded("the plane '{}'", key));
    }
    void station(const std::string& key) {
        if (!book_.find_station(key).valid()) add(base::worded("the station '{}'", key));
    }
    void division(const std::string& key) {
        if (!has(book_.divisions, key)) add(base::worded("the division '{}'", key));
    }
    void lane(const std::string& key) {
        if (!has(book_.lanes, key)) add(base::worded("the lane '{}'", key));
    }
    /// Each once, in the order of the English.
    [[nodiscard]] std::vector<base::Sentence> words() const {
        std::vector<base::Sentence> all;
        for (const auto& [english, words] : words_)
            all.push_back(words);
        return all;
    }

  private:
    template <class Thing>
    static bool has(const std::vector<Thing>& things, const std::string& key) {
        return key.empty() ||
               std::any_of(things.begin(), things.end(), [&](const Thing& one) { return one.key == key; });
    }
    void add(base::Sentence words) { words_.emplace(words.english(), words); }

    const course::CourseBook& book_;
    std::map<std::string, base::Sentence> words_;
};

}  // namespace

std::vector<base::Sentence> missing_from_book(const meet::State& state, meet::RunId run,
                                              const course::CourseBook& book) {
    Missing missing(book);
    for (const meet::Mark& mark : state.marks_of(run)) {
        for (const meet::Event& event : mark.alternatives) {
            missing.surface(event.surface);
            missing.plane(event.plane);
        }
    }
    for (const meet::ContactStatement& contact : state.contacts_of(run))
        missing.surface(contact.surface);
    for (const meet::WatchedSpan& span : state.watched_of(run)) {
        for (const std::string& key : span.scope.surfaces)
            missing.surface(key);
        for (const std::string& key : span.scope.planes)
            missing.plane(key);
    }
    for (const meet::FloorCall& call : state.floor_calls_of(run))
        missing.station(call.station);
    if (const auto stored = state.runs().find(run); stored != state.runs().end()) {
        missing.division(stored->second.division);
        missing.lane(stored->second.lane);
    }
    return missing.words();
}

StoredPath stored_path(const std::filesystem::path& meet_file, const std::filesystem::path& file) {
    std::error_code problem;
    const std::filesystem::path absolute = std::filesystem::absolute(file, problem);
    const std::filesystem::path folder = std::filesystem::absolute(meet_file, problem).parent_path();
    const std::filesystem::path relative = absolute.lexically_relative(folder);
    // Beside the meet a file goes where the meet goes; where that is on this machine is nobody's business.
    if (!relative.empty() && *relative.begin() != "..") return {relative.generic_string(), true};
    return {absolute.string(), false};
}

std::filesystem::path file_of_book(const std::filesystem::path& meet_file, const meet::BookRevision& book) {
    if (book.path.empty()) return {};
    const std::filesystem::path path = book.path;
    return path.is_absolute() ? path : meet_file.parent_path() / path;
}

}  // namespace plumbmark::review
