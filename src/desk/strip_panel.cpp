// The run strip: one time axis, a row for the course, each limb, planes, signals, and what was watched.
#include <fmt/format.h>

#include <algorithm>
#include <array>
#include <cmath>

#include "base/text.h"
#include "desk/internal/following_desk.h"
#include "desk/internal/panels.h"
#include "desk/internal/say.h"
#include "desk/internal/strip_damage.h"
#include "desk/internal/strip_repeats.h"
#include "desk/internal/strip_sound.h"
#include "desk/strip_worlds.h"

namespace plumbmark::desk {
namespace {

constexpr const char* kRowNames[] = {base::to_translate("L hand"), base::to_translate("R hand"),
                                     base::to_translate("L foot"), base::to_translate("R foot"),
                                     base::to_translate("other")};
constexpr std::int64_t kMillisecond = 1'000'000;
constexpr std::size_t kManyMarks = 200;  ///< in one row

/// White or black, whichever reads better on a limb's colour.
Colour ink_on(Colour ground) {
    const Colour white = rgb(0xFFFFFF), black = rgb(0x000000);
    return contrast(white, ground) >= contrast(black, ground) ? white : black;
}

class Strip {
  public:
    Strip(const Scene& scene, const Box& box, StripRows rows, bool sound, StripView& view)
        : s_(scene),
          look_(scene.look),
          c_(*scene.look.colours),
          box_(box),
          rows_(rows),
          sound_(sound),
          view_(view),
          model_(strip_model_of(scene.session, view.kept)) {
        list_ = ImGui::GetWindowDrawList();
        const float left = look_.unit(104), right = look_.unit(16);
        track_ = {box.x + left, box.y + look_.unit(kRuler), std::max(1.0F, box.w - left - right),
                  look_.unit(kRow) * static_cast<float>(row_count(rows, sound))};
    }

    void draw() {
        const review::ClipView* clip = s_.session.current_clip();
        if (!clip || !clip->table || clip->table->size() == 0) return draw_waiting(clip);
        table_ = clip->table.get();
        take_window();
        ImGui::SetCursorScreenPos({track_.x, box_.y});
        ImGui::InvisibleButton("track", {track_.w, look_.unit(kRuler) + track_.h},
                               ImGuiButtonFlags_MouseButtonLeft);
        hovered_ = ImGui::IsItemHovered();
        active_ = ImGui::IsItemActive();
        activated_ = ImGui::IsItemActivated();
        wheel();
        draw_ruler();
        list_->PushClipRect({track_.x, box_.y}, {track_.right(), box_.bottom()}, true);
        draw_rows();
        damage_ = damaged_stretches(*table_);
        const auto place = [this](std::int64_t ns) { return x_of(ns); };
        if (const auto& repeated = s_.session.state().clips().at(clip->id).repeated) {
            for (RepeatsHit& hit : draw_repeats(look_, track_, *repeated, *table_, place, list_))
                hits_.push_back({hit.box, {}, std::move(hit.words)});
        }
        for (LostHit& hit : draw_lost(look_, track_, s_.following.lost(clip->id), *table_, place, list_))
            hits_.push_back({hit.box, {}, std::move(hit.words)});
        for (const DamageHit& hit : draw_damage(look_, track_, damage_, place, list_))
            hits_.push_back({hit.box, {}, hit.stretch->words});
        list_->PopClipRect();
        draw_names();
        draw_playhead();
        point();
    }

  private:
    struct Hit {
        Box box;
        meet::MarkId mark;
        std::string words;
    };

    // --- time and place ---
    void take_window() {
        const std::int64_t begin = model_.begin, end = model_.end;
        if (view_.clip != s_.session.clip() || view_.to_ns <= view_.from_ns) {
            view_.clip = s_.session.clip();
            view_.from_ns = begin;
            view_.to_ns = end;
        }
        // Stepping out of the visible stretch takes it along.
        const std::int64_t now = s_.session.time().ns, span = view_.to_ns - view_.from_ns;
        if (!view_.dragging && (now < view_.from_ns || now > view_.to_ns)) {
            view_.from_ns = std::clamp(now - span / 2, begin, std::max(begin, end - span));
            view_.to_ns = view_.from_ns + span;
        }
    }
    float x_of(std::int64_t ns) const {
        const double share =
            static_cast<double>(ns - view_.from_ns) / static_cast<double>(view_.to_ns - view_.from_ns);
        // Far outside the window floats would lose their place; the clip rectangle cuts the rest.
        return track_.x + static_cast<float>(std::clamp(share, -2.0, 3.0)) * track_.w;
    }
    std::int64_t time_at(float x) const {
        const double share = (x - track_.x) / track_.w;
        return view_.from_ns +
               static_cast<std::int64_t>(share * static_cast<double>(view_.to_ns - view_.from_ns));
    }
    std::int64_t frame_near(float x) const {
        const std::int64_t t = time_at(x);
        const std::int64_t at = std::max<std::int64_t>(0, table_->frame_at({t}));
        if (at + 1 < table_->size() && table_->time(at + 1).ns - t < t - table_->time(at).ns) return at + 1;
        return at;
    }
    Box row(int n) const {
        const float height = look_.unit(kRow);
        return {track_.x, track_.y + height * static_cast<float>(n), track_.w, height};
    }
    int planes_row() const { return 6; }
    int signals_row() const { return rows_ == StripRows::joined ? 6 : 7; }
    int watched_row() const { return row_count(rows_, sound_) - 1; }
    bool has_sound_row() const { return sound_ && rows_ != StripRows::folded; }
    int sound_row() const { return watched_row() - 1; }

    void wheel() {
        const float turned = ImGui::GetIO().MouseWheel;
        if (!hovered_ || turned == 0) return;
        const std::int64_t at = time_at(ImGui::GetMousePos().x), begin = model_.begin, end = model_.end;
        const double factor = std::pow(0.8, turned);
        const auto shrunk = [&](std::int64_t t) {
            return at + static_cast<std::int64_t>(static_cast<double>(t - at) * factor);
        };
        const std::int64_t from = std::max(begin, shrunk(view_.from_ns)),
                           to = std::min(end, shrunk(view_.to_ns));
        if (to - from < 20 * kMillisecond) return;
        view_.from_ns = from;
        view_.to_ns = to;
    }

    // --- drawing ---
    void draw_waiting(const review::ClipView* clip) {
        const std::string text = !clip         ? tr("The run strip begins with the first clip.")
                                 : clip->error ? tr("This clip cannot be read.")
                                               : tr("The clip is being read.");
        look_.words->draw(list_, look_.fonts.body, {track_.x, track_.y}, c_.soft, text);
    }

    void draw_ruler() {
        static constexpr std::int64_t steps[] = {1,     2,     5,      10,     20,    50,    100,
                                                 200,   500,   1000,   2000,   5000,  10000, 15000,
                                                 30000, 60000, 120000, 300000, 600000};
        const double px_per_ms = track_.w / (static_cast<double>(view_.to_ns - view_.from_ns) / 1e6);
        std::int64_t step = steps[0];
        for (const std::int64_t candidate : steps) {
            step = candidate;
            if (static_cast<double>(candidate) * px_per_ms >= look_.unit(84)) break;
        }
        const float top = box_.y, bottom = track_.y;
        const auto tick = [&](std::int64_t ms, float height) {
            const float x = x_of(ms * kMillisecond);
            list_->AddLine({x, bottom - look_.unit(height)}, {x, bottom}, ink(c_.line),
                           std::max(1.0F, look_.unit(1)));
        };
        const std::int64_t minor = step % 5 == 0 ? step / 5 : step % 2 == 0 ? step / 2 : step;
        const std::int64_t first = view_.from_ns / kMillisecond / step * step;
        for (std::int64_t ms = first; ms * kMillisecond <= view_.to_ns; ms += minor) {
            if (ms * kMillisecond < view_.from_ns) continue;
            const bool major = ms % step == 0;
            tick(ms, major ? 7 : 4);
            if (!major) continue;
            std::string text = base::clock_text({ms * kMillisecond});
            if (step >= 1000) text.resize(text.size() - 4);
            const float w = look_.words->width(look_.fonts.small, text);
            const float x = std::min(x_of(ms * kMillisecond) - w / 2, box_.right() - w - look_.unit(2));
            look_.words->draw(list_, look_.fonts.small, {x, top}, c_.soft, text);
        }
    }

    void draw_rows() {
        for (int n = 0; n < row_count(rows_, sound_); ++n) {
            const Box b = row(n);
            fill_box(list_, {b.x, b.y + 1, b.w, b.h - 2}, n == 0 ? c_.strip : c_.row);
        }
        draw_course(row(0));
        draw_watched(row(watched_row()));
        if (rows_ == StripRows::folded) return;
        for (int n = 0; n < 5; ++n)
            draw_contacts(row(n + 1), model_.contacts[static_cast<std::size_t>(n)]);
        draw_instants();
        if (has_sound_row()) draw_sound(row(sound_row()));
        draw_worlds();
    }

    /// What nobody saw, in the two ways that a station which is not shown can have been: the first in the
    /// upper half of its row, the second in the lower.
    void draw_worlds() {
        const auto* now = station_ruling(s_.session, focused_station(s_.session, s_.views.sheet));
        if (!now || now->verdict != ruling::Verdict::not_shown) return;
        for (const WorldStretch& stretch :
             world_stretches(*now, s_.session.ruling().clips, s_.session.clip())) {
            const Box b = row(stretch.row < 5 ? stretch.row + 1 : planes_row());
            const float half = b.h / 2, top = b.y + half * static_cast<float>(stretch.world) + look_.unit(2);
            const float x0 = x_of(stretch.from), least = look_.unit(6);
            const float x1 = stretch.open ? x0 + look_.unit(40) : std::max(x_of(stretch.to), x0 + least);
            const ImVec2 from{x0, top}, to{x1, top + half - look_.unit(4)};
            list_->AddRectFilled(from, to, ink(verdict_colour(stretch.verdict), 110));
            draw_dotted_rect(list_, look_, from, to, ink(c_.ink));
            const float r = look_.unit(4);
            if (x1 - x0 > 3 * r)
                draw_verdict(list_, look_, {x0 + 2 * r, (from.y + to.y) / 2}, r, stretch.verdict, c_.row);
            hits_.push_back({{x0, top, x1 - x0, half}, {}, stretch.words});
        }
    }

    void draw_sound(const Box& b) {
        draw_sound_row(s_, {b, {view_.from_ns}, {view_.to_ns}}, list_);
        const ImVec2 at = ImGui::GetMousePos();
        if (!hovered_ || !b.holds(at.x, at.y)) return;
        // As wide as the pointer is exact, and never less than what is told apart.
        const float left = std::floor(at.x), right = left + look_.unit(2);
        const std::int64_t from = time_at(left), to = std::max(time_at(right), from + kMillisecond);
        hits_.push_back({{left, b.y, right - left, b.h}, {}, sound_words(s_, {from}, {to})});
    }

    void draw_course(const Box& b) {
        for (std::size_t i = 0; i < model_.stations.size(); ++i) {
            const StationSegment& segment = model_.stations[i];
            const float left = x_of(segment.from),
                        right = std::max(left + 2, x_of(segment.to) - look_.unit(1));
            const ImVec2 from{left, b.y + look_.unit(2)}, to{right, b.bottom() - look_.unit(2)};
            list_->AddRectFilled(from, to, ink(c_.segment), look_.unit(2));
            const bool focus = focused_station(s_.session, s_.views.sheet) == static_cast<int>(i);
            if (focus) list_->AddRectFilled({left, to.y - look_.unit(2)}, to, ink(c_.ink));
            if (hovered_ && ImGui::IsMouseHoveringRect(from, to) && ImGui::IsMouseClicked(0))
                s_.commands.add(FocusStation{static_cast<int>(i), false});
            list_->PushClipRect(from, to, true);
            const float middle = (from.y + to.y) / 2, x = std::max(left, track_.x) + look_.unit(14);
            if (segment.ruled)
                draw_verdict(list_, look_, {x, middle}, look_.unit(5), segment.verdict, c_.segment);
            const std::string name = fmt::format("{} {}", i + 1, segment.name);
            look_.words->draw(list_, look_.fonts.small,
                              {x + look_.unit(12), middle - Words::line_height(look_.fonts.small) / 2},
                              c_.ink, name);
            list_->PopClipRect();
        }
    }

    /// Something marked: remember where it is drawn, and show when it is the chosen one.
    void marked(ImVec2 from, ImVec2 to, meet::MarkId mark, const std::string& words) {
        const float least = look_.unit(10);
        if (to.x - from.x < least) {
            const float grow = (least - (to.x - from.x)) / 2;
            from.x -= grow;
            to.x += grow;
        }
        // Of ten thousand only what is under the pointer is asked for.
        const Box box{from.x, from.y, to.x - from.x, to.y - from.y};
        const ImVec2 at = ImGui::GetMousePos();
        if ((hovered_ || active_) && box.holds(at.x, at.y)) hits_.push_back({box, mark, words});
        if (mark.valid() && s_.session.selected() == mark) {
            const float off = look_.unit(2);
            list_->AddRect({from.x - off, from.y - off}, {to.x + off, to.y + off}, ink(c_.chosen),
                           look_.unit(2), 0, std::max(1.5F, look_.unit(2)));
        }
    }

    /// What is too narrow to be told apart, joined to one where nothing lies between.
    struct Narrow {
        float from = 0, to = 0;
        Colour colour;
        float below = 0;  ///< wider ones are drawn by themselves
        bool any = false;
    };
    /// Where marks stand closer together than their ends could be read, only the zoom shows one by one.
    float narrow_below(std::size_t in_sight) const {
        const bool dense = static_cast<float>(in_sight) * look_.unit(16) > track_.w;
        return dense ? look_.unit(12) : look_.unit(3);
    }
    void flush(const Box& b, Narrow& narrow) {
        if (narrow.any)
            list_->AddRectFilled({narrow.from, b.y + look_.unit(6)}, {narrow.to, b.bottom() - look_.unit(6)},
                                 ink(narrow.colour));
        narrow.any = false;
    }
    /// True when it was joined to what is narrow: nothing else of it can be seen at this width.
    bool is_narrow(const Box& b, Narrow& narrow, float from, float to, Colour colour) {
        if (to - from >= narrow.below) return false;
        const float end = std::max(to, from + 1);
        const bool joins =
            narrow.any && narrow.colour == colour && from <= narrow.to + 1 && from >= narrow.from;
        if (!joins) {
            flush(b, narrow);
            narrow = {from, end, colour, narrow.below, true};
        }
        narrow.to = std::max(narrow.to, end);
        return true;
    }
    bool in_sight(float from, float to) const {
        const float room = look_.unit(12);  // what a chosen mark's frame takes beyond it
        return to >= track_.x - room && from <= track_.right() + room;
    }
    bool chosen_here(meet::MarkId mark) const { return mark.valid() && mark == s_.session.selected(); }

    void draw_contacts(const Box& b, const std::vector<ContactBar>& bars) {
        // Few need no help, and a lone one is seen better by its ends.
        const auto seen =
            static_cast<std::size_t>(std::count_if(bars.begin(), bars.end(), [&](const auto& bar) {
                return in_sight(x_of(bar.from.after), x_of(bar.to.until));
            }));
        const bool many = seen > kManyMarks;
        Narrow narrow;
        narrow.below = narrow_below(seen);
        for (const ContactBar& bar : bars) {
            const float from = x_of(bar.from.after), to = x_of(bar.to.until);
            if (!in_sight(from, to)) continue;
            const bool chosen = chosen_here(bar.from.mark) || chosen_here(bar.to.mark);
            if (many && !chosen && is_narrow(b, narrow, from, to, part_colour(bar.part))) {
                const ImVec2 at{from, b.y + look_.unit(6)}, end{to, b.bottom() - look_.unit(6)};
                if (bar.from.mark.valid()) marked(at, end, bar.from.mark, bar.words);
                if (bar.to.mark.valid()) marked(at, end, bar.to.mark, bar.words);
                continue;
            }
            flush(b, narrow);
            draw_bar(b, bar);
        }
        flush(b, narrow);
    }

    void draw_instants() {
        const auto& all = model_.instants;
        const auto seen =
            static_cast<std::size_t>(std::count_if(all.begin(), all.end(), [&](const auto& one) {
                return in_sight(x_of(one.after), x_of(one.until));
            }));
        const bool many = seen > kManyMarks;
        std::array<Narrow, 2> narrow;
        for (Narrow& row : narrow)
            row.below = narrow_below(seen);
        for (const InstantMark& instant : model_.instants) {
            const Box b = row(instant.plane ? planes_row() : signals_row());
            const float from = x_of(instant.after), to = x_of(instant.until);
            if (!in_sight(from, to)) continue;
            const Colour colour = instant.plane ? kPlane : c_.ink;
            if (many && !chosen_here(instant.mark) &&
                is_narrow(b, narrow[instant.plane ? 0 : 1], from, to, colour)) {
                marked({from, b.y + look_.unit(6)}, {to, b.bottom() - look_.unit(6)}, instant.mark,
                       instant.words);
                continue;
            }
            draw_instant(b, instant, !many);
        }
        flush(row(planes_row()), narrow[0]);
        flush(row(signals_row()), narrow[1]);
    }

    void draw_bar(const Box& b, const ContactBar& bar) {
        const Colour colour = part_colour(bar.part);
        const float height = (b.h - look_.unit(12)) / static_cast<float>(bar.lanes);
        const float top = b.y + look_.unit(6) + height * static_cast<float>(bar.lane), bottom = top + height;
        const float a0 = x_of(bar.from.after), a1 = x_of(bar.from.until), z0 = x_of(bar.to.after),
                    z1 = x_of(bar.to.until);
        const float body_from = bar.from.open ? a0 : a1, body_to = std::max(body_from, z0);
        const ImVec2 from{body_from, top}, to{std::max(body_to, body_from + 1), bottom};
        const float line = std::max(1.0F, look_.unit(1.5F));
        if (bar.possible)
            draw_dotted_rect(list_, look_, {a0, top}, {std::max(z1, a0 + 3), bottom}, ink(c_.ink));
        if (bar.solid) list_->AddRectFilled(from, to, ink(colour, bar.possible || bar.to.open ? 150 : 255));
        // Hollow until it is on the disk, and outlined where the colour stands out too little.
        if (!bar.solid || needs_outline(colour, c_.row))
            list_->AddRect(from, to, bar.solid ? ink(c_.outline, 160) : ink(colour), 0, 0, line);
        // Both ends as wide as they are uncertain; where a contact is shorter than that, the hatchings
        // overlap.
        if (!bar.from.open) draw_hatching(list_, look_, {a0, top}, {a1, bottom}, ink(colour));
        if (!bar.to.open) draw_hatching(list_, look_, {z0, top}, {z1, bottom}, ink(colour));
        const ImVec2 ends[2][2] = {{{a0, top}, {a1, bottom}}, {{z0, top}, {z1, bottom}}};
        for (int end = 0; end < 2; ++end) {
            const Edge& edge = end == 0 ? bar.from : bar.to;
            if (edge.mark.valid()) marked(ends[end][0], ends[end][1], edge.mark, bar.words);
        }
        draw_bar_words(bar, from, to);
    }

    void draw_bar_words(const ContactBar& bar, ImVec2 from, ImVec2 to) {
        const float left = std::max(from.x, track_.x) + look_.unit(6);
        const float room = std::min(to.x, track_.right()) - left - look_.unit(4);
        if (room < look_.unit(24) || bar.lanes > 1) return;
        const Colour words =
            bar.solid && !bar.possible && !bar.to.open ? ink_on(part_colour(bar.part)) : c_.ink;
        const std::string text = look_.words->fitted(look_.fonts.small, bar.words, room);
        look_.words->draw(list_, look_.fonts.small,
                          {left, (from.y + to.y - Words::line_height(look_.fonts.small)) / 2}, words, text);
    }

    /// 'worded': with its words beside it, where there is room.
    void draw_instant(const Box& b, const InstantMark& instant, bool worded) {
        const Colour colour = instant.plane ? kPlane : c_.ink;
        const float x0 = x_of(instant.after), x1 = std::max(x_of(instant.until), x0 + 2);
        const ImVec2 from{x0, b.y + look_.unit(6)}, to{x1, b.bottom() - look_.unit(6)};
        draw_hatching(list_, look_, from, to, ink(colour));
        if (instant.possible) draw_dotted_rect(list_, look_, from, to, ink(c_.ink));
        const float line = std::max(1.0F, look_.unit(instant.solid ? 2 : 1));
        for (const float x : {x0, x1})
            list_->AddLine({x, from.y}, {x, to.y}, ink(colour), line);
        marked(from, to, instant.mark, instant.words);
        if (worded) write_beside(b, x0, x1, instant);
    }

    /// The words of an instant: beside it where nothing else is marked, else inside it, else only under the
    /// pointer.
    void write_beside(const Box& b, float x0, float x1, const InstantMark& instant) {
        const float w = look_.words->width(look_.fonts.small, instant.words), gap = look_.unit(6);
        const auto free = [&](float from, float to) {
            for (const Box& taken : taken_)
                if (taken.y == b.y && from < taken.right() && to > taken.x) return false;
            return std::none_of(
                model_.instants.begin(), model_.instants.end(), [&](const InstantMark& other) {
                    const bool row = rows_ == StripRows::joined || other.plane == instant.plane;
                    return row && other.mark != instant.mark && x_of(other.after) < to &&
                           x_of(other.until) > from;
                });
        };
        float x = x1 + gap;
        if (!free(x, x + w) || x + w > track_.right()) x = x0 - gap - w;
        if (x < track_.x || !free(x, x + w)) return;
        taken_.push_back({x, b.y, w, b.h});
        look_.words->draw(list_, look_.fonts.small,
                          {x, b.y + (b.h - Words::line_height(look_.fonts.small)) / 2}, c_.ink,
                          instant.words);
    }

    void draw_watched(const Box& b) {
        const float line = std::max(1.0F, look_.unit(1.5F));
        for (const auto& [first, last] : s_.session.displayed()) {
            const std::int64_t past = last + 1 < table_->size() ? table_->time(last + 1).ns : model_.end;
            const float x0 = x_of(table_->time(first).ns), x1 = std::max(x_of(past), x0 + 1);
            const Box shown{std::max(x0, track_.x), b.y + look_.unit(6),
                            std::min(x1, track_.right()) - std::max(x0, track_.x), b.h - look_.unit(12)};
            // Clearing is quick for what is large; many small ones are quicker drawn at once.
            if (shown.w > look_.unit(120))
                fill_box(list_, shown, c_.displayed);
            else if (shown.w > 0)
                list_->AddRectFilled(top_left(shown), bottom_right(shown), ink(c_.displayed));
        }
        for (const WatchedStretch& stretch : model_.watched) {
            const float x0 = x_of(stretch.from), x1 = std::max(x_of(stretch.to), x0 + 1);
            const float inset = look_.unit(stretch.whole_athlete ? 6 : 9);
            const ImVec2 from{x0, b.y + inset}, to{x1, b.bottom() - inset};
            if (stretch.solid) list_->AddRectFilled(from, to, ink(c_.vouched));
            list_->AddRect(from, to, ink(c_.vouched), 0, 0, line);
            marked(from, to, stretch.mark, tr("watched: {}", stretch.words));
        }
        draw_watching_now(b);
    }

    /// After the first W: a frame from there to the playhead.
    void draw_watching_now(const Box& b) {
        const MarkingView& marking = s_.views.marking;
        if (!marking.watch_from || marking.watch_clip != s_.session.clip()) return;
        const std::int64_t at = std::clamp<std::int64_t>(*marking.watch_from, 0, table_->size() - 1);
        const float x0 = x_of(table_->time(at).ns), x1 = x_of(s_.session.time().ns);
        draw_dotted_rect(list_, look_, {std::min(x0, x1), b.y + look_.unit(4)},
                         {std::max(std::max(x0, x1), x0 + 3), b.bottom() - look_.unit(4)}, ink(c_.ink));
    }

    void draw_names() {
        const auto name = [&](int n, const std::string& text, const Colour* square, bool strong) {
            const Box b = row(n);
            float x = box_.x + look_.unit(12);
            const float middle = b.y + b.h / 2;
            if (square) {
                const float half = look_.unit(5);
                list_->AddRectFilled({x, middle - half}, {x + 2 * half, middle + half}, ink(*square),
                                     look_.unit(2));
                if (needs_outline(*square, c_.strip))
                    list_->AddRect({x, middle - half}, {x + 2 * half, middle + half}, ink(c_.outline, 160),
                                   look_.unit(2));
                x += look_.unit(16);
            }
            ImFont* font = strong ? look_.fonts.strong : look_.fonts.body;
            look_.words->draw(list_, font, {x, middle - Words::line_height(font) / 2},
                              strong ? c_.ink : c_.soft, text);
        };
        name(0, tr("course"), nullptr, false);
        name(watched_row(), tr("watched"), nullptr, false);
        if (rows_ == StripRows::folded) return;
        const auto hand = s_.session.hand().part;
        for (int n = 0; n < 5; ++n) {
            const Colour square = part_colour(static_cast<course::Part>(n));
            name(n + 1, tr(kRowNames[n]), &square, !hand || strip_row(*hand) == n);
        }
        name(planes_row(), rows_ == StripRows::joined ? tr("planes, signals") : tr("planes"), nullptr, false);
        if (rows_ == StripRows::all) name(signals_row(), tr("signals"), nullptr, false);
        if (!has_sound_row()) return;
        name(sound_row(), sound_row_name(s_), nullptr, false);
        const Box b = row(sound_row());
        const Box named{box_.x, b.y, track_.x - box_.x, b.h};
        if (sound_is_being_read(s_) && hit("stop the sound", named)) s_.commands.add(StopSound{});
    }

    void draw_playhead() {
        const float x = x_of(s_.session.time().ns);
        if (x < track_.x - 1 || x > track_.right() + 1) return;
        const float bottom = track_.bottom() + look_.unit(4);
        list_->AddLine({x, box_.y + look_.unit(18)}, {x, bottom}, ink(c_.playhead),
                       std::max(1.0F, look_.unit(1.5F)));
        std::string text = tr("f {} · {}", s_.session.frame(), base::clock_text(s_.session.time()));
        if (const auto run = run_clock(s_.session)) text += " · " + *run;
        const float w = look_.words->width(look_.fonts.strong, text) + look_.unit(16);
        const float left = std::clamp(x - w / 2, track_.x, std::max(track_.x, track_.right() - w));
        draw_label(list_, look_, {left, track_.bottom() + look_.unit(2)}, text, look_.fonts.strong,
                   c_.playhead, ink_on(c_.playhead));
    }

    // --- the pointer ---
    const Hit* under_pointer() const {
        const ImVec2 at = ImGui::GetMousePos();
        const Hit* best = nullptr;
        for (const Hit& hit : hits_)
            if (hit.box.holds(at.x, at.y) && (!best || hit.box.w < best->box.w)) best = &hit;
        return best;
    }

    void point() {
        view_.dragging = active_;
        const Hit* hit = hovered_ || active_ ? under_pointer() : nullptr;
        const ImVec2 at = ImGui::GetMousePos();
        if (activated_) {
            pressed_on_mark_ = hit && hit->mark.valid();
            if (pressed_on_mark_) s_.commands.add(GoMark{hit->mark});
        }
        const bool course_row = at.y >= row(0).y && at.y < row(0).bottom();
        const bool moved = ImGui::IsMouseDragging(0, look_.unit(3));
        if (active_ && !course_row && ((activated_ && !pressed_on_mark_) || moved))
            s_.commands.add(GoFrame{frame_near(at.x)});
        if (hit && hovered_ && !active_ && !hit->words.empty()) {
            const float w = look_.words->width(look_.fonts.small, hit->words) + look_.unit(16);
            const float left =
                std::clamp(at.x + look_.unit(12), track_.x, std::max(track_.x, track_.right() - w));
            draw_label(list_, look_, {left, at.y - look_.unit(30)}, hit->words, look_.fonts.small,
                       c_.float_ground, c_.ink);
        }
    }

    const Scene& s_;
    const Look& look_;
    const Palette& c_;
    Box box_, track_;
    StripRows rows_;
    bool sound_;
    StripView& view_;
    ImDrawList* list_ = nullptr;
    const media::FrameTable* table_ = nullptr;
    const StripModel& model_;
    std::vector<DamagedStretch> damage_;
    std::vector<Hit> hits_;
    std::vector<Box> taken_;  ///< by words of instants
    bool hovered_ = false, active_ = false, activated_ = false, pressed_on_mark_ = false;
};

}  // namespace

void draw_strip(const Scene& scene, const Box& box, StripRows rows, bool sound, StripView& view) {
    begin_zone("run strip", box, scene.look.colours->strip);
    Strip(scene, box, rows, sound, view).draw();
    ImGui::End();
}

}  // namespace plumbmark::desk
