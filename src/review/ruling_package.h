// What goes into the sealed package of one ruling, and ruling its marks again from the package alone. The
// form stands in docs/ruling-package.md; the container and its signature are the store's (store/package.h).
#pragma once

#include <functional>
#include <optional>
#include <stop_token>
#include <string>
#include <vector>

#include "base/result.h"
#include "review/session.h"
#include "store/package.h"

namespace plumbmark::review {

inline constexpr const char* kSheetPath = "ruling-sheet.html";
inline constexpr const char* kPrintedSheetPath = "ruling-sheet.pdf";
inline constexpr const char* kRulingPath = "ruling.json";
inline constexpr const char* kMarksPath = "marks.json";
inline constexpr const char* kReviewPath = "review.json";
inline constexpr const char* kBookPath = "course-book.course";
inline constexpr const char* kRulesPath = "rules.json";
inline constexpr const char* kCallsPath = "calls-and-decisions.json";
inline constexpr const char* kReadMePath = "read-me.txt";

struct RulingPackage {
    std::vector<store::PackageFile> files;
    std::vector<std::string> remarks;  ///< what it lacks and why, sentences for people
};

struct PackingOptions {
    std::stop_token stop = {};
    std::function<void(const std::string& what, double share)> progress = {};
};

/// Everything the package of the session's run holds. settle() first. Where the athlete refused consent,
/// their name is taken out of every file and the number stands for it. A clip whose SHA-256 the meet does not
/// know is read through for it; one whose file is away gives no stills, and that is remarked. Waits for the
/// drive and the decoder. Errors: those of the ruling; cancelled.
[[nodiscard]] base::Result<RulingPackage> pack_ruling(const Session& session,
                                                      const PackingOptions& options = {});

/// A ruling reached anew from a package's files.
struct RuledAgain {
    std::string run;       ///< its label
    std::string sentence;  ///< of the new ruling
    /// Where the packed ruling and the new one differ, in a path of ruling.json; empty: they are the same.
    std::string difference;
    /// Where they differ in words, margins or what they rest on alone.
    std::string other_words;
};

/// Rules the marks of a package again under its course book. Needs nothing but the files. Errors: bad_input
/// where a file that it needs is not among them or does not read (named); those of the ruling engine.
[[nodiscard]] base::Result<RuledAgain> rule_again(const std::vector<store::PackageFile>& files);

}  // namespace plumbmark::review
