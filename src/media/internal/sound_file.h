// One open container and its chosen sound stream, packet by packet.
#pragma once

#include <filesystem>
#include <optional>
#include <vector>

#include "base/result.h"
#include "media/internal/container.h"
#include "media/sound.h"

namespace plumbmark::media {

/// Whether the error is that the clip has no sound at all.
[[nodiscard]] bool says_no_sound(const base::Error& error);

/// One owner thread.
class SoundFile : public Container {
  public:
    /// As Container::open; errors as SoundReader::open's.
    static base::Result<SoundFile> open(const std::filesystem::path& path, const SoundOptions& options);

    [[nodiscard]] const std::vector<SoundStream>& streams() const { return streams_; }
    [[nodiscard]] const SoundStream& chosen() const { return streams_[chosen_]; }

  private:
    explicit SoundFile(Container container) : Container(std::move(container)) {}
    base::Result<void> choose_sound(std::optional<int> wanted, const std::filesystem::path& path);

    std::vector<SoundStream> streams_;
    std::size_t chosen_ = 0;
};

}  // namespace plumbmark::media
