// The message catalogues that were compiled into the program, out of src/base/languages/*.po.
#pragma once

#include <string_view>
#include <vector>

namespace plumbmark::base {

struct CompiledLanguage {
    const char* code;
    const char* own_name;
    std::string_view bytes;  ///< in GNU gettext's binary format; for the life of the process
};

/// In the order of their codes. The source of it is made by src/base/languages/languages.cmake.
[[nodiscard]] const std::vector<CompiledLanguage>& compiled_languages();

}  // namespace plumbmark::base
