// Short texts about marks that the window, the command line and the sheet share.
#pragma once

#include <string>

#include "base/sentence.h"
#include "course/book.h"
#include "meet/values.h"

namespace plumbmark::review {

/// "left foot touches coil deck", "whole athlete past gantry front plane", "bell plate registers". A key that
/// the book does not know stands as written. 'book' may be null.
[[nodiscard]] std::string event_words(const meet::Event& event, const course::CourseBook* book);

/// "f 118 to 119", "before the clip to f 3", "f 90 to after the clip".
[[nodiscard]] std::string bracket_words(const meet::Sighting& sighting);

/// All of a mark in a line: event (or alternatives joined by 'or'), bracket, "possible".
[[nodiscard]] std::string mark_words(const meet::Mark& mark, const course::CourseBook* book);
/// The same in English and in the window's language, whatever the thread speaks.
[[nodiscard]] base::Sentence mark_sentence(const meet::Mark& mark, const course::CourseBook* book);

}  // namespace plumbmark::review
