// The top bar: which meet, run and clip, and whether all is on the disk.
#include <fmt/format.h>

#include <algorithm>

#include "desk/damage.h"
#include "desk/internal/clip_sound.h"
#include "desk/internal/course_desk.h"
#include "desk/internal/meet_desk.h"
#include "desk/internal/panels.h"
#include "desk/internal/say.h"
#include "desk/stream_words.h"

namespace plumbmark::desk {
namespace {

class TopBar {
  public:
    TopBar(const Scene& scene, const Box& box)
        : s_(scene),
          look_(scene.look),
          c_(*scene.look.colours),
          box_(box),
          list_(ImGui::GetWindowDrawList()) {}

    void draw() {
        x_ = box_.x + look_.unit(12);
        right_ = box_.right() - look_.unit(12);
        draw_saved();
        draw_giving_out();
        const float gap = look_.unit(16);
        const std::string name =
            look_.words->fitted(look_.fonts.strong, meet_words(s_.session), box_.w * 0.28F);
        text(name, look_.fonts.strong, c_.ink);
        x_ += gap;
        if (s_.views.place == KeyPlace::meet) return draw_pages();
        if (s_.session.run().valid()) {
            const std::string run = run_words(s_.session, s_.session.run());
            if (chip("run", s_.keys.label(Action::choose_run), run, true,
                     s_.session.state().runs().size() > 1))
                s_.commands.add(Do{Action::choose_run});
            x_ += gap;
        }
        if (chip("meet", s_.keys.label(Action::meet), tr("the meet"), false, true))
            s_.commands.add(Do{Action::meet});
        x_ += gap;
        draw_division();
        draw_course();
        draw_clips();
    }

  private:
    void text(const std::string& words, ImFont* font, Colour colour) {
        look_.words->draw(list_, font, {x_, box_.y + (box_.h - Words::line_height(font)) / 2}, colour, words);
        x_ += look_.words->width(font, words);
    }

    bool chip(const char* id, const std::string& key, const std::string& words, bool on, bool with_key) {
        const Box room{x_, box_.y, right_ - x_, box_.h};
        const Chip drawn = draw_chip(list_, look_, room, id, words, with_key ? key : "", on);
        if (drawn.box.w > 0) x_ = drawn.box.right() + look_.unit(4);
        return drawn.clicked;
    }

    /// The pages of the meet's own view, and the way back to the run.
    void draw_pages() {
        const MeetPageKind now = s_.meet.shown();
        const bool of_appeals =
            now == MeetPageKind::appeals || now == MeetPageKind::lodging || now == MeetPageKind::deciding;
        const std::size_t waiting = s_.meet.waiting();
        const struct {
            Action action;
            std::string words;
            bool on;
        } pages[] = {{Action::floor_entry, tr("floor entry"), now == MeetPageKind::entry},
                     {Action::appeals, waiting > 0 ? tr("appeals {}", waiting) : tr("appeals"), of_appeals},
                     {Action::standings, tr("standings"), now == MeetPageKind::standings},
                     {Action::start_list, tr("start list"), now == MeetPageKind::start_list}};
        for (const auto& page : pages)
            if (chip(page.words.c_str(), s_.keys.label(page.action), page.words, page.on, true))
                s_.commands.add(Do{page.action});
        if (chip("trials", s_.keys.label(Action::trials), tr("trials"), false, true))
            s_.commands.add(Do{Action::trials});
        x_ += look_.unit(12);
        if (chip("back", s_.keys.label(Action::meet), tr("back to the run"), false, true))
            s_.commands.add(Do{Action::meet});
    }

    /// Only where the book has something to choose.
    void draw_division() {
        const course::CourseBook* book = s_.session.whole_book();
        const auto run = s_.session.state().runs().find(s_.session.run());
        if (!book || run == s_.session.state().runs().end()) return;
        std::string words;
        for (const course::Division& one : book->divisions)
            if (one.key == run->second.division) words = one.name;
        for (const course::Lane& one : book->lanes)
            if (one.key == run->second.lane) words += (words.empty() ? "" : ", ") + one.name;
        if (words.empty() && book->divisions.empty() && book->lanes.empty()) return;
        if (chip("division", s_.keys.label(Action::division_and_lane),
                 words.empty() ? tr("whole course") : words, false, true))
            s_.commands.add(Do{Action::division_and_lane});
    }

    /// What is to be looked at in the course book, and that its file was changed; usually nothing.
    void draw_course() {
        const std::string words = s_.course.summary();
        if (words.empty()) return;
        const float side = look_.unit(8), top = box_.y + (box_.h - side) / 2, mark = x_ + look_.unit(4);
        x_ = mark + side;
        if (chip("course", s_.keys.label(Action::course_book), words, false, true))
            s_.commands.add(Do{Action::course_book});
        if (x_ == mark + side) return;  // there was no room
        list_->AddRectFilled({mark, top}, {mark + side, top + side},
                             ink(s_.course.trouble() ? c_.trouble : kOrange));
        x_ += look_.unit(12);
    }

    void draw_clips() {
        const auto& clips = s_.session.clips();
        for (std::size_t i = 0; i < clips.size(); ++i) {
            const bool on = clips[i].id == s_.session.clip();
            const bool last = i + 1 == clips.size() && clips.size() > 1;
            if (chip(fmt::format("clip{}", i).c_str(), s_.keys.label(Action::next_clip), clips[i].name, on,
                     last))
                s_.commands.add(TakeClip{clips[i].id});
        }
        draw_streams();
        draw_damage();
        draw_capture();
    }

    /// What is to be known of the present clip's times; an ordinary clip says nothing.
    void draw_capture() {
        const auto clip = s_.session.state().clips().find(s_.session.clip());
        if (clip == s_.session.state().clips().end()) return;
        std::string words = meet::capture_words(clip->second.capture);
        if (words.empty() && clip->second.slowed)
            words = tr("recorded at {}: order only", meet::rates_words(*clip->second.slowed));
        if (words.empty()) return;
        const float room = box_.w * 0.3F;
        if (look_.words->width(look_.fonts.body, words) > room)
            words = look_.words->fitted(look_.fonts.body, words, room);
        if (chip("capture", s_.keys.label(Action::capture_time), words, false, true))
            s_.commands.add(Do{Action::capture_time});
    }

    /// Only where there is something to choose.
    void draw_streams() {
        const review::ClipView* clip = s_.session.current_clip();
        if (!clip || !clip->table || !has_choice_of_streams(clip->table->info())) return;
        const media::ClipInfo& info = clip->table->info();
        std::string words;
        if (info.streams.size() > 1) words = tr("pictures {} of {}", info.stream + 1, info.streams.size());
        if (const auto sound = sound_of(*clip); sound && info.sounds.size() > 1)
            words += tr("{}sound {} of {}", words.empty() ? "" : ", ", *sound + 1, info.sounds.size());
        if (words.empty()) words = tr("sound");
        x_ += look_.unit(4);
        if (chip("streams", s_.keys.label(Action::streams), words, false, true))
            s_.commands.add(Do{Action::streams});
    }

    /// Plainly, since what looks like a missed step may be a missing picture.
    void draw_damage() {
        const review::ClipView* clip = s_.session.current_clip();
        const std::string words = clip && clip->table ? damage_summary(*clip->table) : "";
        if (words.empty()) return;
        const float side = look_.unit(8), top = box_.y + (box_.h - side) / 2;
        const float mark = x_ + look_.unit(12);
        x_ = mark + side;
        if (chip("damage", s_.keys.label(Action::damage), words, false, true))
            s_.commands.add(Do{Action::damage});
        if (x_ > mark + side) list_->AddRectFilled({mark, top}, {mark + side, top + side}, ink(c_.trouble));
    }

    void draw_saved() {
        std::string words;
        bool trouble = false;
        if (s_.session.save_failure()) {
            words = tr("not saved: see below");
            trouble = true;
        } else if (s_.session.read_only()) {
            words = tr("opened for reading only");
        } else {
            words = s_.session.all_solid() ? tr("all saved") : tr("saving");
        }
        if (!s_.views.listening.empty()) words = s_.views.listening + " · " + words;
        const std::string keys = tr("all keys");
        const float small = Words::line_height(look_.fonts.body);
        const float y = box_.y + (box_.h - small) / 2;
        float w = look_.words->width(look_.fonts.body, keys);
        right_ -= w;
        look_.words->draw(list_, look_.fonts.body, {right_, y}, c_.soft, keys);
        const std::string label = s_.keys.label(Action::help);
        right_ -= key_width(look_, label) + look_.unit(8);
        draw_key(list_, look_, {right_, box_.y + (box_.h - look_.unit(20)) / 2}, label, c_.key, c_.ink,
                 c_.line);
        if (hit("help", {right_, box_.y, box_.right() - right_, box_.h})) s_.commands.add(Do{Action::help});
        right_ -= look_.unit(24);
        w = look_.words->width(look_.fonts.body, words);
        right_ -= w;
        look_.words->draw(list_, look_.fonts.body, {right_, y}, trouble ? c_.ink : c_.soft, words);
        const float r = look_.unit(4);
        right_ -= look_.unit(14);
        const ImVec2 dot{right_ + r, box_.y + box_.h / 2};
        if (trouble)
            list_->AddRectFilled({dot.x - r, dot.y - r}, {dot.x + r, dot.y + r}, ink(c_.trouble));
        else if (s_.session.all_solid())
            list_->AddCircleFilled(dot, r, ink(c_.soft), 16);
        else
            list_->AddCircle(dot, r, ink(c_.soft), 16, std::max(1.0F, look_.unit(1.5F)));
        right_ -= look_.unit(16);
    }

    /// What is being written for others, with the key that stops it.
    void draw_giving_out() {
        const std::string& words = s_.views.giving_out;
        if (words.empty()) return;
        const std::string key = s_.keys.label(Action::let_go);
        const std::string fitted = look_.words->fitted(look_.fonts.body, words, box_.w * 0.3F);
        right_ -= key_width(look_, key);
        draw_key(list_, look_, {right_, box_.y + (box_.h - look_.unit(20)) / 2}, key, c_.key, c_.ink,
                 c_.line);
        right_ -= look_.words->width(look_.fonts.body, fitted) + look_.unit(8);
        const float y = box_.y + (box_.h - Words::line_height(look_.fonts.body)) / 2;
        look_.words->draw(list_, look_.fonts.body, {right_, y}, c_.ink, fitted);
        right_ -= look_.unit(24);
    }

    const Scene& s_;
    const Look& look_;
    const Palette& c_;
    Box box_;
    ImDrawList* list_;
    float x_ = 0, right_ = 0;
};

}  // namespace

void draw_top_bar(const Scene& scene, const Box& box) {
    begin_zone("top", box, scene.look.colours->bar);
    TopBar(scene, box).draw();
    ImGui::End();
}

}  // namespace plumbmark::desk
