#include "review/internal/clip_source.h"

#include <utility>

#include "base/worded.h"
#include "media/fingerprint.h"
#include "media/table_cache.h"
#include "review/internal/clip_desk.h"

namespace plumbmark::review {

using base::Category;
using base::Error;
using base::Result;
using base::worded;

Result<ClipSource> clip_source(const std::filesystem::path& meet_folder, const meet::Clip& clip,
                               const std::stop_token& stop) {
    auto file = find_clip_file(meet_folder, clip, {stop, std::nullopt});
    if (!file) file = search_clip_file(clip, {meet_folder, {}}, stop);
    if (!file) return file.error();
    const auto print = media::fingerprint(*file, stop);
    if (!print) return print.error();
    if (!clip.fingerprint.empty() && fingerprint_text(*print) != clip.fingerprint)
        return other_content(clip.name, *file);
    media::ScanOptions options;
    options.stream = clip.streams.video;
    options.stop = stop;
    const auto key = media::table_key(*file, options, media::user_cache_folder());
    if (key) {
        if (auto kept = media::recall_table(*key))
            return ClipSource{*file, std::make_shared<const media::FrameTable>(std::move(*kept))};
    }
    auto scanned = media::scan_clip(*file, options);
    if (!scanned) return scanned.error();
    if (key) media::keep_table(*key, *scanned);
    return ClipSource{*file, std::make_shared<const media::FrameTable>(std::move(*scanned))};
}

Result<ClipSource> clip_source(const Session& session, meet::ClipId clip) {
    for (const ClipView& view : session.clips()) {
        if (view.id != clip) continue;
        if (view.error) return *view.error;
        if (!view.table)
            return Error{Category::busy, worded("The clip is still being read; try again in a moment."),
                         view.name};
        return ClipSource{view.file, view.table};
    }
    return Error{Category::not_found, worded("This run has no such clip."), ""};
}

}  // namespace plumbmark::review
