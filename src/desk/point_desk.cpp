#include "desk/internal/point_desk.h"

#include <utility>

namespace plumbmark::desk {

void PointDesk::follow(meet::MarkId mark, review::PointToFollow asked) {
    stop_.request_stop();
    stop_ = std::stop_source();
    job_.ask(
        ++asked_,
        [mark, asked = std::move(asked), stop = stop_.get_token()](const std::function<bool()>&) -> Answer {
            return {mark, asked.start, review::follow_point(asked, stop)};
        });
}

std::optional<PointDesk::Answer> PointDesk::take() {
    auto answer = job_.take();
    if (!answer) return std::nullopt;
    known_ = answer->first;
    return std::move(answer->second);
}

}  // namespace plumbmark::desk
