// The system's own window for choosing files, where there is one: asked for over the desktop portal's D-Bus
// interface org.freedesktop.portal.FileChooser (XDG Desktop Portal documentation), which every larger Linux
// desktop answers, in a container as well.
#pragma once

#include <filesystem>
#include <functional>
#include <memory>
#include <optional>
#include <string>
#include <vector>

namespace plumbmark::desk {

/// What the window shows besides folders: "meets", {"*.meet"}.
struct FileKind {
    std::string name;
    std::vector<std::string> patterns;
};

struct FileWish {
    std::string title;
    std::filesystem::path folder;  ///< where it opens
    std::vector<FileKind> kinds;   ///< the first is the one it begins with; empty: all files
    bool many = true;              ///< more than one may be chosen
};

struct FileAnswer {
    enum class Outcome { chosen, left, none_here } outcome = Outcome::left;
    std::vector<std::filesystem::path> files;  ///< where chosen
    std::string why;                           ///< where there is no such window here: the system's words
};

/// Owned and asked by one thread, which never waits for the system: that has a thread of its own, and calls
/// 'wake' when there is an answer.
class SystemFiles {
  public:
    explicit SystemFiles(std::function<void()> wake);
    ~SystemFiles();  ///< closes the window, where one is open
    SystemFiles(const SystemFiles&) = delete;
    SystemFiles& operator=(const SystemFiles&) = delete;

    /// A session bus is named where this process would look for it, so that asking is worth while. Says
    /// nothing of whether anybody answers there.
    [[nodiscard]] static bool may_be_there();

    /// Opens the window; one at a time, a second wish is dropped while it is open.
    void ask(FileWish wish);
    [[nodiscard]] bool asking() const;
    /// Closes the window: the answer is then 'left'.
    void stop();
    /// The answer, once.
    [[nodiscard]] std::optional<FileAnswer> take();

  private:
    struct Work;
    std::function<void()> wake_;
    std::unique_ptr<Work> work_;
};

}  // namespace plumbmark::desk
