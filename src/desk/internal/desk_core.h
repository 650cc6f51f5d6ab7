// The desk itself, without a window: it owns the session and the views, takes key presses, carries commands
// out and draws one frame. The window and the headless picture both stand on it.
#pragma once

#include <filesystem>
#include <functional>
#include <memory>
#include <optional>
#include <string>

#include "desk/desk.h"
#include "desk/internal/camera_desk.h"
#include "desk/internal/clip_sound.h"
#include "desk/internal/course_desk.h"
#include "desk/internal/export_desk.h"
#include "desk/internal/following_desk.h"
#include "desk/internal/guide.h"
#include "desk/internal/meet_desk.h"
#include "desk/internal/paint.h"
#include "desk/internal/placing_desk.h"
#include "desk/internal/point_desk.h"
#include "desk/internal/season_desk.h"
#include "desk/internal/state.h"
#include "desk/internal/study_desk.h"
#include "desk/internal/textures.h"
#include "desk/internal/ties_desk.h"
#include "desk/internal/trials_desk.h"
#include "desk/system_files.h"

namespace plumbmark::desk {

/// Lives on the UI thread with a toolkit context and a GL context current.
class DeskCore {
  public:
    /// 'wake' is called from any thread when there is something new to draw.
    DeskCore(DeskOptions options, std::function<void()> wake);

    // --- what happens ---
    /// A meet, clip or course book, by its name's ending; from the command line, a drop or the list of files.
    void open_path(const std::filesystem::path& path);
    void key(int physical_key, int mods, bool repeat);
    /// A typed letter, for lists that narrow. Where a line is being written it belongs there: what the
    /// toolkit's field is to be given.
    std::optional<char32_t> text(char32_t code_point);
    /// A line is being written: keys and letters are the field's.
    [[nodiscard]] bool writing() const { return views_.entry.has_value(); }
    /// ... and its field takes letters already, which it does from the frame after it was drawn first.
    [[nodiscard]] bool line_is_ready() const { return views_.entry && views_.entry->active; }
    void set_layout(const LayoutName& name) { keys_.set_layout(name); }

    /// Takes in what workers have finished and moves a playing clip on. 'now' in seconds, on any steady
    /// clock.
    void update(double now);
    /// The exact picture is decoded and a moment from being drawn: drawing now would only show that it is not
    /// there. Never true for longer than a blink; what then still is not there is drawn as such.
    [[nodiscard]] bool better_drawn_soon() const;
    /// Draws everything into the current toolkit frame.
    void draw(float width, float height);
    /// Carries out what the panels asked for while drawing. True when there was anything.
    bool carry_out_commands();

    // --- what the window asks ---
    /// "pier-nine.meet · camera A · f 12", with "(coming)" while the picture is not exact yet, and "(ruling)"
    /// while the ruling of the present marks is being worked out.
    [[nodiscard]] std::string title() const;
    [[nodiscard]] bool leaving() const { return leaving_; }
    /// Seconds until a playing clip wants its next frame; none when nothing plays.
    [[nodiscard]] std::optional<double> next_frame_due() const;
    /// When a message goes away, on update's clock; none when nothing changes by itself.
    [[nodiscard]] std::optional<double> next_change() const;
    [[nodiscard]] bool take_full_screen_wish() { return std::exchange(full_screen_wish_, false); }
    [[nodiscard]] bool fonts_outdated() const { return built_scale_ != scale_; }
    void build_fonts_now();  ///< the caller uploads the atlas afterwards
    void set_display_scale(double scale);
    [[nodiscard]] base::Result<void> finish();  ///< all on the disk

    /// It is known where the drawings lie in the pictures on the screen.
    [[nodiscard]] bool following_settled() const {
        return !session_ || (following_.settled(*session_) && !point_desk_.busy());
    }
    /// The current clip's loudness is read, as far as it can be.
    [[nodiscard]] bool sound_settled() const { return !session_ || sound_.settled(session_->current_clip()); }

    /// Opens the meet's own view on a page, by the word of DeskPictureOptions; false: there is no such page.
    bool show_meet_page(const std::string& word);
    [[nodiscard]] bool meet_settled() const { return meet_.settled(); }
    /// Where to put a camera, as far as it is worked out.
    [[nodiscard]] const PlacingDesk& placing() const { return placing_; }
    /// The run laid open, as far as it is worked out.
    [[nodiscard]] const StudyDesk& study() const { return study_; }
    /// The season, as far as it is worked out.
    [[nodiscard]] const SeasonDesk& season() const { return season_; }
    /// What the trials come to, as far as it is worked out.
    [[nodiscard]] const TrialsDesk& trials() const { return trials_; }

    [[nodiscard]] PictureTextures& textures() { return textures_; }
    [[nodiscard]] review::Session* session() { return session_.get(); }
    [[nodiscard]] Views& views() { return views_; }
    [[nodiscard]] const Keymap& keys() const { return keys_; }
    [[nodiscard]] Theme theme() const { return look_.theme; }
    [[nodiscard]] double scale() const { return scale_; }

    void say(const std::string& text) { message(text, false); }
    void complain(const base::Error& error) { message(error.spoken(), true); }

  private:
    // desk_core.cpp
    void read_own_keys();
    void choose_picture_way();
    void open_meet(const std::filesystem::path& path);
    bool begin_meet_beside(const std::filesystem::path& clip);
    void add_clip(const std::filesystem::path& path);
    void add_book(const std::filesystem::path& path);
    void open_sample();
    void take_session(base::Result<std::unique_ptr<review::Session>> opened);
    void message(const std::string& text, bool trouble);
    void play_on();
    void fetch_side_pictures();
    void place_other_angles();
    [[nodiscard]] static base::Result<std::string> whole_file(const std::filesystem::path& path);
    [[nodiscard]] review::SessionOptions session_options(bool read_only);
    void complain_if(const base::Result<void>& result);

    // acting.cpp: keys
    void press(int physical_key, int mods, bool repeat);
    void act(Action action);
    bool act_going(Action action);
    bool act_hand(Action action);
    bool act_marking(Action action);
    bool act_mending(Action action);
    bool act_undo(Action action);
    void undo();
    void redo();
    void undo_earlier();
    void recall_earlier();
    bool act_sheet(Action action);
    bool act_pictures(Action action);
    bool act_desk(Action action);
    void cycle_surface(int direction);
    void cycle_plane(int direction);
    void choose_neighbour(int direction);
    void watch_key();
    void mark_contact(meet::EventKind kind);
    void mark_event(const meet::Event& event);
    void take();
    void let_go();
    void zoom_strip(double factor);
    void pan(double dx, double dy);
    void walk_rests_on();
    void move_station(int by);
    bool list_key(int key, int mods);
    bool entry_key(int key);

    // commands.cpp
    void carry_out(const Command& command);
    void give_floor_call(const GiveFloorCall& given);
    [[nodiscard]] bool may_mark();

    // angles_desk.cpp
    void go_to_best_angle();
    void step_apart();
    void copy_mark();
    void change_tone(int brightness, int contrast);
    // marks_list.cpp
    void list_marks();
    // home_desk.cpp
    void recall();
    void tell_of_crash();
    void remember();
    void speak(const std::string& code);  ///< as DeskOptions::language; from now on
    void note_recent(const std::filesystem::path& meet);
    void list_recent_meets();
    void list_preferences(int row);

    // own_keys_desk.cpp
    [[nodiscard]] std::filesystem::path own_keys_file() const;
    void list_keys(std::optional<Action> at);
    void carry_out_for_keys(const OfKeys& asked);
    void new_key_pressed(int physical_key, int mods);
    void keep_keys(std::vector<KeyBinding> bindings, std::optional<Action> at);
    void name_key_sheet();
    void print_keys(const std::string& name);

    // open_files_desk.cpp
    void ask_for_files();
    void go_on_with_files();

    // guide_desk.cpp
    void begin_guide();
    void guide_on_sample();
    void go_on_with_guide();

    // clip_lists.cpp
    void list_damage();
    void list_streams();

    // meet_acting.cpp
    [[nodiscard]] bool on_the_meet() const { return session_ && views_.place == KeyPlace::meet; }
    [[nodiscard]] MeetHands meet_hands();
    bool act_meet(Action action);
    void list_start_lists(const std::filesystem::path& folder);
    /// A key on the meet's own view; false: it is the desk's.
    bool meet_key(int physical_key, int mods, std::optional<Action> action, bool repeat);
    void type_in_meet(unsigned code_point);
    void drop_question();
    void keep_line_of_meet(const std::string& text);
    void secret_key(int physical_key, int mods);
    void carry_out_for_meet(const MeetCommand& command);

    // course_lists.cpp
    bool act_course(Action action);
    void add_run();
    void list_divisions_and_lanes();
    void list_taking_in();
    void take_in(bool this_run_alone);
    void list_books(const std::filesystem::path& folder);
    void try_book(const std::filesystem::path& path);
    /// A key while a page is open; false: it is the desk's.
    bool page_key(int physical_key, int mods, std::optional<Action> action);
    void draw_open_page(const Box& box);

    // placing_acting.cpp
    void open_placing();
    [[nodiscard]] bool on_the_map() const { return views_.page.kind == PageKind::placing; }
    void placing_page_key(int physical_key, int mods, std::optional<Action> action);
    void update_placing();
    void draw_placing_page(const Box& box);

    // study_acting.cpp
    void open_study();
    [[nodiscard]] bool on_the_study() const { return views_.page.kind == PageKind::study; }
    void study_page_key(int physical_key, int mods, std::optional<Action> action);
    void update_study();
    void go_along_the_curve(int direction);
    void list_runs_to_study();
    void list_alignments();
    void carry_out_for_study(const StudyCommand& command);
    void draw_study_page(const Box& box);

    // season_acting.cpp
    void open_season();
    [[nodiscard]] bool on_the_season() const { return views_.page.kind == PageKind::season; }
    void season_page_key(int physical_key, int mods, std::optional<Action> action);
    void update_season();
    void carry_out_for_season(const SeasonCommand& command);
    void list_season_athletes();
    void list_season_files(const std::filesystem::path& folder);
    [[nodiscard]] bool in_season(const std::filesystem::path& file) const;
    void take_season_file(const std::filesystem::path& path);
    void print_season();
    void draw_season_page(const Box& box);

    // trials_acting.cpp
    void open_trials();
    [[nodiscard]] bool on_the_trials() const { return views_.page.kind == PageKind::trials; }
    void trials_page_key(int physical_key, int mods, std::optional<Action> action);
    void update_trials();
    void carry_out_for_trials(const TrialsCommand& command);
    void draw_trials_page(const Box& box);
    void change_trials(const TrialsCommand& command);
    void write_for_trials(TrialsLine line, const std::string& title, const std::string& hint,
                          const std::string& text);
    void keep_line_of_trials(const std::string& text);
    bool apply_for_trials(const base::Result<meet::Change>& change);
    void go_to_question();
    void write_reason();
    void close_question(const std::string& reason);
    void list_signers();
    void release_station(const std::string& who);
    void print_releases();
    void list_testers();
    void ask_for_trial();
    void enter_trial();
    void write_rig();
    void keep_rig(const std::string& text);
    void ask_for_photos(const std::string& text);
    void keep_photos(const std::string& text);
    /// A photograph that was dropped: for the rig that is being written on the page of the trials, else the
    /// next one. False: that page is not open.
    bool take_photo(const std::filesystem::path& file);

    // ties_desk.cpp
    void write_tie();
    void keep_tie(const std::string& text);
    void go_on_with_ties();
    void keep_ties();
    bool stop_listening();
    // export_desk.cpp
    bool act_export(Action action);
    void name_export(ExportKind what);
    void go_on_exporting();
    // following_acting.cpp
    void list_clips_to_copy();
    void take_copied_drawings();

    // camera_acting.cpp
    bool act_camera(Action action);
    void begin_pointing_at_plan();
    void begin_pointing_at_mark();
    void carry_out_for_camera(const CameraCommand& command);
    void keep_stand(const KeepStand& kept);
    void point_at_mark(const PointAtMark& pointed);
    void ask_to_follow_point();
    void follow_mark_point(meet::MarkId mark);
    void take_followed_point();
    void take_moment(meet::MarkId mark);

    // lists.cpp
    void list_runs();
    void list_surfaces();
    void list_signals();
    void list_infractions();
    void list_grades();
    void list_alternatives();
    void list_drawings();
    void list_floor_calls();
    void list_mark_menu(float x, float y);
    void list_folder(const std::filesystem::path& folder);
    /// The folder's folders and its files with these endings; what choosing one asks for is 'choice'. Empty
    /// where it cannot be read, which is told.
    [[nodiscard]] Chooser folder_list(const std::filesystem::path& folder,
                                      const std::vector<std::string>& endings,
                                      const std::function<Command(const std::filesystem::path&)>& choice);
    void write_note();
    void write_frame();
    void write_capture();
    void keep_capture(const std::string& text);
    void keep_entry();

    DeskOptions options_;
    std::string language_;  ///< as preferred: a code, or empty
    std::function<void()> wake_;
    std::unique_ptr<review::Session> session_;
    ClipSound sound_{wake_};
    CourseDesk course_{wake_};
    FollowingDesk following_{wake_};
    CameraDesk camera_{wake_};
    PointDesk point_desk_{wake_};
    PlacingDesk placing_{wake_};
    StudyDesk study_{wake_};
    SeasonDesk season_{wake_};
    TrialsDesk trials_{wake_};
    MeetDesk meet_{wake_};
    TiesDesk ties_{wake_};
    ExportDesk export_{wake_};
    Guide guide_;
    SystemFiles system_files_{wake_};
    Keymap keys_;
    std::optional<std::vector<KeyBinding>> keys_before_;  ///< the last change
    Views views_;
    Commands commands_;
    Words words_;
    PictureTextures textures_{wake_};
    Look look_;
    double scale_ = 1, display_scale_ = 1, built_scale_ = 0, user_scale_ = 1;
    double now_ = 0;
    std::optional<double> nearly_since_;  ///< the exact picture is decoded but cannot be drawn yet
    std::pair<meet::ClipId, std::int64_t> placed_{};  ///< where the other angles were placed for
    std::pair<meet::ClipId, std::int64_t> drawn_{};   ///< the exact frame that was drawn last
    bool leaving_ = false, full_screen_wish_ = false;
    bool undoes_earlier_ = false;     ///< the person has said so in this meet
    bool own_list_of_files_ = false;  ///< as the person prefers it
    bool no_system_files_ = false;    ///< nobody answered there
    bool has_recent_ = false;         ///< a meet was open before this window
    bool swallow_text_ = false;       ///< the letter of the key that opened a list is not typed into it
    std::optional<base::Error> told_save_failure_;
};

}  // namespace plumbmark::desk
