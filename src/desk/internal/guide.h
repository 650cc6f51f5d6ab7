// A first ruling, in seven short steps on the sample meet: each is done by doing it, with the keys and the
// sheet that are always there. UI thread only; changes nothing of the meet by itself.
#pragma once

#include <optional>
#include <set>
#include <string>
#include <vector>

#include "desk/internal/state.h"

namespace plumbmark::desk {

class Guide {
  public:
    static constexpr int kSteps = 7;

    /// Begins on a meet that has a touch of something out of play to be marked anew, and lets the hand hold
    /// something else; false, and nothing begun, where it has none.
    bool begin(review::Session& session);
    void stop() { about_.reset(); }
    [[nodiscard]] bool on() const { return about_.has_value(); }
    /// 0 to 6.
    [[nodiscard]] int step() const { return step_; }

    /// Looks whether the step was done, and goes on. True when that was the last one: the guide is off then.
    bool update(const review::Session& session, const Views& views);

    /// What the step asks for, in the meet's own names.
    [[nodiscard]] std::string words(const review::Session& session) const;
    /// The keys that do it.
    [[nodiscard]] std::vector<Action> keys() const;

  private:
    /// The mark that the seven steps are about, as it was.
    struct About {
        meet::MarkId mark;
        meet::RunId run;
        meet::ClipId clip;
        meet::Event event;
        std::int64_t early = 0, late = 0;
        std::set<meet::MarkId> there;  ///< the marks of the meet before the first step
    };
    [[nodiscard]] bool done(const review::Session& session, const Views& views);
    /// The reviewer's own mark of the same touch in the present run; none yet.
    [[nodiscard]] const meet::Mark* made(const review::Session& session) const;
    [[nodiscard]] bool at_its_frames(const meet::Mark& mark) const;

    std::optional<About> about_;
    int step_ = 0;
    bool saw_early_ = false, saw_late_ = false;
    std::size_t rested_ = 0;  ///< SheetView::rests_on when the step began
};

}  // namespace plumbmark::desk
