#include "ruling/internal/settle.h"

#include <algorithm>

#include "ruling/internal/changes.h"

namespace plumbmark::ruling {
namespace {

constexpr std::size_t kMostSteps = 3;
constexpr std::int64_t kOneAttempt = 5'000;

struct Tried {
    SettleStep step;
    bool settles = false;  ///< shown whatever the change brings to light
    std::size_t place = 0;
};

class Settler {
  public:
    Settler(const Inquiry& inquiry, std::size_t station)
        : inquiry_(inquiry), station_(station), course_(course_up_to(inquiry.course, station)) {}

    Settling find() {
        Settling settling;
        settling.tried_all = true;
        std::vector<Tried> found;
        const std::vector<Change> changes = changes_for(inquiry_, station_);
        for (std::size_t i = 0; i < changes.size(); ++i) {
            const std::optional<Tried> tried = attempt(changes[i]);
            if (!tried) {
                settling.tried_all = false;
                if (inquiry_.work.left() <= 0) break;
                continue;
            }
            if (tried->step.leads_to.empty()) continue;
            found.push_back(*tried);
            found.back().place = i;
            if (enough(found)) break;
        }
        std::stable_sort(found.begin(), found.end(),
                         [](const Tried& a, const Tried& b) { return a.settles && !b.settles; });
        for (std::size_t i = 0; i < std::min(found.size(), kMostSteps); ++i)
            settling.steps.push_back(std::move(found[i].step));
        return settling;
    }

  private:
    static bool enough(const std::vector<Tried>& found) {
        return std::count_if(found.begin(), found.end(), [](const Tried& t) { return t.settles; }) >=
               static_cast<std::ptrdiff_t>(kMostSteps);
    }

    std::optional<Tried> attempt(const Change& change) {
        Tried tried{change.step, true, 0};
        for (const Evidence& outcome : change.outcomes) {
            const auto again = inquiry_.work.rule(
                course_, outcome, inquiry_.settings, kOneAttempt, [this](std::span<const Met> met) {
                    return bare_verdict(met[station_]).verdict == Verdict::not_shown;
                });
            if (!again) return std::nullopt;
            if (!again->ok()) continue;  // this is not what the pictures can show
            const BareVerdict& bare = (*again)->stations[station_];
            if (!is_shown(bare.verdict)) {
                tried.settles = false;
                continue;
            }
            std::vector<Verdict>& verdicts = tried.step.leads_to;
            if (std::find(verdicts.begin(), verdicts.end(), bare.verdict) == verdicts.end())
                verdicts.push_back(bare.verdict);
        }
        std::sort(tried.step.leads_to.begin(), tried.step.leads_to.end());
        return tried;
    }

    const Inquiry& inquiry_;
    std::size_t station_;
    CoursePtr course_;
};

}  // namespace

Settling settle(const Inquiry& inquiry, std::size_t station) {
    return Settler(inquiry, station).find();
}

}  // namespace plumbmark::ruling
