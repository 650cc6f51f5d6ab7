// What was done before this opening, read back from the journal so that it can be undone as well.
#pragma once

#include <cstdint>
#include <set>
#include <vector>

#include "base/result.h"
#include "meet/changes.h"
#include "store/meet_file.h"

namespace plumbmark::review {

/// Labels of the rows that the program writes by itself. Undo is for what a person did.
inline constexpr const char* kFactsLabel = "facts of a clip";
inline constexpr const char* kMovedLabel = "a clip was found again";
inline constexpr const char* kRepeatsLabel = "repeated pictures of a clip";
inline constexpr const char* kContentLabel = "content of a clip's file";
/// How the label of a row begins that erased a person's data: then "number 17" or "tester 3".
inline constexpr const char* kErasureLabel = "erase the data of ";

/// One change that a person made, and the row that made it, or, for one that was taken back, took it back.
struct EarlierStep {
    meet::Change change;
    std::int64_t row = 0;
    bool undone = false;
};

/// Walks the journal from its end backwards, a batch at a time.
class Earlier {
  public:
    /// 'last': the row to begin with.
    explicit Earlier(std::int64_t last) : next_(last) {}

    /// Whether there may be more.
    [[nodiscard]] bool more() const { return next_ > 1; }
    /// The steps of the batch before, the newest first: what stands, and at the very end of the journal what
    /// was undone and not followed by anything else. What was published or sealed, and keys, are superseded
    /// and never taken back, so they are no steps; a row that erased a person's data is the end. Waits for
    /// the disk. Errors: those of MeetFile::changes.
    [[nodiscard]] base::Result<std::vector<EarlierStep>> batch(const store::MeetFile& file);

  private:
    /// Of a row that turned another round, or did something; nothing where it is no step.
    void take(meet::Change change, std::int64_t row, std::vector<EarlierStep>& steps);

    std::int64_t next_;              ///< the row to look at next
    std::set<std::int64_t> turned_;  ///< rows that a later one turned round
    bool made_ = false;              ///< something was made after the rows to come: no redo beyond it
};

}  // namespace plumbmark::review
