#include "base/catalogue.h"

#include <array>
#include <atomic>
#include <cstdlib>
#include <memory>
#include <optional>

#include "base/internal/compiled_languages.h"
#include "base/internal/message_file.h"
#include "base/worded.h"

namespace plumbmark::base {
namespace {

/// Null: English, which needs no catalogue. Read by every look-up, so nothing but a pointer.
std::atomic<const MessageFile*> chosen{nullptr};
thread_local const MessageFile* speaking = nullptr;

/// Every catalogue that was compiled in, read once; never freed, so that texts stay valid.
struct Kept {
    std::vector<LanguageName> names{{"en", "English"}};
    std::vector<std::unique_ptr<const MessageFile>> files;
    Kept() {
        files.emplace_back();
        for (const CompiledLanguage& one : compiled_languages()) {
            auto read = MessageFile::read(one.bytes);
            PLUMBMARK_CHECK(read.ok());  // they were compiled in
            names.push_back({one.code, one.own_name});
            files.push_back(std::make_unique<const MessageFile>(std::move(*read)));
        }
    }
};
const Kept& kept() {
    static const Kept* const all = new Kept;
    return *all;
}

std::optional<std::size_t> index_of(std::string_view code) {
    const auto& names = kept().names;
    for (std::size_t i = 0; i < names.size(); ++i)
        if (names[i].code == code) return i;
    return std::nullopt;
}

const char* look_up(const MessageFile* file, const char* english) {
    if (file == nullptr) return english;
    const char* found = file->find(nullptr, english);
    return found != nullptr ? found : english;
}

const char* look_up_in(const MessageFile* file, const char* context, const char* english) {
    const char* found = file != nullptr ? file->find(context, english) : nullptr;
    return found != nullptr ? found : english;
}

const char* look_up(const MessageFile* file, const char* one, const char* many, std::int64_t n) {
    if (file != nullptr) {
        const auto size = n < 0 ? 0 - static_cast<std::uint64_t>(n) : static_cast<std::uint64_t>(n);
        if (const char* found = file->find_count(one, size)) return found;
    }
    return n == 1 ? one : many;
}

/// A placeholder: the number of what is filled in, and how ("", ".3f").
struct Placeholder {
    std::size_t number;
    std::string_view form;
};
/// None where the braces do not pair up, or numbers and none are mixed.
std::optional<std::vector<Placeholder>> placeholders(std::string_view text) {
    std::vector<Placeholder> found;
    std::size_t counted = 0;
    bool numbered = false;
    for (std::size_t i = 0; i < text.size(); ++i) {
        if (text[i] != '{' && text[i] != '}') continue;
        if (i + 1 < text.size() && text[i + 1] == text[i]) {
            ++i;
            continue;
        }
        const std::size_t end = text.find('}', i);
        if (text[i] == '}' || end == std::string_view::npos) return std::nullopt;
        const std::string_view inside = text.substr(i + 1, end - i - 1);
        const std::size_t colon = std::min(inside.find(':'), inside.size());
        const std::string_view number = inside.substr(0, colon);
        Placeholder one{counted, inside.substr(colon)};
        if (number.empty()) {
            ++counted;
        } else {
            if (number.find_first_not_of("0123456789") != std::string_view::npos || number.size() > 2)
                return std::nullopt;
            one.number = static_cast<std::size_t>(std::atoi(std::string(number).c_str()));
            numbered = true;
        }
        found.push_back(one);
        i = end;
    }
    if (numbered && counted > 0) return std::nullopt;
    return found;
}

bool has(const std::vector<Placeholder>& list, const Placeholder& wanted) {
    for (const Placeholder& one : list)
        if (one.number == wanted.number && one.form == wanted.form) return true;
    return false;
}

bool all_in(const std::vector<Placeholder>& list, const std::vector<Placeholder>& other) {
    for (const Placeholder& one : list)
        if (!has(other, one)) return false;
    return true;
}

}  // namespace

const std::vector<LanguageName>& languages() {
    return kept().names;
}

std::string language_of_environment() {
    for (const char* name : {"LC_ALL", "LC_MESSAGES", "LANG"}) {
        const char* value = std::getenv(name);
        if (value == nullptr || *value == '\0') continue;
        const std::string_view locale(value);
        const std::string_view code = locale.substr(0, locale.find_first_of("_.@"));
        return index_of(code) ? std::string(code) : "en";
    }
    return "en";
}

Result<void> choose_language(std::string_view code) {
    const auto index = index_of(code);
    if (!index) {
        std::string known;
        for (const LanguageName& one : languages())
            known += (known.empty() ? "" : ", ") + std::string(one.code);
        return Error{Category::not_found, worded("There is no language '{}'; there are {}.", code, known),
                     ""};
    }
    chosen.store(kept().files[*index].get(), std::memory_order_release);
    return {};
}

std::string chosen_language() {
    const MessageFile* now = chosen.load(std::memory_order_acquire);
    for (std::size_t i = 0; i < kept().files.size(); ++i)
        if (kept().files[i].get() == now) return kept().names[i].code;
    return "en";
}

bool english_is_chosen() {
    return chosen.load(std::memory_order_acquire) == nullptr;
}

const char* translate(const char* english) {
    return look_up(chosen.load(std::memory_order_acquire), english);
}

const char* translate_in(const char* context, const char* english) {
    return look_up_in(chosen.load(std::memory_order_acquire), context, english);
}

const char* translate_count(const char* one, const char* many, std::int64_t n) {
    return look_up(chosen.load(std::memory_order_acquire), one, many, n);
}

Speaking::Speaking() : before_(speaking) {
    speaking = chosen.load(std::memory_order_acquire);
}
Speaking::~Speaking() {
    speaking = static_cast<const MessageFile*>(before_);
}

bool is_speaking() {
    return speaking != nullptr;
}

const char* spoken(const char* english) {
    return look_up(speaking, english);
}

const char* spoken_in(const char* context, const char* english) {
    return look_up_in(speaking, context, english);
}

const char* spoken_count(const char* one, const char* many, std::int64_t n) {
    return look_up(speaking, one, many, n);
}

bool fills_alike(std::string_view english, std::string_view other) {
    const auto wanted = placeholders(english), given = placeholders(other);
    // A text with braces that are no placeholders is never filled in.
    if (!wanted) return true;
    return given && all_in(*given, *wanted);
}

bool fills_the_same(std::string_view english, std::string_view other) {
    const auto wanted = placeholders(english), given = placeholders(other);
    if (!wanted || !given) return !wanted && !given;
    return all_in(*given, *wanted) && all_in(*wanted, *given);
}

}  // namespace plumbmark::base
