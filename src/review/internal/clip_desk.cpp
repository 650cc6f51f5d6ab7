#include "review/internal/clip_desk.h"

#include <fmt/format.h>

#include <algorithm>
#include <utility>

#include "base/worded.h"
#include "media/table_cache.h"
#include "review/capture_time.h"

namespace plumbmark::review {
namespace {

namespace fs = std::filesystem;

constexpr std::size_t kSidePicturesKept = 8;
/// How long after a request the clip is not looked through in the background.

base::Error away(const meet::Clip& clip) {
    const std::string place = clip.relative_path.empty() ? clip.last_known_path : clip.relative_path;
    return {
        base::Category::not_found,
        base::worded(
            "{} is not where it was ({}). Put the file back there, or drop it onto the window; the marks on "
            "it are kept.",
            clip.name, place),
        ""};
}

base::Error silent(const meet::Clip& clip) {
    return {base::Category::io,
            base::worded("The drive of {} does not answer. Check it and its cable.", clip.name), ""};
}

}  // namespace

base::Result<fs::path> find_clip_file(const fs::path& meet_folder, const meet::Clip& clip,
                                      const media::Patience& patience) {
    bool answered = true;
    for (const fs::path& place : {clip.relative_path.empty() ? fs::path() : meet_folder / clip.relative_path,
                                  fs::path(clip.last_known_path)}) {
        if (place.empty()) continue;
        const auto type = media::type_of_file(place, patience);
        if (type && fs::exists(fs::file_status(*type))) return place;
        answered &= type.has_value();
    }
    return answered ? away(clip) : silent(clip);
}

base::Error other_content(const std::string& name, const fs::path& file) {
    return {
        base::Category::damaged,
        base::worded("The file of {} is not the one that was marked: its content changed. Put the original "
                     "back, or add this one as a new clip.",
                     name),
        file.string()};
}

std::string fingerprint_text(const media::Fingerprint& print) {
    return fmt::format("{}:{}", print.size, print.sample);
}

ClipDesk::ClipDesk(const fs::path& meet_folder, const meet::Clip& clip,
                   std::shared_ptr<media::PictureStore> store, const SessionOptions& options,
                   const std::function<SearchPlaces()>& places)
    : expected_fingerprint_(clip.fingerprint),
      store_(std::move(store)),
      wake_(options.wake),
      may_show_(options.may_show) {
    view_.id = clip.id;
    view_.name = clip.name;
    view_.streams = clip.streams;
    const auto file = find_clip_file(meet_folder, clip, {{}, kGlance});
    if (file)
        start(*file);
    else
        find_in_background(clip, places());
}

void ClipDesk::start(const fs::path& file) {
    file_ = view_.file = file;
    media::ServiceOptions options;
    options.scan.stream = view_.streams.video;
    options.reader.store = store_;
    options.cache_folder = media::user_cache_folder();
    service_ = std::make_unique<media::FrameService>(file_, wake_, options);
    service_->request(frame_);
    watch_.emplace(file_, wake_);
    fingerprint_thread_ = std::jthread([this](std::stop_token stop) { check_fingerprint(stop); });
}

void ClipDesk::find_in_background(const meet::Clip& clip, const SearchPlaces& places) {
    finder_ = std::jthread([this, clip, places](const std::stop_token& stop) {
        Found found{find_clip_file(places.meet_folder, clip, {stop, std::nullopt}), false};
        if (!found.file && found.file.error().category == base::Category::not_found)
            found = {search_clip_file(clip, places, stop), true};
        if (stop.stop_requested()) return;
        {
            const std::lock_guard lock(mutex_);
            found_ = std::move(found);
        }
        if (wake_) wake_();
    });
}

bool ClipDesk::take_found() {
    std::optional<Found> found;
    {
        const std::lock_guard lock(mutex_);
        found.swap(found_);
    }
    if (!found) return false;
    finder_ = {};
    moved_ = found->moved && found->file.ok();
    if (found->file)
        start(*found->file);
    else
        view_.error = found->file.error();
    return true;
}

ClipDesk::~ClipDesk() = default;

void ClipDesk::check_fingerprint(std::stop_token stop) {
    base::Result<media::Fingerprint> found = media::fingerprint(file_, stop);
    {
        const std::lock_guard lock(mutex_);
        fingerprint_ = std::move(found);
    }
    if (wake_) wake_();
}

bool ClipDesk::poll() {
    const bool came = finder_.joinable() && take_found();
    if (!service_) return came;
    poll_side();
    const media::ServiceState state = service_->poll();
    bool changed = came || state.progress != view_.scan_progress || state.table != view_.table;
    view_.scan_progress = state.progress;
    view_.table = state.table;
    if (state.phase == media::ServiceState::Phase::failed && !view_.error) {
        view_.error = state.error;
        changed = true;
    }
    {
        const std::lock_guard lock(mutex_);
        const bool replaced = fingerprint_ && fingerprint_->ok() && !expected_fingerprint_.empty() &&
                              fingerprint_text(**fingerprint_) != expected_fingerprint_;
        if (replaced && !view_.error) {
            view_.error = other_content(view_.name, file_);
            changed = true;
        }
    }
    changed |= poll_watch();
    if (view_.table)
        frame_ = std::clamp<std::int64_t>(frame_, 0, std::max<std::int64_t>(0, view_.table->size() - 1));
    const PictureView now = picture_in(state);
    changed = changed || now.picture != picture_.picture || now.frame != picture_.frame ||
              now.exact != picture_.exact || now.nearly != picture_.nearly || now.error != picture_.error;
    picture_ = now;
    return changed;
}

PictureView ClipDesk::picture_in(const media::ServiceState& state) {
    PictureView now;
    now.picture = picture_.picture;
    now.frame = picture_.frame;
    while (now.picture != state.picture) {
        if (!next_picture_) {
            next_picture_ = state.picture;
            next_frame_ = state.picture_frame;
        }
        if (may_show_ && !may_show_(next_picture_)) break;
        now.picture = std::exchange(next_picture_, nullptr);
        now.frame = next_frame_;
    }
    if (now.picture == state.picture) {
        next_picture_.reset();
        now.frame = state.picture_frame;
    }
    const bool usable = view_.table != nullptr && !view_.error;
    now.exact = now.picture != nullptr && now.frame == frame_ && usable;
    const bool answered = state.settled() && state.frame == frame_;
    now.nearly = answered && usable && !state.error && !now.exact;
    if (answered && state.phase == media::ServiceState::Phase::ready) now.error = state.error;
    return now;
}

void ClipDesk::request(std::int64_t frame) {
    frame_ = std::max<std::int64_t>(0, frame);
    if (view_.table) frame_ = std::min(frame_, std::max<std::int64_t>(0, view_.table->size() - 1));
    if (service_) service_->request(frame_);
    // Even a kept frame is shown by the next poll: what was drawn last stays what is known as seen.
    picture_.exact =
        picture_.picture != nullptr && picture_.frame == frame_ && view_.table != nullptr && !view_.error;
}

bool ClipDesk::settled() const {
    if (view_.error) return true;
    if (!service_) return !finder_.joinable();
    return view_.table && (picture_.exact || picture_.error);
}

std::shared_ptr<const media::Picture> ClipDesk::side_picture(std::int64_t frame) {
    if (!view_.table || frame < 0 || frame >= view_.table->size()) return nullptr;
    if (auto kept = service_->kept(frame)) return kept;
    const auto fetched = side_pictures_.find(frame);
    if (fetched != side_pictures_.end()) return fetched->second;
    if (!side_service_) {
        media::ServiceOptions options;
        options.table = view_.table;
        options.prefetch = 0;
        options.reader.store = store_;
        side_service_ = std::make_unique<media::FrameService>(file_, wake_, options);
    }
    if (!side_asked_) {
        side_asked_ = frame;
        side_service_->request(frame);
    }
    return nullptr;
}

bool ClipDesk::poll_watch() {
    auto trouble = watch_->trouble();
    if (trouble == view_.file_trouble) return false;
    // The drive is back: what could not be read before is tried again by itself.
    if (!trouble && picture_.error) service_->request(frame_);
    view_.file_trouble = std::move(trouble);
    return true;
}

void ClipDesk::poll_side() {
    if (!side_service_ || !side_asked_) return;
    const media::ServiceState state = side_service_->poll();
    if (!state.settled() || state.frame != *side_asked_) return;
    if (side_pictures_.size() >= kSidePicturesKept) side_pictures_.erase(side_pictures_.begin());
    // A frame that cannot be decoded is remembered as empty, so that it is not asked for again and again.
    side_pictures_[*side_asked_] = state.picture_frame == *side_asked_ ? state.picture : nullptr;
    side_asked_.reset();
}

std::optional<meet::Clip> ClipDesk::take_facts(const meet::Clip& stored) {
    if (facts_taken_ || !view_.table || view_.error) return std::nullopt;
    const std::lock_guard lock(mutex_);
    if (!fingerprint_ || !fingerprint_->ok()) return std::nullopt;
    facts_taken_ = true;
    meet::Clip clip = stored;
    clip.fingerprint = fingerprint_text(**fingerprint_);
    clip.frame_count = view_.table->size();
    clip.time_base = view_.table->time_base();
    clip.slowed = slowed_by_file(*view_.table);
    // Of a clip that was taken in before its picture's form was kept it stays unknown: opening a meet changes
    // nothing that a ruling rests on.
    const media::ClipInfo& info = view_.table->info();
    if (stored.fingerprint.empty() || stored.frame_count == 0)
        clip.picture = {info.upright_width(), info.upright_height(), info.quarter_turns};
    return clip;
}

bool ClipDesk::may_be_read_whole() const {
    if (content_asked_ || !view_.table || view_.error) return false;
    const std::lock_guard lock(mutex_);
    return fingerprint_ && fingerprint_->ok();
}

bool ClipDesk::set_content_progress(double share) {
    return std::exchange(view_.content_progress, share) != share;
}

bool ClipDesk::refuse_content(const base::Error& why) {
    view_.content_error = why;
    return true;
}

void ClipDesk::tell_other_content() {
    if (!view_.error) view_.error = other_content(view_.name, file_);
}

bool ClipDesk::may_look_for_repeats(const meet::Clip& stored) const {
    // The facts come first: they say that the file is the one that was marked.
    return !looked_ && !repeat_job_ && facts_taken_ && !stored.repeated && view_.table && !view_.error;
}

void ClipDesk::look_for_repeats(std::function<bool()> busy) {
    looked_ = true;
    repeat_job_ =
        std::make_unique<RepeatJob>(file_, view_.table, media::user_cache_folder(), std::move(busy), wake_);
}

std::optional<meet::Clip> ClipDesk::take_repeats(const meet::Clip& stored) {
    if (!repeat_job_) return std::nullopt;
    view_.repeats_progress = repeat_job_->progress();
    const std::optional<RepeatsFound> found = repeat_job_->take();
    if (!found) return std::nullopt;
    repeat_job_.reset();
    view_.repeats_progress = -1;
    if (!found->ok() || !view_.table || view_.error) return std::nullopt;
    meet::Clip clip = stored;
    clip.repeated.emplace();
    for (const media::RepeatedStretch& stretch : **found) {
        if (stretch.last >= view_.table->size()) return std::nullopt;
        clip.repeated->push_back(
            {{stretch.first, (*view_.table)[stretch.first].pts}, stretch.last, stretch.exact});
    }
    return clip;
}

void ClipDesk::cancel_scan() {
    if (service_) service_->cancel_scan();
}

}  // namespace plumbmark::review
