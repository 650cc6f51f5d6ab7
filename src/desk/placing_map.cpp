// The map of where to put a camera: the floor in steps, the plan over it, the best places, the cursor.
#include "desk/internal/placing_map.h"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>

#include "desk/internal/say.h"

namespace plumbmark::desk {
namespace {

using course::PlanPoint;
using report::PlacingLook;
using report::PlacingPicture;
using report::PlacingStep;

/// Out of the atlas' disc, which is two triangles, where there are thousands; the large ones of a rough map
/// would show what stands beside it there, and are few.
void dot(ImDrawList* list, const Look& look, ImVec2 centre, float radius, ImU32 colour) {
    const Disc& disc = look.fonts.disc;
    if (disc.radius < radius) return list->AddCircleFilled(centre, radius, colour, radius < 4 ? 10 : 24);
    const float half = disc.half * radius / disc.radius;
    list->AddImage(ImGui::GetIO().Fonts->TexID, {centre.x - half, centre.y - half},
                   {centre.x + half, centre.y + half}, disc.uv_from, disc.uv_to, colour);
}

void mark(ImDrawList* list, const Look& look, PlacingStep step, ImVec2 from, ImVec2 to) {
    const PlacingLook& shape = report::placing_look(step);
    const float wide = to.x - from.x, tall = to.y - from.y, side = std::min(wide, tall);
    const ImU32 colour = ink(rgb(shape.mark));
    if (shape.dot > 0)
        return dot(list, look, {(from.x + to.x) / 2, (from.y + to.y) / 2},
                   std::max(0.7F, static_cast<float>(shape.dot) * side), colour);
    list->AddLine({from.x + wide * 0.3F, from.y + tall * 0.7F}, {from.x + wide * 0.7F, from.y + tall * 0.3F},
                  colour, std::max(1.0F, side * 0.07F));
}

class Map {
  public:
    Map(const Look& look, const PlacingPicture& picture, const MapFrame& frame, ImDrawList* list)
        : look_(look), p_(picture), f_(frame), list_(list) {}

    void draw(const std::optional<sight::FloorPlace>& cursor) {
        const ImVec2 from = at({p_.x_from, p_.y_to}), to = at({p_.x_to, p_.y_from});
        list_->PushClipRect(from, to, true);
        cells();
        plan();
        list_->PopClipRect();
        list_->AddRect(from, to, ink(rgb(report::kPlacingInk)), 0, 0, std::max(1.0F, look_.unit(1)));
        edge();
        spots();
        if (cursor) ring(*cursor);
    }

  private:
    [[nodiscard]] ImVec2 at(const PlanPoint& metres) const { return f_.to_screen({metres[0], metres[1]}); }

    [[nodiscard]] PlacingStep step(int column, int row) const {
        const auto index = static_cast<std::size_t>(row) * static_cast<std::size_t>(p_.columns) +
                           static_cast<std::size_t>(column);
        return report::placing_step(p_.widths[index], p_.bound);
    }
    /// On whole pixels, so that neighbours leave no seam.
    [[nodiscard]] ImVec2 corner(int column, int row) const {
        const double wide = (p_.x_to - p_.x_from) / p_.columns, tall = (p_.y_to - p_.y_from) / p_.rows;
        const ImVec2 exact = at({p_.x_from + column * wide, p_.y_from + row * tall});
        return {std::round(exact.x), std::round(exact.y)};
    }

    void cells() {
        if (p_.widths.empty()) return;
        for (int row = 0; row < p_.rows; ++row) {
            for (int column = 0, end = 0; column < p_.columns; column = end) {
                const PlacingStep now = step(column, row);
                for (end = column; end < p_.columns && step(end, row) == now;)
                    ++end;
                list_->AddRectFilled(corner(column, row + 1), corner(end, row),
                                     ink(rgb(report::placing_look(now).ground)));
            }
        }
        for (int row = 0; row < p_.rows; ++row)
            for (int column = 0; column < p_.columns; ++column)
                mark(list_, look_, step(column, row), corner(column, row + 1), corner(column + 1, row));
    }

    void line(const PlanPoint& from, const PlanPoint& to, std::uint32_t colour, float width) {
        const float wide = std::max(1.0F, look_.unit(width));
        list_->AddLine(at(from), at(to), IM_COL32(255, 255, 255, 215), wide + look_.unit(2.5F));
        list_->AddLine(at(from), at(to), ink(rgb(colour)), wide);
    }

    void plan() {
        for (const report::PlacingSurface& surface : p_.surfaces) {
            const std::size_t n = surface.points.size();
            if (report::is_upright(surface)) {
                list_->AddCircleFilled(at(surface.points[0]), look_.unit(4.5F), IM_COL32_WHITE, 16);
                list_->AddCircle(at(surface.points[0]), look_.unit(3.5F), ink(rgb(report::kPlacingInk)), 16,
                                 look_.unit(1.6F));
                continue;
            }
            for (std::size_t i = 0; i + (surface.closed ? 0 : 1) < n; ++i)
                line(surface.points[i], surface.points[(i + 1) % n], report::kPlacingInk,
                     surface.closed ? 1.2F : 2.2F);
        }
        line(p_.plane[0], p_.plane[1], report::kPlacingPlane, 3);
        for (const auto& [foot, tip] : report::placing_plane_ticks(p_, 9 * look_.scale / f_.scale))
            line(foot, tip, report::kPlacingPlane, 1.5F);
    }

    void words(ImVec2 middle, const std::string& text, ImFont* font) {
        look_.words->draw(
            list_, font,
            {middle.x - look_.words->width(font, text) / 2, middle.y - Words::line_height(font) / 2},
            rgb(report::kPlacingInk), text);
    }

    /// Metres along two sides.
    void edge() {
        const double apart = report::placing_ticks(44 * look_.scale / f_.scale);
        const ImU32 colour = ink(rgb(report::kPlacingInk));
        const auto number = [&](double metres) {
            return fmt::format("{:.{}f}", std::abs(metres) < apart / 2 ? 0.0 : metres, apart < 1 ? 1 : 0);
        };
        for (double x = std::ceil(p_.x_from / apart) * apart; x <= p_.x_to; x += apart) {
            const ImVec2 foot = at({x, p_.y_from});
            list_->AddLine(foot, {foot.x, foot.y + look_.unit(4)}, colour);
            words({foot.x, foot.y + look_.unit(13)}, number(x), look_.fonts.small);
        }
        for (double y = std::ceil(p_.y_from / apart) * apart; y <= p_.y_to; y += apart) {
            const ImVec2 side = at({p_.x_from, y});
            list_->AddLine(side, {side.x - look_.unit(4), side.y}, colour);
            const float wide = look_.words->width(look_.fonts.small, number(y));
            words({side.x - look_.unit(8) - wide / 2, side.y}, number(y), look_.fonts.small);
        }
        scale_bar();
    }

    void scale_bar() {
        const double metres = report::placing_ticks(50 * look_.scale / f_.scale);
        const ImVec2 to{at({p_.x_to, 0}).x, at({0, p_.y_from}).y + look_.unit(34)};
        const float from = to.x - static_cast<float>(metres) * f_.scale, up = look_.unit(4);
        const ImU32 colour = ink(rgb(report::kPlacingInk));
        list_->AddLine({from, to.y}, to, colour, look_.unit(1.5F));
        list_->AddLine({from, to.y - up}, {from, to.y}, colour, look_.unit(1.5F));
        list_->AddLine({to.x, to.y - up}, to, colour, look_.unit(1.5F));
        const std::string text = tr("{:.2g} m", metres);
        words({from - look_.unit(10) - look_.words->width(look_.fonts.small, text) / 2, to.y - up / 2}, text,
              look_.fonts.small);
    }

    void spots() {
        if (p_.first) {
            const ImVec2 top = at(*p_.first);
            const float r = look_.unit(9);
            list_->AddTriangleFilled({top.x - r - 2, top.y + r}, {top.x + r + 2, top.y + r},
                                     {top.x, top.y - r - 3}, IM_COL32_WHITE);
            list_->AddTriangleFilled({top.x - r, top.y + r - 1}, {top.x + r, top.y + r - 1},
                                     {top.x, top.y - r}, ink(rgb(report::kPlacingInk)));
        }
        for (std::size_t i = 0; i < p_.best.size(); ++i) {
            const ImVec2 middle = at(p_.best[i].at);
            list_->AddCircleFilled(middle, look_.unit(10), IM_COL32_WHITE, 24);
            list_->AddCircle(middle, look_.unit(10), ink(rgb(report::kPlacingInk)), 24, look_.unit(1.8F));
            words(middle, std::to_string(i + 1), look_.fonts.strong);
        }
    }

    /// Around the cursor's cell; never so small that it is lost.
    void ring(const sight::FloorPlace& place) {
        const ImVec2 middle = f_.to_screen(place);
        const float cell =
            p_.columns > 0 ? static_cast<float>((p_.x_to - p_.x_from) / p_.columns) * f_.scale / 2 : 0.0F;
        const float half = std::max(cell, look_.unit(13)) + look_.unit(1);
        const ImVec2 from{middle.x - half, middle.y - half}, to{middle.x + half, middle.y + half};
        list_->AddRect(from, to, IM_COL32_WHITE, look_.unit(2), 0, look_.unit(5));
        list_->AddRect(from, to, ink(kVermilion), look_.unit(2), 0, look_.unit(2.5F));
    }

    const Look& look_;
    const PlacingPicture& p_;
    const MapFrame& f_;
    ImDrawList* list_;
};

}  // namespace

MapFrame placing_frame(const Look& look, const Box& box, const PlacingPicture& picture) {
    const float left = look.unit(40), foot = look.unit(44), pad = look.unit(12);
    const Box inner{box.x + left, box.y + pad, std::max(1.0F, box.w - left - pad),
                    std::max(1.0F, box.h - foot - pad)};
    const double wide = picture.x_to - picture.x_from, tall = picture.y_to - picture.y_from;
    MapFrame frame;
    frame.scale = static_cast<float>(std::min(inner.w / wide, inner.h / tall));
    const auto w = static_cast<float>(wide) * frame.scale, h = static_cast<float>(tall) * frame.scale;
    frame.x_from = picture.x_from;
    frame.y_to = picture.y_to;
    frame.map = {std::round(inner.x + (inner.w - w) / 2), std::round(inner.y + (inner.h - h) / 2), w, h};
    return frame;
}

void draw_placing_map(const Look& look, const PlacingPicture& picture, const MapFrame& frame,
                      const std::optional<sight::FloorPlace>& cursor, ImDrawList* list) {
    Map(look, picture, frame, list).draw(cursor);
}

void draw_placing_step(const Look& look, PlacingStep step, const Box& box, ImDrawList* list) {
    list->AddRectFilled(top_left(box), bottom_right(box), ink(rgb(report::placing_look(step).ground)));
    const float middle = box.x + box.w / 2;
    mark(list, look, step, top_left(box), {middle, box.bottom()});
    mark(list, look, step, {middle, box.y}, bottom_right(box));
    list->AddRect(top_left(box), bottom_right(box), ink(rgb(report::kPlacingInk)));
}

}  // namespace plumbmark::desk
