// Figures as a table and as JSON.
#pragma once

#include <optional>
#include <string>
#include <vector>

#include "samples.h"

namespace plumbmark::bench {

/// How the values of a row become one.
enum class Summary {
    percentiles,  ///< median, and what 95 of 100 are at least as good as
    share,        ///< values are 1 or 0: the mean, in percent
    amount,       ///< one value
};

/// One contestant's values for one figure.
struct Row {
    std::string contestant;
    std::string setting;  ///< threads, or how it was used
    bool ours = false;
    std::vector<double> values;  ///< in the order measured; empty: not measured, 'note' says why
    std::string note;
};

/// What the project holds itself to; the numbers and their reasons stand in docs/figures.md.
struct Goal {
    enum class Of { typical, worst };
    std::string row;  ///< contestant that it speaks of
    std::string
        against;  ///< another row, whose typical value the bound multiplies; empty: the bound stands alone
    double bound = 0;
    Of of = Of::typical;
};

struct Figure {
    std::string name;  ///< as in docs/figures.md and in --figures
    std::string title;
    std::string unit;
    Better better = Better::less;
    Summary summary = Summary::percentiles;
    std::vector<Row> rows;
    std::optional<Goal> goal;

    [[nodiscard]] double typical(const Row& row) const;
    [[nodiscard]] double worst(const Row& row) const;
    /// The measured row of another than us with the best typical value; null where there is none.
    [[nodiscard]] const Row* best_peer() const;
    [[nodiscard]] const Row* find(const std::string& contestant) const;
};

struct ClipReport {
    std::string clip;     ///< file name
    std::string content;  ///< codec, size, frames
    std::string truth_from;
    std::vector<Figure> figures;
};

/// A table for people, with the ratio of each of our rows to the best peer of the same run.
[[nodiscard]] std::string table_text(const Figure& figure);
/// All of it, the values as well; the form stands in docs/figures.md. 'machine' is put in as it is.
[[nodiscard]] std::string json_text(const std::string& machine, const std::vector<ClipReport>& reports);

}  // namespace plumbmark::bench
