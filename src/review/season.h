// The runs of a season over several meet files, and two reviewers' marks of the same footage. Meet files are
// only read; no clip is opened.
#pragma once

#include <filesystem>
#include <functional>
#include <map>
#include <stop_token>
#include <string>
#include <vector>

#include "base/result.h"
#include "report/season_document.h"
#include "review/study_runs.h"

namespace plumbmark::review {

struct SeasonWish {
    std::vector<std::filesystem::path> files;
    /// A number or a name; empty: every run counts, whoever ran it.
    std::string athlete;
    /// Number in one file, by its path as named or its name: goes before 'athlete' there.
    std::map<std::string, std::string> number_in;
    double confidence = 0.95;  ///< of the rates
    std::stop_token stop;
    std::function<void(double)> progress;  ///< share done, 0 to 1, never falling
};

/// Who is matched in a file: the athlete with the number that is given for this file; else the one whose name
/// is the given text, letters of A to Z alike in both cases; else the one with that number. A file that
/// cannot be read, or in which two athletes answer, is told in SeasonFile::error and keeps nothing back.
/// Where a number matched people of several names, the notes say so. Errors: bad_input (a number is given for
/// a file that is not named), cancelled; the first file's error where no file could be read.
[[nodiscard]] base::Result<report::SeasonDocument> season(const SeasonWish& wish);

/// The figures of runs that are laid open, in their order; 'files' holds file indices of 'opened'. What
/// season() does beside reading. Pure.
void add_season_figures(const std::vector<std::shared_ptr<const report::LaidOpen>>& opened,
                        const std::vector<std::size_t>& file_of, report::SeasonDocument& document);

}  // namespace plumbmark::review
