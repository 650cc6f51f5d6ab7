// Identifiers that cannot be mixed up: each kind of thing has its own type around one integer.
#pragma once

#include <compare>
#include <cstdint>
#include <functional>

namespace plumbmark::base {

/// An identifier of the kind named by Tag. The value -1 means 'none'.
template <class Tag>
struct Id {
    std::int64_t value = -1;
    [[nodiscard]] bool valid() const { return value >= 0; }
    friend auto operator<=>(Id, Id) = default;
};

}  // namespace plumbmark::base

template <class Tag>
struct std::hash<plumbmark::base::Id<Tag>> {
    std::size_t operator()(plumbmark::base::Id<Tag> id) const noexcept {
        return std::hash<std::int64_t>{}(id.value);
    }
};
