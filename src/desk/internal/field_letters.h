// The toolkit's field for a line holds letters of 16 bits. Those beyond (rare ideographs of names, signs of
// feeling) are given stand-ins while the line is being written.
#pragma once

#include <string>
#include <string_view>
#include <vector>

namespace plumbmark::desk {

/// Of one line. Letters that the field refuses and the stand-ins' own numbers get stand-ins themselves, so
/// that nothing is mistaken for another. There are 32 different ones to a line; what is beyond becomes
/// U+FFFD. UI thread only.
class FieldLetters {
  public:
    /// What the field is to hold for this letter: itself where the field can.
    [[nodiscard]] char32_t for_field(char32_t letter);
    /// UTF-8 both ways.
    [[nodiscard]] std::string for_field(std::string_view text);
    [[nodiscard]] std::string meant(std::string_view field) const;

  private:
    std::vector<char32_t> letters_;  ///< that stand-ins stand for, in order
};

}  // namespace plumbmark::desk
