// The plots of the page of the run laid open: by how much one run is behind the other along the course, and
// how long the stations took. What the frames leave open is drawn as a range, never as a point alone.
#include <fmt/format.h>

#include <algorithm>
#include <cmath>

#include "desk/internal/plot_axis.h"
#include "desk/internal/reading.h"
#include "desk/internal/say.h"
#include "desk/internal/study_desk.h"
#include "review/capture_time.h"

namespace plumbmark::desk {
namespace {

/// The least that the axis reaches to either side: differences of a frame shall not look like much.
constexpr double kLeastSpan = 0.2;

class Curve {
  public:
    Curve(const Scene& scene, const Box& box, const review::LaidBeside& laid,
          const std::vector<CurveSpot>& spots)
        : look_(scene.look),
          c_(*scene.look.colours),
          scene_(scene),
          two_(*laid.document.two),
          runs_(laid.document.runs),
          spots_(spots),
          list_(ImGui::GetWindowDrawList()),
          box_(box) {
        const float left = look_.unit(56), above = look_.unit(24), below = look_.unit(22);
        plot_ = {box.x + left, box.y + above, box.w - left - look_.unit(8), box.h - above - below};
    }

    void draw() {
        fill_box(list_, box_, c_.strip);
        title();
        if (spots_.empty()) {
            look_.words->draw_wrapped(list_, look_.fonts.body, {plot_.x, plot_.y}, plot_.w, c_.soft,
                                      tr("Nothing that both runs show lies on this clip. Tab shows another "
                                         "clip of the run."));
            return;
        }
        ranges();
        scale();
        stations();
        points();
        playhead();
        pointer();
    }

  private:
    void title() {
        const std::string a = runs_[0]->name.label, b = runs_[1]->name.label;
        const std::string from = two_.anchor ? two_.anchor->says.spoken() : std::string();
        look_.words->draw(list_, look_.fonts.small, {box_.x + look_.unit(8), box_.y + look_.unit(4)}, c_.soft,
                          look_.words->fitted(look_.fonts.small,
                                              tr("Behind {} since {}: upwards {} has lost time", b, from, a),
                                              box_.w - look_.unit(16)));
    }

    [[nodiscard]] const study::Difference& behind(const CurveSpot& spot) const {
        return two_.curve[spot.point].behind;
    }

    void ranges() {
        from_ = spots_.front().at.ns;
        to_ = spots_.back().at.ns;
        // With some room on both sides, and never without any width.
        const std::int64_t room = std::max<std::int64_t>((to_ - from_) / 40, 100'000'000);
        from_ -= room;
        to_ += room;
        low_ = -kLeastSpan;
        high_ = kLeastSpan;
        for (const CurveSpot& spot : spots_) {
            const study::Difference& one = behind(spot);
            if (one.low) low_ = std::min(low_, seconds_of(*one.low));
            if (one.high) high_ = std::max(high_, seconds_of(*one.high));
            if (one.high) low_ = std::min(low_, seconds_of(*one.high));
            if (one.low) high_ = std::max(high_, seconds_of(*one.low));
        }
        const double spare = (high_ - low_) * 0.06;
        low_ -= spare;
        high_ += spare;
    }
    [[nodiscard]] float x_of(std::int64_t ns) const {
        const double share = static_cast<double>(ns - from_) / static_cast<double>(to_ - from_);
        return plot_.x + static_cast<float>(std::clamp(share, 0.0, 1.0)) * plot_.w;
    }
    [[nodiscard]] float y_of(double behind) const {
        return plot_.bottom() - static_cast<float>((behind - low_) / (high_ - low_)) * plot_.h;
    }

    void scale() {
        const double step = even_step(high_ - low_, plot_.h / look_.unit(26));
        for (double at = std::ceil(low_ / step) * step; at <= high_; at += step) {
            const float y = y_of(at);
            const bool zero = std::abs(at) < step / 2;
            list_->AddLine({plot_.x, y}, {plot_.right(), y}, ink(zero ? c_.soft : c_.line),
                           zero ? std::max(1.0F, look_.unit(1.5F)) : 1.0F);
            const std::string words = tick_words(at, step, true);
            const float width = look_.words->width(look_.fonts.small, words);
            look_.words->draw(
                list_, look_.fonts.small,
                {plot_.x - look_.unit(6) - width, y - Words::line_height(look_.fonts.small) / 2},
                zero ? c_.ink : c_.soft, words);
        }
    }

    /// A tick where a station's first point is, and its name from there on.
    void stations() {
        const auto& keys = two_.stations_of_curve;
        float free_from = plot_.x;
        for (std::size_t i = 0; i < spots_.size(); ++i) {
            const std::string& key = keys[spots_[i].point];
            if (key.empty() || (i > 0 && keys[spots_[i - 1].point] == key)) continue;
            const float x = x_of(spots_[i].at.ns);
            list_->AddLine({x, plot_.y}, {x, plot_.bottom() + look_.unit(4)}, ink(c_.line), 1);
            std::size_t last = i;
            while (last + 1 < spots_.size() && keys[spots_[last + 1].point] == key)
                ++last;
            const float next = last + 1 < spots_.size() ? x_of(spots_[last + 1].at.ns) : box_.right();
            const float at = std::max(x, free_from);
            const std::string words =
                look_.words->fitted(look_.fonts.small, station_name(key), next - at - look_.unit(6));
            if (next - at < look_.unit(24)) continue;
            look_.words->draw(list_, look_.fonts.small, {at + look_.unit(2), plot_.bottom() + look_.unit(3)},
                              c_.soft, words);
            free_from = at + look_.words->width(look_.fonts.small, words) + look_.unit(8);
        }
    }
    [[nodiscard]] std::string station_name(const std::string& key) const {
        for (const report::StationPair& pair : two_.stations)
            if (pair.key == key) return pair.name;
        return key;
    }

    void points() {
        std::vector<ImVec2> middles;
        for (const CurveSpot& spot : spots_)
            if (const auto middle = behind(spot).middle())
                middles.push_back({x_of(spot.at.ns), y_of(seconds_of(*middle))});
        if (middles.size() > 1)
            list_->AddPolyline(middles.data(), static_cast<int>(middles.size()), ink(c_.soft), 0,
                               std::max(1.0F, look_.unit(1.5F)));
        for (const CurveSpot& spot : spots_)
            point(spot);
    }
    void point(const CurveSpot& spot) {
        const study::Difference& one = behind(spot);
        const float x = x_of(spot.at.ns);
        const float top = one.high ? y_of(seconds_of(*one.high)) : plot_.y;
        const float bottom = one.low ? y_of(seconds_of(*one.low)) : plot_.bottom();
        const float thick = std::max(1.0F, look_.unit(2));
        const ImU32 colour = ink(c_.ink);
        if (one.low || one.high)
            draw_upright_range(list_, {x, top, bottom, one.high.has_value(), one.low.has_value()},
                               look_.unit(3), thick, colour);
        const auto middle = one.middle();
        if (!middle) return;
        const study::Told told = one.told();
        const ImVec2 at{x, y_of(seconds_of(*middle))};
        const float radius = look_.unit(4);
        if (told == study::Told::longer || told == study::Told::shorter) {
            list_->AddCircleFilled(at, radius, colour);
        } else {
            list_->AddCircleFilled(at, radius, ink(c_.strip));
            list_->AddCircle(at, radius, colour, 0, thick);
        }
    }

    void playhead() {
        const review::ClipView* clip = scene_.session.current_clip();
        const meet::Clip& stored = scene_.session.state().clips().at(clip->id);
        const base::Time now = review::captured_at(stored, *clip->table, scene_.session.frame());
        if (now.ns < from_ || now.ns > to_) return;
        const float x = x_of(now.ns);
        list_->AddLine({x, plot_.y - look_.unit(4)}, {x, plot_.bottom()}, ink(c_.playhead),
                       std::max(1.0F, look_.unit(2)));
    }

    void pointer() {
        const bool clicked = hit("study curve", plot_);
        if (!ImGui::IsItemHovered()) return;
        const float x = ImGui::GetMousePos().x;
        const auto nearest =
            std::min_element(spots_.begin(), spots_.end(), [&](const CurveSpot& a, const CurveSpot& b) {
                return std::abs(x_of(a.at.ns) - x) < std::abs(x_of(b.at.ns) - x);
            });
        const float at = x_of(nearest->at.ns);
        list_->AddLine({at, plot_.y}, {at, plot_.bottom()}, ink(c_.chosen), 1);
        const base::Speaking in_the_windows_language;
        const std::string words =
            fmt::format("{}: {}", report::event_of(*runs_[0], two_.curve[nearest->point].event.a),
                        study::lost_words(behind(*nearest)).spoken());
        const float width = look_.words->width(look_.fonts.small, words) + look_.unit(16);
        draw_label(list_, look_, {std::clamp(at, plot_.x, std::max(plot_.x, plot_.right() - width)), plot_.y},
                   words, look_.fonts.small, c_.label, c_.label_ink);
        if (clicked) scene_.commands.add(GoFrame{nearest->frame});
    }

    const Look& look_;
    const Palette& c_;
    const Scene& scene_;
    const report::TwoRuns& two_;
    const std::vector<std::shared_ptr<const report::LaidOpen>>& runs_;
    const std::vector<CurveSpot>& spots_;
    ImDrawList* const list_;
    const Box box_;
    Box plot_;
    std::int64_t from_ = 0, to_ = 1;
    double low_ = 0, high_ = 1;
};

/// A range as a bar: filled up to the least, pale from there to the most; an arrow where there is no most.
class Times {
  public:
    Times(const Scene& scene, const Box& box, const report::CompareDocument& document)
        : look_(scene.look),
          c_(*scene.look.colours),
          run_(*document.runs.front()),
          document_(document),
          list_(ImGui::GetWindowDrawList()),
          box_(box) {}

    void draw() {
        fill_box(list_, box_, c_.strip);
        look_.words->draw(list_, look_.fonts.small, {box_.x + look_.unit(8), box_.y + look_.unit(4)}, c_.soft,
                          tr("How long the stations took"));
        names_ = std::min(look_.unit(150), box_.w * 0.3F);
        plot_ = {box_.x + names_ + look_.unit(16), box_.y + look_.unit(28), box_.w - names_ - look_.unit(28),
                 box_.h - look_.unit(28) - look_.unit(26)};
        most_ = 0.5;
        for (const study::StationFigures& one : run_.run.figures.stations)
            reach(one.time);
        for (const report::Reference& reference : document_.references)
            for (const study::StationLoss& loss : reference.losses)
                reach(loss.theirs);
        most_ *= 1.04;
        scale();
        const std::size_t rows = run_.book->stations.size();
        const float row =
            std::min(look_.unit(64), plot_.h / static_cast<float>(std::max<std::size_t>(1, rows)));
        for (std::size_t k = 0; k < rows; ++k)
            station(k, plot_.y + static_cast<float>(k) * row, row);
    }

  private:
    void reach(const study::Length& length) {
        if (length.high)
            most_ = std::max(most_, seconds_of(*length.high));
        else if (length.low)
            most_ = std::max(most_, seconds_of(*length.low));
    }
    [[nodiscard]] float x_of(double at) const {
        return plot_.x + static_cast<float>(std::clamp(at / most_, 0.0, 1.0)) * plot_.w;
    }
    void scale() {
        const double step = even_step(most_, plot_.w / look_.unit(70));
        for (double at = 0; at <= most_; at += step) {
            list_->AddLine({x_of(at), plot_.y}, {x_of(at), plot_.bottom()}, ink(c_.line), 1);
            const std::string words = tick_words(at, step, false);
            look_.words->draw(
                list_, look_.fonts.small,
                {x_of(at) - look_.words->width(look_.fonts.small, words) / 2, plot_.bottom() + look_.unit(4)},
                c_.soft, words);
        }
    }
    void station(std::size_t k, float y, float row) {
        const study::StationFigures& mine = run_.run.figures.stations[k];
        const float line = Words::line_height(look_.fonts.body);
        const float middle = y + row / 2;
        draw_verdict(list_, look_, {box_.x + look_.unit(16), middle}, look_.unit(6), mine.verdict, c_.strip);
        look_.words->draw(
            list_, look_.fonts.body, {box_.x + look_.unit(30), middle - line / 2}, c_.ink,
            look_.words->fitted(look_.fonts.body, run_.book->stations[k].name, names_ - look_.unit(22)));
        const auto lanes = static_cast<float>(1 + document_.references.size());
        const float high = std::clamp(row * 0.8F / lanes, look_.unit(4), look_.unit(14));
        float top = middle - high * lanes / 2;
        bar(mine.time, {plot_.x, top, plot_.w, high}, c_.ink);
        for (const report::Reference& reference : document_.references) {
            top += high;
            if (k < reference.losses.size())
                range(reference.losses[k].theirs, top + high / 2, high * 0.5F, reference.kind);
        }
    }
    void bar(const study::Length& length, const Box& lane, Colour colour) {
        if (!length.low) return;
        const float low = x_of(seconds_of(*length.low)), pad = lane.h * 0.15F;
        const float high = length.high ? x_of(seconds_of(*length.high)) : plot_.right();
        list_->AddRectFilled({lane.x, lane.y + pad}, {low, lane.bottom() - pad}, ink(colour));
        draw_hatching(list_, look_, {low, lane.y + pad}, {std::max(high, low + 1), lane.bottom() - pad},
                      ink(colour));
        list_->AddRect({low, lane.y + pad}, {std::max(high, low + 1), lane.bottom() - pad}, ink(colour));
    }
    /// From the least to the most, with a shape for what it is.
    void range(const study::Length& length, float y, float half, report::Reference::Kind kind) {
        if (!length.low) return;
        const float low = x_of(seconds_of(*length.low));
        const float high = length.high ? x_of(seconds_of(*length.high)) : plot_.right();
        list_->AddLine({low, y}, {std::max(high, low + 1), y}, ink(c_.soft), std::max(1.0F, look_.unit(2)));
        const ImVec2 at{(low + high) / 2, y};
        const float r = std::min(half, look_.unit(4));
        if (kind == report::Reference::Kind::own_best)
            list_->AddCircleFilled(at, r, ink(c_.soft));
        else if (kind == report::Reference::Kind::group_best)
            list_->AddTriangleFilled({at.x - r, at.y + r}, {at.x + r, at.y + r}, {at.x, at.y - r},
                                     ink(c_.soft));
        else
            list_->AddRect({at.x - r, at.y - r}, {at.x + r, at.y + r}, ink(c_.soft), 0, 0,
                           std::max(1.0F, look_.unit(1.5F)));
    }

    const Look& look_;
    const Palette& c_;
    const report::LaidOpen& run_;
    const report::CompareDocument& document_;
    ImDrawList* const list_;
    const Box box_;
    Box plot_;
    float names_ = 0;
    double most_ = 1;
};

}  // namespace

void draw_study_curve(const Scene& scene, const Box& box, const review::LaidBeside& laid,
                      const std::vector<CurveSpot>& spots) {
    Curve(scene, box, laid, spots).draw();
}

void draw_study_times(const Scene& scene, const Box& box, const review::LaidBeside& laid) {
    Times(scene, box, laid.document).draw();
}

}  // namespace plumbmark::desk
