#include "review/internal/earlier.h"

#include <algorithm>
#include <string_view>
#include <utility>

namespace plumbmark::review {
namespace {

constexpr std::int64_t kAtOnce = 256;
constexpr std::string_view kUndo = "undo: ", kRedo = "redo: ";

bool by_the_program(const meet::Change& change) {
    for (const char* label : {kFactsLabel, kMovedLabel, kRepeatsLabel, kContentLabel})
        if (change.label == label) return true;
    return false;
}

/// What went out is superseded, never taken back.
bool went_out(const meet::Change& change) {
    return std::any_of(change.edits.begin(), change.edits.end(), [](const meet::Edit& edit) {
        const meet::Kind kind = edit.key().kind;
        return kind == meet::Kind::key || kind == meet::Kind::seal || kind == meet::Kind::publication;
    });
}

void strip(std::string& label, std::string_view front) {
    if (label.starts_with(front)) label.erase(0, front.size());
}

}  // namespace

void Earlier::take(meet::Change change, std::int64_t row, std::vector<EarlierStep>& steps) {
    const bool turned = turned_.erase(row) > 0;
    if (change.undoes != 0) {
        // A redo turns the undo round, which turned the first one round: only the redo stands for it.
        turned_.insert(change.undoes);
        if (turned) return;
        const bool undo = change.label.starts_with(kUndo);
        if (undo && made_) return;
        meet::Change forward = undo ? meet::inverse(change) : std::move(change);
        strip(forward.label, undo ? kUndo : kRedo);
        forward.undoes = 0;
        steps.push_back({std::move(forward), row, undo});
        return;
    }
    if (by_the_program(change) || went_out(change)) return;
    made_ = true;
    if (!turned) steps.push_back({std::move(change), row, false});
}

base::Result<std::vector<EarlierStep>> Earlier::batch(const store::MeetFile& file) {
    std::vector<EarlierStep> steps;
    if (!more()) return steps;
    const std::int64_t from = std::max<std::int64_t>(2, next_ - kAtOnce + 1);  // the first made the meet
    auto changes = file.changes(from, next_ - from + 1);
    if (!changes) return changes.error();
    std::int64_t row = from + static_cast<std::int64_t>(changes->size()) - 1;
    for (auto change = changes->rbegin(); change != changes->rend(); ++change, --row) {
        if (change->label.starts_with(kErasureLabel)) {
            next_ = 0;
            return steps;
        }
        take(std::move(*change), row, steps);
    }
    next_ = from - 1;
    return steps;
}

}  // namespace plumbmark::review
