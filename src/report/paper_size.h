// The sheets of paper that something can be printed on.
#pragma once

#include <cstdint>

namespace plumbmark::report {

enum class PaperSize : std::uint8_t {
    a4,      ///< 210 x 297 mm (ISO 216)
    letter,  ///< 8.5 x 11 inches (ANSI/ASME Y14.1)
};

}  // namespace plumbmark::report
