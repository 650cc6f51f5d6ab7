// The map as a file of its own.
#include <fmt/format.h>

#include <algorithm>
#include <cmath>

#include "report/internal/plain.h"
#include "report/placing_picture.h"

namespace plumbmark::report {
namespace {

using course::PlanPoint;

constexpr double kWidth = 1000, kTallest = 680, kMargin = 28, kAxis = 26, kLine = 19;
/// Where a line of words breaks: SVG breaks none. So many letters of 13 px fit into the width in most faces.
constexpr std::size_t kLetters = 150;

std::string hex(std::uint32_t colour) {
    return fmt::format("#{:06X}", colour);
}

/// At spaces, into lines of so many code points.
std::vector<std::string> lines_of(const std::string& text, std::size_t letters) {
    std::vector<std::string> lines(1);
    std::size_t length = 0;
    for (std::size_t from = 0; from < text.size();) {
        const std::size_t end = std::min(text.find(' ', from), text.size());
        const std::string word = text.substr(from, end - from);
        const auto size = static_cast<std::size_t>(
            std::count_if(word.begin(), word.end(), [](char c) { return (c & 0xC0) != 0x80; }));
        if (length > 0 && length + 1 + size > letters) {
            lines.emplace_back();
            length = 0;
        }
        lines.back() += (length > 0 ? " " : "") + word;
        length += (length > 0 ? 1 : 0) + size;
        from = end + 1;
    }
    return lines;
}

class Svg {
  public:
    explicit Svg(const PlacingPicture& picture) : p_(picture) {
        const double across = p_.x_to - p_.x_from, up = p_.y_to - p_.y_from;
        scale_ = std::min((kWidth - 2 * kMargin - kAxis) / across, kTallest / up);
        left_ = kMargin + kAxis;
    }

    std::string written() {
        heading();
        top_ = y_;
        cells();
        plan();
        spots();
        edge();
        y_ = top_ + (p_.y_to - p_.y_from) * scale_ + kAxis + 8;
        legend();
        words_below();
        const int height = static_cast<int>(std::ceil(y_ + 8));
        return fmt::format(
            R"(<svg xmlns="http://www.w3.org/2000/svg" width="{0}" height="{1}" viewBox="0 0 {0} {1}" )"
            R"(font-family="Inter, 'DejaVu Sans', sans-serif" fill="{2}">)"
            "\n<title>{3}</title>\n"
            R"(<rect width="{0}" height="{1}" fill="{4}"/>)"
            "\n{5}</svg>\n",
            kWidth, height, hex(kPlacingInk), html(p_.title.english()), hex(kPlacingPaper), out_);
    }

  private:
    [[nodiscard]] double x(double metres) const { return left_ + (metres - p_.x_from) * scale_; }
    [[nodiscard]] double y(double metres) const { return top_ + (p_.y_to - metres) * scale_; }
    [[nodiscard]] std::string point(const PlanPoint& at) const {
        return fmt::format("{:.1f},{:.1f}", x(at[0]), y(at[1]));
    }

    template <class... Args>
    void add(fmt::format_string<Args...> form, Args&&... args) {
        out_ += fmt::format(form, std::forward<Args>(args)...) + "\n";
    }

    void text(double at, double size, const std::string& words, const char* more = "") {
        add(R"(<text x="{:.1f}" y="{:.1f}" font-size="{}"{}>{}</text>)", at, y_, size, more, html(words));
    }

    void paragraph(const std::string& words, double in = 0) {
        for (const std::string& line : lines_of(words, kLetters)) {
            y_ += kLine;
            text(kMargin + in, 13, line);
        }
    }

    void heading() {
        y_ = kMargin + 14;
        text(kMargin, 20, p_.title, R"( font-weight="600")");
        y_ += 4;
        paragraph(p_.course);
        paragraph(p_.wanted);
        y_ += 14;
    }

    [[nodiscard]] PlacingStep step(int column, int row) const {
        const auto index = static_cast<std::size_t>(row) * static_cast<std::size_t>(p_.columns) +
                           static_cast<std::size_t>(column);
        return placing_step(p_.widths[index], p_.bound);
    }

    /// Each step's grounds and dots are one path, or a fine map would be a file of megabytes.
    void cells() {
        const double wide = (p_.x_to - p_.x_from) / p_.columns * scale_;
        const double tall = (p_.y_to - p_.y_from) / p_.rows * scale_;
        std::array<std::string, kPlacingSteps.size()> grounds, marks;
        for (int row = 0; row < p_.rows; ++row) {
            const double up = y(p_.y_to) + (p_.rows - 1 - row) * tall;
            for (int column = 0, end = 0; column < p_.columns; column = end) {
                const PlacingStep now = step(column, row);
                for (end = column; end < p_.columns && step(end, row) == now; ++end)
                    mark(marks[static_cast<std::size_t>(now)], now, left_ + end * wide, up, wide, tall);
                grounds[static_cast<std::size_t>(now)] +=
                    fmt::format("M{:.1f} {:.1f}h{:.1f}v{:.1f}h{:.1f}z", left_ + column * wide, up,
                                (end - column) * wide, tall, -(end - column) * wide);
            }
        }
        for (const PlacingStep one : kPlacingSteps)
            add(R"(<path d="{}" fill="{}" shape-rendering="crispEdges"/>)",
                grounds[static_cast<std::size_t>(one)], hex(placing_look(one).ground));
        for (const PlacingStep one : kPlacingSteps)
            strokes(marks[static_cast<std::size_t>(one)], one, std::min(wide, tall));
    }

    /// A dot is a line of no length with round ends.
    static void mark(std::string& path, PlacingStep step, double left, double up, double wide, double tall) {
        if (placing_look(step).dot > 0)
            path += fmt::format("M{:.1f} {:.1f}h0", left + wide / 2, up + tall / 2);
        else
            path += fmt::format("M{:.1f} {:.1f}l{:.1f} {:.1f}", left + wide * 0.3, up + tall * 0.7,
                                wide * 0.4, -tall * 0.4);
    }
    void strokes(const std::string& path, PlacingStep step, double side) {
        const PlacingLook& look = placing_look(step);
        add(R"(<path d="{}" fill="none" stroke="{}" stroke-width="{:.2f}" stroke-linecap="round"/>)", path,
            hex(look.mark), look.dot > 0 ? 2 * look.dot * side : std::max(0.8, side * 0.07));
    }

    void line(const std::string& points, const char* kind, std::uint32_t colour, double width) {
        // A light rim keeps it apart from the dots.
        add(R"(<{} points="{}" fill="none" stroke="#fff" stroke-opacity="0.85" stroke-width="{:.1f}"/>)",
            kind, points, width + 2.5);
        add(R"(<{} points="{}" fill="none" stroke="{}" stroke-width="{:.1f}"/>)", kind, points, hex(colour),
            width);
    }

    void plan() {
        for (const PlacingSurface& surface : p_.surfaces) {
            std::string points;
            for (const PlanPoint& at : surface.points)
                points += (points.empty() ? "" : " ") + point(at);
            if (is_upright(surface))
                add(R"(<circle cx="{:.1f}" cy="{:.1f}" r="3.5" fill="#fff" stroke="{}" stroke-width="1.6"/>)",
                    x(surface.points[0][0]), y(surface.points[0][1]), hex(kPlacingInk));
            else
                line(points, surface.closed ? "polygon" : "polyline", kPlacingInk,
                     surface.closed ? 1.2 : 2.2);
        }
        plane();
    }

    void plane() {
        const PlanPoint &a = p_.plane[0], &b = p_.plane[1];
        line(point(a) + " " + point(b), "polyline", kPlacingPlane, 3);
        for (const auto& [foot, tip] : placing_plane_ticks(p_, 9 / scale_))
            line(point(foot) + " " + point(tip), "polyline", kPlacingPlane, 1.5);
    }

    void spots() {
        if (p_.first) {
            const double cx = x((*p_.first)[0]), cy = y((*p_.first)[1]);
            add(R"(<path d="M{:.1f} {:.1f}l8 15h-16z" fill="{}" stroke="#fff" stroke-width="1.5"/>)", cx,
                cy - 9, hex(kPlacingInk));
        }
        for (std::size_t i = 0; i < p_.best.size(); ++i) {
            const double cx = x(p_.best[i].at[0]), cy = y(p_.best[i].at[1]);
            add(R"(<circle cx="{:.1f}" cy="{:.1f}" r="10" fill="#fff" stroke="{}" stroke-width="1.8"/>)", cx,
                cy, hex(kPlacingInk));
            add(R"(<text x="{:.1f}" y="{:.1f}" font-size="13" font-weight="600" text-anchor="middle">{}</text>)",
                cx, cy + 4.6, i + 1);
        }
    }

    /// The frame, with metres along two sides of it.
    void edge() {
        const double right = x(p_.x_to), foot = y(p_.y_from), step = placing_ticks(40 / scale_);
        add(R"(<rect x="{:.1f}" y="{:.1f}" width="{:.1f}" height="{:.1f}" fill="none" stroke="{}"/>)", left_,
            top_, right - left_, foot - top_, hex(kPlacingInk));
        for (double at = std::ceil(p_.x_from / step) * step; at <= p_.x_to; at += step) {
            add(R"(<path d="M{0:.1f} {1:.1f}v5" stroke="{2}"/>)", x(at), foot, hex(kPlacingInk));
            add(R"(<text x="{:.1f}" y="{:.1f}" font-size="11" text-anchor="middle">{}</text>)", x(at),
                foot + 17, number(at, step));
        }
        for (double at = std::ceil(p_.y_from / step) * step; at <= p_.y_to; at += step) {
            add(R"(<path d="M{0:.1f} {1:.1f}h-5" stroke="{2}"/>)", left_, y(at), hex(kPlacingInk));
            add(R"(<text x="{:.1f}" y="{:.1f}" font-size="11" text-anchor="end">{}</text>)", left_ - 7,
                y(at) + 4, number(at, step));
        }
    }
    static std::string number(double at, double step) {
        return fmt::format("{:.{}f}", std::abs(at) < step / 2 ? 0.0 : at, step < 1 ? 1 : 0);
    }

    void legend() {
        const double side = 22;
        double at = kMargin;
        for (const PlacingStep one : kPlacingSteps) {
            const PlacingLook& look = placing_look(one);
            add(R"(<rect x="{:.1f}" y="{:.1f}" width="{:.1f}" height="{:.1f}" fill="{}"/>)", at, y_, 2 * side,
                side, hex(look.ground));
            std::string path;
            for (const double cell : {at, at + side})
                mark(path, one, cell, y_, side, side);
            strokes(path, one, side);
            add(R"(<rect x="{:.1f}" y="{:.1f}" width="{:.1f}" height="{:.1f}" fill="none" stroke="{}" stroke-width="0.7"/>)",
                at, y_, 2 * side, side, hex(kPlacingInk));
            const std::string words = placing_step_words(one, p_.bound);
            add(R"(<text x="{:.1f}" y="{:.1f}" font-size="13">{}</text>)", at + 2 * side + 8, y_ + 16, words);
            at += 2 * side + 30 + 7.2 * static_cast<double>(words.size());
        }
        scale_bar();
        y_ += side + 8;
    }

    void scale_bar() {
        const double metres = placing_ticks(60 / scale_), end = kWidth - kMargin;
        const double from = end - metres * scale_, at = y_ + 12;
        add(R"(<path d="M{0:.1f} {2:.1f}v5H{1:.1f}v-5" fill="none" stroke="{3}" stroke-width="1.3"/>)", from,
            end, at, hex(kPlacingInk));
        add(R"(<text x="{:.1f}" y="{:.1f}" font-size="12" text-anchor="middle">{:.2g} m</text>)",
            (from + end) / 2, at - 2, metres);
    }

    void words_below() {
        for (std::size_t i = 0; i < p_.best.size(); ++i) {
            const PlacingSpot& spot = p_.best[i];
            paragraph(fmt::format("{}: x {:.2f}, y {:.2f}: {}", i + 1, spot.at[0], spot.at[1],
                                  spot.says.english()));
        }
        if (p_.first) paragraph("Triangle: where the first camera is. The map is of a second one.");
        y_ += 8;
        for (const base::Sentence& one : p_.supposed)
            paragraph(one);
        y_ += 8;
        paragraph(p_.caution);
        paragraph("Seen from above; x and y in metres, as the course book's plan has them. Plumbmark " +
                  p_.program_version);
    }

    const PlacingPicture& p_;
    double scale_ = 1, left_ = 0, top_ = 0, y_ = 0;
    std::string out_;
};

}  // namespace

std::string placing_svg(const PlacingPicture& picture) {
    return Svg(picture).written();
}

}  // namespace plumbmark::report
