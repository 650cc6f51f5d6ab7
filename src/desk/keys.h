// The one table of what the keys do. The window looks keys up in it, the help is printed from it, and a
// person may change it with a text file. Nothing here knows a window: a keyboard's layout comes in as a
// function.
#pragma once

#include <cstdint>
#include <functional>
#include <optional>
#include <string>
#include <string_view>
#include <utility>
#include <vector>

#include "base/result.h"

namespace plumbmark::desk {

/// Everything a key can ask for.
enum class Action : std::uint8_t {
    step_back,
    step_on,
    ten_back,
    ten_on,
    mark_before,
    mark_after,
    first_frame,
    last_frame,
    go_to_frame,
    play,
    slower,
    faster,
    mute,
    next_clip,
    clip_before,
    choose_run,
    add_run,
    division_and_lane,
    capture_time,
    damage,
    streams,
    left_hand,
    right_hand,
    left_foot,
    right_foot,
    other_part,
    loose_part,
    whole_athlete,
    surface_before,
    surface_after,
    plane_before,
    plane_after,
    surface_list,
    touch,
    release,
    cross,
    cross_back,
    contact_on,
    contact_off,
    signal,
    infraction,
    control,
    moment,
    tie_by_sound,
    possible,
    early_back,
    early_on,
    late_back,
    late_on,
    grade,
    note,
    alternative,
    sight_here,
    copy_mark,
    mark_list,
    remove,
    list_before,
    list_after,
    let_go,
    watched,
    watched_scope,
    station_before,
    station_after,
    open_station,
    deciding_frames,
    rests_on,
    settle_first,
    settle_second,
    settle_third,
    floor_call,
    course_book,
    take_in_book,
    what_if,
    study_run,
    zoom_in,
    zoom_out,
    fit,
    pan_left,
    pan_right,
    pan_up,
    pan_down,
    touching_yet,
    which_way,
    same_place,
    other_angles,
    best_angle,
    apart,
    brighter,
    darker,
    more_contrast,
    less_contrast,
    plain_tone,
    draw,
    follow,
    copy_drawings,
    find_camera,
    show_plan,
    point_at_mark,
    follow_mark_point,
    take_moment,
    placing,
    strip_in,
    strip_out,
    fold_strip,
    give_out,
    still,
    floor_entry,
    appeals,
    standings,
    start_list,
    review_run,
    which_rows,
    call_clear,
    call_fail,
    no_call,
    station_time,
    call_points,
    judge_name,
    give_rerun,
    entry_status,
    lodge_appeal,
    decide_appeal,
    withdraw_appeal,
    announce,
    publish,
    seal,
    take,
    undo,
    redo,
    open_file,
    recent_meets,
    preferences,
    meet,
    trials,
    season,
    theme,
    larger,
    smaller,
    usual_size,
    full_screen,
    help,
    change_keys,
    guide,
    leave,
};

/// Modifier bits, the same as the window library's.
inline constexpr int kShift = 1, kCtrl = 2, kAlt = 4;

/// A key by what is printed on it: letters by the layout's letter (T is T on every keyboard that has one),
/// the rest by place. The code is the window library's key token: ASCII for printable keys, 256 and up for
/// the others.
struct KeyPress {
    int key = 0;
    int mods = 0;
    friend auto operator<=>(const KeyPress&, const KeyPress&) = default;
};

/// Headings of the help.
enum class KeyGroup : std::uint8_t {
    going,
    hand,
    marking,
    mending,
    watching,
    sheet,
    pictures,
    meet,
    entry,
    results,
    desk
};
inline constexpr KeyGroup kKeyGroups[] = {KeyGroup::going,    KeyGroup::hand,     KeyGroup::marking,
                                          KeyGroup::mending,  KeyGroup::watching, KeyGroup::sheet,
                                          KeyGroup::pictures, KeyGroup::meet,     KeyGroup::entry,
                                          KeyGroup::results,  KeyGroup::desk};
[[nodiscard]] const char* group_words(KeyGroup group);

/// Where a key is pressed. The review of a run and the meet's own view have their keys apart, so that one key
/// may do something in each.
enum class KeyPlace : std::uint8_t { run, meet };
inline constexpr KeyPlace kKeyPlaces[] = {KeyPlace::run, KeyPlace::meet};
/// Whether the keys of this group work there; those of the desk itself work everywhere.
[[nodiscard]] bool works_in(KeyGroup group, KeyPlace place);

struct KeyBinding {
    Action action;
    KeyGroup group;
    const char* name;   ///< the word in a keys file: "step_back"
    const char* words;  ///< what it does, for help: "one frame back"
    KeyPress press;
    bool repeats = false;  ///< holding the key down repeats it
    KeyPress second = {};  ///< another key for the same, such as one of the keypad; key 0: none
};

/// The table as it comes.
[[nodiscard]] const std::vector<KeyBinding>& default_keys();

/// The name of the key at a place of the present keyboard: what it types without modifiers in UTF-8, or
/// empty. Takes the window library's key token.
using LayoutName = std::function<std::string(int key)>;

/// Key tokens without a printed character.
enum SpecialKey : int {
    key_escape = 256,
    key_enter = 257,
    key_tab = 258,
    key_backspace = 259,
    key_delete = 261,
    key_right = 262,
    key_left = 263,
    key_down = 264,
    key_up = 265,
    key_page_up = 266,
    key_page_down = 267,
    key_home = 268,
    key_end = 269,
    key_f1 = 290,
    key_keypad_0 = 320,
    key_keypad_subtract = 333,
    key_keypad_add = 334,
    key_keypad_enter = 335,
};

/// The table under one keyboard layout: which place on the board does what, and what each key is called.
///
/// Letters go by the layout's own letter where it has it, by place where the layout writes another script.
/// Comma and full stop go by character where both are reached without a modifier, else both by place. All
/// other keys go by place.
class Keymap {
  public:
    Keymap();
    explicit Keymap(std::vector<KeyBinding> bindings);

    /// Takes the names of the present layout; cheap enough for each key press.
    void set_layout(const LayoutName& name);
    /// Another table under the same layout.
    void take_bindings(std::vector<KeyBinding> bindings) { bindings_ = std::move(bindings); }

    /// What this key press asks for; none when it has no meaning.
    [[nodiscard]] std::optional<Action> find(int physical_key, int mods,
                                             KeyPlace place = KeyPlace::run) const;
    [[nodiscard]] const KeyBinding& binding(Action action) const;
    [[nodiscard]] const std::vector<KeyBinding>& bindings() const { return bindings_; }
    /// "Shift ,": how the key is written in help under the present layout.
    [[nodiscard]] std::string label(Action action) const;
    [[nodiscard]] std::string label(KeyPress press) const;
    /// The same for what is printed, whatever the window speaks.
    [[nodiscard]] std::string label_in_english(Action action) const;
    /// Actions of one place whose keys are the same under the present layout, by name; empty when all is
    /// well.
    [[nodiscard]] std::vector<std::string> clashes() const;
    /// The place on the board that a press of the table stands for.
    [[nodiscard]] int physical(int key) const;
    /// The table's key for a place on the board, the other way round; none where no key of a table stands for
    /// it.
    [[nodiscard]] std::optional<int> key_at(int physical_key) const;

  private:
    [[nodiscard]] std::string label_of(KeyPress press, bool english) const;

    std::vector<KeyBinding> bindings_;
    std::vector<int> physical_;         ///< by ASCII code of the table's key
    std::vector<std::string> printed_;  ///< by physical key below 128: its name under the layout
};

/// How a keys file writes a key: "Shift Left".
[[nodiscard]] std::string key_words(KeyPress press);

/// A person's own keys: lines "step_back = Shift Left", '#' begins a remark. Names not mentioned keep their
/// keys. Errors name the line, what was found and what is expected, also when two actions would share a key.
[[nodiscard]] base::Result<std::vector<KeyBinding>> read_keys(std::string_view text, const std::string& file);

/// The whole table as such a text, to begin from.
[[nodiscard]] std::string write_keys(const std::vector<KeyBinding>& bindings);

}  // namespace plumbmark::desk
