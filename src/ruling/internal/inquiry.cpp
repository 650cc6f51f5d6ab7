#include "ruling/internal/inquiry.h"

#include <algorithm>

namespace plumbmark::ruling {
namespace {

// What preparing a ruling costs beside its states, so that many small ones cannot go on for ever either.
constexpr std::int64_t kPrepared = 20;

Evidence with_assumed(Evidence evidence, const Calls& calls) {
    evidence.spans.insert(evidence.spans.end(), calls.assumed.begin(), calls.assumed.end());
    return evidence;
}

/// Drops the endings that are not as called; the station for which none was left, if there is one.
std::optional<std::size_t> keep_called(const Calls& calls, const Evidence& evidence,
                                       std::vector<Ending>& endings) {
    for (std::size_t k = 0; k < calls.clear.size(); ++k) {
        const Outcome meant = calls.clear[k] ? Outcome::cleared : Outcome::failed;
        const bool by_mark = k + 1 == calls.clear.size() && calls.completed_by.valid();
        std::erase_if(endings, [&](const Ending& ending) {
            const Decision& decision = ending.world.stations[k];
            if (decision.outcome != meant) return true;
            return by_mark &&
                   (decision.mark < 0 ||
                    evidence.marks[static_cast<std::size_t>(decision.mark)].id != calls.completed_by);
        });
        if (endings.empty()) return k;
    }
    return std::nullopt;
}

}  // namespace

std::optional<base::Result<Decided>> Work::rule(const course::CourseBook& book, const Evidence& evidence,
                                                const Settings& settings, std::int64_t at_most,
                                                const Enough& enough) {
    const std::int64_t budget = std::min({left_ - kPrepared, at_most, settings.budget_states});
    if (budget <= 0) return std::nullopt;
    Settings bounded = settings;
    bounded.budget_states = budget;
    Enough of_those_called;
    if (enough) {
        of_those_called = [&](const std::vector<Ending>& endings) {
            if (calls_.clear.empty()) return enough(endings);
            std::vector<Ending> called = endings;
            keep_called(calls_, evidence, called);
            return enough(called);
        };
    }
    base::Result<Decided> decided =
        calls_.assumed.empty() ? decide(book, evidence, bounded, of_those_called)
                               : decide(book, with_assumed(evidence, calls_), bounded, of_those_called);
    left_ -= kPrepared;
    if (decided.ok()) {
        left_ -= decided->endings.states;
        if (base::Result<void> called = take_as_called(book, evidence, calls_, *decided); !called)
            return called.error();
    } else if (decided.error().category == base::Category::too_tangled) {
        left_ -= budget;
        return std::nullopt;
    } else if (decided.error().category == base::Category::cancelled) {
        left_ = 0;  // nothing more is tried; rule_and_explain tells that it was stopped
        return std::nullopt;
    }
    return decided;
}

base::Result<void> take_as_called(const course::CourseBook& book, const Evidence& evidence,
                                  const Calls& calls, Decided& decided) {
    if (calls.clear.empty()) return {};
    if (const std::optional<std::size_t> k = keep_called(calls, evidence, decided.endings.endings))
        return base::Error{base::Category::unsupported,
                           "The marks leave no way in which " + book.stations[*k].name + " was " +
                               (calls.clear[*k] ? "clear" : "a fail") +
                               ", as it was called. Rule the whole run instead, or appeal that station too.",
                           ""};
    for (std::size_t k = 0; k < book.stations.size(); ++k)
        decided.stations[k] = bare_verdict(decided.endings.endings, k);
    return {};
}

course::CourseBook book_up_to(const course::CourseBook& book, std::size_t station) {
    course::CourseBook some = book;
    // A later station bears on this one when it can begin while this one, or one before, is waited for.
    bool waits = book.format == course::Format::every_station_counts;
    for (std::size_t k = 0; k <= station; ++k) {
        waits |= book.stations[k].attempts > 1;
        waits |= k < station && book.stations[k].exit == course::Exit::free;
    }
    if (!waits) some.stations.resize(station + 1);
    return some;
}

bool same_ruling(const BareVerdict& ruling, const BareVerdict& again) {
    return ruling.verdict == again.verdict && (ruling.if_reached || !again.if_reached);
}

}  // namespace plumbmark::ruling
