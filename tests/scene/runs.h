// The runs of the sample meet: who moves how, which cameras saw it, and how each station is rightly ruled.
#pragma once

#include <cstdint>
#include <map>
#include <string>
#include <vector>

#include "base/time.h"
#include "camera.h"
#include "motion.h"

namespace plumbmark::scene {

/// Colours of an athlete's clothes (linear light).
struct Outfit {
    Vec3 skin, shirt, sleeve, shorts, stocking, shoe, helmet;
};

/// How a camera's frames follow each other.
struct FrameClock {
    base::Rational time_base{1, 60000};  ///< seconds per tick of the clip's time stamps
    std::int64_t first = 0;              ///< time stamp of the first frame
    std::int64_t step = 1000;            ///< ticks per frame
    std::int64_t jitter = 0;             ///< a frame may come up to so many ticks early or late
    int drop_every = 0;                  ///< about one frame in so many is missing; 0: none
    std::uint32_t seed = 0;
};

/// One camera's clip of a run.
struct View {
    std::string clip;  ///< file name without its ending
    Camera camera;
    FrameClock clock;
    base::Duration offset;   ///< clip time = run time + offset
    base::Duration shutter;  ///< the exposure of a frame ends at the frame's time
    base::Time from, to;     ///< stretch of the run that is recorded, on the run's clock
    double noise = 1.0;      ///< of the sensor, in steps of 1/255 at mid grey
    double exposure = 1.0;
    bool turned =
        false;         ///< a phone held upright: the sensor's picture is shown turned by a quarter clockwise
    int quality = 21;  ///< constant rate factor for the encoder

    /// The time stamps of all frames, in ticks.
    [[nodiscard]] std::vector<std::int64_t> ticks() const;
    /// A frame's time on the run's clock.
    [[nodiscard]] base::Time run_time(std::int64_t tick) const;
};

enum class Verdict { clear, fail, not_shown, not_reached };
[[nodiscard]] const char* name_of(Verdict verdict);

/// The right ruling of a station, written down by hand before any engine sees the run.
struct Ruling {
    std::string station;
    Verdict on_all = Verdict::clear;         ///< with all cameras
    std::map<std::string, Verdict> on_clip;  ///< with one clip alone, where it differs
    std::string reason;
};

struct Run {
    std::string key;
    std::string title;
    Outfit outfit;
    Choreography moves;
    double beep = 0;            ///< when the start beep begins, s on the run's clock
    double end = 0;             ///< how far the moves are written
    std::vector<double> bells;  ///< when the bell plate registers, s on the run's clock; solved, not written
    std::vector<View> views;
    std::vector<Ruling> rulings;
};

[[nodiscard]] const std::vector<Run>& runs();

/// The single runs, each in its own file.
[[nodiscard]] Run full_clear();
[[nodiscard]] Run overrun_of_the_coil_deck();
[[nodiscard]] Run foot_on_a_rung();
[[nodiscard]] Run step_behind_the_column();

/// The camera at the long side that sees the whole course.
[[nodiscard]] View long_side_view(const std::string& clip);

}  // namespace plumbmark::scene
