// The page of the run laid open: its figures in words beside plots, and with another run both pictures at the
// same moment or the same phase.
#include <fmt/format.h>

#include <algorithm>

#include "desk/internal/large_page.h"
#include "desk/internal/picture_drawing.h"
#include "desk/internal/reading.h"
#include "desk/internal/say.h"
#include "desk/internal/study_desk.h"

namespace plumbmark::desk {
namespace {

/// A run's picture on the page.
struct Side {
    std::shared_ptr<const media::Picture> picture;
    bool exact = false;
    std::string label;  ///< what it is, and when
    std::string lacks;  ///< why there is none; may be empty
};

/// "+3.20 s", "-0.41 s" since the anchor.
std::string since_words(const std::optional<base::Duration>& since) {
    return since ? tr(" · {:+.2f} s", static_cast<double>(since->ns) / 1e9) : std::string();
}

class StudyPage {
  public:
    StudyPage(const Scene& scene, const StudyDesk& desk, StudyView& view)
        : scene_(scene), look_(scene.look), c_(*scene.look.colours), desk_(desk), view_(view) {}

    void draw(const Box& room) {
        const review::LaidBeside* laid = desk_.laid();
        if (laid == nullptr) return said(room);
        const bool two = laid->document.two.has_value();
        const float gap = look_.unit(12);
        const float column = !view_.words ? 0 : std::min(look_.unit(430), room.w * 0.4F);
        const Box plots{room.x, room.y, room.w - column - (column > 0 ? gap : 0), room.h};
        if (!two) {
            draw_study_times(scene_, plots, *laid);
        } else if (!view_.pictures) {
            draw_study_curve(scene_, plots, *laid, desk_.spots(scene_.session));
        } else {
            const float curve = std::clamp(plots.h * 0.3F, look_.unit(120), look_.unit(220));
            pictures({plots.x, plots.y, plots.w, plots.h - curve - gap}, *laid);
            draw_study_curve(scene_, {plots.x, plots.bottom() - curve, plots.w, curve}, *laid,
                             desk_.spots(scene_.session));
        }
        if (column > 0) words({room.right() - column, room.y, column, room.h}, *laid);
    }

  private:
    /// What keeps the page from being there.
    void said(const Box& room) {
        ImDrawList* list = ImGui::GetWindowDrawList();
        const std::string text =
            desk_.trouble() ? desk_.trouble()->spoken() : std::string(tr("Laying the run open …"));
        look_.words->draw_wrapped(list, look_.fonts.body, {room.x, room.y}, room.w, c_.ink, text);
        if (!desk_.trouble()) return;
        const std::string help =
            tr("{} holds it against another run.", scene_.keys.label(Action::choose_run));
        look_.words->draw_wrapped(list, look_.fonts.body, {room.x, room.y + look_.unit(48)}, room.w, c_.soft,
                                  help);
    }

    [[nodiscard]] Side mine(const review::LaidBeside& laid) const {
        const review::PictureView& shown = scene_.session.picture();
        const review::ClipView* clip = scene_.session.current_clip();
        Side side{shown.picture, shown.exact, {}, {}};
        side.label = laid.document.runs[0]->name.label;
        if (clip) side.label += " · " + clip->name + tr(" · f {}", scene_.session.frame());
        side.label += since_words(desk_.clocks().mine);
        if (!side.picture)
            side.lacks = clip && clip->error ? clip->error->spoken() : tr("the picture is coming");
        return side;
    }
    [[nodiscard]] Side other(const review::LaidBeside& laid) const {
        Side side;
        side.label = laid.document.runs[1]->name.label;
        const review::ClipView* clip = desk_.other_clip();
        if (!desk_.no_picture().empty()) {
            side.lacks = desk_.no_picture();
            return side;
        }
        if (clip) side.label += " · " + clip->name;
        if (clip && clip->error) {
            side.lacks = clip->error->spoken();
        } else if (const review::PictureView* shown = desk_.other_picture()) {
            side.picture = shown->picture;
            side.exact = shown->exact;
            side.label += tr(" · f {}", desk_.other_frame()) + since_words(desk_.clocks().other);
            if (!side.picture)
                side.lacks = shown->error ? shown->error->spoken() : tr("the picture is coming");
        } else if (clip) {
            side.lacks = tr("every frame of it is found first: {:.0f} %", clip->scan_progress * 100);
        }
        return side;
    }

    void pictures(const Box& box, const review::LaidBeside& laid) {
        const Side a = mine(laid), b = other(laid);
        if (view_.ghost && a.picture && b.picture) return over_each_other(box, a, b);
        const float gap = look_.unit(8);
        // Upright pictures stand beside each other; wide ones in a tall box stand one above the other.
        const bool beside = box.w > box.h * 1.2F;
        const float w = beside ? (box.w - gap) / 2 : box.w, h = beside ? box.h : (box.h - gap) / 2;
        picture({box.x, box.y, w, h}, a);
        picture({beside ? box.x + w + gap : box.x, beside ? box.y : box.y + h + gap, w, h}, b);
    }

    /// The part of the box that the picture covers.
    static Box fitted(const Box& box, const Texture& texture, const media::Picture& picture) {
        const auto w =
            static_cast<float>(texture.width()) * static_cast<float>(upright_pixel_aspect(picture));
        const auto h = static_cast<float>(texture.height());
        const float scale = std::min(box.w / w, box.h / h);
        return {box.x + (box.w - w * scale) / 2, box.y + (box.h - h * scale) / 2, w * scale, h * scale};
    }

    void picture(const Box& box, const Side& side) {
        ImDrawList* list = ImGui::GetWindowDrawList();
        fill_box(list, box, c_.picture);
        if (const Texture* texture = scene_.textures.get(side.picture)) {
            const Box at = fitted(box, *texture, *side.picture);
            add_picture(list, *texture, top_left(at), bottom_right(at), {0, 0}, {1, 1}, IM_COL32_WHITE,
                        scene_.views.play.playing);
        }
        label(box, side);
    }
    void label(const Box& box, const Side& side, float down = 0) {
        ImDrawList* list = ImGui::GetWindowDrawList();
        const float room = box.w - look_.unit(32);
        std::string text = side.label;
        if (side.picture && !side.exact) text += tr(" · not the exact frame yet");
        const ImVec2 at{box.x + look_.unit(8), box.y + look_.unit(8) + down};
        draw_label(list, look_, at, look_.words->fitted(look_.fonts.small, text, room), look_.fonts.small,
                   c_.label, c_.label_ink);
        if (!side.lacks.empty())
            look_.words->draw_wrapped(list, look_.fonts.body, {at.x, at.y + look_.unit(34)}, room, c_.ink,
                                      side.lacks);
    }

    /// The second run's picture half seen through. Whether its camera stood where the first one's did is only
    /// known where both are of one clip.
    void over_each_other(const Box& box, const Side& a, const Side& b) {
        ImDrawList* list = ImGui::GetWindowDrawList();
        fill_box(list, box, c_.picture);
        const Texture* under = scene_.textures.get(a.picture);
        if (under == nullptr) return label(box, a);
        const Box at = fitted(box, *under, *a.picture);
        add_picture(list, *under, top_left(at), bottom_right(at), {0, 0}, {1, 1}, IM_COL32_WHITE,
                    scene_.views.play.playing);
        if (const Texture* over = scene_.textures.get(b.picture))
            add_picture(list, *over, top_left(at), bottom_right(at), {0, 0}, {1, 1},
                        IM_COL32(255, 255, 255, 128), scene_.views.play.playing);
        label(box, a);
        Side second = b;
        const review::ClipView* clip = desk_.other_clip();
        if (clip == nullptr || clip->id != scene_.session.clip())
            second.label += tr(" · another clip: see that its camera stood the same");
        label(box, second, look_.unit(28));
    }

    void words(const Box& box, const review::LaidBeside& laid) {
        ImGui::SetCursorScreenPos(top_left(box));
        begin_child("study words", {box.w, box.h}, ImGuiWindowFlags_NoNav);
        if (view_.scroll != 0) ImGui::SetScrollY(ImGui::GetScrollY() + view_.scroll * look_.unit(60));
        view_.scroll = 0;
        ImDrawList* list = ImGui::GetWindowDrawList();
        const ImVec2 start = ImGui::GetCursorScreenPos();
        const float width = box.w - look_.unit(16);
        float y = start.y;
        const base::Speaking in_the_windows_language;
        const auto line = [&](int depth, const std::string& text) {
            if (text.empty()) return void(y += look_.unit(10));
            ImFont* font = depth == 0 ? look_.fonts.strong : look_.fonts.body;
            const float in = look_.unit(14) * static_cast<float>(depth);
            y += look_.words->draw_wrapped(list, font, {start.x + in, y}, width - in,
                                           depth > 1 ? c_.soft : c_.ink, text) +
                 look_.unit(3);
        };
        for (const report::StudyLine& one : report::compare_lines(laid.document))
            line(one.depth, one.text.spoken());
        for (const base::Sentence& one : laid.lacked)
            line(1, tr("Left out: {}", one.spoken()));
        ImGui::Dummy({1, y - start.y + look_.unit(8)});
        ImGui::EndChild();
    }

    const Scene& scene_;
    const Look& look_;
    const Palette& c_;
    const StudyDesk& desk_;
    StudyView& view_;
};

}  // namespace

void draw_study(const Scene& scene, const Box& box, const StudyDesk& desk, StudyView& view, PageView& page) {
    const Look& look = scene.look;
    const LargePage frame(look, box, "study");
    const review::LaidBeside* laid = desk.laid();
    const bool two = laid != nullptr && laid->document.runs.size() == 2;
    const std::string mine = run_words(scene.session, scene.session.run());
    const std::string title =
        two ? tr("{} and {}", mine, laid->document.runs[1]->name.label) : tr("{} laid open", mine);
    const std::string how =
        !two ? tr("against the best of the athlete's other runs and of the division")
        : view.together == review::Together::same_moment
            ? tr("at the same moment, laid over each other at {}",
                 laid->document.two->anchor ? laid->document.two->anchor->says.spoken() : std::string("…"))
            : tr("at the same phase: {} is stretched so that its events lie over these",
                 laid->document.runs[1]->name.label);
    frame.head(title, desk.working() ? tr("{} · working", how) : how);
    StudyPage(scene, desk, view).draw(frame.room());
    frame.end(page);
}

}  // namespace plumbmark::desk
