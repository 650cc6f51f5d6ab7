#include "desk/internal/what_if_page.h"

#include <fmt/format.h>

#include <utility>

#include "base/text.h"
#include "desk/internal/say.h"

namespace plumbmark::desk {
namespace {

/// A clause as a sentence of its own.
std::string as_sentence(const base::Sentence& clause) {
    std::string text = base::sentence_case(clause.spoken());
    if (!text.empty() && std::string_view(".?!").find(text.back()) == std::string_view::npos) text += '.';
    return text;
}

std::string verdict_of(const ruling::StationRuling* station) {
    if (!station) return tr("no such station");
    const char* verdict = tr(ruling::verdict_words(station->verdict));
    return station->if_reached ? tr("{} if reached", verdict) : verdict;
}

std::string points_of(const ruling::StationRuling& station) {
    std::vector<std::string> all;
    for (const auto points : station.points)
        all.push_back(std::to_string(points));
    return base::listed(all, tr("or"));
}

std::string result_of(const report::RuledSide& side) {
    return side.ruling->sentence.empty() ? std::string(tr("no result")) : side.ruling->sentence.spoken();
}

class Page {
  public:
    void add(int depth, std::string text) {
        const PageInk ink = depth == 0 ? PageInk::heading : depth == 1 ? PageInk::body : PageInk::soft;
        lines_.push_back({std::move(text), ink, depth});
    }

    /// False where nothing is said of it, as nothing changes.
    bool add(const report::RunCompared& run) {
        switch (report::change_of(run)) {
            case report::RunChange::same:
                return false;
            case report::RunChange::changed:
                add_changed(run);
                break;
            case report::RunChange::no_longer_ruled:
                add_error(tr("{}: can no longer be ruled", run.label), run.after);
                break;
            case report::RunChange::now_ruled:
                add_error(tr("{}: can be ruled after the change; before it could not", run.label),
                          run.before);
                break;
            case report::RunChange::never_ruled:
                add_error(tr("{}: cannot be ruled, before or after", run.label), run.after);
                break;
        }
        add(0, "");
        return true;
    }

    std::vector<PageLine> finish() { return std::move(lines_); }

  private:
    void add_error(std::string what, const report::RuledSide& side) {
        add(0, std::move(what));
        add(1, side.error->spoken());
    }

    void add_changed(const report::RunCompared& run) {
        const std::string before = result_of(run.before), after = result_of(run.after);
        add(0, fmt::format("{}: {}", run.label, before));
        if (before != after) add(1, tr("after the change: {}", after));
        for (const report::StationCompared& station : report::stations_compared(run))
            if (station.change != report::StationChange::same) add(station);
    }

    void add(const report::StationCompared& station) {
        const std::string before = verdict_of(station.before), after = verdict_of(station.after);
        add(1, before == after ? tr("{}: {} still", station.name, before)
                               : tr("{}: {}, and {} after the change", station.name, before, after));
        if (station.before && !station.before->sentence.empty())
            add(2, tr("before: {}", as_sentence(station.before->sentence)));
        if (station.after && !station.after->sentence.empty())
            add(2, tr("after: {}", as_sentence(station.after->sentence)));
        if (station.change == report::StationChange::points)
            add(2, tr("points: {}, and {} after the change", points_of(*station.before),
                      points_of(*station.after)));
    }

    std::vector<PageLine> lines_;
};

std::string heading(const report::WhatIfDocument& document) {
    std::vector<std::string> what;
    if (!document.book_file.empty())
        what.push_back(tr("course book {}, revision {}", document.book_file, document.book_revision));
    what.insert(what.end(), document.settings.begin(), document.settings.end());
    return tr("What would change in {} with {}:", document.meet_name, base::listed(what, tr("and")));
}

std::string ending(std::int64_t same, std::int64_t all) {
    if (all == 0) return tr("There is no run to rule.");
    if (same == all) return tr_n("Nothing changes in {} run.", "Nothing changes in {} runs.", all);
    if (same == 0) return tr("No run stays as it is.");
    return tr_n("{} of {} runs does not change.", "{} of {} runs do not change.", same, all);
}

}  // namespace

std::vector<PageLine> what_if_page(const report::WhatIfDocument& document) {
    Page page;
    page.add(0, heading(document));
    page.add(0, "");
    std::int64_t same = 0;
    for (const report::RunCompared& run : document.runs)
        same += page.add(run) ? 0 : 1;
    page.add(0, ending(same, std::ssize(document.runs)));
    return page.finish();
}

}  // namespace plumbmark::desk
