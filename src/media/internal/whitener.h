// What of a sound can tell where it belongs: the phase transform of Knapp & Carter, The generalized
// correlation method for estimation of time delay (IEEE Transactions on Acoustics, Speech, and Signal
// Processing 24, 1976), taken over short frames, and weighted by how far each stands above the sound's own
// usual level. So loud and quiet, near and far, and every kind of microphone count alike, and hum and steady
// noise count for little.
#pragma once

#include <complex>
#include <cstdint>
#include <span>
#include <vector>

#include "media/internal/real_fft.h"

namespace plumbmark::media {

/// One thread at a time. First learns all of a sound, then whitens it, or parts of it.
class Whitener {
  public:
    Whitener();

    /// Takes the next samples in, of any number.
    void learn(std::span<const float> samples);
    /// Ends the learning.
    void learned();
    /// Whether anything rises above the steps of 16 bits; only after learned().
    [[nodiscard]] bool heard() const { return loudest_ > kSilent; }

    /// Adds the whitened samples that are ready to 'out': as many in all as were put in, after finish().
    void whiten(std::span<const float> samples, std::vector<float>& out);
    /// Gives what is left and begins anew.
    void finish(std::vector<float>& out);

  private:
    static constexpr std::size_t kFrame = 1024, kHop = kFrame / 2;
    static constexpr float kSilent = 4.0F / 32768;
    static constexpr int kSteps = 160;  ///< of 1.25 dB

    void spectrum_of(std::span<const float> frame);
    void learn_frame();
    void whiten_frame(std::vector<float>& out);

    RealFft fft_{kFrame};
    std::vector<float> window_, work_, waiting_, tail_;
    std::vector<std::complex<float>> spectrum_;
    std::vector<std::uint32_t> counts_;  ///< by bin and step of level
    std::vector<float> floor_;           ///< power that a bin must rise above
    float loudest_ = 0;
    std::int64_t given_ = -static_cast<std::int64_t>(kHop);  ///< samples; below 0: of before the first
    std::int64_t taken_ = 0;
};

}  // namespace plumbmark::media
