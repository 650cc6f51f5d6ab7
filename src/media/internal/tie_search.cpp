#include "media/internal/tie_search.h"

#include <algorithm>
#include <bit>
#include <cmath>
#include <numbers>

#include "media/internal/mono_sound.h"

namespace plumbmark::media {
namespace {

constexpr std::int64_t kLongestStretch = 65'536, kShortestStretch = 8'192;
// Fits closer together than this, 4 ms, are told once.
constexpr std::size_t kOnce = 64;
// The highest of so many places is usually this high by chance alone: the median over sections.
constexpr std::size_t kSection = 4096;
constexpr float kUsualHighest = 3.76F;
constexpr double kNoted = 4.5;    // chance has one in 150,000 places above it
constexpr double kLeading = 5.5;  // chance has one in 26 million
constexpr double kMost = 14;      // more than this counts no more: one stretch alone decides nothing
// Sounds from two places reach two cameras with other delays, and two clocks run apart.
constexpr double kSameMs = 20, kApartPpm = 100;
// Another place rivals the best one when it comes to this share of its score: a half, or more where an echo
// of a hall may explain it. Nearer than the spread it is the same place. What has a beat of less than an
// echo's time fits at its multiples too.
constexpr double kSpreadMs = 60, kEchoMs = 300, kNearlyAsGood = 0.5, kEchoAsGood = 0.75;
constexpr std::size_t kFewestAgree = 3;
constexpr double kElsewhere = 8;  // a stretch that is as high as this at another place speaks against
constexpr double kAgreeing = 6;   // of so many stretches: as high as this

double samples_of(double ms) {
    return ms * kMonoRate / 1000;
}

/// The top of the parabola through three values around a peak, from the middle one; -0.5 to 0.5.
double top_between(float left, float middle, float right) {
    const double bend =
        static_cast<double>(left) - 2.0 * static_cast<double>(middle) + static_cast<double>(right);
    if (bend >= 0) return 0;
    return std::clamp(0.5 * (static_cast<double>(left) - static_cast<double>(right)) / bend, -0.5, 0.5);
}

std::size_t stretch_length(std::int64_t sound) {
    const std::int64_t fitting = std::clamp(sound / 6, kShortestStretch, kLongestStretch);
    return std::bit_floor(static_cast<std::size_t>(fitting));
}

/// How far the offsets of two stretches may lie apart, in samples.
double tolerance(const Stretch& a, const Stretch& b) {
    return samples_of(kSameMs) + std::abs(static_cast<double>(a.begin - b.begin)) * kApartPpm * 1e-6;
}

/// The highest within a distance of an offset; none where nothing is noted there.
const Fit* highest_near(const std::vector<Fit>& fits, double offset, double distance) {
    const Fit* best = nullptr;
    const auto from = std::lower_bound(fits.begin(), fits.end(), offset - distance,
                                       [](const Fit& fit, double at) { return fit.offset < at; });
    for (auto fit = from; fit != fits.end() && fit->offset <= offset + distance; ++fit) {
        if (!best || fit->height > best->height) best = &*fit;
    }
    return best;
}

const Fit* highest(const std::vector<Fit>& fits) {
    const auto best = std::max_element(fits.begin(), fits.end(),
                                       [](const Fit& a, const Fit& b) { return a.height < b.height; });
    return best == fits.end() ? nullptr : &*best;
}

/// What a fit says for its place, beside the best one of its stretch: an echo of it says little.
double counted(const Fit& fit, const Fit& best) {
    const auto height = static_cast<double>(best.height);
    return std::min(height, kMost) * static_cast<double>(fit.height) / height;
}

/// Looks at each place that some stretch proposes.
class Chooser {
  public:
    Chooser(const std::vector<Stretch>& stretches, const std::vector<std::vector<Fit>>& fits,
            std::int64_t other_length)
        : stretches_(stretches), fits_(fits), other_length_(other_length) {}

    Choice choose() const {
        const std::vector<Proposal> proposals = proposed();
        const auto best =
            std::max_element(proposals.begin(), proposals.end(),
                             [](const Proposal& a, const Proposal& b) { return a.score < b.score; });
        if (best == proposals.end()) return {};
        // Around the highest of those that agree, since echoes of it propose places beside it.
        const Place around = agreed(*best);
        const Proposal centre{around.stretch, around.best, best->score};
        Choice choice{agreed(centre), NoPlace::nothing_fits};
        if (rivalled(centre, proposals)) choice.why = NoPlace::several_fit;
        const bool few = choice.place->high < kFewestAgree;
        const bool disputed = centre.score <= 2 * against(centre);
        const bool several = choice.why == NoPlace::several_fit;
        if (few) {
            choice.why = NoPlace::nothing_fits;
        } else if (disputed && !several) {
            choice.why = NoPlace::stretches_disagree;
        }
        if (few || disputed || several) choice.place.reset();
        return choice;
    }

  private:
    struct Proposal {
        std::size_t stretch = 0;
        Fit fit;
        double score = 0;  ///< of all stretches that fit there
    };

    /// Whether another place does nearly as well.
    [[nodiscard]] bool rivalled(const Proposal& centre, const std::vector<Proposal>& proposals) const {
        return std::any_of(proposals.begin(), proposals.end(), [&](const Proposal& other) {
            const double apart =
                std::abs(other.fit.offset - centre.fit.offset) - drift_between(centre.stretch, other.stretch);
            if (apart <= samples_of(kSpreadMs)) return false;
            const bool echo = apart <= samples_of(kEchoMs);
            return other.score >= (echo ? kEchoAsGood : kNearlyAsGood) * centre.score;
        });
    }
    [[nodiscard]] double drift_between(std::size_t a, std::size_t b) const {
        return tolerance(stretches_[a], stretches_[b]) - samples_of(kSameMs);
    }
    [[nodiscard]] const Fit* fit_of(std::size_t stretch, const Proposal& proposal) const {
        return highest_near(fits_[stretch], proposal.fit.offset,
                            tolerance(stretches_[stretch], stretches_[proposal.stretch]));
    }
    [[nodiscard]] std::vector<Proposal> proposed() const {
        constexpr std::size_t kMostProposals = 12;  // of one stretch: the highest
        std::vector<Proposal> all;
        for (std::size_t s = 0; s < fits_.size(); ++s) {
            std::vector<Fit> leading;
            std::copy_if(fits_[s].begin(), fits_[s].end(), std::back_inserter(leading),
                         [](const Fit& fit) { return static_cast<double>(fit.height) >= kLeading; });
            std::stable_sort(leading.begin(), leading.end(),
                             [](const Fit& a, const Fit& b) { return a.height > b.height; });
            if (leading.size() > kMostProposals) leading.resize(kMostProposals);
            for (const Fit& fit : leading)
                all.push_back({s, fit, 0});
        }
        for (Proposal& proposal : all) {
            for (std::size_t s = 0; s < fits_.size(); ++s) {
                if (const Fit* fit = fit_of(s, proposal)) proposal.score += counted(*fit, *highest(fits_[s]));
            }
        }
        return all;
    }
    [[nodiscard]] Place agreed(const Proposal& proposal) const {
        Place place;
        std::vector<double> heights, offsets;
        for (std::size_t s = 0; s < fits_.size(); ++s) {
            const Fit* fit = fit_of(s, proposal);
            if (!fit) continue;
            if (fit->height > place.best.height) {
                place.best = *fit;
                place.stretch = s;
            }
            heights.push_back(static_cast<double>(fit->height));
            if (heights.back() >= kAgreeing) ++place.high;
            offsets.push_back(fit->offset);
        }
        place.agreeing = heights.size();
        for (const double offset : offsets)
            place.most_apart = std::max(place.most_apart, std::abs(offset - place.best.offset));
        std::sort(heights.begin(), heights.end());
        place.height = heights[heights.size() / 2];
        return place;
    }
    /// What stretches say that clearly belong somewhere else, an echo of the place aside.
    [[nodiscard]] double against(const Proposal& proposal) const {
        double sum = 0;
        for (std::size_t s = 0; s < fits_.size(); ++s) {
            const Fit* best = highest(fits_[s]);
            if (!best || static_cast<double>(best->height) < kElsewhere || !lies_within(s, proposal))
                continue;
            const double apart = std::abs(best->offset - proposal.fit.offset);
            if (apart > samples_of(kEchoMs)) sum += counted(*best, *best);
        }
        return sum;
    }
    /// Whether the other sound was recorded where the stretch would lie, by the half at least.
    [[nodiscard]] bool lies_within(std::size_t stretch, const Proposal& proposal) const {
        const double begin = static_cast<double>(stretches_[stretch].begin) + proposal.fit.offset;
        const auto length = static_cast<double>(stretches_[stretch].samples.size());
        return begin >= -length / 2 && begin + length / 2 <= static_cast<double>(other_length_);
    }

    const std::vector<Stretch>& stretches_;
    const std::vector<std::vector<Fit>>& fits_;
    std::int64_t other_length_;
};

}  // namespace

Choice choose_place(const std::vector<Stretch>& stretches, const std::vector<std::vector<Fit>>& fits,
                    std::int64_t other_length) {
    return Chooser(stretches, fits, other_length).choose();
}

// --- which stretches ---

StretchPicker::StretchPicker(std::int64_t length)
    : length_(stretch_length(length)),
      parts_(std::clamp<std::int64_t>(length / static_cast<std::int64_t>(length_), 1, kMostStretches)),
      whole_(std::max<std::int64_t>(length, 1)),
      best_(static_cast<std::size_t>(parts_)),
      energy_(static_cast<std::size_t>(parts_), 0) {}

void StretchPicker::add(std::span<const float> whitened) {
    while (!whitened.empty()) {
        const std::size_t taken = std::min(whitened.size(), length_ - current_.size());
        current_.insert(current_.end(), whitened.begin(),
                        whitened.begin() + static_cast<std::ptrdiff_t>(taken));
        whitened = whitened.subspan(taken);
        if (current_.size() == length_) end_stretch();
    }
}

void StretchPicker::end_stretch() {
    double energy = 0;
    for (const float sample : current_)
        energy += static_cast<double>(sample) * static_cast<double>(sample);
    const auto part = static_cast<std::size_t>(std::min(parts_ - 1, begin_ * parts_ / whole_));
    if (energy > energy_[part]) {
        energy_[part] = energy;
        best_[part] = {begin_, current_};
    }
    begin_ += static_cast<std::int64_t>(length_);
    current_.clear();
}

std::vector<Stretch> StretchPicker::take() {
    std::erase_if(best_, [](const Stretch& stretch) { return stretch.samples.empty(); });
    return std::move(best_);
}

// --- where they fit ---

StretchFinder::StretchFinder(const std::vector<Stretch>& stretches, std::size_t length)
    : length_(length),
      fft_(2 * length),
      fits_(stretches.size()),
      highest_(stretches.size()),
      waiting_(length, 0.0F),  // what reaches back before the beginning may fit, too
      at_(-static_cast<std::int64_t>(length)),
      samples_(2 * length),
      correlation_(2 * length),
      weight_(length),
      full_(length),
      spectrum_(fft_.bins()),
      product_(fft_.bins()) {
    for (const Stretch& stretch : stretches) {
        double energy = 0;
        for (const float sample : stretch.samples)
            energy += static_cast<double>(sample) * static_cast<double>(sample);
        const auto share = static_cast<float>(1 / std::sqrt(energy));
        std::fill(samples_.begin(), samples_.end(), 0.0F);
        std::transform(stretch.samples.begin(), stretch.samples.end(), samples_.begin(),
                       [share](float sample) { return sample * share; });
        auto& spectrum = spectra_.emplace_back(fft_.bins());
        fft_.forward(samples_, spectrum);
        for (std::complex<float>& bin : spectrum)
            bin = std::conj(bin);
        begins_.push_back(stretch.begin);
    }
}

void StretchFinder::add(std::span<const float> whitened) {
    waiting_.insert(waiting_.end(), whitened.begin(), whitened.end());
}

void StretchFinder::end() {
    const std::size_t pieces = (waiting_.size() + length_ - 1) / length_ + 1;
    waiting_.resize(pieces * length_, 0.0F);
}

void StretchFinder::calibrate() {
    for (std::size_t s = 0; s < fits_.size(); ++s) {
        std::vector<float>& tops = highest_[s];
        if (tops.empty()) continue;
        const auto middle = tops.begin() + static_cast<std::ptrdiff_t>(tops.size() / 2);
        std::nth_element(tops.begin(), middle, tops.end());
        const float share = kUsualHighest / std::max(kUsualHighest, *middle);
        for (Fit& fit : fits_[s])
            fit.height *= share;
        std::erase_if(fits_[s], [](const Fit& fit) { return static_cast<double>(fit.height) < kNoted; });
        tops.clear();
    }
}

void StretchFinder::step() {
    std::copy_n(waiting_.begin(), 2 * length_, samples_.begin());
    // What lies under the stretch at each place, so that a loud passage is not taken for a likeness.
    double energy = 0, most = 0;
    for (std::size_t i = 0; i < length_; ++i)
        energy += static_cast<double>(samples_[i]) * static_cast<double>(samples_[i]);
    for (std::size_t l = 0; l < length_; ++l) {
        weight_[l] = static_cast<float>(energy);
        most = std::max(most, energy);
        const auto gone = static_cast<double>(samples_[l]), come = static_cast<double>(samples_[l + length_]);
        energy += come * come - gone * gone;
    }
    if (most > 0) {
        // Where little lies under the stretch, as before the beginning, nothing is made larger for that.
        const double least = most / 4;
        for (std::size_t l = 0; l < length_; ++l) {
            full_[l] = static_cast<double>(weight_[l]) >= least;
            weight_[l] = static_cast<float>(1 / std::sqrt(std::max(static_cast<double>(weight_[l]), least)));
        }
        fft_.forward(samples_, spectrum_);
        for (std::size_t s = 0; s < spectra_.size(); ++s)
            look(s);
    }
    waiting_.erase(waiting_.begin(), waiting_.begin() + static_cast<std::ptrdiff_t>(length_));
    at_ += static_cast<std::int64_t>(length_);
}

void StretchFinder::look(std::size_t stretch) {
    for (std::size_t k = 0; k < product_.size(); ++k) {
        const std::complex<float> a = spectra_[stretch][k], b = spectrum_[k];
        product_[k] = {a.real() * b.real() - a.imag() * b.imag(), a.real() * b.imag() + a.imag() * b.real()};
    }
    fft_.back(product_, correlation_);
    double sum = 0, count = 0;
    for (std::size_t l = 0; l < length_; ++l) {
        correlation_[l] = std::abs(correlation_[l] * weight_[l]);  // a microphone may be wired either way
        sum += full_[l] ? static_cast<double>(correlation_[l]) : 0.0;
        count += full_[l] ? 1 : 0;
    }
    // Of a normal distribution, whose mean distance from zero a few peaks hardly move.
    const double deviation = sum / std::max(count, 1.0) * std::sqrt(std::numbers::pi / 2);
    if (deviation > 0) note_peaks(stretch, deviation);
}

void StretchFinder::note_peaks(std::size_t stretch, double deviation) {
    for (std::size_t from = 0; from < length_; from += kSection) {
        const auto begin = correlation_.begin() + static_cast<std::ptrdiff_t>(from);
        const auto top = *std::max_element(begin, begin + kSection);
        if (full_[from] && full_[from + kSection - 1])
            highest_[stretch].push_back(static_cast<float>(static_cast<double>(top) / deviation));
    }
    const auto least = static_cast<float>(kNoted * deviation);
    for (std::size_t from = 0; from < length_; from += kOnce) {
        const auto begin = correlation_.begin() + static_cast<std::ptrdiff_t>(from);
        const auto top = std::max_element(begin, begin + kOnce);
        if (*top < least) continue;
        const auto l = static_cast<std::size_t>(top - correlation_.begin());
        const double between =
            l > 0 && l + 1 < length_ ? top_between(correlation_[l - 1], *top, correlation_[l + 1]) : 0.0;
        const double place = static_cast<double>(at_ + static_cast<std::int64_t>(l)) + between;
        fits_[stretch].push_back({place - static_cast<double>(begins_[stretch]),
                                  static_cast<float>(static_cast<double>(*top) / deviation)});
    }
}

}  // namespace plumbmark::media
