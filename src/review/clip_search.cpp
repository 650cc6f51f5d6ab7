#include "review/clip_search.h"

#include <algorithm>
#include <charconv>
#include <optional>
#include <set>

#include "base/worded.h"
#include "media/fingerprint.h"
#include "review/internal/clip_desk.h"

namespace plumbmark::review {
namespace {

namespace fs = std::filesystem;
using base::Category;
using base::Error;
using base::Result;
using base::worded;

constexpr int kDeepest = 8;
constexpr std::size_t kMostFiles = 50'000;
constexpr std::size_t kMostFolders = 200;

fs::path name_of(const meet::Clip& clip) {
    return fs::path(clip.relative_path.empty() ? clip.last_known_path : clip.relative_path).filename();
}

/// Bytes, as the fingerprint says; none where there is no fingerprint.
std::optional<std::uintmax_t> size_of(const meet::Clip& clip) {
    std::uintmax_t size = 0;
    const std::string& print = clip.fingerprint;
    const auto [end, problem] = std::from_chars(print.data(), print.data() + print.size(), size);
    if (problem != std::errc{} || end == print.data() + print.size() || *end != ':') return std::nullopt;
    return size;
}

/// The files of all places, each once.
class Files {
  public:
    explicit Files(const std::stop_token& stop) : stop_(stop) {}

    void add_below(const fs::path& folder) {
        std::error_code problem;
        fs::recursive_directory_iterator walk(folder, fs::directory_options::skip_permission_denied, problem);
        while (!problem && walk != fs::recursive_directory_iterator() && !full()) {
            if (walk.depth() >= kDeepest) walk.disable_recursion_pending();
            add(*walk);
            walk.increment(problem);
        }
    }
    void add_in(const fs::path& folder) {
        std::error_code problem;
        fs::directory_iterator walk(folder, fs::directory_options::skip_permission_denied, problem);
        while (!problem && walk != fs::directory_iterator() && !full()) {
            add(*walk);
            walk.increment(problem);
        }
    }
    [[nodiscard]] const std::vector<fs::path>& all() const { return files_; }

  private:
    [[nodiscard]] bool full() const { return files_.size() >= kMostFiles || stop_.stop_requested(); }
    void add(const fs::directory_entry& entry) {
        std::error_code problem;
        if (entry.is_regular_file(problem) && known_.insert(entry.path().lexically_normal()).second)
            files_.push_back(entry.path());
    }

    const std::stop_token& stop_;
    std::vector<fs::path> files_;
    std::set<fs::path> known_;
};

Error not_there(const meet::Clip& clip, const std::vector<fs::path>& others) {
    const std::string place = clip.relative_path.empty() ? clip.last_known_path : clip.relative_path;
    const base::Sentence where =
        others.empty() ? worded("neither in the meet's folder, nor below it, nor beside other clips")
                       : worded("and {} is another file of its name", others.front().string());
    return {Category::not_found,
            worded("{} is not where it was ({}), {}. Put the file back there, or drop it onto the window; "
                   "the marks on it are kept.",
                   clip.name, place, where),
            ""};
}

}  // namespace

SearchPlaces search_places(const meet::State& state, const fs::path& meet_folder) {
    std::set<fs::path> beside;
    for (const auto& [id, clip] : state.clips()) {
        if (beside.size() >= kMostFolders) break;
        if (!clip.relative_path.empty()) beside.insert((meet_folder / clip.relative_path).parent_path());
        if (!clip.last_known_path.empty()) beside.insert(fs::path(clip.last_known_path).parent_path());
    }
    return {meet_folder, {beside.begin(), beside.end()}};
}

Result<fs::path> search_clip_file(const meet::Clip& clip, const SearchPlaces& places,
                                  const std::stop_token& stop) {
    const fs::path name = name_of(clip);
    // Its place was erased on request: finding the file would bring its name back.
    if (name.empty())
        return Error{Category::not_found,
                     worded("It is not known (any more) where the file of {} is. Add the file as a new clip; "
                            "the marks on this one are kept.",
                            clip.name),
                     ""};
    Files files(stop);
    files.add_below(places.meet_folder.empty() ? fs::path(".") : places.meet_folder);
    for (const fs::path& folder : places.beside)
        files.add_in(folder);
    const std::optional<std::uintmax_t> size = size_of(clip);
    std::vector<fs::path> named, others;
    for (const fs::path& file : files.all()) {
        std::error_code problem;
        if (file.filename() == name)
            named.push_back(file);
        else if (size && fs::file_size(file, problem) == *size && !problem)
            others.push_back(file);
    }
    if (!size) return named.size() == 1 ? Result<fs::path>(named.front()) : not_there(clip, {});
    for (const auto* list : {&named, &others}) {
        for (const fs::path& file : *list) {
            if (stop.stop_requested())
                return Error{Category::cancelled, worded("The search was stopped."), ""};
            const auto print = media::fingerprint(file, stop);
            if (print && fingerprint_text(*print) == clip.fingerprint) return file;
        }
    }
    return not_there(clip, named);
}

}  // namespace plumbmark::review
