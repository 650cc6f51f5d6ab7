#include "follow/internal/one_thread.h"

#include <opencv2/core/utility.hpp>

namespace plumbmark::follow {

void on_one_thread(const std::function<void()>& work) {
    cv::parallel_for_(cv::Range(0, 1), [&](const cv::Range&) { work(); });
}

}  // namespace plumbmark::follow
