// The panels: each draws one zone from the session and its own view, and emits commands.
#pragma once

#include "desk/internal/paint.h"
#include "desk/internal/reading.h"
#include "desk/internal/state.h"
#include "desk/internal/textures.h"
#include "desk/layout.h"

namespace plumbmark::desk {

class CameraDesk;
class ClipSound;
class CourseDesk;
class FollowingDesk;
class Guide;
class MeetDesk;

/// What the next key does, for the line of help.
struct Hint {
    std::vector<std::string> keys;
    std::string words;
};

/// What every panel gets beside its own view.
struct Scene {
    const Look& look;
    const review::Session& session;
    const Keymap& keys;
    const Views& views;  ///< what the others keep, to read
    Commands& commands;
    PictureTextures& textures;
    const ClipSound& sound;
    const CourseDesk& course;
    const MeetDesk& meet;
    const FollowingDesk& following;
    const CameraDesk& camera;
};

void draw_pictures(const Scene& scene, const Box& box, PicturesView& view);
/// 'sound': with a row for it (see row_count).
void draw_strip(const Scene& scene, const Box& box, StripRows rows, bool sound, StripView& view);
void draw_sheet(const Scene& scene, const Box& box, SheetView& view);
/// In the sheet's place while the plan's places are pointed at.
void draw_camera_panel(const Scene& scene, const Box& box, CameraMode& mode);
void draw_top_bar(const Scene& scene, const Box& box);
void draw_guide(const Scene& scene, const Box& pictures, const Guide& guide);
void draw_help_line(const Scene& scene, const Box& box);

/// Panels that work without an open meet.
/// 'sample': the sample meet can be offered; 'recent': some meet was open before.
void draw_empty(const Look& look, const Keymap& keys, const Box& box, bool sample, bool recent,
                Commands& commands);
void draw_help(const Look& look, const Keymap& keys, const Box& box, float& scroll, bool& open);
/// 'hint' stands beside the title. A click outside closes it.
void draw_page(const Look& look, const Box& box, const std::string& title, const std::string& hint,
               const std::vector<PageLine>& lines, PageView& view);
void draw_chooser(const Look& look, const Box& box, Chooser& chooser, Commands& commands, bool& done);
void draw_entry(const Look& look, const Box& box, TextEntry& entry);
void draw_secret(const Look& look, const Box& box, const SecretEntry& entry);
void draw_new_key(const Look& look, const Keymap& keys, const Box& box, const NewKey& asked);
void draw_messages(const Look& look, const Keymap& keys, const Box& box, const std::optional<Offer>& offer,
                   const std::vector<Message>& messages, Commands& commands);

// Parts of the picture panel, each in its own file.

/// Where the picture lies on the screen.
struct PictureFrame {
    Box box;          ///< the panel
    ImVec2 origin;    ///< of the picture's top left corner
    float scale = 1;  ///< screen pixels per picture pixel, downwards
    float wide = 1;   ///< a picture pixel's width by its height
    meet::ClipId clip;
    [[nodiscard]] ImVec2 to_screen(Point p) const {
        return {origin.x + static_cast<float>(p[0]) * scale * wide,
                origin.y + static_cast<float>(p[1]) * scale};
    }
    [[nodiscard]] Point to_picture(ImVec2 s) const {
        return {(s.x - origin.x) / (scale * wide), (s.y - origin.y) / scale};
    }
};
/// Another clip of the run, where it was left; a click makes it the one that is worked on. Returns how many
/// pixels of the display there are for one of the picture; 0 for none.
float draw_angle(const Scene& scene, const Box& box, const review::ClipView& clip, ImDrawList* list);
void draw_overlays(const Scene& scene, const PictureFrame& frame, const PicturesView& view, ImDrawList* list);
/// Handles the pointer in drawing mode and draws what is being drawn.
void draw_drawing(const Scene& scene, const PictureFrame& frame, PicturesView& view, ImDrawList* list,
                  bool hovered);
/// Handles the pointer while the plan's places are pointed at, and draws what is pointed at so far.
void draw_camera(const Scene& scene, const PictureFrame& frame, PicturesView& view, ImDrawList* list,
                 bool hovered);
/// The same while a mark's own place is pointed at.
void draw_pointing(const Scene& scene, const PictureFrame& frame, PicturesView& view, ImDrawList* list,
                   bool hovered);
/// Where the run's marks were pointed at on the frame on the screen, or followed to.
void draw_pointed(const Scene& scene, const PictureFrame& frame, ImDrawList* list);
/// The course book's plan as the clip's camera sees it: planes upright, hidden parts dashed.
void draw_plan(const Scene& scene, const PictureFrame& frame, ImDrawList* list);
/// 'which way?': the frames before, faintly over the picture.
void draw_ghosts(const Scene& scene, const PictureFrame& frame, const PicturesView& view, ImDrawList* list);
/// 'touching yet?': the bracket's two frames magnified, over everything that is drawn on the picture.
void draw_insets(const Scene& scene, const PictureFrame& frame, const PicturesView& view, ImDrawList* list);
/// Magnifies around a point of the picture (its middle when none), keeping that point where it is on the
/// screen.
void zoom_at(PicturesView& view, float factor, std::optional<Point> at);

}  // namespace plumbmark::desk
