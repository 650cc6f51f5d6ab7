// The places of a source at which a condition can be switched, and the source with a switch at each of them.
#pragma once

#include <string>
#include <string_view>
#include <vector>

namespace plumbmark::mutants {

/// One way in which the source can be made wrong.
struct Mutant {
    int number = 0;
    int line = 0;
    std::string what;  ///< "if turned round", "operand of && left out", ...
    std::string text;  ///< the condition as it stands in the source
};

struct Mutated {
    std::string source;  ///< with a switch at every mutant's place
    std::vector<Mutant> mutants;
};

/// Numbers begin at 'first'. Found are: conditions of if, while and ?: (turned round), operands of && and ||
/// (left out), comparisons (an end taken in or left out, equal and unequal exchanged), what a function or a
/// lambda returns as bool (turned round), and 'one more' or 'one less' (left out). Conditions that are
/// compiled (if constexpr) and those that declare something are passed over.
[[nodiscard]] Mutated mutate(std::string_view source, int first);

}  // namespace plumbmark::mutants
