#include "sight/faces.h"

#include <algorithm>
#include <array>
#include <cmath>
#include <opencv2/imgproc.hpp>
#include <opencv2/objdetect.hpp>
#include <string>

#include "base/check.h"
#include "base/worded.h"

namespace plumbmark::sight {
namespace {

/// The cascades were made for faces of 20 and 24 pixels, so where smaller ones count the picture is enlarged
/// first.
constexpr int kCascadeSize = 24;
/// Larger pictures are searched at this many pixels across: a face that is then too small has no features.
constexpr int kWidestSearched = 2600;

/// What is kept around a found face on every side, in sides of it.
constexpr double kRoom = 0.3;
/// How far beyond a part something lies at most that has its head in it, in sides of what a cascade finds: a
/// face with its room 1.3, shoulders less; the rest is what the places of one face scatter.
constexpr double kReach = 1.5;
/// Places are of one face when they differ by less than this share of it: OpenCV's own measure.
constexpr double kAlike = 0.2;

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

/// Whether they have a pixel in common.
bool overlap(const Box& a, const Box& b) {
    return a.width > 0 && a.height > 0 && b.width > 0 && b.height > 0 && a.x < b.x + b.width &&
           b.x < a.x + a.width && a.y < b.y + b.height && b.y < a.y + a.height;
}

cv::Rect grown(const cv::Rect& box, int by) {
    return {box.x - by, box.y - by, box.width + 2 * by, box.height + 2 * by};
}

/// Rounded outward.
cv::Rect scaled(const Box& box, double scale) {
    const cv::Point from(static_cast<int>(std::floor(box.x * scale)),
                         static_cast<int>(std::floor(box.y * scale)));
    const cv::Point to(static_cast<int>(std::ceil((box.x + box.width) * scale)),
                       static_cast<int>(std::ceil((box.y + box.height) * scale)));
    return {from, to};
}

/// As the cascades want it. Of the whole picture, whatever part is searched: the light of the hall counts.
cv::Mat searched(const Pixels& picture, double scale) {
    const cv::Mat rgba(picture.height, picture.width, CV_8UC4, picture.rgba);
    cv::Mat grey;
    cv::cvtColor(rgba, grey, cv::COLOR_RGBA2GRAY);
    cv::resize(grey, grey, {}, scale, scale, scale > 1 ? cv::INTER_CUBIC : cv::INTER_AREA);
    cv::equalizeHist(grey, grey);
    return grey;
}

/// Of what find() gives, the side of the face in it.
int face_side(const Box& box) {
    return static_cast<int>(std::min(box.width, box.height) / (1 + 2 * kRoom));
}

/// A point beyond the picture counts as on its edge.
Box square_around(const Pixels& picture, const std::array<double, 2>& point, int side) {
    const auto from = [side](double middle, int length) {
        return static_cast<int>(std::lround(std::clamp<double>(middle, 0, length) - side / 2.0));
    };
    return inside(picture, {from(point[0], picture.width), from(point[1], picture.height), side, side});
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

    /// A picture ready for the cascades, and the part of it in which faces are wanted.
    struct Field {
        cv::Mat grey;
        cv::Rect part;
        std::stop_token stop;
        int least = kCascadeSize;  ///< side of the smallest face that counts
    };

    /// Searches the sizes a few at a time: small faces are dear to look for and reach the part from close by
    /// only, large ones are cheap and may reach it from anywhere. All sizes together are then taken as one
    /// search, as OpenCV does within a call.
    static Found search(cv::CascadeClassifier& cascade, const Field& field, int neighbours, int least) {
        const cv::Rect whole(0, 0, field.grey.cols, field.grey.rows);
        const int largest = std::max(whole.width, whole.height);
        Found found;
        for (int from = least; from <= largest && !field.stop.stop_requested();) {
            int to = from * 3 / 2;
            const cv::Rect near = grown(field.part, static_cast<int>(std::ceil(kReach * to))) & whole;
            if (near == whole) to = largest;
            Found here;
            cascade.detectMultiScale(field.grey(near), here, 1.08, 0, 0, {from, least}, {to, largest});
            for (const cv::Rect& one : here)
                found.push_back(one + near.tl());
            from = to + 1;
        }
        cv::groupRectangles(found, neighbours, kAlike);
        return found;
    }

    /// The cascade knows one side of a face only.
    Found search_sides(const Field& field, int least) {
        Found found = search(side, field, 3, least);
        Field turned{{}, {}, field.stop, field.least};
        cv::flip(field.grey, turned.grey, 1);
        const auto mirrored = [&field](cv::Rect box) {
            box.x = field.grey.cols - box.x - box.width;
            return box;
        };
        turned.part = mirrored(field.part);
        for (const cv::Rect& face : search(side, turned, 3, least))
            found.push_back(mirrored(face));
        return found;
    }

    /// Of head and shoulders the head: the middle of the upper half.
    Found search_heads(const Field& field, int least) {
        Found heads;
        for (const cv::Rect& body : search(shoulders, field, 4, least))
            heads.emplace_back(body.x + body.width / 4, body.y, body.width / 2, body.height * 6 / 10);
        return heads;
    }

    Found search(const Field& field) {
        const int least = std::max(kCascadeSize, field.least);
        Found found = search(front, field, 3, least);
        for (const auto& more : {search_sides(field, least), search_heads(field, 2 * least)})
            found.insert(found.end(), more.begin(), more.end());
        return found;
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
        base::worded(
            "Faces cannot be looked for here: the cascades of OpenCV are missing or broken. Install the "
            "package opencv-data, or record the consent of the athletes in the picture."),
        PLUMBMARK_CASCADES};
}

std::vector<Box> FaceFinder::find(const Pixels& picture) {
    return *find(picture, {0, 0, picture.width, picture.height});
}

base::Result<std::vector<Box>> FaceFinder::find(const Pixels& picture, const Box& part,
                                                const std::stop_token& stop, double smallest) {
    PLUMBMARK_CHECK(picture.rgba != nullptr && picture.width > 0 && picture.height > 0);
    const Box wanted = inside(picture, part);
    std::vector<Box> boxes;
    if (wanted.width == 0 || wanted.height == 0) return boxes;
    const double scale =
        std::min(static_cast<double>(kCascadeSize) / kSmallestFace,
                 static_cast<double>(kWidestSearched) / std::max(picture.width, picture.height));
    const Inner::Field field{searched(picture, scale), scaled(wanted, scale), stop,
                             static_cast<int>(std::max<double>(smallest, kSmallestFace) * scale)};
    const Inner::Found found = inner_->search(field);
    if (stop.stop_requested())
        return base::Error{base::Category::cancelled, base::worded("Looking for faces was stopped."), ""};
    for (const cv::Rect& face : found) {
        // A cascade's square ends at the forehead; hair and chin tell a person, too.
        const auto at = [scale](double value) { return static_cast<int>(value / scale); };
        const Box box =
            inside(picture, {at(face.x - kRoom * face.width), at(face.y - kRoom * face.height),
                             at((1 + 2 * kRoom) * face.width), at((1 + 2 * kRoom) * face.height)});
        if (overlap(box, wanted)) boxes.push_back(box);
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

bool hide_around(const Pixels& picture, const std::vector<Box>& faces, const std::array<double, 2>& point,
                 int side) {
    const Box widest = square_around(picture, point, side);
    for (const Box& face : faces)
        if (overlap(face, widest)) side = std::min(side, face_side(face) / 3);
    const Box open = square_around(picture, point, side);
    const bool reached =
        std::any_of(faces.begin(), faces.end(), [&open](const Box& face) { return overlap(face, open); });
    const cv::Mat whole(picture.height, picture.width, CV_8UC4, picture.rgba);
    const cv::Rect place(open.x, open.y, open.width, open.height);
    const cv::Mat square = whole(place).clone();
    for (const Box& face : faces)
        hide(picture, face);
    cv::Mat left_open = whole(place);
    if (!square.empty()) square.copyTo(left_open);
    return reached;
}

}  // namespace plumbmark::sight
