// Printed sheets read back by other programs: poppler's pdftotext, pdfinfo and pdffonts.
#pragma once

#include <string>
#include <vector>

namespace plumbmark::test {

/// Whether poppler's programs are here; says "skipped:" where not.
[[nodiscard]] bool poppler_is_here();

/// What a program of poppler prints about a PDF; 'options' stand before the file.
[[nodiscard]] std::string poppler(const std::string& program, const std::string& options,
                                  const std::string& pdf);

/// The pages as text, in the order of their content.
[[nodiscard]] std::vector<std::string> pages_as_text(const std::string& pdf);

/// Without blanks and line feeds, so that it does not matter where lines break.
[[nodiscard]] std::string squeezed(const std::string& text);

/// A word's place on its page, in points from the upper left.
struct PlacedWord {
    int page = 0;
    double left = 0, top = 0, right = 0, bottom = 0;
    std::string text;
};
struct Placed {
    double width = 0, height = 0;  ///< of the first page
    std::vector<PlacedWord> words;
};
[[nodiscard]] Placed placed_words(const std::string& pdf);

/// What is wrong with where words stand: one beyond the page's edge, or two over each other.
[[nodiscard]] std::vector<std::string> misplaced(const Placed& placed);

}  // namespace plumbmark::test
