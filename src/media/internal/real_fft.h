// The discrete Fourier transform of real samples, by libavutil.
#pragma once

#include <complex>
#include <cstddef>
#include <span>

#include "media/internal/libav.h"

namespace plumbmark::media {

/// Of one length, a power of two from 64 to 2^20. One thread at a time. Arrays from the usual allocator do.
class RealFft {
  public:
    explicit RealFft(std::size_t size);

    [[nodiscard]] std::size_t size() const { return size_; }
    [[nodiscard]] std::size_t bins() const { return size_ / 2 + 1; }
    /// X[k] = sum over n of x[n] exp(-2 pi i k n / size), k = 0 .. size / 2. The samples may be written over.
    void forward(std::span<float> samples, std::span<std::complex<float>> spectrum);
    /// The other way: back(forward(x)) is x. The spectrum may be written over.
    void back(std::span<std::complex<float>> spectrum, std::span<float> samples);

  private:
    std::size_t size_;
    av_tx_fn forward_function_ = nullptr, back_function_ = nullptr;  // before those that set them
    TransformPtr forward_, back_;
};

}  // namespace plumbmark::media
