// Writing a view's pictures and sound into an MP4 file, and reading the pictures back, with libav.
#pragma once

#include <functional>
#include <memory>
#include <string>

#include "base/result.h"
#include "frame.h"

namespace plumbmark::scene {

/// Writes H.264 and AAC. Pictures must come in the order of the view's time stamps.
class ClipWriter {
  public:
    static base::Result<std::unique_ptr<ClipWriter>> create(const std::string& path, const View& view,
                                                            const std::vector<std::int16_t>& sound);
    virtual ~ClipWriter() = default;
    [[nodiscard]] virtual base::Result<void> add(const Picture& picture, std::int64_t tick) = 0;
    /// Writes what is left and the index. Nothing may be added afterwards.
    [[nodiscard]] virtual base::Result<void> finish() = 0;
};

/// What a clip's container says about its pictures.
struct ClipFacts {
    base::Rational time_base;
    int width = 0, height = 0;  ///< as stored
    bool turned = false;        ///< shown turned by a quarter clockwise
};

/// Decodes all pictures of a clip in order and hands each over with its time stamp. 'take' returns false to
/// stop.
[[nodiscard]] base::Result<ClipFacts> read_clip(
    const std::string& path, const std::function<bool(const Picture&, std::int64_t tick)>& take);

}  // namespace plumbmark::scene
