#include "desk/internal/trials_desk.h"

#include <algorithm>

#include "base/catalogue.h"
#include "review/trials_told.h"

namespace plumbmark::desk {
namespace {

constexpr int kPhotoSide = 480;  ///< pixels of a photograph as it is kept for the page

template <class List, class Is>
std::ptrdiff_t place_in(const List& list, const Is& is) {
    const auto found = std::find_if(list.begin(), list.end(), is);
    return found == list.end() ? -1 : found - list.begin();
}

}  // namespace

void TrialsDesk::ask(const review::Session& session) {
    asked_ = session.changes();
    share_ = std::make_shared<std::atomic<double>>(0);
    if (!job_) job_ = std::make_unique<review::LatestJob<Book>>(wake_);
    job_->ask(*asked_,
              [state = session.state(), file = session.path(), share = share_,
               wake = wake_](const std::function<bool()>& stopped) -> Book {
                  const base::Speaking in_the_windows_language;  // reasons and questions, which are shown
                  review::TrialBookWish wish;
                  auto people = review::people_of_divisions(state, "", {});
                  if (!people) return people.error();
                  wish.people = std::move(*people);
                  wish.stopped = stopped;
                  wish.progress = [&](double done) {
                      share->store(done, std::memory_order_relaxed);
                      if (wake) wake();
                  };
                  return review::work_out_trials(file, state, wish);
              });
}

void TrialsDesk::ask_for_pictures(const review::Session& session, const TrialsView& view) {
    const report::TrialsStation* chosen = station(view);
    if (chosen == nullptr || !chosen->report.rig) return;
    const meet::RigState& rig = *chosen->report.rig;
    if (reading_ == rig.id || pictures_.contains(rig.id)) return;
    if (rig.photos.empty()) return void(pictures_[rig.id]);
    reading_ = rig.id;
    if (!pictures_job_) pictures_job_ = std::make_unique<review::LatestJob<Pictures>>(wake_);
    pictures_job_->ask(
        static_cast<std::uint64_t>(rig.id.value),
        [rig, file = session.path()](const std::function<bool()>& stopped) -> Pictures {
            const base::Speaking in_the_windows_language;  // why one is missing, which is shown
            std::vector<report::RigPicture> all;
            review::RigPictureWish wish;
            wish.longest_side = kPhotoSide;
            // One by one, so that another station's need not wait for all of them.
            for (const meet::RigPhoto& photo : rig.photos) {
                if (stopped()) break;
                meet::RigState one = rig;
                one.photos = {photo};
                auto read = review::rig_pictures(file, one, wish);
                if (!read) return read.error();
                all.push_back(std::move(read->front()));
            }
            return all;
        });
}

void TrialsDesk::take() {
    if (job_) {
        if (auto answer = job_->take()) {
            answered_ = answer->first;
            document_.reset();
            trouble_.reset();
            if (answer->second)
                document_ = std::move(*answer->second);
            else
                trouble_ = answer->second.error();
        }
    }
    if (pictures_job_) {
        if (auto answer = pictures_job_->take()) {
            const meet::RigId rig{static_cast<std::int64_t>(answer->first)};
            if (answer->second) pictures_[rig] = std::move(*answer->second);
            if (reading_ == rig) reading_.reset();
        }
    }
}

void TrialsDesk::update(const review::Session& session, const TrialsView& view) {
    if (!asked_ || *asked_ != session.changes()) ask(session);
    take();
    if (!document_) return;
    const double bound = kTrialBounds[std::min(view.bound, kTrialBounds.size() - 1)];
    if (document_->wish.bound != bound)
        if (const auto set = report::set_bound(*document_, bound); !set) trouble_ = set.error();
    ask_for_pictures(session, view);
}

void TrialsDesk::close() {
    if (!asked_) return;
    job_.reset();
    pictures_job_.reset();
    asked_.reset();
    answered_.reset();
    share_.reset();
    document_.reset();
    trouble_.reset();
    reading_.reset();
    pictures_.clear();
    textures_.clear();
}

const report::TrialsStation* TrialsDesk::station(const TrialsView& view) const {
    if (!document_ || document_->stations.empty()) return nullptr;
    const auto at = place_in(document_->stations, [&](const report::TrialsStation& one) {
        return one.report.key == view.station;
    });
    return &document_->stations[static_cast<std::size_t>(std::max<std::ptrdiff_t>(0, at))];
}

const study::Question* TrialsDesk::question(const TrialsView& view) const {
    const report::TrialsStation* chosen = station(view);
    if (chosen == nullptr) return nullptr;
    const auto open = chosen->report.open();
    if (open.empty()) return nullptr;
    const auto at = place_in(open, [&](const study::Question* one) { return one->key == view.question; });
    return open[static_cast<std::size_t>(std::max<std::ptrdiff_t>(0, at))];
}

const std::vector<report::RigPicture>* TrialsDesk::pictures(meet::RigId rig) const {
    const auto found = pictures_.find(rig);
    return found == pictures_.end() ? nullptr : &found->second;
}

const Texture* TrialsDesk::texture(meet::RigId rig, std::size_t photo) const {
    const auto* all = pictures(rig);
    if (all == nullptr || photo >= all->size() || !(*all)[photo].picture) return nullptr;
    const auto known = textures_.find({rig, photo});
    if (known != textures_.end()) return &known->second;
    return &textures_.emplace(std::pair(rig, photo), Texture(*(*all)[photo].picture)).first->second;
}

void walk_trials_stations(TrialsView& view, const TrialsDesk& desk, int by) {
    if (desk.document() == nullptr || desk.document()->stations.empty()) return;
    const auto& all = desk.document()->stations;
    const report::TrialsStation* now = desk.station(view);
    const auto at = std::clamp<std::ptrdiff_t>((now - all.data()) + by, 0, std::ssize(all) - 1);
    view.station = all[static_cast<std::size_t>(at)].report.key;
    view.question.clear();
    view.show_station = true;
}

void walk_questions(TrialsView& view, const TrialsDesk& desk, int by) {
    const report::TrialsStation* now = desk.station(view);
    if (now == nullptr) return;
    const auto open = now->report.open();
    if (open.empty()) return;
    // The first is chosen before anybody has chosen one: Tab then goes on from it.
    const auto at = place_in(open, [&](const study::Question* one) { return one == desk.question(view); });
    const auto count = std::ssize(open);
    view.question = open[static_cast<std::size_t>(((at + by) % count + count) % count)]->key;
    view.show_question = true;
}

std::optional<TrialsCommand> trials_key(TrialsView& view, const TrialsDesk& desk, int key, int mods) {
    if ((mods & (kCtrl | kAlt)) != 0) return std::nullopt;
    const bool back = (mods & kShift) != 0;
    switch (key) {
        case key_down:
        case key_up:
            return walk_trials_stations(view, desk, key == key_down ? 1 : -1), std::nullopt;
        case key_home:
        case key_end:
            return walk_trials_stations(view, desk, key == key_end ? 1'000'000 : -1'000'000), std::nullopt;
        case key_tab:
            return walk_questions(view, desk, back ? -1 : 1), std::nullopt;
        case key_page_down:
        case key_page_up:
            view.scroll += key == key_page_down ? 8 : -8;
            return std::nullopt;
        case key_enter:
        case key_keypad_enter:
            return GoToQuestion{};
        case 'B':
            return TurnBound{back ? -1 : 1};
        default:
            break;
    }
    if (mods != 0) return std::nullopt;
    switch (key) {
        case 'C':
            return CloseQuestion{};
        case 'R':
            return ReleaseStation{};
        case 'A':
            return EnterTrial{};
        case 'W':
            return WriteRig{};
        case 'O':
            return PrintReleases{};
        default:
            return std::nullopt;
    }
}

ruling::Verdict standing_shape(study::Standing standing) {
    switch (standing) {
        case study::Standing::proven:
            return ruling::Verdict::clear;
        case study::Standing::open:
            return ruling::Verdict::not_shown;
        case study::Standing::changed:
            return ruling::Verdict::fail;
        case study::Standing::never_released:
            break;
    }
    return ruling::Verdict::not_reached;
}

ruling::Verdict way_shape(report::WayState state) {
    switch (state) {
        case report::WayState::cleared:
            return ruling::Verdict::clear;
        case report::WayState::failed:
            return ruling::Verdict::fail;
        case report::WayState::not_shown:
            return ruling::Verdict::not_shown;
        case report::WayState::never_tried:
        case report::WayState::shown_by_others:
            break;
    }
    return ruling::Verdict::not_reached;
}

bool has_footage(const study::Question& question) {
    return question.run.valid();
}

}  // namespace plumbmark::desk
