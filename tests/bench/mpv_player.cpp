// libmpv with exact seeks and no window: a seek is done when the player says that playback stands ready
// again.
#include "contestant.h"

#if PLUMBMARK_BENCH_MPV
#include <mpv/client.h>

#include <array>
#include <cstring>
#endif

namespace plumbmark::bench {

#if PLUMBMARK_BENCH_MPV
namespace {

constexpr double patience = 20;  // seconds that a player may stay silent

class MpvPlayer final : public Contestant {
  public:
    ~MpvPlayer() override {
        if (player_ != nullptr) mpv_terminate_destroy(player_);
    }

    bool open(const Clip& clip, int threads) {
        clip_ = &clip;
        player_ = mpv_create();
        if (player_ == nullptr) return false;
        const std::string thread_text = std::to_string(threads);
        const std::array<std::array<const char*, 2>, 12> options{{{"config", "no"},
                                                                  {"vo", "null"},
                                                                  {"audio", "no"},
                                                                  {"sid", "no"},
                                                                  {"pause", "yes"},
                                                                  {"hr-seek", "yes"},
                                                                  {"keep-open", "yes"},
                                                                  {"hwdec", "no"},
                                                                  {"rebase-start-time", "no"},
                                                                  {"video-rotate", "no"},
                                                                  {"load-scripts", "no"},
                                                                  {"vd-lavc-threads", thread_text.c_str()}}};
        for (const auto& [name, value] : options)
            mpv_set_option_string(player_, name, value);
        if (mpv_initialize(player_) < 0) return false;
        mpv_observe_property(player_, 0, "time-pos", MPV_FORMAT_DOUBLE);
        return command({"loadfile", clip.path.string()}) && wait_for(MPV_EVENT_PLAYBACK_RESTART);
    }

    bool show(std::int64_t n) override {
        std::array<char, 40> seconds{};
        std::snprintf(seconds.data(), seconds.size(), "%.9f", clip_->seconds(n));
        return command({"seek", seconds.data(), "absolute+exact"}) && wait_for(MPV_EVENT_PLAYBACK_RESTART);
    }
    bool next() override {
        if (!begun_) return begun_ = true;  // the first picture stands since opening
        const double before = time();
        if (!command({"frame-step"})) return false;
        return wait_for(MPV_EVENT_PROPERTY_CHANGE, before);
    }
    Look look() override { return {time(), screenshot_digest()}; }

  private:
    bool command(const std::vector<std::string>& words) {
        drain();
        std::vector<const char*> plain;
        for (const std::string& word : words)
            plain.push_back(word.c_str());
        plain.push_back(nullptr);
        return mpv_command(player_, plain.data()) >= 0;
    }
    void drain() {
        while (mpv_wait_event(player_, 0)->event_id != MPV_EVENT_NONE) {
        }
    }
    double time() {
        double seconds = 0;
        mpv_get_property(player_, "time-pos", MPV_FORMAT_DOUBLE, &seconds);
        return seconds;
    }
    // A change of 'time-pos' counts only when it leads away from where the player stood.
    bool wait_for(mpv_event_id wanted, double before = 0) {
        while (true) {
            const mpv_event* event = mpv_wait_event(player_, patience);
            if (event->event_id == MPV_EVENT_NONE || event->event_id == MPV_EVENT_SHUTDOWN) return false;
            if (event->event_id == MPV_EVENT_END_FILE) return false;
            if (wanted == MPV_EVENT_PROPERTY_CHANGE && at_end()) return false;
            if (event->event_id != wanted) continue;
            if (wanted != MPV_EVENT_PROPERTY_CHANGE || time() != before) return true;
        }
    }
    bool at_end() {
        int ended = 0;
        mpv_get_property(player_, "eof-reached", MPV_FORMAT_FLAG, &ended);
        return ended != 0;
    }
    std::string screenshot_digest() {
        std::array<const char*, 3> words{"screenshot-raw", "video", nullptr};
        mpv_node answer{};
        if (mpv_command_ret(player_, words.data(), &answer) < 0) return {};
        std::int64_t width = 0, height = 0, stride = 0;
        const std::uint8_t* pixels = nullptr;
        for (int i = 0; answer.format == MPV_FORMAT_NODE_MAP && i < answer.u.list->num; ++i) {
            const char* key = answer.u.list->keys[i];
            const mpv_node& value = answer.u.list->values[i];
            if (std::strcmp(key, "w") == 0) width = value.u.int64;
            if (std::strcmp(key, "h") == 0) height = value.u.int64;
            if (std::strcmp(key, "stride") == 0) stride = value.u.int64;
            if (std::strcmp(key, "data") == 0) pixels = static_cast<const std::uint8_t*>(value.u.ba->data);
        }
        std::string digest;
        if (pixels != nullptr)
            digest =
                quick_digest(pixels, static_cast<std::size_t>(width) * 4, stride, static_cast<int>(height));
        mpv_free_node_contents(&answer);
        return digest;
    }

    const Clip* clip_ = nullptr;
    mpv_handle* player_ = nullptr;
    bool begun_ = false;
};

}  // namespace
#endif

Entrant mpv_entrant() {
    Entrant entrant;
    entrant.name = "libmpv";
    entrant.pixels = Pixels::rgb;
    entrant.thread_choices = {1, 2, 0};
#if PLUMBMARK_BENCH_MPV
    entrant.open = opener_of<MpvPlayer>("libmpv");
#else
    entrant.absent = "not installed";
#endif
    return entrant;
}

}  // namespace plumbmark::bench
