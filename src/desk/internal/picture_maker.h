// Pictures brought to the screen's colours by the processor, on a thread of their own: the window's thread
// asks, goes on, and takes what is made.
#pragma once

#include <condition_variable>
#include <cstdint>
#include <functional>
#include <list>
#include <memory>
#include <mutex>
#include <thread>
#include <vector>

#include "media/picture.h"

namespace plumbmark::desk {

/// How often a picture is halved for drawing it smaller.
inline constexpr int kSmallerLevels = 4;

/// The image halved again and again, one level after another, each pixel the mean of four: level n is
/// max(1, width / 2^n) by max(1, height / 2^n) pixels; a last odd row or column is left out, as the next
/// level has no place for it. Ends with kSmallerLevels, or at one pixel. 'into' may be used memory.
void make_smaller_levels(const media::RgbaImage& image, std::vector<std::uint8_t>& into);

/// How finely a picture is made.
enum class Fineness : std::uint8_t {
    half,   ///< media::to_rgba_half: for one that is drawn small and is gone again in a moment
    whole,  ///< media::to_rgba
};

/// One picture, ready for a texture.
struct MadeImage {
    media::RgbaImage image;             ///< upright; empty when the picture cannot be converted
    std::vector<std::uint8_t> smaller;  ///< make_smaller_levels
    Fineness fineness = Fineness::whole;
};

/// One worker thread. All public functions belong to one owner's thread and return at once: the lock is held
/// for the moving of pointers only. Each picture that is asked for is made once for each fineness. Pictures
/// that nobody asked for again during the last two rounds are not made, and given up when they are. The
/// destructor joins the worker: bounded by one picture's making.
class PictureMaker {
  public:
    /// 'wake' is called on the worker's thread, without any lock held, when a picture is made.
    explicit PictureMaker(std::function<void()> wake);
    ~PictureMaker();
    PictureMaker(const PictureMaker&) = delete;
    PictureMaker& operator=(const PictureMaker&) = delete;

    /// The picture's image when it is made, handed over; null otherwise: then it is made after those that
    /// were asked for before it.
    [[nodiscard]] std::unique_ptr<MadeImage> take(const std::shared_ptr<const media::Picture>& picture,
                                                  Fineness fineness = Fineness::whole);
    /// Memory that the next picture may use.
    void give_back(std::unique_ptr<MadeImage> used);
    /// A new look at what is to be shown begins.
    void next_round();

  private:
    struct Order {
        std::shared_ptr<const media::Picture> picture;
        Fineness fineness = Fineness::whole;
        std::unique_ptr<MadeImage> made;  ///< null until then
        std::uint64_t asked = 0;          ///< the round
        bool in_work = false;
    };
    void work(const std::stop_token& stop);

    const std::function<void()> wake_;
    std::mutex mutex_;
    std::condition_variable_any news_;
    // Guarded by mutex_:
    std::list<Order> orders_;
    std::unique_ptr<MadeImage> spare_;
    std::uint64_t round_ = 0;
    std::jthread worker_;  // last: it starts when everything above stands
};

}  // namespace plumbmark::desk
