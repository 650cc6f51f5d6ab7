#include "cli/internal/lens_told.h"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <nlohmann/json.hpp>

#include "base/text.h"

namespace plumbmark::cli {
namespace {

using Json = nlohmann::ordered_json;
using sight::MeasuredLens;

/// Where the numbers of a lens stand in MeasuredLens::covariance.
enum Number : std::size_t { kFx, kFy, kCx, kCy, kSkew, kK1, kK2, kP1, kP2, kK3 };
constexpr const char* kNumberNames[MeasuredLens::kNumbers]{"fx", "fy", "cx", "cy", "skew",
                                                           "k1", "k2", "p1", "p2", "k3"};

const char* words_of(sight::PictureCorner corner) {
    switch (corner) {
        case sight::PictureCorner::upper_left:
            return "upper left";
        case sight::PictureCorner::upper_right:
            return "upper right";
        case sight::PictureCorner::lower_left:
            return "lower left";
        case sight::PictureCorner::lower_right:
            break;
    }
    return "lower right";
}

const char* terms_of(sight::Bending bending) {
    switch (bending) {
        case sight::Bending::k1:
            return "k1";
        case sight::Bending::k1_k2:
            return "k1 k2";
        case sight::Bending::k1_k2_p1_p2:
            return "k1 k2 p1 p2";
        case sight::Bending::all_five:
            break;
    }
    return "k1 k2 p1 p2 k3";
}

std::array<double, MeasuredLens::kNumbers> numbers_of(const sight::Lens& lens) {
    return {lens.fx, lens.fy, lens.cx, lens.cy, lens.skew, lens.k1, lens.k2, lens.p1, lens.p2, lens.k3};
}

/// The pictures that have a board, in the order of the views.
std::vector<const BoardPicture*> views_of(const FoundLens& found) {
    std::vector<const BoardPicture*> views;
    for (const BoardPicture& picture : found.pictures)
        if (picture.why_not.empty()) views.push_back(&picture);
    return views;
}

bool out_of_line(const MeasuredLens& lens, std::size_t view) {
    return std::find(lens.suspects.begin(), lens.suspects.end(), view) != lens.suspects.end();
}

std::string pixels_words(const FoundLens& found) {
    const MeasuredLens& measured = found.lens;
    const sight::Lens& lens = measured.lens;
    std::string words;
    if (found.form.two_focals)
        words +=
            fmt::format("focal lengths    {:.2f} and {:.2f} px (standard deviations {:.2f} and {:.2f})\n",
                        lens.fx, lens.fy, measured.standard(kFx), measured.standard(kFy));
    else
        words += fmt::format("focal length     {:.2f} px (standard deviation {:.2f})\n", lens.fx,
                             measured.standard(kFx));
    words += fmt::format("principal point  {:.2f}, {:.2f} px ({:.2f}, {:.2f})\n", lens.cx, lens.cy,
                         measured.standard(kCx), measured.standard(kCy));
    if (found.form.skew)
        words += fmt::format("skew             {:.3f} px ({:.3f})\n", lens.skew, measured.standard(kSkew));
    return words;
}

std::string bending_words(const FoundLens& found) {
    const auto numbers = numbers_of(found.lens.lens);
    const auto terms = static_cast<std::string_view>(terms_of(found.form.bending));
    std::string words = "distortion       ";
    bool first = true;
    for (const std::size_t number : {kK1, kK2, kP1, kP2, kK3}) {
        if (terms.find(kNumberNames[number]) == std::string_view::npos) continue;
        words += fmt::format("{}{} {:.5f} ({:.5f})", first ? "" : ", ", kNumberNames[number], numbers[number],
                             found.lens.standard(number));
        first = false;
    }
    return words + "\n";
}

std::string views_words(const FoundLens& found) {
    const auto views = views_of(found);
    std::size_t widest = 0;
    for (const BoardPicture* view : views)
        widest = std::max(widest, base::code_points(view->file).size());
    std::string words;
    for (std::size_t i = 0; i < views.size(); ++i)
        words += fmt::format("{:<{}}  {:.2f} px off{}\n", views[i]->file, widest, found.lens.view_rms[i],
                             out_of_line(found.lens, i) ? ", out of line: take it anew or leave it out" : "");
    return words;
}

std::string bare_words(const MeasuredLens& lens) {
    if (lens.bare.empty()) return "The board has been in every corner of the picture.\n";
    std::vector<std::string> corners;
    for (const sight::PictureCorner corner : lens.bare)
        corners.emplace_back(words_of(corner));
    return fmt::format(
        "The board was never in the picture's {}: what the lens does there is a guess. Take more "
        "pictures with it there.\n",
        base::listed(corners));
}

/// On one line: a comment that goes on would be read as keys.
std::string one_line(std::string text) {
    std::replace_if(
        text.begin(), text.end(), [](char c) { return static_cast<unsigned char>(c) < 0x20 || c == 0x7F; },
        ' ');
    return text;
}

Json pixels_json(const std::vector<sight::Pixel>& all) {
    Json out = Json::array();
    for (const sight::Pixel& one : all)
        out.push_back(Json::array({one.x, one.y}));
    return out;
}

Json pictures_json(const FoundLens& found) {
    Json all = Json::array();
    std::size_t view = 0;
    for (const BoardPicture& picture : found.pictures) {
        const bool has = picture.why_not.empty();
        Json one{{"file", picture.file}, {"found", has}};
        if (has) {
            one["rms_px"] = found.lens.view_rms[view];
            one["out_of_line"] = out_of_line(found.lens, view);
            one["seen_px"] = pixels_json(picture.seen);
            one["residuals_px"] = pixels_json(found.lens.residuals[view]);
            ++view;
        } else {
            one["why_not"] = picture.why_not;
        }
        all.push_back(std::move(one));
    }
    return all;
}

Json covariance_json(const MeasuredLens& lens) {
    Json rows = Json::array();
    for (std::size_t i = 0; i < MeasuredLens::kNumbers; ++i) {
        Json row = Json::array();
        for (std::size_t j = 0; j < MeasuredLens::kNumbers; ++j)
            row.push_back(lens.covariance[i * MeasuredLens::kNumbers + j]);
        rows.push_back(std::move(row));
    }
    return {{"unknowns", kNumberNames}, {"rows", std::move(rows)}};
}

Json lens_json(const MeasuredLens& measured) {
    const auto numbers = numbers_of(measured.lens);
    Json out, standard;
    for (std::size_t i = 0; i < MeasuredLens::kNumbers; ++i) {
        out[kNumberNames[i]] = numbers[i];
        standard[kNumberNames[i]] = measured.standard(i);
    }
    out["standard"] = std::move(standard);
    return out;
}

}  // namespace

std::string told_as_points(const FoundLens& found) {
    const sight::Lens& lens = found.lens.lens;
    const sight::LensStandard standard = found.lens.standard();
    std::string words = "[lens]\n";
    if (!found.name.empty()) words += fmt::format("# {}\n", one_line(found.name));
    words += fmt::format("# chessboard, {} pictures, {:.2f} px\n", found.lens.poses.size(), found.lens.rms);
    words += fmt::format("picture = [{}, {}]\n", lens.width, lens.height);
    words += lens.fx == lens.fy ? fmt::format("focal = {:.4f}\n", lens.fx)
                                : fmt::format("focal = [{:.4f}, {:.4f}]\n", lens.fx, lens.fy);
    words += fmt::format("focal_standard = {:.4f}\n", standard.focal * lens.fx);
    words += fmt::format("centre = [{:.4f}, {:.4f}]\ncentre_standard = {:.4f}\n", lens.cx, lens.cy,
                         standard.principal);
    words += fmt::format("radial = [{:.7f}, {:.7f}, {:.7f}]\nradial_standard = {:.7f}\n", lens.k1, lens.k2,
                         lens.k3, standard.k1);
    if (lens.p1 != 0 || lens.p2 != 0)
        words += fmt::format("decentring = [{:.7f}, {:.7f}]\n", lens.p1, lens.p2);
    if (lens.skew != 0) words += fmt::format("skew = {:.5f}\n", lens.skew);
    return words;
}

std::string told_as_text(const FoundLens& found) {
    const sight::Lens& lens = found.lens.lens;
    std::string words = fmt::format(
        "{}pictures of {} x {} px: {} with the board, {:.3f} px off as a root mean square, redundancy {}.\n",
        found.name.empty() ? "" : one_line(found.name) + ", ", lens.width, lens.height,
        found.lens.poses.size(), found.lens.rms, found.lens.redundancy);
    words += pixels_words(found) + bending_words(found) + "\n" + views_words(found) + "\n" +
             bare_words(found.lens);
    return words + "\nFor a points file (docs/camera-points.md):\n\n" + told_as_points(found);
}

std::string told_as_json(const FoundLens& found) {
    Json bare = Json::array();
    for (const sight::PictureCorner corner : found.lens.bare)
        bare.push_back(words_of(corner));
    const Json out{
        {"format", "plumbmark-lens/1"},
        {"name", found.name},
        {"picture_px", Json::array({found.lens.lens.width, found.lens.lens.height})},
        {"board",
         Json{{"across", found.board.across}, {"down", found.board.down}, {"square_m", found.board.square}}},
        {"terms", terms_of(found.form.bending)},
        {"lens", lens_json(found.lens)},
        {"covariance", covariance_json(found.lens)},
        {"rms_px", found.lens.rms},
        {"redundancy", found.lens.redundancy},
        {"pictures", pictures_json(found)},
        {"bare_corners", std::move(bare)},
        {"points_lens", told_as_points(found)}};
    return out.dump(1, ' ', false, Json::error_handler_t::replace) + "\n";
}

}  // namespace plumbmark::cli
