// What all sheets on paper have in common.
#pragma once

#include <string>
#include <vector>

#include "report/internal/paper.h"
#include "ruling/ruling.h"

namespace plumbmark::report::paper {

/// The shape that says a verdict without colour.
[[nodiscard]] Sign sign_of(ruling::Verdict verdict);

[[nodiscard]] Block text_block(Style style, std::vector<Words> words, double above = 0);
/// A heading of a section, with the space before it.
[[nodiscard]] Block heading(std::string words);

/// One side of a sheet's head: a strong line, and names under it.
struct HeadSide {
    std::string strong;
    std::vector<std::string> names;
};
/// The head of the first page: whose it is at the left, what it is at the right, and a line.
[[nodiscard]] std::vector<Block> head(const HeadSide& left, const HeadSide& right);

/// Those that are not empty, with 'between' between them.
[[nodiscard]] std::string joined_names(const std::vector<std::string>& names, const char* between);

}  // namespace plumbmark::report::paper
