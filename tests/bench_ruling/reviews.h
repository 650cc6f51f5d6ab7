// Reviews of set sizes, for measuring the ruling engine: the sample course's kind of stations, marked as a
// reviewer would.
#pragma once

#include "course/book.h"
#include "ruling/evidence.h"

namespace plumbmark::bench {

struct Review {
    course::CourseBook book;
    ruling::Evidence evidence;
};

/// One station of four rungs: 12 marks on one clip of 60 frames a second, of which three have the same
/// bracket, everything watched.
[[nodiscard]] Review twelve_marks();

/// A run over so many stations of rungs, all cleared: seven marks a station on one clip, the feet's landing
/// in one bracket, everything watched. 'shift' moves the run on its clip, so that no two runs are alike.
[[nodiscard]] Review run_of(int stations, int shift);

/// 200 marks of one run, each seen on one of four clips in turn and every fifth on the next clip as well;
/// everything watched on all four.
[[nodiscard]] Review two_hundred_marks_on_four_clips();

/// One station on which so many touches have the same bracket, on items of their own.
[[nodiscard]] Review overlapping(int touches);

}  // namespace plumbmark::bench
