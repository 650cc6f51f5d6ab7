// The window of Plumbmark, and the same desk drawn without one.
#pragma once

#include <cstdint>
#include <filesystem>
#include <functional>
#include <optional>
#include <string>
#include <vector>

#include "base/result.h"
#include "desk/theme.h"

namespace plumbmark::desk {

/// One drawing of the window, for measuring.
struct DrawnFrame {
    double seconds = 0;    ///< from taking in what is new to the picture handed to the screen
    bool playing = false;  ///< a clip was playing
};

struct DeskOptions {
    /// What to open: a .meet, clips, .course files, in any order. Clips and books without a meet begin a new
    /// one beside the first clip.
    std::vector<std::filesystem::path> files;
    int width = 1600, height = 900;  ///< of the window, in screen units
    double scale = 0;            ///< pixels per unit of the design (1: 15 px type); 0: as the display asks
    std::optional<Theme> theme;  ///< none: as the person prefers it, else dark
    bool read_only = false;
    /// Offered on the empty desk; Enter opens a copy of it (with the clips beside it) in 'sample_copies'.
    std::filesystem::path sample_meet;
    std::filesystem::path sample_copies;  ///< empty: a folder 'plumbmark-sample' in the home folder
    /// A person's own keys (desk/keys.h, read_keys); empty: plumbmark/keys.txt in the configuration folder,
    /// if there.
    std::filesystem::path keys_file;
    /// Preferences and the meets that were open are kept from one opening of the window to the next: in
    /// plumbmark/ in the configuration and the state folder ($XDG_CONFIG_HOME, $XDG_STATE_HOME).
    bool remember = true;
    /// Where pictures are brought to the screen's colours: 'card', 'processor' or 'automatic'. Empty: as the
    /// environment's PLUMBMARK_PICTURES says, else automatic. Another word is complained of on the desk.
    std::string picture_way;
    /// The language of the window, by its code (base/catalogue.h); empty: as the person prefers it, else as
    /// the environment asks (LC_ALL, LC_MESSAGES, LANG). Another code is complained of on the desk.
    std::string language = {};
    /// Called after each drawing of the window, on its thread; empty: nobody measures.
    std::function<void(const DrawnFrame&)> frame_drawn = {};
};

/// Opens the window and returns when it is closed: 0, or 1 when it could not be opened (no display, no OpenGL
/// 3), after writing what to do to standard error. Call from the main thread, once at a time. All is on the
/// disk when it returns; when it cannot be written, that is said on standard error and 1 returned.
[[nodiscard]] int run_desk(const DeskOptions& options);

/// The same with the error as a value. Error unsupported where no window can be opened.
[[nodiscard]] base::Result<void> open_desk(const DeskOptions& options);

struct DeskPictureOptions {
    int width = 1600, height = 900;  ///< pixels, 320 to 16384
    double scale = 1;                ///< pixels per unit of the design, 0.5 to 4
    Theme theme = Theme::dark;
    std::string run;   ///< the run's label or number; empty: the first run
    std::string clip;  ///< the clip's name; empty: the run's first clip
    std::optional<std::int64_t>
        frame;  ///< empty: where the first station that is not shown, else the last, is decided
    std::optional<std::int64_t>
        station;        ///< the station opened on the sheet, from 0; empty: the one that needs most
    bool help = false;  ///< with all keys shown
    /// A page of the meet's own view instead: floor-entry, appeals, decide (the appeal that waits longest) or
    /// standings.
    std::string page = {};
};

/// Draws the desk on a meet into a PNG file, without a display (EGL without a surface), once everything is
/// there: clips read, ruling reached, the exact picture. The file may leave the meet: what a sheet would hide
/// of the clips' pictures is hidden, by the consent of the athletes and where somebody covered by hand
/// (review/faces.h), which takes seconds for each clip without consent. The meet is opened for reading only.
/// The same input gives the same bytes on one machine: it is in English, and pictures are made on the
/// processor, unless PLUMBMARK_PICTURES says otherwise. Waits for the disk and the decoder. Errors: what
/// opening the meet gives; not_found (no such run or clip); bad_input (size, frame or station out of range);
/// unsupported (no EGL or OpenGL 3; faces that cannot be looked for here); io.
[[nodiscard]] base::Result<void> draw_desk_picture(const std::filesystem::path& meet,
                                                   const std::filesystem::path& png,
                                                   const DeskPictureOptions& options = {});

}  // namespace plumbmark::desk
