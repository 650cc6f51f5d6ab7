// Rows of samples to rows of shown pixels, in single precision: the inner loops of to_rgba.
#pragma once

#include <array>
#include <cstdint>
#include <vector>

#include "media/colour.h"
#include "media/hdr.h"

namespace plumbmark::media {

/// Makes shown pixels of described samples, a row at a time. One thread; several may work on the same
/// samples.
class RowMaker {
  public:
    /// The samples, and what they point to, must outlive this.
    explicit RowMaker(const Samples& samples);

    /// Row y, as stored, 0 to height - 1: 'width' pixels of R, G, B and 255 in the order of bytes. Valid
    /// until the next call.
    const std::uint32_t* make(int y);

  private:
    const float* component(std::size_t part, int y);

    const Samples& samples_;
    std::array<std::vector<float>, 3> wide_;  // components at every luma sample
    std::vector<float> narrow_;               // a row of colour samples, one more at each end
    std::vector<std::uint32_t> pixels_;
    std::array<float, 12> to_rgb_{};
    std::array<float, 9> to_709_{};
    std::array<float, 3> weights_{};
    const HdrTables* tables_ = nullptr;
};

}  // namespace plumbmark::media
