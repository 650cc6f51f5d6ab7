// A form on the desk: fields below each other, filled in with keys alone. Without a window: pages own one,
// the panel draws it.
#pragma once

#include <cstddef>
#include <cstdint>
#include <string>
#include <vector>

namespace plumbmark::desk {

enum class FieldKind : std::uint8_t {
    text,    ///< a line to write; any letter begins it
    choice,  ///< one of a list
    toggle,  ///< yes or no
    act,     ///< does what the form is for
};

struct FormField {
    FieldKind kind = FieldKind::text;
    std::string label;
    std::string value;      ///< as people read it
    std::string hint = {};  ///< shown while it is empty
};

/// What a key asks of a form.
enum class FormAsk : std::uint8_t {
    nothing,   ///< the key means nothing here
    moved,     ///< the cursor went elsewhere, or had nowhere to go
    take_up,   ///< Enter, or Space on what is no text: write, choose, turn or do
    write_on,  ///< a letter on a text: the line opens and takes it
};

struct Form {
    std::vector<FormField> fields;
    std::size_t cursor = 0;

    /// 'key' is the place on the board (keys.h), 'mods' the modifiers.
    [[nodiscard]] FormAsk press(int key, int mods);
    void move(std::ptrdiff_t by);
};

}  // namespace plumbmark::desk
