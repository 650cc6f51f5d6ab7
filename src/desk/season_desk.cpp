#include "desk/internal/season_desk.h"

#include <algorithm>
#include <filesystem>
#include <map>
#include <stop_token>
#include <utility>

#include "base/catalogue.h"
#include "report/season_plots.h"
#include "review/season.h"

namespace plumbmark::desk {
namespace {

namespace fs = std::filesystem;

/// By their names alone, where these tell them apart.
void name_files(report::SeasonDocument& document) {
    std::map<std::string, int> named;
    for (const report::SeasonFile& file : document.files)
        ++named[fs::path(file.file).filename().string()];
    for (report::SeasonFile& file : document.files) {
        const std::string name = fs::path(file.file).filename().string();
        if (named[name] == 1) file.file = name;
    }
}

}  // namespace

void SeasonDesk::ask(const Wanted& wanted) {
    wanted_ = wanted;
    share_ = std::make_shared<std::atomic<double>>(0);
    if (!job_) job_ = std::make_unique<review::LatestJob<Answer>>(wake_);
    job_->ask(++asked_,
              [wanted, share = share_, wake = wake_](const std::function<bool()>& stopped) -> Answer {
                  const base::Speaking in_the_windows_language;
                  std::stop_source halt;
                  review::SeasonWish wish;
                  wish.files = wanted.files;
                  wish.athlete = wanted.athlete;
                  wish.stop = halt.get_token();
                  wish.progress = [&](double done) {
                      if (stopped()) halt.request_stop();
                      share->store(done, std::memory_order_relaxed);
                      if (wake) wake();
                  };
                  return review::season(wish);
              });
}

void SeasonDesk::update(const review::Session& session, const SeasonView& view) {
    Wanted wanted{session.changes(), {session.path()}, view.athlete};
    wanted.files.insert(wanted.files.end(), view.files.begin(), view.files.end());
    if (!wanted_ || *wanted_ != wanted) ask(wanted);
    auto answer = job_->take();
    if (!answer) return;
    answered_ = answer->first;
    document_.reset();
    trouble_.reset();
    plot_ = {};
    if (!answer->second) {
        trouble_ = answer->second.error();
        return;
    }
    document_ = std::move(*answer->second);
    name_files(*document_);
    plot_ = report::season_plot(*document_);
}

void SeasonDesk::close() {
    if (!wanted_) return;
    job_.reset();
    wanted_.reset();
    asked_ = answered_ = 0;
    share_.reset();
    document_.reset();
    plot_ = {};
    trouble_.reset();
}

std::optional<std::size_t> SeasonDesk::station(const SeasonView& view) const {
    if (!document_ || document_->stations.empty()) return std::nullopt;
    const auto found =
        std::find_if(document_->stations.begin(), document_->stations.end(),
                     [&](const report::SeasonStation& one) { return one.key == view.station; });
    if (found == document_->stations.end()) return 0;
    return static_cast<std::size_t>(found - document_->stations.begin());
}

std::optional<SeasonCommand> season_key(SeasonView& view, const SeasonDesk& desk, int key, int mods) {
    if (mods != 0) return std::nullopt;
    const auto walk = [&](std::ptrdiff_t by) {
        const auto now = desk.station(view);
        if (!now) return;
        const auto& all = desk.document()->stations;
        const auto at =
            std::clamp<std::ptrdiff_t>(static_cast<std::ptrdiff_t>(*now) + by, 0, std::ssize(all) - 1);
        view.station = all[static_cast<std::size_t>(at)].key;
        view.show_station = true;
    };
    constexpr std::ptrdiff_t kFar = 1'000'000;
    switch (key) {
        case key_down:
        case key_up:
            return walk(key == key_down ? 1 : -1), std::nullopt;
        case key_home:
        case key_end:
            return walk(key == key_end ? kFar : -kFar), std::nullopt;
        case key_page_down:
        case key_page_up:
            view.scroll += key == key_page_down ? 6 : -6;
            return std::nullopt;
        case 'N':
            return ListSeasonAthletes{};
        case 'F':
            return ListSeasonFiles{};
        case 'O':
            return PrintSeason{};
        default:
            return std::nullopt;
    }
}

}  // namespace plumbmark::desk
