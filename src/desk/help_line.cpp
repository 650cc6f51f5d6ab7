// The line of help: what the next key does in the present state.
#include <fmt/format.h>

#include <string>
#include <utility>
#include <vector>

#include "desk/internal/course_desk.h"
#include "desk/internal/drawing_mode.h"
#include "desk/internal/meet_desk.h"
#include "desk/internal/panels.h"

namespace plumbmark::desk {
namespace {

class Hints {
  public:
    explicit Hints(const Scene& scene) : s_(scene) {}

    std::vector<Hint> now() {
        const Views& v = s_.views;
        if (v.new_key) return {{{"Esc"}, "leave the key as it is"}};
        if (v.secret)
            return {{{label(Action::take)}, "take it"},
                    {{"Ctrl V"}, "paste"},
                    {{label(Action::let_go)}, "later"}};
        if (v.chooser || v.entry) return in_a_list();
        if (v.page.kind != PageKind::none) return on_a_page();
        if (v.offer) return {{{label(Action::take)}, "yes"}, {{label(Action::let_go)}, "no"}};
        if (v.place == KeyPlace::meet) return s_.meet.hints(s_.keys);
        if (v.pictures.drawing.active) return drawing();
        const review::ClipView* clip = s_.session.current_clip();
        if (clip && !clip->table && !clip->error)
            return {{{label(Action::let_go)}, "stop reading the clip"}, all_keys()};
        if (!clip || !clip->table)
            return {{{label(Action::open_file)}, "open a clip or course book"}, all_keys()};
        usual();
        return std::move(list_);
    }

  private:
    std::vector<Hint> on_a_page() const {
        std::vector<Hint> list{{{"Up", "Down"}, "read on"}, {{label(Action::let_go)}, "close"}};
        if (s_.views.page.kind == PageKind::course_book && s_.course.changed_book())
            list.push_back({{label(Action::take_in_book)}, "take the changed book in"});
        return list;
    }
    std::string label(Action action) const { return s_.keys.label(action); }
    Hint all_keys() const { return {{label(Action::help)}, "all keys"}; }
    void add(Action action, const std::string& words) { list_.push_back({{label(action)}, words}); }

    std::vector<Hint> in_a_list() const {
        if (s_.views.entry) return {{{label(Action::take)}, "keep"}, {{label(Action::let_go)}, "leave it"}};
        return {{{"Up", "Down"}, "choose"},
                {{label(Action::take)}, "take it"},
                {{label(Action::let_go)}, "leave"}};
    }

    std::vector<Hint> drawing() const {
        const DrawingMode& d = s_.views.pictures.drawing;
        std::vector<Hint> list{{{label(Action::take)}, drawing_enter_words(d)}};
        list.push_back({{"Arrows"},
                        d.chosen >= 0 ? "move the point"
                        : d.closed    ? "(choose a point with Tab)"
                                      : "move the cross"});
        list.push_back({{"Tab"}, "next point"});
        if (d.kind == meet::DrawingKind::plane && d.closed) list.push_back({{"Space"}, "other far side"});
        list.push_back(
            {{label(Action::remove)}, d.chosen >= 0 ? "take the point away" : "take the drawing away"});
        list.push_back({{label(Action::let_go)},
                        d.closed || d.points.empty() ? "leave without a change" : "one point back"});
        return list;
    }

    /// In the order in which one would want them: what is under way, then marking, then the chosen mark.
    void usual() {
        const review::Session& session = s_.session;
        const review::Hand& hand = session.hand();
        if (session.save_failure()) add(Action::take, "try to save again");
        if (s_.views.marking.watch_from)
            add(Action::watched, fmt::format("watched from f {} to here: {}", *s_.views.marking.watch_from,
                                             scope_words(session, s_.views.marking)));
        const std::string who = part_name(hand.part);
        if (hand.part) {
            const bool has = !hand.surface.empty() || s_.views.marking.undeclared;
            const std::string where =
                has ? surface_name(session, hand.surface) : std::string("choose a surface first");
            add(Action::touch, who + " touches " + (has ? where : "a surface"));
            if (has)
                add(Action::release, "leaves it");
            else
                list_.push_back({{label(Action::surface_list)}, where});
        }
        if (!hand.plane.empty())
            add(Action::cross, (hand.part && !hand.surface.empty() ? "past " : who + " past ") +
                                   plane_name(session, hand.plane));
        if (const auto now = chosen(session)) {
            if (!now->is_span || now->here)
                list_.push_back({{label(Action::early_back), label(Action::early_on)}, "early end"});
            list_.push_back({{label(Action::late_back), label(Action::late_on)}, "late end"});
            if (now->is_mark) add(Action::possible, now->possible ? "it did happen" : "only possible");
            add(Action::remove, "take it away");
        }
        if (!s_.views.marking.watch_from) add(Action::watched, "watched from here");
        if (const auto need = next_need(session, s_.views.sheet)) add(Action::take, need->words);
        if (!session.state().entries().empty()) add(Action::meet, "the meet");
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
    const auto now = meet ? std::nullopt : chosen(scene.session);
    if (meet) {
        if (const std::string words = scene.meet.lead(scene.session); !words.empty()) lead(words, 0.45F);
    } else if (const std::string damage = frame_damage(scene.session); !damage.empty()) {
        const float side = look.unit(8), top = box.y + (box.h - side) / 2;
        list->AddRectFilled({x, top}, {x + side, top + side}, ink(c.trouble));
        x += side + look.unit(8);
        lead(fmt::format("f {} {}", scene.session.frame(), damage), now ? 0.4F : 0.64F);
    }
    if (now) lead(now->words + ", " + now->bracket + (now->possible ? ", possible" : ""), 0.36F);
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
