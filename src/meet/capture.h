// When the pictures of a clip were taken, where that is not when the file shows them; and which pictures the
// file shows twice. Plain values and pure functions.
#pragma once

#include <cstdint>
#include <optional>
#include <string>
#include <string_view>
#include <vector>

#include "base/result.h"
#include "base/time.h"

namespace plumbmark::meet {

/// A frame: the number people read and the presentation time stamp that identifies it within its clip.
struct FrameRef {
    std::int64_t number = 0;
    std::int64_t pts = 0;  ///< in the clip's time base
    friend auto operator<=>(const FrameRef&, const FrameRef&) = default;
};

/// How a stretch of a clip was taken.
enum class Pace : std::uint8_t {
    as_shown,  ///< as fast as the file shows it
    retimed,   ///< at another rate than the file shows it: slow motion, time lapse
    unknown,   ///< nobody knows: order only
};

/// Pictures a second: when they were taken, and as the file shows them.
struct Rates {
    base::Rational recorded{0, 1};
    base::Rational shown{0, 1};
    friend bool operator==(const Rates&, const Rates&) = default;
};

/// From this frame on, to the next stretch's first frame.
struct CaptureStretch {
    FrameRef from;
    Pace pace = Pace::as_shown;
    Rates rates;  ///< of a retimed stretch, both positive; 0/1 elsewhere
    friend bool operator==(const CaptureStretch&, const CaptureStretch&) = default;
};

/// The reviewer's word for a whole clip: stretches in order, the first of which begins with frame 0. Empty:
/// nothing was said.
using CaptureMap = std::vector<CaptureStretch>;

/// Frames that show the picture of an earlier one again.
struct RepeatedPictures {
    FrameRef first;         ///< the first of the equal frames
    std::int64_t last = 0;  ///< number of the last one; those after 'first' up to here repeat it
    bool exact = true;      ///< every sample the same; false: nearly, as media/repeated_pictures.h says
    friend bool operator==(const RepeatedPictures&, const RepeatedPictures&) = default;
};

/// Rates lie between 1/1000 and 100,000 pictures a second, written with numbers of at most a million.
[[nodiscard]] bool is_rate(base::Rational rate);
/// Whether two rates differ by more than one in fifty: 29.97 for 30, or a phone's clock, is no slow motion.
[[nodiscard]] bool rates_differ(const Rates& rates);

/// What is wrong with a map, as a clause ("its stretches are not in order"); empty: nothing.
[[nodiscard]] base::Sentence problem_of(const CaptureMap& map);

/// When frames were taken, on a clock of the clip's own. Within a stretch that is shown as it was taken,
/// frames lie as far apart as the file shows them; within a retimed one as far as the file shows them times
/// shown / recorded; within an unknown one as the file shows them, which says order and nothing else. The map
/// has no steps: a stretch begins at the time that the one before gives to its first frame. Where the first
/// stretch is shown as it was taken, its frames have the file's own times.
///
/// Each frame gets one integer, rounded down. The frame that begins a stretch is the zero of its stretch, so
/// a time in the n-th stretch is less than n nanoseconds below the exact one. Later time stamps have later
/// times where a tick is at least 1/90,000 s, since nothing is slowed more than ten thousand times; elsewhere
/// never earlier ones.
class CaptureClock {
  public:
    /// The map must be without problem and the time base positive (any time base for an empty map).
    CaptureClock(const CaptureMap& map, base::Rational time_base);
    /// Of the frame with this time stamp. Times beyond 292 years stay there.
    [[nodiscard]] base::Time time(std::int64_t pts) const;
    /// Whether an unknown stretch lies, in part, between two time stamps, from <= to: then the difference of
    /// their times is no duration.
    [[nodiscard]] bool unknown_between(std::int64_t from, std::int64_t to) const;

  private:
    struct Piece {
        std::int64_t from = 0;
        Pace pace = Pace::as_shown;
        base::Rational seconds_per_tick{1, 1};
        base::Time begins;
    };
    [[nodiscard]] base::Time time_in(const Piece& piece, std::int64_t pts) const;
    base::Rational time_base_;
    std::vector<Piece> pieces_;
};

/// The frame whose picture frame n shows: the first of the equal ones; n itself where it repeats nothing.
/// 'exact_only': nearly equal pictures count as new.
[[nodiscard]] FrameRef first_shown(const std::vector<RepeatedPictures>& repeats, FrameRef frame,
                                   bool exact_only = false);

/// Reads what a reviewer writes: "240" (recorded at 240 pictures a second), "240 shown 30", "as shown",
/// "unknown", or several of them from a frame on: "as shown; @120 240; @480 as shown". Rates are whole
/// numbers, decimals ("59.94") or fractions ("240000/1001"). Stretches come with their frame's number only
/// (pts 0), and with shown 0/1 where the text does not say it. An empty text, and "none", is the empty map.
/// Error bad_input says which part is wrong and what is expected there.
[[nodiscard]] base::Result<CaptureMap> read_capture(std::string_view text);
/// The same the other way round; reads back equal but for time stamps.
[[nodiscard]] std::string capture_text(const CaptureMap& map);

/// "240", "29.97", "240000/1001": the shortest exact form of at most three decimals, else the fraction.
[[nodiscard]] std::string rate_text(base::Rational rate);
/// "240 pictures a second, shown at 30".
[[nodiscard]] std::string rates_words(const Rates& rates);
/// "240 pictures a second, shown at 30"; "as shown to f 120, 240 pictures a second ... to f 480, unknown
/// after that". Empty for an empty map.
[[nodiscard]] std::string capture_words(const CaptureMap& map);

}  // namespace plumbmark::meet
