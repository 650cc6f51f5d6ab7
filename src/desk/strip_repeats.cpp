#include "desk/internal/strip_repeats.h"

#include <fmt/format.h>

#include <algorithm>

#include "desk/internal/say.h"

namespace plumbmark::desk {
namespace {

std::string words_for(const meet::RepeatedPictures& one) {
    const std::int64_t from = one.first.number + 1;
    if (one.last == from)
        return one.exact
                   ? tr("f {} shows f {} again: a bracket reaches back over it", one.last, one.first.number)
                   : tr("f {} shows f {} again, nearly: a bracket reaches back over it", one.last,
                        one.first.number);
    return one.exact ? tr("f {} to {} show f {} again: a bracket reaches back over it", from, one.last,
                          one.first.number)
                     : tr("f {} to {} show f {} again, nearly: a bracket reaches back over it", from,
                          one.last, one.first.number);
}

}  // namespace

std::vector<RepeatsHit> draw_repeats(const Look& look, const Box& track,
                                     const std::vector<meet::RepeatedPictures>& repeated,
                                     const media::FrameTable& table,
                                     const std::function<float(std::int64_t)>& x_of, ImDrawList* list) {
    const Palette& c = *look.colours;
    const float bottom = track.y, top = bottom - look.unit(3);
    std::vector<RepeatsHit> hits;
    float drawn_to = track.x - 1;
    for (const meet::RepeatedPictures& one : repeated) {
        if (one.first.number + 1 >= table.size()) break;
        const std::int64_t past = std::min(one.last + 1, table.size() - 1);
        const float x0 = x_of(table.time(one.first.number + 1).ns);
        const float x1 = std::max(x_of(table.time(past).ns), x0 + 1);
        if (x0 > track.right()) break;
        if (x1 < track.x || x1 <= drawn_to) continue;
        list->AddRectFilled({std::max(x0, drawn_to), top}, {x1, bottom}, ink(c.soft));
        drawn_to = x1;
        hits.push_back({{x0, top - look.unit(5), x1 - x0, look.unit(8)}, words_for(one)});
    }
    return hits;
}

}  // namespace plumbmark::desk
