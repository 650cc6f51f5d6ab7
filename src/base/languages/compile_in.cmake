# Writes the source that holds the binary catalogues CATALOGUES to OUT. NAMES says what each language calls itself.
file(STRINGS ${NAMES} name_lines ENCODING UTF-8 REGEX "^[a-z]")
set(arrays "")
set(entries "")
foreach(catalogue ${CATALOGUES})
    get_filename_component(code ${catalogue} NAME_WE)
    set(own_name "")
    foreach(line ${name_lines})
        if(line MATCHES "^${code} = (.+)$")
            set(own_name "${CMAKE_MATCH_1}")
        endif()
    endforeach()
    if(own_name STREQUAL "")
        message(FATAL_ERROR "${NAMES} does not say what the language '${code}' calls itself; add a line '${code} = ...'.")
    endif()
    file(READ ${catalogue} bytes HEX)
    # In lines of 32 bytes, for whoever has to look at it.
    string(REGEX REPLACE "(................................................................)" "\\1\n" bytes "${bytes}")
    string(REGEX REPLACE "([0-9a-f][0-9a-f])" "\\\\x\\1" bytes "${bytes}")
    string(REPLACE "\n" "\"\n    \"" bytes "${bytes}")
    string(APPEND arrays "constexpr char k_${code}[] =\n    \"${bytes}\";\n")
    string(APPEND entries "        {\"${code}\", \"${own_name}\", {k_${code}, sizeof k_${code} - 1}},\n")
endforeach()
file(WRITE ${OUT} "// Made of src/base/languages/*.po while building.
#include \"base/internal/compiled_languages.h\"

namespace plumbmark::base {
namespace {
${arrays}
}  // namespace

const std::vector<CompiledLanguage>& compiled_languages() {
    static const std::vector<CompiledLanguage> all{
${entries}    };
    return all;
}

}  // namespace plumbmark::base
")
