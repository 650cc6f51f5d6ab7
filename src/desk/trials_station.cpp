// The chosen station on the page of the trials: its ways, its rate, what is open, how it is rigged, and what
// gaps and reaches it asks.
#include <fmt/format.h>

#include <algorithm>
#include <array>

#include "desk/internal/say.h"
#include "desk/internal/trials_desk.h"

namespace plumbmark::desk {
namespace {

constexpr float kRow = 28, kPhotoHigh = 132;

class StationWords {
  public:
    StationWords(const TrialsPaint& paint, const report::TrialsStation& station, TrialsView& view)
        : p_(paint),
          look_(paint.look),
          c_(*paint.look.colours),
          document_(*paint.desk.document()),
          station_(station),
          report_(station.report),
          view_(view) {}

    void draw(const Box& box) {
        ImGui::SetCursorScreenPos(top_left(box));
        begin_child(("trials of " + report_.key).c_str(), {box.w, box.h}, ImGuiWindowFlags_NoNav);
        if (view_.scroll != 0) ImGui::SetScrollY(ImGui::GetScrollY() + view_.scroll * look_.unit(30));
        view_.scroll = 0;
        list_ = ImGui::GetWindowDrawList();
        left_ = box.x;
        width_ = box.w - look_.unit(18);
        seen_from_ = box.y;
        seen_to_ = box.bottom();
        top_ = y_ = ImGui::GetCursorScreenPos().y;
        head();
        ways();
        rate();
        questions();
        rig();
        steps();
        ImGui::SetCursorScreenPos({left_, top_});
        ImGui::Dummy({1, y_ - top_ + look_.unit(12)});
        if (view_.show_question && question_at_) keep_in_sight(*question_at_, question_high_);
        view_.show_question = false;
        ImGui::EndChild();
    }

  private:
    void gap(float units) { y_ += look_.unit(units); }
    /// What lies beyond the region is measured and not drawn.
    [[nodiscard]] bool in_sight(float from, float to) const { return to >= seen_from_ && from <= seen_to_; }

    float say(const std::string& text, ImFont* font, Colour colour, float in = 0) {
        if (text.empty()) return 0;
        const float used =
            look_.words->draw_wrapped(list_, font, {left_ + in, y_}, width_ - in, colour, text);
        y_ += used + look_.unit(3);
        return used;
    }
    void title(const std::string& words) {
        gap(12);
        say(words, look_.fonts.strong, c_.ink);
        list_->AddLine({left_, y_}, {left_ + width_, y_}, ink(c_.line));
        gap(5);
    }

    void head() {
        gap(4);
        const float radius = look_.unit(7), line = Words::line_height(look_.fonts.title);
        draw_verdict(list_, look_, {left_ + radius + look_.unit(2), y_ + line / 2}, radius,
                     standing_shape(report_.release.standing), c_.float_ground);
        say(tr("{}: {}", report_.name, report::standing_words(report_.release.standing).spoken()),
            look_.fonts.title, c_.ink, look_.unit(26));
        if (report_.release.release)
            say(report::release_words(*report_.release.release).spoken(), look_.fonts.body, c_.ink);
        for (const base::Sentence& change : report_.release.changes)
            say(change.spoken(), look_.fonts.body, c_.ink, look_.unit(16));
        say(tr("Definition {}, rig {}.", report_.definition.substr(0, 16),
               report_.rig ? std::to_string(report_.rig->id.value) : std::string(tr("not written down yet"))),
            look_.fonts.small, c_.soft);
    }

    // --- the ways

    struct WayColumns {
        float landing, left_out, counts, count, state, right;
        bool choices;
    };
    [[nodiscard]] WayColumns columns() const {
        WayColumns at{};
        at.choices = !report_.ways.optional_items.empty();
        at.right = left_ + width_;
        at.count = look_.unit(width_ < look_.unit(640) ? 52 : 84);
        const float state = std::min(look_.unit(150), width_ * 0.22F);
        at.state = at.right - state;
        at.counts = at.state - at.count * 4 - look_.unit(10);
        // What is left out may be several things.
        const float each = (at.counts - left_) / (at.choices ? 3.6F : 2.0F);
        at.landing = left_ + each;
        at.left_out = at.choices ? left_ + 2 * each : at.counts;
        return at;
    }

    void cell(const std::string& words, ImFont* font, float from, float to, Colour colour) const {
        look_.words->draw(list_, font, {from, y_ + (look_.unit(kRow) - Words::line_height(font)) / 2}, colour,
                          look_.words->fitted(font, words, to - from - look_.unit(8)));
    }
    void right_cell(const std::string& words, ImFont* font, float to, Colour colour) const {
        const float wide = look_.words->width(font, words);
        look_.words->draw(list_, font,
                          {to - wide - look_.unit(6), y_ + (look_.unit(kRow) - Words::line_height(font)) / 2},
                          colour, words);
    }

    void table_head(const WayColumns& at) {
        ImFont* font = look_.fonts.small;
        cell(tr("start"), font, left_ + look_.unit(6), at.landing, c_.soft);
        cell(tr("landing"), font, at.landing, at.left_out, c_.soft);
        if (at.choices) cell(tr("left out"), font, at.left_out, at.counts, c_.soft);
        // The count of each outcome stands under the shape that the verdicts have everywhere.
        const struct {
            std::string words;
            std::optional<ruling::Verdict> shape;
        } counts[] = {{tr("tried"), std::nullopt},
                      {tr_in("a way", "cleared"), ruling::Verdict::clear},
                      {tr("failed"), ruling::Verdict::fail},
                      {tr("not shown"), ruling::Verdict::not_shown}};
        float x = at.counts;
        const float shape = look_.unit(4);
        for (const auto& one : counts) {
            const std::string words = look_.words->fitted(
                font, one.words, at.count - look_.unit(6) - (one.shape ? 4.4F * shape : 0));
            right_cell(words, font, x + at.count, c_.soft);
            if (one.shape)
                draw_verdict(list_, look_,
                             {x + at.count - look_.unit(6) - look_.words->width(font, words) - 2.6F * shape,
                              y_ + look_.unit(kRow) / 2},
                             shape, *one.shape, c_.float_ground);
            x += at.count;
        }
        y_ += look_.unit(kRow);
    }

    void way(const study::WayLine& line, const WayColumns& at, bool even) {
        const float row = look_.unit(kRow);
        if (!in_sight(y_, y_ + row)) return void(y_ += row);
        const Colour ground = even ? c_.row : c_.float_ground;
        if (even) list_->AddRectFilled({left_, y_}, {at.right, y_ + row}, ink(c_.row));
        const report::WayState state = report::way_state(line);
        const auto start = document_.surfaces.find(line.way.start);
        cell(start == document_.surfaces.end() ? line.way.start : start->second, look_.fonts.body,
             left_ + look_.unit(6), at.landing, c_.ink);
        cell(report::landing_words(line.way, document_.surfaces).spoken(), look_.fonts.body, at.landing,
             at.left_out, c_.ink);
        if (at.choices)
            cell(report::left_out_words(report_.ways, line.way, document_.surfaces).spoken(),
                 look_.fonts.body, at.left_out, at.counts, c_.ink);
        float x = at.counts;
        const study::Tally& tally = line.tally;
        for (const std::int64_t count : {tally.tried, tally.cleared, tally.failed, tally.not_shown})
            right_cell(std::to_string(count), look_.fonts.body, x += at.count, count > 0 ? c_.ink : c_.soft);
        draw_verdict(list_, look_, {at.state + look_.unit(10), y_ + row / 2}, look_.unit(kDiscRadius),
                     way_shape(state), ground);
        cell(report::way_state_words(state).spoken(), look_.fonts.body, at.state + look_.unit(22),
             at.right + look_.unit(8), c_.ink);
        y_ += row;
    }

    void ways() {
        title(report::ways_words(report_.ways).spoken());
        const WayColumns at = columns();
        table_head(at);
        bool even = true;
        for (const study::WayLine& line : report_.lines)
            way(line, at, std::exchange(even, !even));
        gap(4);
        if (report_.elsewhere.tried > 0)
            say(tr("None of these ways, or nobody knows which: {}",
                   report::tally_words(report_.elsewhere).spoken()),
                look_.fonts.body, c_.ink);
        if (report_.set_aside.tried > 0)
            say(tr("Set aside, of another definition or rig: {}",
                   report::tally_words(report_.set_aside).spoken()),
                look_.fonts.body, c_.ink);
    }

    // --- the rate

    void rate() {
        title(tr("How often it is cleared"));
        say(report::tally_words(report_.all).spoken(), look_.fonts.body, c_.ink);
        say(report::trial_rate_words(report_.rate, document_.wish.method).spoken(), look_.fonts.body, c_.ink);
        for (const study::GroupLine& group : report_.groups)
            say(tr("{}: {}", group.name.spoken(),
                   report::trial_rate_words(group.rate, document_.wish.method).spoken()),
                look_.fonts.body, c_.soft, look_.unit(16));
        gap(4);
        const std::string key = p_.keys.label({'B', 0});
        const Box cap{left_, y_, key_width(look_, key), look_.unit(20)};
        const bool clicked = hit("bound", cap);
        draw_key(list_, look_, top_left(cap), key, ImGui::IsItemHovered() ? c_.segment : c_.key, c_.ink,
                 c_.line);
        if (clicked) p_.commands.add(OfTrials{TurnBound{1}});
        say(tr("How many trials more until the lower end is so high:"), look_.fonts.body, c_.ink,
            cap.w + look_.unit(8));
        for (const base::Sentence& line : report::outlook_words(report_, document_.wish))
            say(line.spoken(), look_.fonts.body, c_.ink, look_.unit(16));
        say(tr("Trials of one tester are not independent of each other."), look_.fonts.small, c_.soft);
    }

    // --- what is open

    void questions() {
        const auto open = report_.open();
        title(open.empty() ? std::string(tr("Nothing is open"))
                           : tr_n("{} open item (Tab)", "{} open items (Tab)", std::ssize(open)));
        const study::Question* chosen = p_.desk.question(view_);
        for (const study::Question* one : open)
            question(*one, one == chosen);
        if (open.size() == report_.questions.size()) return;
        gap(6);
        say(tr("Closed:"), look_.fonts.strong, c_.ink);
        for (const study::Question& one : report_.questions) {
            if (!one.closed) continue;
            say(one.sentence.spoken(), look_.fonts.body, c_.soft, look_.unit(16));
            say(tr("Reason: {}", *one.closed), look_.fonts.body, c_.ink, look_.unit(32));
        }
    }

    void question(const study::Question& one, bool chosen) {
        const float top = y_, in = look_.unit(16);
        list_->ChannelsSplit(2);
        list_->ChannelsSetCurrent(1);
        gap(3);
        const std::string place = report::question_place(document_, one).spoken();
        const bool filmed = has_footage(one);
        say(one.sentence.spoken(), chosen ? look_.fonts.strong : look_.fonts.body, c_.ink, in);
        if (!place.empty() && !filmed) say(place, look_.fonts.small, c_.soft, in);
        if (filmed) {
            const std::string key = p_.keys.label(Action::take);
            float x = left_ + in;
            if (chosen) x += draw_key(list_, look_, {x, y_}, key, c_.key, c_.ink, c_.line) + look_.unit(8);
            const std::string words = chosen ? tr("go there: {}", place) : place;
            look_.words->draw(list_, look_.fonts.small,
                              {x, y_ + (look_.unit(20) - Words::line_height(look_.fonts.small)) / 2}, c_.soft,
                              look_.words->fitted(look_.fonts.small, words, left_ + width_ - x));
            gap(22);
        }
        if (one.closed_before)
            say(tr("Closed for an earlier definition: {}", *one.closed_before), look_.fonts.small, c_.soft,
                in);
        gap(1);
        list_->ChannelsSetCurrent(0);
        if (chosen) {
            list_->AddRectFilled({left_, top}, {left_ + width_, y_}, ink(c_.segment));
            list_->AddRectFilled({left_, top}, {left_ + look_.unit(4), y_}, ink(c_.chosen));
            question_at_ = top - top_;
            question_high_ = y_ - top;
        }
        list_->ChannelsMerge();
        if (hit(("question " + one.key).c_str(), {left_, top, width_, y_ - top})) {
            if (chosen && filmed)
                p_.commands.add(OfTrials{GoToQuestion{}});
            else
                p_.commands.add(OfTrials{TakeQuestion{one.key}});
        }
    }

    // --- the rig

    void rig() {
        if (!report_.rig) {
            title(tr("Rig"));
            say(tr("It is not written down how the station is set up. {} writes it down; until then nothing "
                   "can be "
                   "tried or released.",
                   p_.keys.label({'W', 0})),
                look_.fonts.body, c_.ink);
            return;
        }
        const meet::RigState& rig = *report_.rig;
        title(tr("Rig {}", rig.id.value));
        if (rig.items.empty()) say(tr("No item of it was written down."), look_.fonts.body, c_.soft);
        for (const meet::RigItem& item : rig.items)
            say(report::rig_item_words(item).spoken(), look_.fonts.body, c_.ink, look_.unit(16));
        say(rig.note, look_.fonts.body, c_.ink, look_.unit(16));
        photos(rig);
    }

    void photos(const meet::RigState& rig) {
        if (rig.photos.empty()) return;
        const auto* pictures = p_.desk.pictures(rig.id);
        if (pictures == nullptr)
            return void(say(tr("Reading the photographs…"), look_.fonts.body, c_.soft, look_.unit(16)));
        gap(4);
        float x = left_;
        const float high = look_.unit(kPhotoHigh), name = Words::line_height(look_.fonts.small);
        bool in_row = false;
        for (std::size_t i = 0; i < pictures->size(); ++i) {
            const Texture* texture = p_.desk.texture(rig.id, i);
            if (texture == nullptr || texture->height() <= 0) continue;
            const float wide = std::min(
                width_, high * static_cast<float>(texture->width()) / static_cast<float>(texture->height()));
            if (x + wide > left_ + width_ && in_row) {
                x = left_;
                y_ += high + name + look_.unit(8);
            }
            list_->AddImage(as_texture(texture->name()), {x, y_}, {x + wide, y_ + high});
            list_->AddRect({x, y_}, {x + wide, y_ + high}, ink(c_.line));
            look_.words->draw(list_, look_.fonts.small, {x, y_ + high + look_.unit(2)}, c_.soft,
                              look_.words->fitted(look_.fonts.small, (*pictures)[i].file, wide));
            x += wide + look_.unit(12);
            in_row = true;
        }
        if (in_row) y_ += high + name + look_.unit(8);
        for (const report::RigPicture& one : *pictures) {
            if (one.picture) continue;
            say(one.looked_for.empty() ? one.no_picture.spoken()
                                       : tr("{}: {}", one.looked_for, one.no_picture.spoken()),
                look_.fonts.body, c_.ink, look_.unit(16));
        }
    }

    // --- gaps and reaches

    void steps() {
        if (station_.steps.empty()) return;
        title(tr("Gaps and reaches"));
        say(study::guide_notice().spoken(), look_.fonts.small, c_.soft);
        for (const study::CourseStep& step : station_.steps) {
            say(report::step_words(step, document_.surfaces).spoken(), look_.fonts.body, c_.ink);
            for (const base::Sentence& figure : report::step_figures(step))
                say(figure.spoken(), look_.fonts.small, c_.soft, look_.unit(16));
        }
        if (!document_.people_told)
            say(tr("No age is known: a division of the meet with its years of birth tells it."),
                look_.fonts.small, c_.soft);
    }

    const TrialsPaint& p_;
    const Look& look_;
    const Palette& c_;
    const report::TrialsDocument& document_;
    const report::TrialsStation& station_;
    const study::StationReport& report_;
    TrialsView& view_;
    ImDrawList* list_ = nullptr;
    float left_ = 0, width_ = 0, top_ = 0, y_ = 0, seen_from_ = 0, seen_to_ = 0;
    std::optional<float> question_at_;
    float question_high_ = 0;
};

}  // namespace

void draw_trials_station(const TrialsPaint& paint, const Box& box, const report::TrialsStation& station,
                         TrialsView& view) {
    StationWords(paint, station, view).draw(box);
}

}  // namespace plumbmark::desk
