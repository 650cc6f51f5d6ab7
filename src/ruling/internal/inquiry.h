// One ruling being explained, and the means to rule again with changed evidence without ever taking too long.
#pragma once

#include <cstdint>
#include <optional>

#include "ruling/internal/decide.h"
#include "ruling/internal/words.h"

namespace plumbmark::ruling {

/// For an appeal: how the stations before the one under appeal were called on the floor.
struct Calls {
    std::vector<bool> clear;  ///< by station, from the first
    /// The seen event taken to have completed the last of them; none: any way it can have been cleared.
    MarkId completed_by;
    /// What that takes: spans that vouch for there having been no unseen completion before.
    std::vector<WatchedSpan> assumed;
};

/// Keeps only the worlds in which the earlier stations came out as called. Error unsupported, naming the
/// station, when there is none. 'evidence' is what was decided.
[[nodiscard]] base::Result<void> take_as_called(const course::CourseBook& book, const Evidence& evidence,
                                                const Calls& calls, Decided& decided);

/// How many states all explanations of one ruling may still look at. Counted in states, not in seconds, so
/// that the same input always gives the same explanations.
class Work {
  public:
    explicit Work(std::int64_t states, Calls calls = {}) : left_(states), calls_(std::move(calls)) {}

    /// Rules again. None when that would take more than what is left, or more than 'at_most'; an error of
    /// category contradiction when the changed evidence has no world, unsupported when none is as called.
    /// Stops as soon as 'enough' says so of the worlds found that are as called.
    [[nodiscard]] std::optional<base::Result<Decided>> rule(const course::CourseBook& book,
                                                            const Evidence& evidence,
                                                            const Settings& settings, std::int64_t at_most,
                                                            const Enough& enough = {});
    [[nodiscard]] std::int64_t left() const { return left_; }
    /// Hands a part of what is left to one explanation, and takes back what that did not use.
    [[nodiscard]] Work part(std::int64_t of) const { return Work(left_ / of, calls_); }
    void take_back(const Work& part, std::int64_t of) { left_ -= left_ / of - part.left(); }

  private:
    std::int64_t left_;
    Calls calls_;
};

/// What explanations are made from. Everything it refers to outlives it.
struct Inquiry {
    const course::CourseBook& book;
    const Evidence& evidence;
    const Settings& settings;
    const Decided& decided;
    const Words& words;
    Work& work;
};

/// A book on which this station comes out as on the whole one, without the stations after it where they
/// cannot bear on it: what happens after its decision then costs nothing.
[[nodiscard]] course::CourseBook book_up_to(const course::CourseBook& book, std::size_t station);

/// Whether the same can be read from both: the verdict, and 'if reached' only where the first has it too.
[[nodiscard]] bool same_ruling(const BareVerdict& ruling, const BareVerdict& again);

[[nodiscard]] constexpr bool is_shown(Verdict verdict) {
    return verdict == Verdict::clear || verdict == Verdict::fail;
}

}  // namespace plumbmark::ruling
