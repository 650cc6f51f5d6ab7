// Holds two runs, or one and others, against each other: what belongs together is matched by the keys of the
// course books, so that runs under other revisions, divisions or lanes can be compared. Pure; any thread.
#pragma once

#include <cstdint>
#include <memory>
#include <optional>
#include <string>
#include <vector>

#include "base/result.h"
#include "report/compare_document.h"

namespace plumbmark::review {

using Opened = std::shared_ptr<const report::LaidOpen>;

/// What lies over each other.
struct Align {
    enum class What : std::uint8_t { start, station, take_off } what = What::start;
    std::string station;        ///< key
    std::int64_t take_off = 1;  ///< which one of each run, from 1
    bool usual = true;          ///< nobody asked for it: another event serves where it is not shown
};
/// "start", "station:KEY" or "take-off:N". Error bad_input.
[[nodiscard]] base::Result<Align> read_align(const std::string& text);

/// The two side by side. Errors: not_found where what is to lie over each other is not shown by both runs;
/// the sentence says what is.
[[nodiscard]] base::Result<report::CompareDocument> compare_two(const Opened& a, const Opened& b,
                                                                const Align& align);

/// Others that a run is held against.
struct Group {
    report::Reference::Kind kind = report::Reference::Kind::own_best;
    base::Sentence name;
    std::vector<Opened> runs;
};
/// One run against each group, by station. Of the others only times of stations that are shown to be cleared
/// count. A group without runs is told in the notes.
[[nodiscard]] report::CompareDocument compare_one(const Opened& run, const std::vector<Group>& groups);

/// The run in terms of another book: surfaces, planes and stations have its ids by their keys; what that book
/// does not have gets ids of its own, which name nothing there. The figures are left as they are.
[[nodiscard]] study::StudiedRun in_terms_of(const course::CourseBook& book, const report::LaidOpen& run);

}  // namespace plumbmark::review
