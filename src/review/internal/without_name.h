// Taking an athlete's name out of what leaves the meet.
#pragma once

#include <string>

#include "meet/changes.h"

namespace plumbmark::review {

/// Whether this run's athlete refused that their name leaves the meet.
[[nodiscard]] bool refuses_name(const meet::State& state, meet::RunId run);

/// The athlete's name, and each of its words of three bytes and more, replaced by 'number' wherever they
/// stand as they are written, but for capitals of ASCII letters, and not within a longer word of such
/// letters. Pure.
[[nodiscard]] std::string without_name(const std::string& text, const std::string& name,
                                       const std::string& number);

/// The meet's state, with the name and club of this run's athlete gone, and the name out of all texts about
/// the run: its label and question, notes, names and paths of its clips, names and sources of the lenses that
/// filmed it, appeals and decisions. Pure.
[[nodiscard]] meet::State without_name(const meet::State& state, meet::RunId run);

}  // namespace plumbmark::review
