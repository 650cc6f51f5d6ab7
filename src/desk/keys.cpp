#include "desk/keys.h"

#include <fmt/format.h>

#include <algorithm>
#include <map>
#include <utility>

#include "base/catalogue.h"
#include "base/check.h"
#include "base/text.h"
#include "base/utf8.h"
#include "desk/internal/say.h"

namespace plumbmark::desk {
namespace {

constexpr int kPrintable = 128;
constexpr int kLastPlace = 96;  ///< the last place on the board that types a character: '`'

struct NamedKey {
    int key;
    const char* label;
};
constexpr NamedKey kNamed[] = {
    {' ', base::to_translate("Space")},
    {key_escape, base::to_translate("Esc")},
    {key_enter, base::to_translate("Enter")},
    {key_tab, base::to_translate("Tab")},
    {key_backspace, base::to_translate("Backspace")},
    {key_delete, base::to_translate("Delete")},
    {key_right, base::to_translate("Right")},
    {key_left, base::to_translate("Left")},
    {key_down, base::to_translate("Down")},
    {key_up, base::to_translate("Up")},
    {key_page_up, base::to_translate("PageUp")},
    {key_page_down, base::to_translate("PageDown")},
    {key_home, base::to_translate("Home")},
    {key_end, base::to_translate("End")},
    {key_keypad_subtract, base::to_translate("Keypad-")},
    {key_keypad_add, base::to_translate("Keypad+")},
    {key_keypad_enter, base::to_translate("KeypadEnter")},
};

/// Capitals as they are printed on keys: Latin, Greek and Cyrillic letters, which is all that keyboards with
/// a letter on the key show in capitals.
std::string capital(const std::string& name) {
    const std::u32string points = base::code_points(name);
    if (points.size() != 1) return name;
    char32_t c = points[0];
    if ((c >= U'a' && c <= U'z') || (c >= 0xE0 && c <= 0xFE && c != 0xF7) ||
        (c >= 0x3B1 && c <= 0x3C9 && c != 0x3C2) || (c >= 0x430 && c <= 0x44F))
        c -= 0x20;
    else if (c >= 0x450 && c <= 0x45F)
        c -= 0x50;
    std::string out;
    base::append_utf8(out, c);
    return out;
}

std::string key_word(int key) {
    for (const NamedKey& named : kNamed)
        if (named.key == key) return named.label;
    if (key >= key_f1 && key < key_f1 + 25) return fmt::format("F{}", key - key_f1 + 1);
    if (key >= key_keypad_0 && key <= key_keypad_0 + 9) return fmt::format("Keypad{}", key - key_keypad_0);
    return std::string(1, static_cast<char>(key));
}

/// As key_word, for people: in their language, where files keep to the English.
std::string shown_key_word(int key) {
    if (key >= key_keypad_0 && key <= key_keypad_0 + 9) return tr("Keypad{}", key - key_keypad_0);
    for (const NamedKey& named : kNamed)
        if (named.key == key) return tr(named.label);
    return key_word(key);
}

std::optional<int> key_from_word(const std::string& word) {
    for (const NamedKey& named : kNamed)
        if (word == named.label) return named.key;
    for (int n = 1; n <= 25; ++n)
        if (word == fmt::format("F{}", n)) return key_f1 + n - 1;
    for (int n = 0; n <= 9; ++n)
        if (word == fmt::format("Keypad{}", n)) return key_keypad_0 + n;
    if (word.size() == 1 && word[0] > ' ' && word[0] < 127) return capital(word)[0];
    return std::nullopt;
}

std::string mods_words(int mods) {
    std::string words;
    if (mods & kCtrl) words += "Ctrl ";
    if (mods & kAlt) words += "Alt ";
    if (mods & kShift) words += "Shift ";
    return words;
}

std::string shown_mods_words(int mods) {
    std::string words;
    if (mods & kCtrl) words += tr("Ctrl ");
    if (mods & kAlt) words += tr("Alt ");
    if (mods & kShift) words += tr("Shift ");
    return words;
}

std::optional<KeyPress> press_from_words(std::string_view text) {
    KeyPress press;
    std::size_t at = 0;
    while (at < text.size()) {
        const std::size_t end = std::min(text.find(' ', at), text.size());
        const std::string word(text.substr(at, end - at));
        at = end + 1;
        if (word.empty()) continue;
        if (press.key != 0) return std::nullopt;
        if (word == "Ctrl")
            press.mods |= kCtrl;
        else if (word == "Alt")
            press.mods |= kAlt;
        else if (word == "Shift")
            press.mods |= kShift;
        else if (const auto key = key_from_word(word))
            press.key = *key;
        else
            return std::nullopt;
    }
    if (press.key == 0) return std::nullopt;
    return press;
}

constexpr std::string_view kBlanks = " \t\r";

base::Error line_error(const std::string& file, int line, const std::string& sentence) {
    return {base::Category::bad_input, sentence, fmt::format("{}:{}", file, line)};
}

base::Result<void> take_line(std::vector<KeyBinding>& bindings, std::string_view line,
                             const std::string& file, int n) {
    const auto equals = line.find('=');
    if (equals == std::string_view::npos)
        return line_error(file, n, tr("expected a line like 'touch = T', found '{}'", line));
    const std::string name(base::trimmed(line.substr(0, equals), kBlanks));
    const std::string words(base::trimmed(line.substr(equals + 1), kBlanks));
    const auto found =
        std::find_if(bindings.begin(), bindings.end(), [&](const auto& b) { return b.name == name; });
    if (found == bindings.end()) {
        std::vector<std::string> known;
        for (const KeyBinding& binding : bindings)
            known.emplace_back(binding.name);
        const auto nearest = base::nearest_name(name, known);
        return line_error(file, n,
                          nearest ? tr("'{}' is nothing a key can do; did you mean '{}'?", name, *nearest)
                                  : tr("'{}' is nothing a key can do", name));
    }
    const auto press = press_from_words(words);
    if (!press)
        return line_error(file, n,
                          tr("'{}' is not a key; write it like 'T', 'Shift Left' or 'Ctrl F5'", words));
    found->press = *press;
    found->second = {};
    return {};
}

}  // namespace

Keymap::Keymap() : Keymap(default_keys()) {}

Keymap::Keymap(std::vector<KeyBinding> bindings) : bindings_(std::move(bindings)) {
    set_layout({});
}

void Keymap::set_layout(const LayoutName& name) {
    physical_.assign(kPrintable, 0);
    printed_.assign(kPrintable, {});
    std::map<std::string, int> place_of;
    for (int key = kPrintable - 1; key > ' '; --key) {
        physical_[static_cast<std::size_t>(key)] = key;
        if (!name || key > kLastPlace) continue;
        printed_[static_cast<std::size_t>(key)] = name(key);
        if (!printed_[static_cast<std::size_t>(key)].empty())
            place_of[printed_[static_cast<std::size_t>(key)]] = key;
    }
    for (int key = 'A'; key <= 'Z'; ++key) {
        const auto found = place_of.find(std::string(1, static_cast<char>(key + 32)));
        if (found != place_of.end()) physical_[static_cast<std::size_t>(key)] = found->second;
    }
    // A pair that belongs together moves together, else one end of a bracket would go by place and the other
    // not.
    if (place_of.contains(",") && place_of.contains(".")) {
        physical_[','] = place_of[","];
        physical_['.'] = place_of["."];
    }
    if (place_of.contains("-")) physical_['-'] = place_of["-"];
    for (const char* plus : {"=", "+"})
        if (place_of.contains(plus)) physical_['='] = place_of[plus];
}

int Keymap::physical(int key) const {
    return key > ' ' && key < kPrintable ? physical_[static_cast<std::size_t>(key)] : key;
}

std::optional<int> Keymap::key_at(int physical_key) const {
    if (physical_key <= ' ' || physical_key >= kPrintable)
        return key_from_word(key_word(physical_key)) == physical_key ? std::optional(physical_key)
                                                                     : std::nullopt;
    const auto stands_for = [&](int key) { return physical(key) == physical_key; };
    // A letter by what is printed on it, before a sign that goes by its place.
    for (int key = 'A'; key <= 'Z'; ++key)
        if (stands_for(key)) return key;
    for (int key = ' ' + 1; key <= kLastPlace; ++key)
        if (stands_for(key)) return key;
    return std::nullopt;
}

std::optional<Action> Keymap::find(int physical_key, int mods, KeyPlace where) const {
    const int wanted = mods & (kShift | kCtrl | kAlt);
    for (const KeyBinding& binding : bindings_) {
        if (!works_in(binding.group, where)) continue;
        if (physical(binding.press.key) == physical_key && binding.press.mods == wanted)
            return binding.action;
        if (binding.second.key != 0 && physical(binding.second.key) == physical_key &&
            binding.second.mods == wanted)
            return binding.action;
    }
    return std::nullopt;
}

const KeyBinding& Keymap::binding(Action action) const {
    const auto found =
        std::find_if(bindings_.begin(), bindings_.end(), [&](const auto& b) { return b.action == action; });
    PLUMBMARK_CHECK(found != bindings_.end());
    return *found;
}

std::string Keymap::label(Action action) const {
    return label(binding(action).press);
}

std::string Keymap::label(KeyPress press) const {
    return label_of(press, false);
}

std::string Keymap::label_in_english(Action action) const {
    return label_of(binding(action).press, true);
}

std::string Keymap::label_of(KeyPress press, bool english) const {
    const int place = physical(press.key);
    std::string word = english ? key_word(press.key) : shown_key_word(press.key);
    if (place > ' ' && place < kPrintable) {
        const std::string& printed = printed_[static_cast<std::size_t>(place)];
        const bool digit = press.key >= '0' && press.key <= '9';  // the top row says its digit on every board
        if (!printed.empty() && !digit) word = capital(printed);
    }
    return (english ? mods_words(press.mods) : shown_mods_words(press.mods)) + word;
}

std::vector<std::string> Keymap::clashes() const {
    std::vector<std::string> found;
    for (const KeyPlace where : kKeyPlaces) {
        std::map<KeyPress, std::string> taken;
        const auto claim = [&](KeyPress press, const char* name) {
            if (press.key == 0) return;
            press.key = physical(press.key);
            const auto [place, fresh] = taken.emplace(press, name);
            const std::string both = tr("{} and {}", place->second, name);
            if (!fresh && std::find(found.begin(), found.end(), both) == found.end()) found.push_back(both);
        };
        for (const KeyBinding& binding : bindings_) {
            if (!works_in(binding.group, where)) continue;
            claim(binding.press, binding.name);
            claim(binding.second, binding.name);
        }
    }
    return found;
}

base::Result<std::vector<KeyBinding>> read_keys(std::string_view text, const std::string& file) {
    std::vector<KeyBinding> bindings = default_keys();
    int number = 0;
    while (!text.empty()) {
        ++number;
        const std::size_t end = std::min(text.find('\n'), text.size());
        std::string_view line = text.substr(0, end);
        text.remove_prefix(std::min(end + 1, text.size()));
        line = base::trimmed(line.substr(0, line.find('#')), kBlanks);
        if (line.empty()) continue;
        if (auto taken = take_line(bindings, line, file, number); !taken) return taken.error();
    }
    const auto clashes = Keymap(bindings).clashes();
    if (!clashes.empty())
        return base::Error{base::Category::bad_input,
                           tr("two actions share a key: {}", base::listed(clashes, tr("and"))), file};
    return bindings;
}

std::string write_keys(const std::vector<KeyBinding>& bindings) {
    std::string text = "# Keys of the desk: one action a line. '#' begins a remark.\n";
    for (const KeyBinding& binding : bindings)
        text += fmt::format("{} = {}\n", binding.name, key_words(binding.press));
    return text;
}

std::string key_words(KeyPress press) {
    return mods_words(press.mods) + key_word(press.key);
}

}  // namespace plumbmark::desk
