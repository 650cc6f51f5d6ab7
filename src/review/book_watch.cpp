#include "review/book_watch.h"

#include <fstream>
#include <optional>
#include <thread>
#include <utility>

#include "base/worded.h"
#include "review/internal/lookout.h"

namespace plumbmark::review {
namespace {

using base::Category;
using base::Error;
using base::worded;
namespace fs = std::filesystem;

constexpr std::uintmax_t kMostBytes = 1U << 20U;  // the reader's own limit

/// What tells one state of a file from another without reading it.
struct Traces {
    bool there = false;
    std::uintmax_t size = 0;
    fs::file_time_type changed_at;
    friend bool operator==(const Traces&, const Traces&) = default;
};

Traces traces_of(const fs::path& file) {
    std::error_code problem;
    Traces traces;
    if (!fs::is_regular_file(file, problem)) return traces;
    traces.size = fs::file_size(file, problem);
    if (problem) return {};
    traces.changed_at = fs::last_write_time(file, problem);
    traces.there = !problem;
    return traces;
}

BookFile unreadable(const fs::path& file, Category category, base::Sentence sentence) {
    BookFile out;
    out.path = file;
    out.error = Error{category, std::move(sentence), file.filename().string()};
    return out;
}

BookFile read_file(const fs::path& file, const Traces& traces) {
    if (!traces.there)
        return unreadable(file, Category::not_found,
                          worded("The file of the course book is not there any more."));
    if (traces.size > kMostBytes)
        return unreadable(file, Category::bad_input,
                          worded("The file is larger than a course book can be (1 MiB)."));
    std::ifstream in(file, std::ios::binary);
    std::string text(static_cast<std::size_t>(traces.size), '\0');
    in.read(text.data(), static_cast<std::streamsize>(text.size()));
    if (in.bad() || (!in && in.gcount() == 0 && traces.size > 0))
        return unreadable(file, Category::io, worded("The file cannot be read; see who may read it."));
    text.resize(static_cast<std::size_t>(in.gcount()));
    return book_file(file, std::move(text));
}

}  // namespace

BookFile book_file(const fs::path& path, std::string text) {
    BookFile out;
    out.path = path;
    course::ReadBook read = course::read_book(text);
    out.text = std::move(text);
    out.problems = std::move(read.problems);
    out.book = std::move(read.book);
    if (out.book) out.findings = course::check_book(*out.book);
    return out;
}

struct BookWatch::Shared : Lookout<std::shared_ptr<const BookFile>> {
    using Lookout::Lookout;
};

BookWatch::BookWatch(fs::path file, std::function<void()> wake, std::chrono::milliseconds between)
    : file_(std::move(file)), shared_(std::make_shared<Shared>(std::move(wake), between)) {
    std::thread([shared = shared_, file = file_] {
        std::optional<Traces> known;
        do {
            const Traces traces = traces_of(file);
            if (known == traces) continue;
            // An editor may still be writing: what it leaves has other traces, and is read again.
            known = traces;
            shared->take(std::make_shared<const BookFile>(read_file(file, traces)));
        } while (shared->wait());
    }).detach();
}

BookWatch::~BookWatch() {
    shared_->end();
}

std::shared_ptr<const BookFile> BookWatch::now() const {
    return shared_->found();
}

}  // namespace plumbmark::review
