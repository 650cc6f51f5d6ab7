// Revisions of the course book in one meet: what a run needs of a book, and where a book's file lies.
#pragma once

#include <filesystem>
#include <string>
#include <vector>

#include "base/sentence.h"
#include "course/book.h"
#include "meet/changes.h"

namespace plumbmark::review {

/// What the run's marks, contact statements, watched spans, floor calls, division and lane name and this book
/// does not have, each as "the surface 'net'", in the order of the alphabet, without repeats; empty when the
/// run can be ruled under the book. 'book' is the whole book, with its divisions and lanes. Pure.
[[nodiscard]] std::vector<base::Sentence> missing_from_book(const meet::State& state, meet::RunId run,
                                                            const course::CourseBook& book);

/// A file's path as a meet keeps it.
struct StoredPath {
    std::string path;          ///< from the meet file's folder, with '/', or whole
    bool beside_meet = false;  ///< the first: below that folder, so that it goes where the meet goes
};

/// How the meet keeps the path of this file; relative paths are from the folder that the program runs in.
[[nodiscard]] StoredPath stored_path(const std::filesystem::path& meet_file,
                                     const std::filesystem::path& file);

/// The file that the meet's book came from, or empty.
[[nodiscard]] std::filesystem::path file_of_book(const std::filesystem::path& meet_file,
                                                 const meet::BookRevision& book);

}  // namespace plumbmark::review
