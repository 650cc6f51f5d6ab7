// What a PDF that Cairo wrote still lacks.
#pragma once

#include <string>
#include <vector>

#include "base/result.h"

namespace plumbmark::report::paper {

/// Adds what Cairo cannot say (the language, that the title is shown, what each picture shows, in the order
/// in which they were drawn) and takes out the time of writing, so that the same pages are the same bytes.
/// Error io.
[[nodiscard]] base::Result<std::string> finish_pdf(const std::string& pdf,
                                                   const std::vector<std::string>& pictures);

}  // namespace plumbmark::report::paper
