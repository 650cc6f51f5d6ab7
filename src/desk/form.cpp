#include "desk/form.h"

#include <algorithm>

#include "desk/keys.h"

namespace plumbmark::desk {
namespace {

/// Keys that type a character: those of the board's middle, and the keypad's digits and signs.
bool types(int key) {
    constexpr int last_printed = 162;  // the two extra places of international boards
    return (key > ' ' && key <= last_printed) || (key >= key_keypad_0 && key <= key_keypad_add);
}

}  // namespace

void Form::move(std::ptrdiff_t by) {
    const auto last = static_cast<std::ptrdiff_t>(fields.size()) - 1;
    cursor = static_cast<std::size_t>(std::clamp<std::ptrdiff_t>(static_cast<std::ptrdiff_t>(cursor) + by, 0,
                                                                 std::max<std::ptrdiff_t>(0, last)));
}

FormAsk Form::press(int key, int mods) {
    if (fields.empty()) return FormAsk::nothing;
    const auto moved = [&](std::ptrdiff_t by) {
        move(by);
        return FormAsk::moved;
    };
    const bool plain = (mods & ~kShift) == 0;
    if (!plain) return FormAsk::nothing;
    const auto count = static_cast<std::ptrdiff_t>(fields.size());
    const FieldKind kind = fields[cursor].kind;
    switch (key) {
        case key_down:
            return moved(1);
        case key_up:
            return moved(-1);
        case key_tab:
            return moved((mods & kShift) != 0 ? -1 : 1);
        case key_home:
            return moved(-count);
        case key_end:
            return moved(count);
        case key_enter:
        case key_keypad_enter:
            return FormAsk::take_up;
        case ' ':
            return kind == FieldKind::text ? FormAsk::write_on : FormAsk::take_up;
        default:
            break;
    }
    if (!types(key)) return FormAsk::nothing;
    // Letters have no other meaning in a form, or a slip would do something.
    return kind == FieldKind::text ? FormAsk::write_on : FormAsk::moved;
}

}  // namespace plumbmark::desk
