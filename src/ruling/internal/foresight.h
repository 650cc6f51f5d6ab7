// What later marks say of a contact now: where a watched span lies over all the time until the next mark or
// statement of a contact, nothing unseen can change it before, so a touch says that it is off now, and a
// release that it is on.
//
// A world in which it were otherwise would be found inconsistent at that mark; to know it at once spares the
// search a doubling for each such contact.
#pragma once

#include <cstdint>
#include <optional>
#include <span>
#include <vector>

#include "ruling/internal/bits.h"
#include "ruling/internal/roles.h"

namespace plumbmark::ruling {

struct Prepared;

/// One mark or statement of a contact on the clip on which all of them are seen.
struct Foretelling {
    int mark = -1;           ///< index of the mark; -1: a statement
    std::size_t moment = 0;  ///< index of the statement's moment on the clip
    bool tells = false;      ///< it surely happened, and surely before all that follow
    bool on = false;         ///< what the contact was until then
    std::size_t watched_from =
        0;  ///< moments of the clip that must lie behind for all until then to be watched
};

/// All of one contact, in their order on the clip; empty where no one clip shows all of them.
struct Foretellings {
    std::size_t clip = 0;
    std::vector<Foretelling> all;
};

/// By contact. Made once for a review.
class ForesightTable {
  public:
    ForesightTable() = default;
    /// Of a review that is prepared otherwise.
    explicit ForesightTable(const Prepared& prepared);
    [[nodiscard]] const Foretellings* of(PairIndex pair) const;

  private:
    std::vector<std::int16_t> place_;  ///< by pair: index into tellings_, -1 none
    std::vector<Foretellings> tellings_;
};

/// As seen from one state of the search, which must outlive it.
class Foresight {
  public:
    Foresight(const ForesightTable& table, const MarkBits& done, std::span<const std::uint16_t> passed)
        : table_(table), done_(done), passed_(passed) {}
    /// Whether the contact is on; none: the marks do not tell.
    [[nodiscard]] std::optional<bool> contact(PairIndex pair) const;

  private:
    const ForesightTable& table_;
    const MarkBits& done_;
    std::span<const std::uint16_t> passed_;
};

}  // namespace plumbmark::ruling
