#include "follow/grey.h"

#include <algorithm>
#include <opencv2/core.hpp>
#include <opencv2/imgproc.hpp>
#include <string>

#include "follow/internal/one_thread.h"

namespace plumbmark::follow {
namespace {

GreyPicture packed(const cv::Mat& grey, int full_width, int full_height) {
    GreyPicture small{grey.cols, grey.rows, {}, full_width, full_height};
    small.pixels.resize(static_cast<std::size_t>(grey.cols) * static_cast<std::size_t>(grey.rows));
    grey.copyTo(cv::Mat(grey.rows, grey.cols, CV_8UC1, small.pixels.data()));
    return small;
}

cv::Mat shrunk(const cv::Mat& grey, int longest) {
    const double scale = static_cast<double>(longest) / std::max(grey.cols, grey.rows);
    if (scale >= 1) return grey;
    cv::Mat small;
    const cv::Size size(std::max(1, cvRound(grey.cols * scale)), std::max(1, cvRound(grey.rows * scale)));
    cv::resize(grey, small, size, 0, 0, cv::INTER_AREA);
    return small;
}

/// As Picture says: mirrored first, then turned clockwise.
cv::Mat upright(cv::Mat grey, int quarter_turns, bool mirrored) {
    if (mirrored) cv::flip(grey, grey, 1);
    const int turns = ((quarter_turns % 4) + 4) % 4;
    if (turns != 0) cv::rotate(grey, grey, turns - 1);  // 0: 90 degrees clockwise, 1: 180, 2: 270
    return grey;
}

bool ends_with(const std::string& text, const char* end) {
    const std::string tail(end);
    return text.size() >= tail.size() && text.compare(text.size() - tail.size(), tail.size(), tail) == 0;
}

/// A view of the decoder's own luma, or a copy of its upper eight bits; empty where its first plane is none.
cv::Mat luma_of(const media::Picture& picture) {
    const std::string& format = picture.format();
    const bool planar = format.rfind("yuv", 0) == 0 && format.find('p') != std::string::npos;
    const bool known = (planar || format == "nv12" || format.rfind("gray", 0) == 0) && picture.planes() > 0 &&
                       picture.stride(0) > 0;
    if (!known) return {};
    auto* first = const_cast<std::uint8_t*>(picture.plane(0));  // cv::Mat has no view of constant bytes
    const auto stride = static_cast<std::size_t>(picture.stride(0));
    if (picture.bit_depth() == 8) return {picture.height(), picture.width(), CV_8UC1, first, stride};
    if (!ends_with(format, "le")) return {};
    const cv::Mat deep(picture.height(), picture.width(), CV_16UC1, first, stride);
    cv::Mat grey;
    deep.convertTo(grey, CV_8U, 1.0 / (1 << (picture.bit_depth() - 8)));
    return grey;
}

cv::Mat green_of(const media::Picture& picture) {
    media::RgbaImage image = media::to_rgba(picture, media::Orientation::stored);
    if (image.pixels.empty()) return {};
    cv::Mat grey;
    cv::extractChannel(cv::Mat(image.height, image.width, CV_8UC4, image.pixels.data()), grey, 1);
    return grey;
}

}  // namespace

GreyPicture grey_picture(const media::Picture& picture, int longest) {
    GreyPicture small;
    on_one_thread([&] {
        cv::Mat grey = luma_of(picture);
        if (grey.empty()) grey = green_of(picture);
        if (grey.empty()) return;
        cv::Mat fitting = shrunk(grey, longest);
        if (fitting.data == grey.data && picture.mirrored()) fitting = fitting.clone();
        small = packed(upright(fitting, picture.quarter_turns(), picture.mirrored()), picture.upright_width(),
                       picture.upright_height());
    });
    return small;
}

GreyPicture grey_picture(const std::uint8_t* luma, int width, int height, std::ptrdiff_t stride) {
    GreyPicture small;
    on_one_thread([&] {
        const cv::Mat grey(height, width, CV_8UC1, const_cast<std::uint8_t*>(luma),
                           static_cast<std::size_t>(stride));
        small = packed(shrunk(grey, kLongestSide), width, height);
    });
    return small;
}

}  // namespace plumbmark::follow
