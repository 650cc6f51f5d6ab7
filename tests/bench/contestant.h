// What every way of showing a frame has in common: ours, the bare libav way, and the libraries that do this
// job.
#pragma once

#include <cstdint>
#include <functional>
#include <memory>
#include <string>
#include <vector>

#include "base/result.h"
#include "clip.h"

namespace plumbmark::bench {

/// What a contestant says of the picture that it shows.
struct Look {
    double seconds = 0;  ///< its time on the clip's clock, as the contestant reports it
    std::string digest;  ///< of its pixels; see Pixels
};

/// What a digest is made of, and so what it may be held against.
enum class Pixels {
    decoder,  ///< the decoder's own planes, MD5 as ffmpeg's framemd5: held against the truth
    rgb,      ///< the contestant's own RGB: held against a linear pass of the same contestant
};

/// One open clip in one library. Single-threaded use. The calls return when the picture could be drawn; the
/// making of RGB that only look() needs is not part of them.
class Contestant {
  public:
    Contestant() = default;
    virtual ~Contestant() = default;
    Contestant(const Contestant&) = delete;
    Contestant& operator=(const Contestant&) = delete;

    /// Goes to frame n from wherever it is. False when no picture came.
    virtual bool show(std::int64_t n) = 0;
    /// Goes one frame on; the first call after opening gives the first frame. False at the end.
    virtual bool next() = 0;
    /// Goes one frame back to frame n.
    virtual bool back_to(std::int64_t n) { return show(n); }
    /// Lets go of what it keeps and of what it does beside, so that neither helps it nor hinders others.
    virtual void forget() {}
    /// The picture shown now; only after a call that returned true.
    virtual Look look() = 0;
};

/// A contestant that may enter: where it is not installed, 'absent' says so and 'open' is empty.
struct Entrant {
    std::string name;
    std::string absent;
    Pixels pixels = Pixels::decoder;
    bool ours = false;
    std::vector<int> thread_choices;  ///< 0: the library's own choice
    std::function<base::Result<std::unique_ptr<Contestant>>(const Clip&, int threads)> open;
};

/// An Entrant::open for a library whose contestant is opened by bool open(clip, threads).
template <class Library>
auto opener_of(const std::string& name) {
    return [name](const Clip& clip, int threads) -> base::Result<std::unique_ptr<Contestant>> {
        auto made = std::make_unique<Library>();
        if (!made->open(clip, threads))
            return base::Error{base::Category::io, name + " cannot open this clip.", clip.path.string()};
        return std::unique_ptr<Contestant>(std::move(made));
    };
}

/// How the decoder is used, since the best number of threads differs.
enum class Task { seeking, reading };

/// A contestant as it enters, with its best number of threads found by trial.
struct Entry {
    Entrant entrant;
    int seeking_threads = 0;
    int reading_threads = 0;

    [[nodiscard]] base::Result<std::unique_ptr<Contestant>> open(const Clip& clip, Task task) const {
        return entrant.open(clip, task == Task::seeking ? seeking_threads : reading_threads);
    }
    [[nodiscard]] std::string setting(Task task) const;
};

/// Ours, through media::FrameReader.
enum class Keeping {
    as_shipped,  ///< read(), with the cache that a reader has by itself
    nothing,     ///< read_alone() of one reader, with a cache of no bytes
    new_reader,  ///< read_alone() of a new reader for each show()
};
[[nodiscard]] Entrant our_reader(Keeping keeping);
/// Ours as the window has it: each show() asks a new media::FrameService, made and rested before the clock
/// runs, and waits until that very frame stands.
[[nodiscard]] Entrant our_service();

/// The libraries below, in this order; those that are not installed with 'absent' set.
[[nodiscard]] std::vector<Entrant> peers();
[[nodiscard]] Entrant bare_libav_entrant();
[[nodiscard]] Entrant opencv_entrant();
[[nodiscard]] Entrant ffms2_entrant();
[[nodiscard]] Entrant mpv_entrant();

/// Tries each of the entrant's thread choices and keeps the fastest: on a few seeks where 'seeking', on a
/// short linear read where 'reading'. Errors: what opening says.
[[nodiscard]] base::Result<Entry> enter(const Entrant& entrant, const Clip& clip, bool seeking, bool reading);

/// n frame numbers without order, the same for the same clip length and seed; 0 <= number < clip.frames().
[[nodiscard]] std::vector<std::int64_t> random_frames(const Clip& clip, std::size_t n, std::uint32_t seed);

/// A quick digest (128-bit Murmur hash of libavutil) of rows of bytes, for pixels that are only compared
/// within one run.
[[nodiscard]] std::string quick_digest(const std::uint8_t* first, std::size_t row_bytes,
                                       std::ptrdiff_t stride, int rows);

}  // namespace plumbmark::bench
