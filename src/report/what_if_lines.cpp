// What another course book or other settings would change, in sentences.
#include <utility>

#include "base/text.h"
#include "base/worded.h"
#include "report/internal/plain.h"
#include "report/internal/words.h"
#include "report/what_if_document.h"

namespace plumbmark::report {
namespace {

using base::Sentence;
using base::worded;
using base::worded_n;

Sentence verdict_of(const ruling::StationRuling* station) {
    if (!station) return worded("no such station");
    const Sentence verdict = base::looked_up_word(ruling::verdict_words(station->verdict));
    return station->if_reached ? worded("{} if reached", verdict) : verdict;
}

/// A clause as a sentence of its own.
Sentence reason_of(const ruling::StationRuling& station) {
    const auto whole = [](const std::string& clause) {
        return full_stop(base::sentence_case(plain(clause)));
    };
    return {whole(station.sentence.english()), whole(station.sentence.spoken())};
}

Sentence points_of(const ruling::StationRuling& station) {
    std::vector<Sentence> all;
    for (const auto points : station.points)
        all.emplace_back(std::to_string(points));
    return base::listed_words(all, "or");
}

Sentence result_of(const RuledSide& side) {
    return side.ruling->sentence.empty() ? worded("no result") : plain_both(side.ruling->sentence);
}

class Lines {
  public:
    void add(int depth, Sentence text) { lines_.push_back({depth, std::move(text)}); }

    /// False where nothing is said of it, as nothing changes.
    bool add(const RunCompared& run) {
        const std::string label = plain(run.label);
        switch (change_of(run)) {
            case RunChange::same:
                return false;
            case RunChange::changed:
                add_changed(label, run);
                break;
            case RunChange::no_longer_ruled:
                add_error(worded("{}: can no longer be ruled", label), run.after);
                break;
            case RunChange::now_ruled:
                add_error(worded("{}: can be ruled after the change; before it could not", label),
                          run.before);
                break;
            case RunChange::never_ruled:
                add_error(worded("{}: cannot be ruled, before or after", label), run.after);
                break;
        }
        add(0, {});
        return true;
    }

    std::vector<WhatIfLine> finish() { return std::move(lines_); }

  private:
    void add_error(Sentence what, const RuledSide& side) {
        add(0, std::move(what));
        add(1, plain_both({side.error->text(), side.error->spoken()}));
    }

    void add_changed(const std::string& label, const RunCompared& run) {
        const Sentence before = result_of(run.before), after = result_of(run.after);
        add(0, {label + ": " + before.english(), label + ": " + before.spoken()});
        if (before != after) add(1, worded("after the change: {}", after));
        for (const StationCompared& station : stations_compared(run))
            if (station.change != StationChange::same) add(station);
    }

    void add(const StationCompared& station) {
        const Sentence before = verdict_of(station.before), after = verdict_of(station.after);
        const std::string name = plain(station.name);
        add(1, before == after ? worded("{}: {} still", name, before)
                               : worded("{}: {}, and {} after the change", name, before, after));
        if (station.before && !station.before->sentence.empty())
            add(2, worded("before: {}", reason_of(*station.before)));
        if (station.after && !station.after->sentence.empty())
            add(2, worded("after: {}", reason_of(*station.after)));
        if (station.change == StationChange::points)
            add(2, worded("points: {}, and {} after the change", points_of(*station.before),
                          points_of(*station.after)));
    }

    std::vector<WhatIfLine> lines_;
};

Sentence heading(const WhatIfDocument& document) {
    std::vector<Sentence> what;
    if (!document.book_file.empty())
        what.push_back(
            worded("course book {}, revision {}", plain(document.book_file), plain(document.book_revision)));
    for (const std::string& setting : document.settings)
        what.emplace_back(plain(setting));
    return worded("What would change in {} with {}:", plain(document.meet_name), base::listed_words(what));
}

Sentence ending(std::int64_t same, std::int64_t all) {
    if (all == 0) return worded("There is no run to rule.");
    if (same == all) return worded_n("Nothing changes in {} run.", "Nothing changes in {} runs.", all);
    if (same == 0) return worded("No run stays as it is.");
    return worded_n("{} of {} runs does not change.", "{} of {} runs do not change.", same, all);
}

}  // namespace

std::vector<WhatIfLine> what_if_lines(const WhatIfDocument& document) {
    Lines lines;
    lines.add(0, heading(document));
    lines.add(0, {});
    std::int64_t same = 0;
    for (const RunCompared& run : document.runs)
        same += lines.add(run) ? 0 : 1;
    lines.add(0, ending(same, std::ssize(document.runs)));
    return lines.finish();
}

std::string what_if_text(const WhatIfDocument& document) {
    std::string out;
    for (const WhatIfLine& line : what_if_lines(document)) {
        if (!line.text.empty()) out += std::string(static_cast<std::size_t>(line.depth) * 3, ' ');
        out += line.text.english() + "\n";
    }
    return out;
}

}  // namespace plumbmark::report
