// Removing a person's data on request: what would go, what stays, and the change that does it.
#pragma once

#include <cstdint>
#include <functional>
#include <map>
#include <string>
#include <vector>

#include "base/result.h"
#include "store/meet_file.h"

namespace plumbmark::review {

/// What erasing an athlete's or a tester's data comes to. Number and division stay, and so do calls, times,
/// outcomes and places, which are how the meet came out and name nobody.
struct Erasure {
    std::string number;   ///< the athlete's; empty for a tester
    std::string who;      ///< "number 17", "tester 3": what stands where a name may not be missing
    meet::Change change;  ///< empties every personal member of all that belongs to them
    std::vector<meet::EntityKey>
        also;  ///< things that once belonged to them: what they held before goes, too
    std::map<std::string, std::int64_t>
        goes;                        ///< values that stand now: what they are ("name"), and how many
    std::int64_t earlier = 0;        ///< values that only undo could bring back
    std::vector<std::string> stays;  ///< what is kept, a phrase each
    std::int64_t shared_clips = 0;   ///< clips that are footage of others as well; they keep their names
    [[nodiscard]] bool nothing_goes() const { return goes.empty() && earlier == 0; }
};

/// Works it out for the athlete with this number, also one who was removed from the meet since: athlete,
/// entries, runs, their clips, marks, calls, times, appeals and decisions, what coaches noted and testers
/// said on the runs, and the notes on results that they stand in; all as they are and as they ever were.
/// Takes time in proportion to the journal. Errors: not_found where nobody has or had the number; bad_input
/// where several athletes have it; cancelled; those of the file. 'progress' gets the share of the journal
/// that was read, and stops the work by giving false.
[[nodiscard]] base::Result<Erasure> plan_erasure(const store::MeetFile& file, const std::string& number,
                                                 const std::function<bool(double)>& progress = {});

/// The same for a tester, who has no number: their own name and level, what they said of their trials, the
/// releases signed with a name that they have or ever had (also where another tester has the same), and runs
/// that are trials of theirs alone and no athlete's, with all that belongs to those. What was written of rigs
/// and closings is nobody's and stays. Error not_found where there is and was no such tester; else as above.
[[nodiscard]] base::Result<Erasure> plan_tester_erasure(const store::MeetFile& file, meet::TesterId tester,
                                                        const std::function<bool(double)>& progress = {});

/// Does it: erases, waits for the disk, and verifies the chain. The file was opened for writing and has not
/// changed since the plan. Errors of the file.
[[nodiscard]] base::Result<store::ChainReport> erase(store::MeetFile& file, const Erasure& erasure);

}  // namespace plumbmark::review
