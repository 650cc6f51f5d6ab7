// The desk drawn into a file: the same panels and code as the window, without one.
#include "media/still.h"

#include <fmt/format.h>

#include <algorithm>
#include <chrono>
#include <condition_variable>
#include <cstdlib>
#include <fstream>
#include <mutex>

#include "desk/desk.h"
#include "desk/internal/desk_core.h"
#include "desk/internal/gl_canvas.h"
#include "desk/internal/reading.h"
#include "desk/internal/toolkit.h"
#include "review/faces.h"

namespace plumbmark::desk {
namespace {

using base::Category;
using base::Error;
using base::Result;

/// Sleeps until a worker calls, so that waiting costs nothing.
class Bell {
  public:
    void ring() {
        const std::lock_guard lock(mutex_);
        rung_ = true;
        bell_.notify_all();
    }
    void wait() {
        std::unique_lock lock(mutex_);
        bell_.wait_for(lock, std::chrono::milliseconds(20), [this] { return rung_; });
        rung_ = false;
    }

  private:
    std::mutex mutex_;
    std::condition_variable bell_;
    bool rung_ = false;
};

Result<void> check(const DeskPictureOptions& options) {
    const auto fits = [](int side) { return side >= 320 && side <= 16384; };
    if (!fits(options.width) || !fits(options.height))
        return Error{Category::bad_input, "A picture of the desk is 320 to 16384 pixels wide and high.", ""};
    if (!(options.scale >= 0.5 && options.scale <= 4))
        return Error{Category::bad_input, "The scale of a picture of the desk is 0.5 to 4.", ""};
    return {};
}

Result<void> choose_run_and_clip(review::Session& session, const DeskPictureOptions& options) {
    if (!options.run.empty()) {
        const auto& runs = session.state().runs();
        const auto found = std::find_if(runs.begin(), runs.end(), [&](const auto& run) {
            return run.second.label == options.run || std::to_string(run.first.value) == options.run;
        });
        if (found == runs.end())
            return Error{Category::not_found, "There is no run '" + options.run + "' in this meet.", ""};
        session.select_run(found->first);
    }
    if (options.clip.empty()) return {};
    for (const review::ClipView& clip : session.clips()) {
        if (clip.name != options.clip) continue;
        session.select_clip(clip.id);
        return {};
    }
    return Error{Category::not_found, "The run has no clip '" + options.clip + "'.", ""};
}

/// Where somebody would look first: what decides the station with the accent.
Result<void> choose_frame(review::Session& session, SheetView& sheet, const DeskPictureOptions& options) {
    const review::ClipView* clip = session.current_clip();
    if (clip && clip->error) return *clip->error;
    if (options.station) {
        const auto count = session.book() ? static_cast<std::int64_t>(session.book()->stations.size()) : 0;
        if (*options.station < 0 || *options.station >= count)
            return Error{Category::bad_input, fmt::format("The course has stations 0 to {}.", count - 1), ""};
        sheet.focus = static_cast<int>(*options.station);
    }
    sheet.scroll_to_focus = true;
    if (options.frame) {
        const std::int64_t size = clip && clip->table ? clip->table->size() : 0;
        if (*options.frame < 0 || *options.frame >= size)
            return Error{Category::bad_input, fmt::format("The clip has frames 0 to {}.", size - 1), ""};
        session.go_to_frame(*options.frame);
        return {};
    }
    const auto* now = station_ruling(session, focused_station(session, sheet));
    if (!now) return {};
    const meet::ClipId chosen_clip = session.clip();
    if (now->decided_at)
        session.go_to(*now->decided_at);
    else if (!now->settle.empty() && now->settle.front().where)
        session.go_to(*now->settle.front().where);
    if (!options.clip.empty()) session.select_clip(chosen_clip);
    return {};
}

/// Until the asked-for frame is there on every angle, or can never be, and the sound's row is whole.
void wait_for_pictures(DeskCore& core, Bell& bell) {
    const auto there = [&] {
        const auto& clips = core.session()->clips();
        if (!core.sound_settled() || !core.following_settled()) return false;
        return std::all_of(clips.begin(), clips.end(), [&](const review::ClipView& clip) {
            const auto& picture = core.session()->picture_of(clip.id);
            return clip.error || picture.exact || picture.error;
        });
    };
    for (;;) {
        core.update(
            0);  // may send the other angles elsewhere, so it is looked at once more before they count
        const bool first = there();
        core.update(0);
        if (first && there()) return;
        bell.wait();
    }
}

/// Of the pictures on the desk only what may leave the meet is drawn from now on.
Result<void> hide_faces(DeskCore& core) {
    const review::Session& session = *core.session();
    review::FaceHider hider(session.state());
    std::vector<GivenPicture> given;
    for (const review::ClipView& clip : session.clips()) {
        const review::PictureView& shown = session.picture_of(clip.id);
        if (!shown.picture) continue;
        media::RgbaImage image = media::to_rgba(*shown.picture);
        if (image.pixels.empty()) continue;
        if (auto hidden = hider.hide(clip.id, {{&image, shown.frame}}, false); !hidden) return hidden;
        given.push_back({shown.picture, std::move(image)});
    }
    core.textures().show_only(given);
    return {};
}

Result<void> write_png(const media::RgbaImage& image, const std::filesystem::path& path) {
    const auto bytes = media::encode_png(image);
    if (!bytes) return bytes.error();
    std::ofstream file(path, std::ios::binary);
    file.write(reinterpret_cast<const char*>(bytes->data()), static_cast<std::streamsize>(bytes->size()));
    file.flush();
    if (!file)
        return Error{Category::io,
                     "The picture of the desk cannot be written; see that the folder is there and has room.",
                     path.string()};
    return {};
}

}  // namespace

Result<void> draw_desk_picture(const std::filesystem::path& meet, const std::filesystem::path& png,
                               const DeskPictureOptions& options) {
    if (auto fits = check(options); !fits) return fits;
    auto canvas = GlCanvas::create(options.width, options.height);
    if (!canvas) return canvas.error();
    Toolkit toolkit;
    if (!toolkit.start())
        return Error{Category::unsupported, "There is no OpenGL 3 to draw the desk with.", ""};
    DeskOptions desk;
    desk.theme = options.theme;
    desk.remember = false;
    desk.scale = options.scale;
    desk.read_only = true;
    desk.language = "en";          // whoever gets the picture need not share the reviewer's language
    desk.keys_file = "/dev/null";  // the picture shows the keys as they come
    // The automatic choice goes by a measurement, and two runs might not choose alike.
    if (!std::getenv("PLUMBMARK_PICTURES")) desk.picture_way = "processor";
    Bell bell;
    DeskCore core(desk, [&bell] { bell.ring(); });
    {
        // Opened here first, so that its error comes back as it is.
        review::SessionOptions read_only;
        read_only.read_only = true;
        auto tried = review::Session::open(meet, read_only);
        if (!tried) return tried.error();
    }
    core.open_path(meet);
    if (!core.session()) return Error{Category::bad_input, "This is not a meet.", meet.string()};
    if (auto chosen_run = choose_run_and_clip(*core.session(), options); !chosen_run) return chosen_run;
    (void)core.session()->settle().ok();  // what it could not reach is drawn as such
    if (auto placed = choose_frame(*core.session(), core.views().sheet, options); !placed) return placed;
    wait_for_pictures(core, bell);
    if (!options.page.empty() && !core.show_meet_page(options.page))
        return Error{
            Category::not_found,
            "The meet has no page '" + options.page + "'; it has floor-entry, appeals, decide and standings.",
            ""};
    while (!options.page.empty() && !core.meet_settled()) {
        bell.wait();
        core.update(0);
    }
    core.views().help = options.help;
    core.views().messages.clear();
    if (auto hidden = hide_faces(core); !hidden) return hidden;

    ImGuiIO& io = ImGui::GetIO();
    io.DisplaySize = {static_cast<float>(options.width), static_cast<float>(options.height)};
    io.DeltaTime = 1.0F / 60;
    core.build_fonts_now();
    toolkit.upload_fonts();
    // The first frames only measure: scrolled regions know their length from the frame before.
    for (int frame = 0; frame < 4; ++frame) {
        (*canvas)->begin();
        toolkit.new_frame();
        core.draw(io.DisplaySize.x, io.DisplaySize.y);
        toolkit.render();
        core.views().sheet.scroll_to_focus = frame == 0;
    }
    return write_png((*canvas)->read(), png);
}

}  // namespace plumbmark::desk
