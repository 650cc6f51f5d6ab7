// Where stretches of one whitened sound lie in another, and whether they agree.
#pragma once

#include <complex>
#include <cstdint>
#include <optional>
#include <span>
#include <vector>

#include "media/internal/real_fft.h"

namespace plumbmark::media {

/// Places are in samples of MonoSound, each counted from the beginning of its own sound.
struct Stretch {
    std::int64_t begin = 0;
    std::vector<float> samples;
};

/// A place at which a stretch fits better than chance would have it.
struct Fit {
    double offset = 0;  ///< place in the other sound less place in this one
    float height = 0;   ///< of the correlation, in its standard deviations over all places
};

/// The stretches that are looked for: disjoint, of one length (a power of two), so that they are independent.
/// From a long sound, of each of kMostStretches equal parts, the stretch in which most stands out.
class StretchPicker {
  public:
    static constexpr std::int64_t kMostStretches = 40, kFewest = 3;
    /// Nothing fits into fewer samples than this.
    static constexpr std::int64_t kShortest = std::int64_t{8'192} * kFewest;

    /// For a sound of so many samples.
    explicit StretchPicker(std::int64_t length);
    void add(std::span<const float> whitened);
    /// Those in which there is anything.
    [[nodiscard]] std::vector<Stretch> take();
    [[nodiscard]] std::size_t length() const { return length_; }

  private:
    void end_stretch();

    std::size_t length_;
    std::int64_t parts_, whole_;
    std::int64_t begin_ = 0;  ///< of 'current_'
    std::vector<float> current_;
    std::vector<Stretch> best_;  ///< by part
    std::vector<double> energy_;
};

/// Slides all stretches along the other sound, which comes piece by piece; holds two lengths of a stretch of
/// it.
class StretchFinder {
  public:
    /// 'stretches' all have 'length' samples.
    StretchFinder(const std::vector<Stretch>& stretches, std::size_t length);

    /// Whether a piece is waiting; then step() looks through it.
    [[nodiscard]] bool ready() const { return waiting_.size() >= 2 * length_; }
    void add(std::span<const float> whitened);
    /// After the last add(): what reaches beyond the end may fit, too.
    void end();
    void step();
    /// Once, after the last step(): heights as if chance were normally distributed. Sounds that come and go,
    /// or have few pitches, are alike by chance more often than that.
    void calibrate();
    /// By stretch, all places at which it fits, in order of place.
    [[nodiscard]] const std::vector<std::vector<Fit>>& fits() const { return fits_; }

  private:
    void look(std::size_t stretch);
    void note_peaks(std::size_t stretch, double deviation);

    std::size_t length_;
    RealFft fft_;
    std::vector<std::int64_t> begins_;
    std::vector<std::vector<std::complex<float>>> spectra_;  ///< conjugated, of energy 1
    std::vector<std::vector<Fit>> fits_;
    std::vector<std::vector<float>> highest_;  ///< by stretch, of each section of places
    std::vector<float> waiting_;
    std::int64_t at_;  ///< place of waiting_[0]
    std::vector<float> samples_, correlation_, weight_;
    std::vector<char> full_;  ///< by place: enough lies under the stretch
    std::vector<std::complex<float>> spectrum_, product_;
};

/// Why no place was chosen.
enum class NoPlace : std::uint8_t { nothing_fits, several_fit, stretches_disagree };

struct Place {
    Fit best;                  ///< of the stretch that fits best
    std::size_t stretch = 0;   ///< that one
    double most_apart = 0;     ///< from it, of the others that agree, in samples
    std::size_t high = 0;      ///< of those that agree: so high that chance is out of the question
    std::size_t agreeing = 0;  ///< stretches
    double height = 0;         ///< the middle one of those that agree
};

struct Choice {
    std::optional<Place> place;
    NoPlace why = NoPlace::nothing_fits;
};

/// The one place at which most stretches agree, if there is one. 'other_length': samples of the other sound.
[[nodiscard]] Choice choose_place(const std::vector<Stretch>& stretches,
                                  const std::vector<std::vector<Fit>>& fits, std::int64_t other_length);

}  // namespace plumbmark::media
