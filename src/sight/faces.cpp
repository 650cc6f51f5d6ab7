#include "sight/faces.h"

#include <algorithm>
#include <array>
#include <opencv2/imgproc.hpp>
#include <opencv2/objdetect.hpp>
#include <string>

#include "base/check.h"

namespace plumbmark::sight {
namespace {

/// Faces down to this many pixels are looked for; the cascades were made for 20 and 24, so a smaller picture
/// is enlarged first.
constexpr int kSmallestFace = 14;
constexpr int kCascadeSize = 24;
/// Larger pictures are searched at this many pixels across: a face that is then too small has no features.
constexpr int kWidestSearched = 2600;

std::string cascade_file(const char* name) {
    return std::string(PLUMBMARK_CASCADES) + "/" + name + ".xml";
}

Box inside(const Pixels& picture, const Box& box) {
    const int left = std::clamp(box.x, 0, picture.width);
    const int top = std::clamp(box.y, 0, picture.height);
    const int right =
        static_cast<int>(std::clamp<std::int64_t>(std::int64_t{box.x} + box.width, left, picture.width));
    const int bottom =
        static_cast<int>(std::clamp<std::int64_t>(std::int64_t{box.y} + box.height, top, picture.height));
    return {left, top, right - left, bottom - top};
}

/// The ends of a cell, as even as whole pixels allow.
int edge(int from, int length, int cell, int cells) {
    return from + static_cast<int>(std::int64_t{length} * cell / cells);
}

void flatten(const Pixels& picture, int left, int top, int right, int bottom) {
    std::array<std::int64_t, 3> sum{};
    const auto pixel = [&](int x, int y) {
        return picture.rgba + 4 * (static_cast<std::size_t>(y) * static_cast<std::size_t>(picture.width) +
                                   static_cast<std::size_t>(x));
    };
    for (int y = top; y < bottom; ++y)
        for (int x = left; x < right; ++x)
            for (std::size_t channel = 0; channel < 3; ++channel)
                sum[channel] += pixel(x, y)[channel];
    const std::int64_t count = std::int64_t{right - left} * (bottom - top);
    for (int y = top; y < bottom; ++y)
        for (int x = left; x < right; ++x)
            for (std::size_t channel = 0; channel < 3; ++channel)
                pixel(x, y)[channel] = static_cast<std::uint8_t>(sum[channel] / count);
}

}  // namespace

struct FaceFinder::Inner {
    cv::CascadeClassifier front, side, shoulders;

    using Found = std::vector<cv::Rect>;

    static Found search(cv::CascadeClassifier& cascade, const cv::Mat& grey, int neighbours, cv::Size least) {
        Found found;
        cascade.detectMultiScale(grey, found, 1.08, neighbours, 0, least);
        return found;
    }

    /// The cascade knows one side of a face only.
    Found search_sides(const cv::Mat& grey, cv::Size least) {
        Found found = search(side, grey, 3, least);
        cv::Mat turned;
        cv::flip(grey, turned, 1);
        for (cv::Rect face : search(side, turned, 3, least)) {
            face.x = grey.cols - face.x - face.width;
            found.push_back(face);
        }
        return found;
    }

    /// Of head and shoulders the head: the middle of the upper half.
    Found search_heads(const cv::Mat& grey, cv::Size least) {
        Found heads;
        for (const cv::Rect& body : search(shoulders, grey, 4, least))
            heads.emplace_back(body.x + body.width / 4, body.y, body.width / 2, body.height * 6 / 10);
        return heads;
    }
};

FaceFinder::FaceFinder(std::unique_ptr<Inner> inner) : inner_(std::move(inner)) {}
FaceFinder::~FaceFinder() = default;
FaceFinder::FaceFinder(FaceFinder&&) noexcept = default;

base::Result<FaceFinder> FaceFinder::open() {
    auto inner = std::make_unique<Inner>();
    try {
        if (inner->front.load(cascade_file("haarcascade_frontalface_alt2")) &&
            inner->side.load(cascade_file("haarcascade_profileface")) &&
            inner->shoulders.load(cascade_file("haarcascade_upperbody")))
            return FaceFinder(std::move(inner));
    } catch (const cv::Exception&) {
        // What OpenCV says of a missing or broken file is about its own source lines.
    }
    return base::Error{
        base::Category::unsupported,
        "Faces cannot be looked for here: the cascades of OpenCV are missing or broken. Install the "
        "package opencv-data, or record the consent of the athletes in the picture.",
        PLUMBMARK_CASCADES};
}

std::vector<Box> FaceFinder::find(const Pixels& picture) {
    PLUMBMARK_CHECK(picture.rgba != nullptr && picture.width > 0 && picture.height > 0);
    const cv::Mat rgba(picture.height, picture.width, CV_8UC4, picture.rgba);
    cv::Mat grey;
    cv::cvtColor(rgba, grey, cv::COLOR_RGBA2GRAY);
    const double scale =
        std::min(static_cast<double>(kCascadeSize) / kSmallestFace,
                 static_cast<double>(kWidestSearched) / std::max(picture.width, picture.height));
    cv::resize(grey, grey, {}, scale, scale, scale > 1 ? cv::INTER_CUBIC : cv::INTER_AREA);
    cv::equalizeHist(grey, grey);
    const cv::Size least(kCascadeSize, kCascadeSize);
    std::vector<cv::Rect> found = Inner::search(inner_->front, grey, 3, least);
    for (const auto& more : {inner_->search_sides(grey, least), inner_->search_heads(grey, least * 2)})
        found.insert(found.end(), more.begin(), more.end());
    std::vector<Box> boxes;
    for (const cv::Rect& face : found) {
        // A cascade's square ends at the forehead; hair and chin tell a person, too.
        const double room = 0.3;
        const auto at = [scale](double value) { return static_cast<int>(value / scale); };
        boxes.push_back(inside(picture, {at(face.x - room * face.width), at(face.y - room * face.height),
                                         at((1 + 2 * room) * face.width), at((1 + 2 * room) * face.height)}));
    }
    std::sort(boxes.begin(), boxes.end(),
              [](const Box& a, const Box& b) { return std::pair(a.y, a.x) < std::pair(b.y, b.x); });
    return boxes;
}

void hide(const Pixels& picture, const Box& box) {
    const Box part = inside(picture, box);
    if (part.width == 0 || part.height == 0) return;
    const int across = std::min(kMostCells, part.width), down = std::min(kMostCells, part.height);
    for (int row = 0; row < down; ++row)
        for (int column = 0; column < across; ++column)
            flatten(picture, edge(part.x, part.width, column, across), edge(part.y, part.height, row, down),
                    edge(part.x, part.width, column + 1, across), edge(part.y, part.height, row + 1, down));
}

}  // namespace plumbmark::sight
