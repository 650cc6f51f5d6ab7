// The line of help: what the next key does in the present state.
#include <fmt/format.h>

#include <string>
#include <utility>
#include <vector>

#include "desk/internal/camera_mode.h"
#include "desk/internal/course_desk.h"
#include "desk/internal/drawing_mode.h"
#include "desk/internal/meet_desk.h"
#include "desk/internal/panels.h"
#include "desk/internal/say.h"

namespace plumbmark::desk {
namespace {

class Hints {
  public:
    explicit Hints(const Scene& scene) : s_(scene) {}

    std::vector<Hint> now() {
        const Views& v = s_.views;
        if (v.new_key) return {{{tr("Esc")}, tr("leave the key as it is")}};
        if (v.secret)
            return {{{label(Action::take)}, tr("take it")},
                    {{tr("Ctrl V")}, tr("paste")},
                    {{label(Action::let_go)}, tr("later")}};
        if (v.chooser || v.entry) return in_a_list();
        if (v.page.kind != PageKind::none) return on_a_page();
        if (v.offer) return {{{label(Action::take)}, tr("yes")}, {{label(Action::let_go)}, tr("no")}};
        if (v.place == KeyPlace::meet) return s_.meet.hints(s_.keys);
        if (v.pictures.drawing.active) return drawing();
        if (v.pictures.camera.active) return camera();
        if (v.pictures.point.active) return pointing();
        const review::ClipView* clip = s_.session.current_clip();
        if (clip && !clip->table && !clip->error)
            return {{{label(Action::let_go)}, tr("stop reading the clip")}, all_keys()};
        if (!clip || !clip->table)
            return {{{label(Action::open_file)}, tr("open a clip or course book")}, all_keys()};
        usual();
        return std::move(list_);
    }

  private:
    std::vector<Hint> on_the_map() const {
        return {
            {{tr("Left"), tr("Right")}, tr("another plane")},
            {{tr("Up"), tr("Down")}, tr("how well it is to be told")},
            {{tr("Tab")}, tr("the next of the best places")},
            {{tr("Ctrl + arrows")}, tr("move the cursor")},
            {{s_.keys.label({key_up, kShift}), s_.keys.label({key_down, kShift})}, tr("the camera's height")},
            {{"L"}, tr("another lens")},
            {{tr("Space")}, tr("what is measured")},
            {{"S"}, tr("a second camera")},
            {{label(Action::let_go)}, tr("close")}};
    }
    std::vector<Hint> on_the_study() const {
        std::vector<Hint> list{{{label(Action::choose_run)}, tr("against which run")}};
        if (s_.views.study.other.valid()) {
            list.push_back({{label(Action::play)}, tr("play both")});
            list.push_back({{label(Action::mark_before), label(Action::mark_after)}, tr("what both show")});
            list.push_back({{"A"}, tr("where they lie over each other")});
            list.push_back({{"P"},
                            s_.views.study.together == review::Together::same_moment
                                ? tr("at the same phase")
                                : tr("at the same moment")});
            list.push_back(
                {{"G"}, s_.views.study.ghost ? tr("beside each other") : tr("one over the other")});
            list.push_back({{"V"}, s_.views.study.pictures ? tr("the curve alone") : tr("the pictures")});
        }
        list.push_back({{"W"}, s_.views.study.words ? tr("without the words") : tr("with the words")});
        list.push_back({{tr("Up"), tr("Down")}, tr("read on")});
        list.push_back({{label(Action::let_go)}, tr("close")});
        return list;
    }
    std::vector<Hint> on_the_trials() const {
        const auto key = [&](int letter) { return std::vector<std::string>{s_.keys.label({letter, 0})}; };
        if (s_.views.offer) return {{{label(Action::take)}, tr("yes")}, {{label(Action::let_go)}, tr("no")}};
        return {{{tr("Up"), tr("Down")}, tr("another station")},
                {{tr("Tab")}, tr("the next open item")},
                {{label(Action::take)}, tr("go there")},
                {key('C'), tr("close it")},
                {key('R'), tr("release the station")},
                {key('A'), tr("enter the run as a trial")},
                {key('W'), tr("write the rig down")},
                {key('O'), tr("the sheet as a PDF")},
                {key('B'), tr("another bound")},
                {{label(Action::let_go)}, tr("close")}};
    }
    std::vector<Hint> on_the_season() const {
        const auto key = [&](int letter) { return std::vector<std::string>{s_.keys.label({letter, 0})}; };
        return {{{tr("Up"), tr("Down")}, tr("another station")},
                {key('N'), tr("whose season")},
                {key('F'), tr("another meet")},
                {key('O'), tr("the plots as a picture")},
                {{s_.keys.label({key_page_up, 0}), s_.keys.label({key_page_down, 0})}, tr("read on")},
                {{label(Action::let_go)}, tr("close")}};
    }
    std::vector<Hint> on_a_page() const {
        if (s_.views.page.kind == PageKind::season) return on_the_season();
        if (s_.views.page.kind == PageKind::placing) return on_the_map();
        if (s_.views.page.kind == PageKind::study) return on_the_study();
        if (s_.views.page.kind == PageKind::trials) return on_the_trials();
        std::vector<Hint> list{{{tr("Up"), tr("Down")}, tr("read on")},
                               {{label(Action::let_go)}, tr("close")}};
        if (s_.views.page.kind == PageKind::course_book && s_.course.changed_book())
            list.push_back({{label(Action::take_in_book)}, tr("take the changed book in")});
        return list;
    }
    std::string label(Action action) const { return s_.keys.label(action); }
    Hint all_keys() const { return {{label(Action::help)}, tr("all keys")}; }
    void add(Action action, const std::string& words) { list_.push_back({{label(action)}, words}); }

    std::vector<Hint> in_a_list() const {
        if (s_.views.entry)
            return {{{label(Action::take)}, tr("keep")}, {{label(Action::let_go)}, tr("leave it")}};
        return {{{tr("Up"), tr("Down")}, tr("choose")},
                {{label(Action::take)}, tr("take it")},
                {{label(Action::let_go)}, tr("leave")}};
    }

    std::vector<Hint> drawing() const {
        const DrawingMode& d = s_.views.pictures.drawing;
        std::vector<Hint> list{{{label(Action::take)}, drawing_enter_words(d)}};
        list.push_back({{tr("Arrows")},
                        d.chosen >= 0 ? tr("move the point")
                        : d.closed    ? tr("(choose a point with Tab)")
                                      : tr("move the cross")});
        list.push_back({{tr("Tab")}, tr("next point")});
        if (d.kind == meet::DrawingKind::plane && d.closed)
            list.push_back({{tr("Space")}, tr("other far side")});
        list.push_back({{label(Action::remove)},
                        d.chosen >= 0 ? tr("take the point away") : tr("take the drawing away")});
        list.push_back({{label(Action::let_go)},
                        d.closed || d.points.empty() ? tr("leave without a change") : tr("one point back")});
        return list;
    }

    std::vector<Hint> camera() const {
        const CameraMode& mode = s_.views.pictures.camera;
        std::vector<Hint> list{{{label(Action::take)}, camera_enter_words(mode)},
                               {{tr("Arrows")}, tr("move the cross")},
                               {{tr("Tab")}, tr("next place")}};
        if (!mode.edge && mode.neighbour(mode.asked) >= 0)
            list.push_back({{"E"}, tr("hidden: point along its edge")});
        list.push_back(
            {{label(Action::remove)}, mode.edge ? tr("one point back") : tr("take the point away")});
        list.push_back({{"L"}, tr("another lens")});
        list.push_back({{"K"}, tr("keep it")});
        list.push_back(
            {{label(Action::let_go)}, mode.edge ? tr("end the edge") : tr("leave without a change")});
        return list;
    }

    std::vector<Hint> pointing() const {
        return {{{label(Action::take)}, tr("it is here")},
                {{label(Action::follow_mark_point)}, tr("it is here; follow it to the frames around")},
                {{tr("Arrows")}, tr("move the cross")},
                {{tr("Delete")}, tr("it is not pointed at here")},
                {{label(Action::let_go)}, tr("leave without a change")}};
    }

    /// In the order in which one would want them: what is under way, then marking, then the chosen mark.
    void usual() {
        const review::Session& session = s_.session;
        const review::Hand& hand = session.hand();
        if (session.save_failure()) add(Action::take, tr("try to save again"));
        if (s_.views.marking.watch_from)
            add(Action::watched, tr("watched from f {} to here: {}", *s_.views.marking.watch_from,
                                    scope_words(session, s_.views.marking)));
        const std::string who = part_name(hand.part);
        if (hand.part) {
            const bool has = !hand.surface.empty() || s_.views.marking.undeclared;
            const std::string where =
                has ? surface_name(session, hand.surface) : std::string(tr("choose a surface first"));
            add(Action::touch, tr("{} touches {}", who, has ? where : std::string(tr("a surface"))));
            if (has)
                add(Action::release, tr("leaves it"));
            else
                list_.push_back({{label(Action::surface_list)}, where});
        }
        if (!hand.plane.empty())
            add(Action::cross, hand.part && !hand.surface.empty()
                                   ? tr("past {}", plane_name(session, hand.plane))
                                   : tr("{} past {}", who, plane_name(session, hand.plane)));
        if (const auto now = chosen(session)) {
            if (!now->is_span || now->here)
                list_.push_back({{label(Action::early_back), label(Action::early_on)}, tr("early end")});
            list_.push_back({{label(Action::late_back), label(Action::late_on)}, tr("late end")});
            if (now->is_mark)
                add(Action::possible, now->possible ? tr("it did happen") : tr("only possible"));
            add(Action::remove, tr("take it away"));
        }
        if (!s_.views.marking.watch_from) add(Action::watched, tr("watched from here"));
        if (const auto need = next_need(session, s_.views.sheet)) add(Action::take, need->words);
        if (!session.state().entries().empty()) add(Action::meet, tr("the meet"));
        list_.push_back(all_keys());
    }

    const Scene& s_;
    std::vector<Hint> list_;
};

}  // namespace

void draw_help_line(const Scene& scene, const Box& box) {
    const Look& look = scene.look;
    const Palette& c = *look.colours;
    begin_zone("help line", box, c.bar);
    ImDrawList* list = ImGui::GetWindowDrawList();
    float x = box.x + look.unit(12);
    const auto lead = [&](const std::string& text, float share) {
        const std::string fitted = look.words->fitted(look.fonts.strong, text, box.w * share);
        look.words->draw(list, look.fonts.strong,
                         {x, box.y + (box.h - Words::line_height(look.fonts.strong)) / 2}, c.ink, fitted);
        x += look.words->width(look.fonts.strong, fitted) + look.unit(20);
    };
    const bool meet = scene.views.place == KeyPlace::meet;
    // These pages speak of no mark.
    const bool alone = scene.views.page.kind == PageKind::trials || scene.views.page.kind == PageKind::season;
    const auto now = meet || alone ? std::nullopt : chosen(scene.session);
    if (alone) {
        // Their keys stand alone.
    } else if (meet) {
        if (const std::string words = scene.meet.lead(scene.session); !words.empty()) lead(words, 0.45F);
    } else if (const std::string damage = frame_damage(scene.session); !damage.empty()) {
        const float side = look.unit(8), top = box.y + (box.h - side) / 2;
        list->AddRectFilled({x, top}, {x + side, top + side}, ink(c.trouble));
        x += side + look.unit(8);
        lead(tr("f {} {}", scene.session.frame(), damage), now ? 0.4F : 0.64F);
    }
    if (now)
        lead(now->possible ? tr("{}, {}, possible", now->words, now->bracket)
                           : now->words + ", " + now->bracket,
             0.36F);
    for (const Hint& hint : Hints(scene).now()) {
        float room = look.unit(4) + look.words->width(look.fonts.body, hint.words);
        for (const std::string& key : hint.keys)
            room += key_width(look, key) + look.unit(3);
        if (x + room > box.right() - look.unit(8)) break;
        for (const std::string& key : hint.keys)
            x += draw_key(list, look, {x, box.y + (box.h - look.unit(20)) / 2}, key, c.key, c.ink, c.line) +
                 look.unit(3);
        x += look.unit(4);
        look.words->draw(list, look.fonts.body,
                         {x, box.y + (box.h - Words::line_height(look.fonts.body)) / 2}, c.ink, hint.words);
        x += look.words->width(look.fonts.body, hint.words) + look.unit(16);
    }
    ImGui::End();
}

}  // namespace plumbmark::desk
