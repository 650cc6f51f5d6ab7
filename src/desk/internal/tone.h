// How bright and with how much contrast pictures are shown. Pure values.
#pragma once

namespace plumbmark::desk {

/// In steps; 0: as the picture is.
struct Tone {
    static constexpr int kMost = 8;
    int brightness =
        0;             ///< each step takes a code value to the power of 2^(-1/4): dark parts are lifted most
    int contrast = 0;  ///< each step spreads the code values around the middle by 2^(1/4)
    [[nodiscard]] bool plain() const { return brightness == 0 && contrast == 0; }
    friend bool operator==(const Tone&, const Tone&) = default;
};

/// What becomes of a code value from 0 to 1.
[[nodiscard]] double toned(double value, const Tone& tone);

}  // namespace plumbmark::desk
