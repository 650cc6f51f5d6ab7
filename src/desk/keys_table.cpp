#include "desk/keys.h"

namespace plumbmark::desk {
namespace {

using enum Action;
using G = KeyGroup;

constexpr int f(int n) {
    return key_f1 + n - 1;
}

std::vector<KeyBinding> going() {
    return {
        {step_on, G::going, "step_on", "one frame on", {key_right, 0}, true},
        {step_back, G::going, "step_back", "one frame back", {key_left, 0}, true},
        {ten_on, G::going, "ten_on", "ten frames on", {key_right, kShift}, true},
        {ten_back, G::going, "ten_back", "ten frames back", {key_left, kShift}, true},
        {mark_after, G::going, "mark_after", "to the next mark", {key_right, kCtrl}, true},
        {mark_before, G::going, "mark_before", "to the mark before", {key_left, kCtrl}, true},
        {first_frame, G::going, "first_frame", "to the first frame", {key_home, 0}},
        {last_frame, G::going, "last_frame", "to the last frame", {key_end, 0}},
        {go_to_frame, G::going, "go_to_frame", "to a frame by its number", {'G', kCtrl}},
        {play, G::going, "play", "play, and stop", {' ', 0}},
        {slower, G::going, "slower", "play slower (down to 1/8)", {f(3), 0}},
        {faster, G::going, "faster", "play faster (up to 2 times)", {f(4), 0}},
        {mute, G::going, "mute", "sound off, and on (heard at real time)", {'M', kCtrl}},
        {next_clip, G::going, "next_clip", "the next clip of this run", {key_tab, 0}},
        {clip_before, G::going, "clip_before", "the clip before", {key_tab, kShift}},
        {choose_run, G::going, "choose_run", "choose a run", {'R', kCtrl}},
        {add_run, G::going, "add_run", "a further run on these clips", {'N', kCtrl}},
        {division_and_lane, G::going, "division_and_lane", "the run's division and lane", {'L', kCtrl}},
        {streams, G::going, "streams", "choose among the file's pictures and sounds", {'T', kCtrl}},
        {capture_time, G::going, "capture_time", "say when a slowed clip was taken", {'T', kCtrl | kShift}},
        {damage, G::going, "damage", "what is wrong with the clip's file", {'D', kCtrl}},
    };
}

std::vector<KeyBinding> hand() {
    return {
        {left_hand, G::hand, "left_hand", "left hand", {'1', 0}, false, {key_keypad_0 + 1, 0}},
        {right_hand, G::hand, "right_hand", "right hand", {'2', 0}, false, {key_keypad_0 + 2, 0}},
        {left_foot, G::hand, "left_foot", "left foot", {'3', 0}, false, {key_keypad_0 + 3, 0}},
        {right_foot, G::hand, "right_foot", "right foot", {'4', 0}, false, {key_keypad_0 + 4, 0}},
        {other_part, G::hand, "other", "other: knee, trunk, head", {'5', 0}, false, {key_keypad_0 + 5, 0}},
        {loose_part, G::hand, "loose", "loose: hair, clothing, gear", {'6', 0}, false, {key_keypad_0 + 6, 0}},
        {whole_athlete,
         G::hand,
         "whole_athlete",
         "the whole athlete (planes)",
         {'0', 0},
         false,
         {key_keypad_0 + 0, 0}},
        {surface_after, G::hand, "surface_after", "the next surface", {key_page_down, 0}, true},
        {surface_before, G::hand, "surface_before", "the surface before", {key_page_up, 0}, true},
        {plane_after, G::hand, "plane_after", "the next plane", {key_page_down, kShift}, true},
        {plane_before, G::hand, "plane_before", "the plane before", {key_page_up, kShift}, true},
        {surface_list, G::hand, "surface_list", "choose a surface or plane by name", {'E', 0}},
    };
}

std::vector<KeyBinding> marking() {
    return {
        {touch, G::marking, "touch", "touch: it comes onto the surface", {'T', 0}},
        {release, G::marking, "release", "release: it leaves the surface", {'R', 0}},
        {cross, G::marking, "cross", "cross: it is past the plane", {'X', 0}},
        {cross_back, G::marking, "cross_back", "it is back behind the plane", {'X', kShift}},
        {contact_on, G::marking, "contact_on", "at this frame it is on the surface", {'O', 0}},
        {contact_off, G::marking, "contact_off", "at this frame it is off the surface", {'O', kShift}},
        {signal, G::marking, "signal", "signal: start, finish, run over", {'S', 0}},
        {infraction, G::marking, "infraction", "infraction that a judge names", {'I', 0}},
        {control, G::marking, "control", "control: in control on the landing", {'C', 0}},
        {moment, G::marking, "moment", "a moment that clips share: a clap, a light", {'S', kShift}},
        {tie_by_sound, G::marking, "tie_by_sound", "tie the other clips to this one by sound", {'Y', kCtrl}},
    };
}

std::vector<KeyBinding> mending() {
    return {
        {early_back, G::mending, "early_back", "early end one frame earlier", {',', 0}, true},
        {early_on, G::mending, "early_on", "early end one frame later", {'.', 0}, true},
        {late_back, G::mending, "late_back", "late end one frame earlier", {',', kShift}, true},
        {late_on, G::mending, "late_on", "late end one frame later", {'.', kShift}, true},
        {possible, G::mending, "possible", "possible: it may not have happened", {'P', 0}},
        {grade, G::mending, "grade", "brush, weight or not said", {'G', 0}},
        {alternative, G::mending, "alternative", "add: or was it another surface?", {'A', 0}},
        {sight_here, G::mending, "sight_here", "mark the same event on this clip too", {'H', 0}},
        {copy_mark,
         G::mending,
         "copy_mark",
         "copy it to the other camera, as wide as the tie",
         {'H', kShift}},
        {note, G::mending, "note", "write a note on it", {'N', 0}},
        {remove, G::mending, "remove", "take the chosen mark away", {key_delete, 0}},
        {mark_list, G::mending, "mark_list", "list of all that is marked", {'J', kCtrl}},
        {list_after, G::mending, "list_after", "choose the next mark", {key_down, kCtrl}, true},
        {list_before, G::mending, "list_before", "choose the mark before", {key_up, kCtrl}, true},
    };
}

std::vector<KeyBinding> watching_and_sheet() {
    return {
        {watched, G::watching, "watched", "watched from here; again: to here", {'W', 0}},
        {watched_scope, G::watching, "watched_scope", "what the watching covers", {'W', kShift}},
        {station_after, G::sheet, "station_after", "the next station", {key_down, kShift}, true},
        {station_before, G::sheet, "station_before", "the station before", {key_up, kShift}, true},
        {open_station, G::sheet, "open_station", "open or fold the station", {'V', 0}},
        {deciding_frames, G::sheet, "deciding_frames", "to the frames that decide", {'J', 0}},
        {rests_on, G::sheet, "rests_on", "through the marks it rests on", {'M', 0}},
        {settle_first, G::sheet, "settle_first", "to what would settle it", {f(5), 0}},
        {settle_second, G::sheet, "settle_second", "the second way to settle it", {f(6), 0}},
        {settle_third, G::sheet, "settle_third", "the third way to settle it", {f(7), 0}},
        {floor_call, G::sheet, "floor_call", "enter the floor call", {'F', 0}},
        {course_book, G::sheet, "course_book", "what is to be looked at in the course book", {'B', kCtrl}},
        {take_in_book, G::sheet, "take_in_book", "take in the changed course book", {'B', kCtrl | kShift}},
        {what_if, G::sheet, "what_if", "what would another course book change?", {'W', kCtrl}},
    };
}

std::vector<KeyBinding> pictures() {
    return {
        {zoom_in, G::pictures, "zoom_in", "closer, at the pointer", {'Z', 0}, true},
        {zoom_out, G::pictures, "zoom_out", "further away", {'Z', kShift}, true},
        {fit, G::pictures, "fit", "the whole picture", {'K', 0}},
        {pan_left, G::pictures, "pan_left", "move the view left", {key_left, kAlt}, true},
        {pan_right, G::pictures, "pan_right", "move the view right", {key_right, kAlt}, true},
        {pan_up, G::pictures, "pan_up", "move the view up", {key_up, kAlt}, true},
        {pan_down, G::pictures, "pan_down", "move the view down", {key_down, kAlt}, true},
        {touching_yet, G::pictures, "touching_yet", "touching yet? both frames of the bracket", {'Q', 0}},
        {which_way, G::pictures, "which_way", "which way? the last frames under this one", {'Y', 0}},
        {same_place, G::pictures, "same_place", "same place? what differs from the frame before", {'L', 0}},
        {other_angles, G::pictures, "other_angles", "the other cameras beside it, or not", {'U', 0}},
        {best_angle, G::pictures, "best_angle", "to the camera that shows it best", {'U', kCtrl}},
        {apart, G::pictures, "apart", "step this camera alone, or all together", {'U', kShift}},
        {brighter, G::pictures, "brighter", "show it brighter", {key_page_up, kAlt}, true},
        {darker, G::pictures, "darker", "show it darker", {key_page_down, kAlt}, true},
        {more_contrast,
         G::pictures,
         "more_contrast",
         "show it with more contrast",
         {key_page_up, kCtrl},
         true},
        {less_contrast,
         G::pictures,
         "less_contrast",
         "show it with less contrast",
         {key_page_down, kCtrl},
         true},
        {plain_tone, G::pictures, "plain_tone", "show it as it is", {key_home, kAlt}},
        {draw, G::pictures, "draw", "draw a surface or plane", {'D', 0}},
        {follow, G::pictures, "follow", "drawings follow the scene, or not", {'F', kCtrl}},
        {copy_drawings, G::pictures, "copy_drawings", "take over another clip's drawings", {'K', kCtrl}},
        {strip_in, G::pictures, "strip_in", "run strip: less time, more detail", {key_up, 0}, true},
        {strip_out, G::pictures, "strip_out", "run strip: more time", {key_down, 0}, true},
        {fold_strip, G::pictures, "fold_strip", "fold the run strip for larger pictures", {'B', 0}},
        {give_out, G::pictures, "export", "give out a clip, a still or the marks", {'E', kCtrl}},
        {still, G::pictures, "still", "this frame as a still", {'P', kCtrl}},
    };
}

std::vector<KeyBinding> the_meet() {
    return {
        {floor_entry, G::meet, "floor_entry", "calls and times from the floor", {f(5), 0}},
        {appeals, G::meet, "appeals", "appeals", {f(6), 0}},
        {standings, G::meet, "standings", "standings", {f(7), 0}},
        {start_list, G::meet, "start_list", "take in a start list", {'L', kCtrl}},
        {review_run, G::meet, "review_run", "review this run", {'V', 0}},
        {which_rows, G::meet, "which_rows", "which round, division and heat are shown", {'L', 0}},
        {call_clear, G::entry, "call_clear", "this station is called clear", {'C', 0}},
        {call_fail, G::entry, "call_fail", "this station is called a fail", {'F', 0}},
        {no_call, G::entry, "no_call", "no call, or no time", {'-', 0}, false, {key_delete, 0}},
        {station_time, G::entry, "station_time", "the clock's time at this station", {'T', 0}},
        {call_points, G::entry, "call_points", "points that a fail came to", {'P', 0}},
        {judge_name, G::entry, "judge_name", "who gives the calls from now on", {'J', 0}},
        {give_rerun, G::entry, "give_rerun", "a re-run", {'R', 0}},
        {entry_status, G::entry, "entry_status", "not started, withdrawn, disqualified", {'S', 0}},
        {lodge_appeal, G::results, "lodge_appeal", "lodge an appeal", {'N', 0}},
        {decide_appeal, G::results, "decide_appeal", "decide the appeal", {'D', 0}},
        {withdraw_appeal, G::results, "withdraw_appeal", "withdraw the appeal", {'W', 0}},
        {announce, G::results, "announce", "announce the results, not yet official", {'A', 0}},
        {publish, G::results, "publish", "give the results out as official", {'O', 0}},
        {seal, G::results, "seal", "seal the record, with what was given out", {'K', 0}},
    };
}

std::vector<KeyBinding> desk_itself() {
    return {
        {take, G::desk, "take", "take what is offered", {key_enter, 0}, false, {key_keypad_enter, 0}},
        {let_go, G::desk, "let_go", "let go, close, leave", {key_escape, 0}},
        {undo, G::desk, "undo", "undo", {'Z', kCtrl}, true},
        {redo, G::desk, "redo", "redo", {'Z', kCtrl | kShift}, true},
        {meet, G::desk, "meet", "the meet, and back to the run", {f(8), 0}},
        {open_file, G::desk, "open_file", "open a meet, clip or course book", {'O', kCtrl}},
        {recent_meets, G::desk, "recent_meets", "open a meet that was open before", {'O', kCtrl | kShift}},
        {preferences, G::desk, "preferences", "preferences", {f(10), 0}},
        {theme, G::desk, "theme", "dark, light, high contrast", {f(2), 0}},
        {larger, G::desk, "larger", "everything larger", {'=', kCtrl}, true, {key_keypad_add, kCtrl}},
        {smaller, G::desk, "smaller", "everything smaller", {'-', kCtrl}, true, {key_keypad_subtract, kCtrl}},
        {usual_size, G::desk, "usual_size", "the usual size", {'0', kCtrl}, false, {key_keypad_0, kCtrl}},
        {full_screen, G::desk, "full_screen", "the whole screen, and back", {f(11), 0}},
        {help, G::desk, "help", "all keys", {f(1), 0}},
        {change_keys, G::desk, "change_keys", "change the keys, or print them", {f(1), kShift}},
        {guide, G::desk, "guide", "a first ruling in seven steps", {f(12), 0}},
        {leave, G::desk, "leave", "leave Plumbmark", {'Q', kCtrl}},
    };
}

}  // namespace

const std::vector<KeyBinding>& default_keys() {
    static const std::vector<KeyBinding> table = [] {
        std::vector<KeyBinding> all;
        for (const auto& part : {going(), hand(), marking(), mending(), watching_and_sheet(), pictures(),
                                 the_meet(), desk_itself()})
            all.insert(all.end(), part.begin(), part.end());
        return all;
    }();
    return table;
}

bool works_in(KeyGroup group, KeyPlace place) {
    if (group == KeyGroup::desk) return true;
    const bool of_meet = group == KeyGroup::meet || group == KeyGroup::entry || group == KeyGroup::results;
    return of_meet == (place == KeyPlace::meet);
}

const char* group_words(KeyGroup group) {
    switch (group) {
        case KeyGroup::going:
            return "Going through the clip";
        case KeyGroup::hand:
            return "What the marking keys mean";
        case KeyGroup::marking:
            return "Marking at the frame on screen";
        case KeyGroup::mending:
            return "The chosen mark";
        case KeyGroup::watching:
            return "Watching";
        case KeyGroup::sheet:
            return "The ruling sheet";
        case KeyGroup::pictures:
            return "Pictures and run strip";
        case KeyGroup::meet:
            return "The meet";
        case KeyGroup::entry:
            return "Floor entry";
        case KeyGroup::results:
            return "Appeals and standings";
        case KeyGroup::desk:
            return "The desk";
    }
    return "";
}

}  // namespace plumbmark::desk
