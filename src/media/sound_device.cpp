#include "media/sound_device.h"

#include <dlfcn.h>
#include <portaudio.h>

#include <algorithm>
#include <cmath>
#include <mutex>
#include <utility>

namespace plumbmark::media {
namespace {

void say_nothing(const char*) {}
void say_nothing_of_alsa(const char*, int, const char*, int, const char*, ...) {}

/// PortAudio asks ALSA and JACK for devices, and both tell the terminal what they do not find. Their handlers
/// are set by name in the libraries that PortAudio brought along, so that nothing here depends on which it
/// did.
void quiet_sound_libraries() {
    static std::once_flag once;
    std::call_once(once, [] {
        using AlsaHandler = void (*)(const char*, int, const char*, int, const char*, ...);
        using SetAlsaHandler = int (*)(AlsaHandler);
        using SetJackHandler = void (*)(void (*)(const char*));
        if (void* set = dlsym(RTLD_DEFAULT, "snd_lib_error_set_handler"))
            (void)reinterpret_cast<SetAlsaHandler>(set)(say_nothing_of_alsa);
        for (const char* name : {"jack_set_error_function", "jack_set_info_function"})
            if (void* set = dlsym(RTLD_DEFAULT, name)) reinterpret_cast<SetJackHandler>(set)(say_nothing);
    });
}

/// PortAudio is one for the whole process and not made for several threads at once.
std::mutex& library_mutex() {
    static std::mutex mutex;
    return mutex;
}

class SystemSound final : public SoundDevice {
  public:
    SystemSound() = default;
    SystemSound(const SystemSound&) = delete;
    SystemSound& operator=(const SystemSound&) = delete;
    ~SystemSound() override {
        const std::lock_guard lock(library_mutex());
        close();
        let_go();
    }

    std::optional<int> find() override {
        const std::lock_guard lock(library_mutex());
        close();
        // The library looks for devices only while it begins.
        let_go();
        quiet_sound_libraries();
        ready_ = Pa_Initialize() == paNoError;
        device_ = ready_ ? Pa_GetDefaultOutputDevice() : paNoDevice;
        const PaDeviceInfo* info = device_ == paNoDevice ? nullptr : Pa_GetDeviceInfo(device_);
        if (!info || info->maxOutputChannels < 1 || !(info->defaultSampleRate >= 1000)) {
            let_go();
            return std::nullopt;
        }
        channels_ = std::min(2, info->maxOutputChannels);
        rate_ = static_cast<int>(std::lround(info->defaultSampleRate));
        latency_ = info->defaultLowOutputLatency;
        return rate_;
    }

    bool start(Fill fill) override {
        const std::lock_guard lock(library_mutex());
        close();
        if (!ready_) return false;
        fill_ = std::move(fill);
        // 40 ms and more: the picture's own clock is coarser, and a small buffer crackles on a busy machine.
        const PaStreamParameters out{device_, channels_, paFloat32, std::max(latency_, 0.04), nullptr};
        if (Pa_OpenStream(&stream_, nullptr, &out, rate_, paFramesPerBufferUnspecified, paNoFlag, &called,
                          this) != paNoError) {
            stream_ = nullptr;
            return false;
        }
        const PaStreamInfo* info = Pa_GetStreamInfo(stream_);
        ahead_ns_ = info ? std::llround(info->outputLatency * 1e9) : 0;
        if (Pa_StartStream(stream_) == paNoError) return true;
        close();
        return false;
    }

    void stop() override {
        const std::lock_guard lock(library_mutex());
        close();
    }

  private:
    static int called(const void*, void* out, unsigned long count, const PaStreamCallbackTimeInfo* time,
                      PaStreamCallbackFlags, void* self) {
        static_cast<SystemSound*>(self)->fill(static_cast<float*>(out), static_cast<int>(count), time);
        return paContinue;
    }

    void fill(float* out, int count, const PaStreamCallbackTimeInfo* time) {
        // Some sound systems give no times here; then the latency they declared counts.
        const double said = time ? time->outputBufferDacTime - time->currentTime : 0;
        const std::int64_t ahead = said > 0 && said < 2 ? std::llround(said * 1e9) : ahead_ns_;
        if (channels_ == 2) return fill_(out, count, {ahead});
        constexpr int most = 256;
        float pairs[2 * most];
        for (int done = 0; done < count; done += most) {
            const int part = std::min(most, count - done);
            fill_(pairs, part, {ahead + std::int64_t{done} * 1'000'000'000 / rate_});
            for (int i = 0; i < part; ++i)
                out[done + i] = (pairs[2 * i] + pairs[2 * i + 1]) / 2;
        }
    }

    void close() {
        if (stream_) (void)Pa_CloseStream(std::exchange(stream_, nullptr));
    }
    void let_go() {
        if (std::exchange(ready_, false)) (void)Pa_Terminate();
    }

    bool ready_ = false;
    PaStream* stream_ = nullptr;
    PaDeviceIndex device_ = paNoDevice;
    int channels_ = 2, rate_ = 48000;
    double latency_ = 0;
    std::int64_t ahead_ns_ = 0;
    Fill fill_;
};

}  // namespace

std::unique_ptr<SoundDevice> system_sound_device() {
    return std::make_unique<SystemSound>();
}

}  // namespace plumbmark::media
