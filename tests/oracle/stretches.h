// What a review says, cut into stretches. Each clip has the moments that a bracket, a span or a statement
// names; between two of them nothing that was said changes, so that a world need only know how many moments
// of each clip lie behind it.
#pragma once

#include <array>
#include <memory>
#include <vector>

#include "oracle/reach.h"
#include "oracle/worlds.h"

namespace plumbmark::oracle {

inline constexpr std::size_t kMostClips = 2;
/// How many named moments of each clip lie behind.
using Passed = std::array<std::uint8_t, kMostClips>;

/// A named moment of a clip: what has to be true when it passes.
struct Moment {
    std::int64_t at = 0;            ///< in units, on the clip's own clock
    Bits stated;                    ///< contacts
    bool contradictory = false;     ///< one contact is stated both ways
    std::uint64_t must_be_off = 0;  ///< contacts that an opening span covers and nothing names
    std::uint64_t must_be_behind = 0;
};

struct Contact {
    course::Part part;
    course::SurfaceId surface;
    std::uint64_t bit = 0;
    bool remembered = false;  ///< else nothing follows from its being on or off
    ruling::Happening touch;
    ruling::Happening release;
};

struct Stretch {
    std::uint32_t open_marks = 0;  ///< that may happen here
    std::uint32_t past_marks = 0;  ///< whose bracket lies behind
    /// By mark, the alternatives that may happen here: a possible event did not in a span that shows it not.
    std::vector<std::uint8_t> alternatives;
    std::vector<Contact> unwatched;
    std::uint64_t unwatched_pairs = 0;
    std::uint64_t unwatched_sides = 0;
    std::vector<ruling::Happening> unseen_crossings;
    bool unseen_finish = false;
};

class Stretches {
  public:
    Stretches(const Case& review, const Reach& reach);

    [[nodiscard]] std::size_t clips() const { return moments_.size(); }
    [[nodiscard]] const std::vector<Moment>& moments(std::size_t clip) const { return moments_[clip]; }
    [[nodiscard]] bool is_last(const Passed& passed) const;
    [[nodiscard]] const Stretch& at(const Passed& passed);
    /// False where the state contradicts what is said of this moment.
    [[nodiscard]] static bool pass(const Moment& moment, RunState& state);

    /// Whether the brackets of every mark can meet when the second clip's clock stands 'offset' units behind.
    /// Offsets are never whole: all that matters is which moment comes first.
    [[nodiscard]] bool brackets_meet(double offset) const;

    /// The marks that have to happen.
    std::uint32_t certain = 0;

  private:
    struct Bracket {
        std::size_t clip = 0;
        std::optional<std::int64_t> after, until;
    };
    struct Span {
        std::size_t clip = 0;
        std::int64_t after = 0, until = 0;
        ruling::Scope scope;
    };

    [[nodiscard]] std::int64_t units(std::int64_t ns) const { return ns / review_.unit_ns; }
    [[nodiscard]] std::int64_t row_delay(ruling::ClipIndex clip) const;
    void read_brackets();
    void read_spans();
    void find_moments();
    void say_at_moments();
    Moment& moment(std::size_t clip, std::int64_t at);
    void open_span(const Span& span);
    [[nodiscard]] bool lies_behind(std::size_t clip, std::int64_t at, const Passed& passed) const;
    [[nodiscard]] bool open(const Span& span, const Passed& passed) const;
    [[nodiscard]] bool watched(const ruling::Happening& what, const Passed& passed) const;
    [[nodiscard]] bool shown_not_to_happen(std::size_t mark, const ruling::Happening& what,
                                           const Passed& passed) const;
    [[nodiscard]] std::vector<course::SurfaceId> all_surfaces() const;
    [[nodiscard]] bool named_by_course(course::SurfaceId surface) const;
    [[nodiscard]] std::unique_ptr<Stretch> make(const Passed& passed) const;
    void offer_marks(Stretch& stretch, const Passed& passed) const;
    void offer_contacts(Stretch& stretch, const Passed& passed) const;
    void offer_crossings(Stretch& stretch, const Passed& passed) const;

    const Case& review_;
    const Reach& reach_;
    std::vector<std::vector<Bracket>> brackets_;  // by mark
    std::vector<Span> spans_;
    std::vector<std::vector<Moment>> moments_;  // by clip, ascending
    std::vector<std::unique_ptr<Stretch>> made_;
};

}  // namespace plumbmark::oracle
