// Keeps OpenCV's own threads out of work that runs beside the window.
#pragma once

#include <functional>

namespace plumbmark::follow {

/// Runs the work on the calling thread alone. cv::setNumThreads() would do so for the whole program, faces
/// and all; inside a parallel_for_ of one step OpenCV's own loops stay where they are. Results are the same
/// either way.
void on_one_thread(const std::function<void()>& work);

}  // namespace plumbmark::follow
