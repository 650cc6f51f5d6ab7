// OpenCV's VideoCapture on its FFmpeg backend. grab() decodes; the turning into BGR is left to look().
#include "contestant.h"

#if PLUMBMARK_BENCH_OPENCV
#include <opencv2/core.hpp>
#include <opencv2/videoio.hpp>
#endif

namespace plumbmark::bench {

#if PLUMBMARK_BENCH_OPENCV
namespace {

class OpenCvCapture final : public Contestant {
  public:
    bool open(const Clip& clip, int /*threads*/) {
        if (!capture_.open(clip.path.string(), cv::CAP_FFMPEG)) return false;
        capture_.set(cv::CAP_PROP_ORIENTATION_AUTO, 0);
        return true;
    }
    bool show(std::int64_t n) override {
        return capture_.set(cv::CAP_PROP_POS_FRAMES, static_cast<double>(n)) && capture_.grab();
    }
    bool next() override { return capture_.grab(); }
    Look look() override {
        cv::Mat bgr;
        capture_.retrieve(bgr);
        const std::size_t row = static_cast<std::size_t>(bgr.cols) * bgr.elemSize();
        return {capture_.get(cv::CAP_PROP_POS_MSEC) / 1000,
                quick_digest(bgr.data, row, static_cast<std::ptrdiff_t>(bgr.step[0]), bgr.rows)};
    }

  private:
    cv::VideoCapture capture_;
};

}  // namespace
#endif

Entrant opencv_entrant() {
    Entrant entrant;
    entrant.name = "OpenCV VideoCapture";
    entrant.pixels = Pixels::rgb;
    entrant.thread_choices = {0};  // this release has no setting for it and takes all processors
#if PLUMBMARK_BENCH_OPENCV
    entrant.open = opener_of<OpenCvCapture>("OpenCV");
#else
    entrant.absent = "not installed";
#endif
    return entrant;
}

}  // namespace plumbmark::bench
