#include "report/internal/still_svg.h"

#include <fmt/format.h>

#include "media/still.h"
#include "report/internal/plain.h"
#include "report/internal/still_overlay.h"
#include "report/internal/stroke_svg.h"

namespace plumbmark::report {
namespace {

std::string overlay_svg(const RulingDocument& document, const Still& still) {
    std::string out;
    for (const paper::Stroke& stroke : still_overlay(document, still))
        out += stroke_svg(stroke);
    return out;
}

}  // namespace

std::string still_svg(const RulingDocument& document, const Still& still) {
    const auto jpeg = media::encode_jpeg(still.picture, kStillQuality);
    if (!jpeg) return fmt::format(R"(<p class="gone">No picture: {}</p>)", html(jpeg.error().text()));
    const int width = still.picture.width, height = still.picture.height;
    return fmt::format(R"(<svg class="picture" viewBox="0 0 {0} {1}" role="img" aria-label="{2}">)"
                       R"(<image width="{0}" height="{1}" href="data:image/jpeg;base64,{3}"/>{4}</svg>)",
                       width, height, html(still.caption), base64(*jpeg), overlay_svg(document, still));
}

}  // namespace plumbmark::report
