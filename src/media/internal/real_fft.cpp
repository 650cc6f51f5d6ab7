#include "media/internal/real_fft.h"

#include <bit>

#include "base/check.h"

namespace plumbmark::media {
namespace {

TransformPtr made(av_tx_fn& function, bool inverse, std::size_t size, float scale) {
    AVTXContext* raw = nullptr;
    // Arrays are only aligned as the allocator has them.
    const int done = av_tx_init(&raw, &function, AV_TX_FLOAT_RDFT, inverse ? 1 : 0, static_cast<int>(size),
                                &scale, AV_TX_UNALIGNED);
    PLUMBMARK_CHECK(done >= 0);
    return TransformPtr(raw);
}

}  // namespace

RealFft::RealFft(std::size_t size)
    : size_(size),
      forward_(made(forward_function_, false, size, 1)),
      back_(made(back_function_, true, size, 1.0F / static_cast<float>(size))) {
    PLUMBMARK_CHECK(std::has_single_bit(size) && size >= 64 && size <= (std::size_t{1} << 20));
}

void RealFft::forward(std::span<float> samples, std::span<std::complex<float>> spectrum) {
    PLUMBMARK_CHECK(samples.size() == size_ && spectrum.size() == bins());
    forward_function_(forward_.get(), spectrum.data(), samples.data(), sizeof(float));
}

void RealFft::back(std::span<std::complex<float>> spectrum, std::span<float> samples) {
    PLUMBMARK_CHECK(samples.size() == size_ && spectrum.size() == bins());
    back_function_(back_.get(), samples.data(), spectrum.data(), sizeof(std::complex<float>));
}

}  // namespace plumbmark::media
