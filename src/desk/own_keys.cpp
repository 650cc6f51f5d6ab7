#include "desk/own_keys.h"

#include <fmt/format.h>

#include <algorithm>
#include <set>

#include "base/text.h"
#include "desk/internal/say.h"

namespace plumbmark::desk {
namespace {

using base::Category;
using base::Error;

constexpr std::string_view kBlanks = " \t\r";

bool share_a_place(KeyGroup a, KeyGroup b) {
    return std::any_of(std::begin(kKeyPlaces), std::end(kKeyPlaces),
                       [&](KeyPlace place) { return works_in(a, place) && works_in(b, place); });
}

const KeyBinding* usual(std::string_view name) {
    const auto& table = default_keys();
    const auto found =
        std::find_if(table.begin(), table.end(), [&](const auto& b) { return b.name == name; });
    return found == table.end() ? nullptr : &*found;
}

}  // namespace

bool has_usual_key(const KeyBinding& binding) {
    const KeyBinding* as_it_comes = usual(binding.name);
    return as_it_comes && as_it_comes->press == binding.press && as_it_comes->second == binding.second;
}

base::Result<KeyChange> with_key(const Keymap& keys, Action action, int physical_key, int mods) {
    const auto key = keys.key_at(physical_key);
    if (!key)
        return Error{
            Category::bad_input,
            tr("That key cannot be given. Letters, digits, signs, arrows, F keys and the keypad can, alone "
               "or with Ctrl, Alt and Shift."),
            ""};
    const KeyPress wanted{*key, mods & (kShift | kCtrl | kAlt)};
    KeyChange change{keys.bindings(), {}};
    const auto target = std::find_if(change.bindings.begin(), change.bindings.end(),
                                     [&](const auto& b) { return b.action == action; });
    const KeyPress old = target->press;
    if (old == wanted) return change;
    const auto is_wanted = [&](KeyPress press) {
        return press.key != 0 && press.mods == wanted.mods && keys.physical(press.key) == physical_key;
    };
    for (KeyBinding& other : change.bindings) {
        if (other.action == action || !share_a_place(other.group, target->group)) continue;
        if (is_wanted(other.second)) other.second = {};
        if (!is_wanted(other.press)) continue;
        other.press = old;
        change.exchanged.push_back(other.action);
    }
    target->press = wanted;
    target->second = {};
    // Whoever comes back to the usual key has the keypad's again, where nobody took it.
    Keymap changed = keys;
    for (KeyBinding& binding : change.bindings) {
        const KeyBinding* as_it_comes = usual(binding.name);
        if (binding.press != as_it_comes->press || binding.second == as_it_comes->second) continue;
        const KeyPress now = binding.second;
        binding.second = as_it_comes->second;
        changed.take_bindings(change.bindings);
        if (!changed.clashes().empty()) binding.second = now;
    }
    changed.take_bindings(change.bindings);
    const auto clashes = changed.clashes();
    if (!clashes.empty())
        return Error{Category::bad_input,
                     tr("{} cannot be exchanged: then {} would share a key. Choose another.",
                        keys.label(wanted), base::listed(clashes, tr("and"))),
                     ""};
    return change;
}

std::string own_keys_text(std::string_view before, const std::vector<KeyBinding>& bindings) {
    std::string text;
    std::set<std::string, std::less<>> named;
    const auto line_of = [&](const KeyBinding& binding) {
        return fmt::format("{} = {}", binding.name, key_words(binding.press));
    };
    if (before.empty()) text = "# Own keys of the desk: one action a line. '#' begins a remark.\n";
    while (!before.empty()) {
        const std::size_t end = std::min(before.find('\n'), before.size());
        const std::string_view line = before.substr(0, end);
        before.remove_prefix(std::min(end + 1, before.size()));
        const std::size_t remark = line.find('#');
        const std::string_view said = base::trimmed(line.substr(0, remark), kBlanks);
        const std::string name(base::trimmed(said.substr(0, said.find('=')), kBlanks));
        const auto found =
            std::find_if(bindings.begin(), bindings.end(), [&](const auto& b) { return b.name == name; });
        if (found == bindings.end()) {
            text += std::string(line) + "\n";
            continue;
        }
        // A later line of the same name would win.
        if (has_usual_key(*found) || !named.insert(name).second) continue;
        text += line_of(*found);
        if (remark != std::string_view::npos) text += "  " + std::string(line.substr(remark));
        text += "\n";
    }
    for (const KeyBinding& binding : bindings)
        if (!has_usual_key(binding) && !named.contains(binding.name)) text += line_of(binding) + "\n";
    return text;
}

}  // namespace plumbmark::desk
