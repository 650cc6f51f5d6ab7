// What can be undone and redone, without limit. Undoing never rewrites anything: it is a new change.
#pragma once

#include <optional>
#include <string>
#include <vector>

#include "meet/changes.h"
#include "review/internal/earlier.h"
#include "store/meet_file.h"

namespace plumbmark::review {

class History {
  public:
    /// A change the reviewer made; what had been undone before can no longer be redone.
    void made(meet::Change change, std::int64_t row) {
        done_.push_back({std::move(change), row});
        undone_.clear();
        made_here_ = true;
    }
    /// What was done before all that is here, the newest first.
    void made_earlier(const EarlierStep& step) {
        // What was undone before cannot be redone once something was made since.
        if (step.undone && made_here_) return;
        std::vector<Step>& list = step.undone ? undone_ : done_;
        list.insert(list.begin(), {step.change, step.row, true});
    }
    [[nodiscard]] bool undo_is_earlier() const { return done_.back().earlier; }
    [[nodiscard]] bool can_undo() const { return !done_.empty(); }
    [[nodiscard]] bool can_redo() const { return !undone_.empty(); }
    [[nodiscard]] const std::string& undo_label() const { return done_.back().change.label; }
    [[nodiscard]] const std::string& redo_label() const { return undone_.back().change.label; }

    /// The change that takes the last one back; call undone() once it was applied as journal row 'row'.
    [[nodiscard]] meet::Change undo_change() const {
        meet::Change change = meet::inverse(done_.back().change);
        change.label = "undo: " + done_.back().change.label;
        change.undoes = done_.back().row;
        return change;
    }
    void undone(std::int64_t row) {
        undone_.push_back({done_.back().change, row});
        done_.pop_back();
    }
    /// The change that makes the last undone one again; call redone() once it was applied.
    [[nodiscard]] meet::Change redo_change() const {
        meet::Change change = undone_.back().change;
        change.label = "redo: " + undone_.back().change.label;
        change.undoes = undone_.back().row;
        return change;
    }
    void redone(std::int64_t row) {
        done_.push_back({undone_.back().change, row});
        undone_.pop_back();
    }

  private:
    struct Step {
        meet::Change change;
        std::int64_t row;      ///< journal row that made it (or, for undone steps, that took it back)
        bool earlier = false;  ///< before this opening
    };
    std::vector<Step> done_;
    std::vector<Step> undone_;
    bool made_here_ = false;  ///< something, in this opening
};

}  // namespace plumbmark::review
