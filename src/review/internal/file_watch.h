// Looks now and then whether a clip's file is still the one that was opened.
#pragma once

#include <chrono>
#include <filesystem>
#include <functional>
#include <memory>
#include <optional>

#include "base/result.h"

namespace plumbmark::review {

/// A thread of its own looks, since a drive that is gone may never answer. All functions belong to one
/// owner's thread and return at once; the destructor does not wait for the drive either: the thread ends by
/// itself.
class FileWatch {
  public:
    /// The file as it is now is what it is held to. 'wake' is called from the thread when trouble() changes,
    /// never after the destructor began.
    FileWatch(std::filesystem::path file, std::function<void()> wake,
              std::chrono::milliseconds between = std::chrono::seconds(1));
    ~FileWatch();
    FileWatch(const FileWatch&) = delete;
    FileWatch& operator=(const FileWatch&) = delete;

    /// What happened to the file since (media::what_changed): it is gone, another one stands in its place, it
    /// was written to. Nothing while it is as it was, or is again; and where it could not be opened at all,
    /// which whoever reads it tells better.
    [[nodiscard]] std::optional<base::Error> trouble() const;

  private:
    struct Shared;
    std::shared_ptr<Shared> shared_;
};

}  // namespace plumbmark::review
