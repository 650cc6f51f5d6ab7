#include "review/clip_files.h"

#include <fmt/format.h>

#include "media/file_content.h"
#include "review/clip_search.h"
#include "review/internal/clip_desk.h"

namespace plumbmark::review {

base::Result<ClipFile> read_clip_file(const std::filesystem::path& meet_folder, const meet::Clip& clip,
                                      std::stop_token stop, const std::function<void(double)>& progress) {
    auto file = find_clip_file(meet_folder, clip, {stop, std::nullopt});
    const bool moved = !file && file.error().category == base::Category::not_found;
    if (moved) file = search_clip_file(clip, {meet_folder, {}}, stop);
    if (!file) return file.error();
    media::ContentOptions options;
    options.stop = std::move(stop);
    options.progress = progress;
    const auto content = media::file_content(*file, options);
    if (!content) return content.error();
    const std::string& now = (*content)->sha256;
    const FileState state = !clip.content                 ? FileState::unknown
                            : now == clip.content->sha256 ? FileState::same
                                                          : FileState::other;
    return ClipFile{state, now, moved ? *file : std::filesystem::path()};
}

std::string content_words(const meet::Clip& clip) {
    if (!clip.content) return fmt::format("{}: the SHA-256 of its file is not known yet", clip.name);
    return fmt::format("{}: SHA-256 {}", clip.name, clip.content->sha256);
}

std::string content_words(const meet::Clip& clip, const base::Result<ClipFile>& found) {
    if (!found) return fmt::format("{}: its file cannot be read. {}", clip.name, found.error().text());
    const std::string place = found->moved_to.empty() ? "" : "; found at " + found->moved_to.string();
    switch (found->state) {
        case FileState::same:
            return fmt::format("{}: its file is the one that was marked, SHA-256 {}{}", clip.name,
                               found->sha256, place);
        case FileState::other:
            return fmt::format("{}: its file is not the one that was marked. SHA-256 {}, and it was {}{}",
                               clip.name, found->sha256, clip.content->sha256, place);
        case FileState::unknown:
            break;
    }
    return fmt::format("{}: the meet does not know the SHA-256 of its file yet; it is {}{}", clip.name,
                       found->sha256, place);
}

}  // namespace plumbmark::review
