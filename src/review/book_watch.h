// Looks now and then whether the file of a course book was changed, and reads and checks it anew when it was.
#pragma once

#include <chrono>
#include <filesystem>
#include <functional>
#include <memory>
#include <optional>
#include <string>
#include <vector>

#include "base/result.h"
#include "course/check.h"
#include "course/read.h"

namespace plumbmark::review {

/// What stands in a course book's file.
struct BookFile {
    std::filesystem::path path;
    std::string text;
    std::optional<base::Error> error;           ///< why it cannot be read as a file: it is gone, too large
    std::vector<course::BookProblem> problems;  ///< mistakes; there is a book exactly when there are none
    std::optional<course::CourseBook> book;
    std::vector<course::Finding> findings;  ///< of that book
};

/// Reads and checks a text as a book's file. Any thread.
[[nodiscard]] BookFile book_file(const std::filesystem::path& path, std::string text);

/// A thread of its own looks, since a drive that is gone may never answer. All functions belong to one
/// owner's thread and return at once; the destructor does not wait for the drive either.
class BookWatch {
  public:
    /// 'wake' is called from the thread when now() changes, never after the destructor began.
    BookWatch(std::filesystem::path file, std::function<void()> wake,
              std::chrono::milliseconds between = std::chrono::milliseconds(500));
    ~BookWatch();
    BookWatch(const BookWatch&) = delete;
    BookWatch& operator=(const BookWatch&) = delete;

    [[nodiscard]] const std::filesystem::path& file() const { return file_; }
    /// What was read last; null until the first reading.
    [[nodiscard]] std::shared_ptr<const BookFile> now() const;

  private:
    struct Shared;
    const std::filesystem::path file_;
    std::shared_ptr<Shared> shared_;
};

}  // namespace plumbmark::review
