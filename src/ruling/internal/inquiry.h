// One ruling being explained, and the means to rule again with changed evidence without ever taking too long.
#pragma once

#include <cstdint>
#include <optional>

#include "ruling/internal/calls.h"
#include "ruling/internal/decide.h"
#include "ruling/internal/words.h"

namespace plumbmark::ruling {

/// How many states all explanations of one ruling may still look at. Counted in states, not in seconds, so
/// that the same input always gives the same explanations.
class Work {
  public:
    explicit Work(std::int64_t states, Calls calls = {}) : left_(states), calls_(std::move(calls)) {}

    /// Rules again. None when that would take more than what is left, or more than 'at_most'; an error of
    /// category contradiction when the changed evidence has no world, unsupported when none is as called.
    /// Stops as soon as 'enough' says so of the worlds found that are as called.
    [[nodiscard]] std::optional<base::Result<Decided>> rule(const CoursePtr& course, const Evidence& evidence,
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
    const CoursePtr& course;
    const course::CourseBook& book;  ///< of the course
    const Evidence& evidence;
    const Settings& settings;
    const Decided& decided;
    const Words& words;
    Work& work;
};

/// A course on which this station comes out as on the whole one, without the stations after it where they
/// cannot bear on it: what happens after its decision then costs nothing.
[[nodiscard]] CoursePtr course_up_to(const CoursePtr& course, std::size_t station);

/// Whether the same can be read from both: the verdict, and 'if reached' only where the first has it too.
[[nodiscard]] bool same_ruling(const BareVerdict& ruling, const BareVerdict& again);

[[nodiscard]] constexpr bool is_shown(Verdict verdict) {
    return verdict == Verdict::clear || verdict == Verdict::fail;
}

}  // namespace plumbmark::ruling
