#include "desk/strip_worlds.h"

#include <algorithm>

#include "desk/internal/say.h"
#include "desk/strip_model.h"

namespace plumbmark::desk {
namespace {

constexpr int kInstantRow = 5;

std::string lead_of(ruling::Verdict verdict) {
    const bool named = verdict == ruling::Verdict::clear || verdict == ruling::Verdict::fail;
    return named ? tr("{} if so: ", tr(ruling::verdict_key(verdict))) : tr("if so: ");
}

class Reader {
  public:
    Reader(int world, ruling::Verdict verdict) : world_(world), verdict_(verdict) {}

    void take(const ruling::WorldEvent& event) {
        if (const auto* touch = std::get_if<ruling::Touch>(&event.what))
            return begin(event, strip_row(touch->part), touch->surface);
        if (const auto* release = std::get_if<ruling::Release>(&event.what))
            return end(event, strip_row(release->part), release->surface);
        if (event.unseen) add(event, kInstantRow, false);
    }

    std::vector<WorldStretch> all() { return std::move(list_); }

  private:
    struct Open {
        std::size_t at;
        int row;
        course::SurfaceId surface;
    };

    void add(const ruling::WorldEvent& event, int row, bool open) {
        list_.push_back({world_, verdict_, row, event.at.ns, event.at.ns, open,
                         tr("{}{}; nobody saw it", lead_of(verdict_), event.sentence.spoken())});
    }

    void begin(const ruling::WorldEvent& event, int row, course::SurfaceId surface) {
        if (!event.unseen) return;
        open_.push_back({list_.size(), row, surface});
        add(event, row, true);
    }

    /// A contact that begins unseen ends with the next release of it, seen or not.
    void end(const ruling::WorldEvent& event, int row, course::SurfaceId surface) {
        const auto begun = std::find_if(open_.begin(), open_.end(), [&](const Open& one) {
            return one.row == row && one.surface == surface;
        });
        if (begun == open_.end()) {
            if (event.unseen) add(event, row, false);
            return;
        }
        list_[begun->at].to = event.at.ns;
        list_[begun->at].open = false;
        open_.erase(begun);
    }

    int world_;
    ruling::Verdict verdict_;
    std::vector<WorldStretch> list_;
    std::vector<Open> open_;
};

}  // namespace

std::vector<WorldStretch> world_stretches(const ruling::StationRuling& ruling,
                                          const std::vector<meet::ClipId>& clips, meet::ClipId clip) {
    std::vector<WorldStretch> list;
    for (std::size_t n = 0; n < ruling.worlds.size() && n < 2; ++n) {
        const ruling::World& world = ruling.worlds[n];
        Reader reader(static_cast<int>(n), world.verdict);
        for (const ruling::WorldEvent& event : world.events) {
            const auto index = static_cast<std::size_t>(event.clip.value);
            if (event.clip.valid() && index < clips.size() && clips[index] == clip) reader.take(event);
        }
        for (WorldStretch& stretch : reader.all())
            list.push_back(std::move(stretch));
    }
    return list;
}

}  // namespace plumbmark::desk
