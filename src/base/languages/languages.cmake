# Languages of the window: src/base/languages/*.po become binary catalogues with GNU gettext's msgfmt, and those become a
# source of the module base. So a program that was built and one that was installed find them alike: in itself.
#
# Target 'update-catalogue' makes src/base/languages/plumbmark.pot of the sources anew and merges it into every *.po.
# docs/languages.md says how a text and how a language is added.
find_program(PLUMBMARK_MSGFMT msgfmt)
if(NOT PLUMBMARK_MSGFMT)
    message(FATAL_ERROR "msgfmt is missing, which the languages are compiled with: install the package gettext.")
endif()

set(PLUMBMARK_LANGUAGES ${CMAKE_SOURCE_DIR}/src/base/languages)
file(GLOB language_sources CONFIGURE_DEPENDS ${PLUMBMARK_LANGUAGES}/*.po)
set(language_catalogues)
foreach(source ${language_sources})
    get_filename_component(code ${source} NAME_WE)
    set(catalogue ${CMAKE_BINARY_DIR}/languages/${code}.mo)
    add_custom_command(OUTPUT ${catalogue}
                       COMMAND ${CMAKE_COMMAND} -E make_directory ${CMAKE_BINARY_DIR}/languages
                       COMMAND ${PLUMBMARK_MSGFMT} --check --endianness=little -o ${catalogue} ${source}
                       DEPENDS ${source} VERBATIM)
    list(APPEND language_catalogues ${catalogue})
endforeach()

set(PLUMBMARK_COMPILED_LANGUAGES ${CMAKE_BINARY_DIR}/languages/compiled_languages.cpp)
add_custom_command(OUTPUT ${PLUMBMARK_COMPILED_LANGUAGES}
                   COMMAND ${CMAKE_COMMAND} -DOUT=${PLUMBMARK_COMPILED_LANGUAGES} "-DCATALOGUES=${language_catalogues}"
                           -DNAMES=${PLUMBMARK_LANGUAGES}/names.txt -P ${PLUMBMARK_LANGUAGES}/compile_in.cmake
                   DEPENDS ${language_catalogues} ${PLUMBMARK_LANGUAGES}/names.txt ${PLUMBMARK_LANGUAGES}/compile_in.cmake
                   VERBATIM)

# A catalogue is longer than every compiler has to take in one literal; those that build this project take it.
set_source_files_properties(${PLUMBMARK_COMPILED_LANGUAGES} PROPERTIES COMPILE_OPTIONS -Wno-overlength-strings)

add_custom_target(update-catalogue COMMAND ${PLUMBMARK_LANGUAGES}/update-catalogue
                  WORKING_DIRECTORY ${CMAKE_SOURCE_DIR} VERBATIM)
