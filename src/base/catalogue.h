// The language in which the window speaks. English stands in the source and is the key; other languages are
// message catalogues in GNU gettext's binary format ('The Format of GNU MO Files', GNU gettext manual 0.21,
// section 10.3), which are compiled into the program. See docs/languages.md.
//
// What is stored, sealed, exported, printed or compared is English whatever is chosen here: a module that
// writes such things asks 'spoken', which is English unless somebody opened a Speaking on the same thread.
//
// Threads: languages are made on first use and kept until the process ends, so a text that was looked up
// stays valid. choose_language belongs to the window's thread, between two frames; everything else may be
// called from any thread and takes no lock.
#pragma once

#include <cstdint>
#include <string>
#include <string_view>
#include <vector>

#include "base/result.h"

namespace plumbmark::base {

struct LanguageName {
    const char* code;      ///< as in ISO 639-1: "en", "de"
    const char* own_name;  ///< as its speakers write it
};

/// English first, then every catalogue that was compiled in.
[[nodiscard]] const std::vector<LanguageName>& languages();

/// The language that the environment asks for (LC_ALL, else LC_MESSAGES, else LANG; POSIX.1-2017, 8.2), where
/// there is a catalogue of it; else "en".
[[nodiscard]] std::string language_of_environment();

/// What 'translate' speaks from now on. Errors: not_found, with the languages that there are.
Result<void> choose_language(std::string_view code);
[[nodiscard]] std::string chosen_language();
/// Whether 'translate' has nothing to look up.
[[nodiscard]] bool english_is_chosen();

/// The text in the chosen language, or the English itself where the catalogue does not have it. An English
/// text that is handed through comes back as it is; a translated one is valid until the process ends.
[[nodiscard]] const char* translate(const char* english);
/// Where one English text has two meanings, 'context' says which.
[[nodiscard]] const char* translate_in(const char* context, const char* english);
/// The form that goes with 'n', by the rule of the language.
[[nodiscard]] const char* translate_count(const char* one, const char* many, std::int64_t n);

/// While it lives, 'spoken' and the like on this thread speak the chosen language instead of English.
/// For the window, where it asks other modules for sentences that are only shown.
class Speaking {
  public:
    Speaking();
    ~Speaking();
    Speaking(const Speaking&) = delete;
    Speaking& operator=(const Speaking&) = delete;

  private:
    const void* before_;
};
/// Whether 'spoken' speaks another language than English on this thread: else nothing need be made twice.
[[nodiscard]] bool is_speaking();
/// As translate, for the modules beneath the window: English unless this thread is Speaking.
[[nodiscard]] const char* spoken(const char* english);
[[nodiscard]] const char* spoken_in(const char* context, const char* english);
[[nodiscard]] const char* spoken_count(const char* one, const char* many, std::int64_t n);

/// Marks a text of a table for the catalogue; it is looked up where it is shown.
[[nodiscard]] constexpr const char* to_translate(const char* english) {
    return english;
}

/// True when 'other' can be filled in like 'english': it names no placeholder that the English does not have,
/// each with the same format. The English counts them ("{} of {}"), another language may name them by number
/// ("{1} von {0}"). A translation that fails this is not used.
[[nodiscard]] bool fills_alike(std::string_view english, std::string_view other);
/// Also none left out.
[[nodiscard]] bool fills_the_same(std::string_view english, std::string_view other);

}  // namespace plumbmark::base
