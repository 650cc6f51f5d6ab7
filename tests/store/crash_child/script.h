// What the crash child does to a meet file, change by change: everything follows from a seed, so that whoever
// knows how many changes were kept knows the state that they must have come to.
#pragma once

#include <optional>

#include "base/check.h"
#include "meet/random_changes.h"

namespace plumbmark::test {

class CrashScript {
  public:
    struct Step {
        meet::Change change;
        bool erase = false;  ///< what the things held before is erased with it
    };

    /// 'rows' are the journal's rows in the file that holds 'state'.
    CrashScript(std::uint64_t seed, meet::State state, std::int64_t rows)
        : random_(seed), state_(std::move(state)), row_(rows) {}

    /// The next change: random, now and then the undo of the one before; applied to state() already.
    [[nodiscard]] Step next() {
        Step step;
        if (last_ && random_.number(1, 6) == 1) {
            step.change = meet::inverse(*last_);
            step.change.undoes = row_;
        } else {
            step.change = random_.next(state_);
            step.erase = random_.number(1, 8) == 1;
        }
        PLUMBMARK_CHECK(state_.apply(step.change).ok());
        ++row_;
        // What was erased cannot be brought back.
        last_ = step.erase ? std::nullopt : std::optional(step.change);
        return step;
    }

    [[nodiscard]] const meet::State& state() const { return state_; }

  private:
    RandomChanges random_;
    meet::State state_;
    std::int64_t row_;
    std::optional<meet::Change> last_;
};

}  // namespace plumbmark::test
