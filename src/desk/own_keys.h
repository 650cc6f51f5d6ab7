// Changing what a key does: what the change would be, and how it stands in a person's own file. Nothing here
// knows a window.
#pragma once

#include <string>
#include <string_view>
#include <vector>

#include "base/result.h"
#include "desk/keys.h"

namespace plumbmark::desk {

struct KeyChange {
    std::vector<KeyBinding> bindings;  ///< the whole table, changed
    std::vector<Action> exchanged;     ///< who had the key before, and has the action's old one now
};

/// The table once 'action' has the key pressed at this place of the keyboard, under the map's layout. Who had
/// the key gets the old one in exchange, where one of the two works where the other does; a second key (of
/// the keypad) is dropped. Errors (bad_input): a key that has no name in a keys file (a modifier alone, a
/// media key, one that this layout types nothing with), and an exchange that would leave two actions with one
/// key.
[[nodiscard]] base::Result<KeyChange> with_key(const Keymap& keys, Action action, int physical_key, int mods);

/// The text of a keys file that gives this table, made of the one that is there ('before', may be empty):
/// remarks and the order of lines stay, actions with their usual key are not named.
[[nodiscard]] std::string own_keys_text(std::string_view before, const std::vector<KeyBinding>& bindings);

/// This action has the keys that it comes with.
[[nodiscard]] bool has_usual_key(const KeyBinding& binding);

}  // namespace plumbmark::desk
