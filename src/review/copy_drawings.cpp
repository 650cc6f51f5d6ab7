#include "review/copy_drawings.h"

#include <map>
#include <utility>
#include <vector>

#include "base/worded.h"
#include "follow/follower.h"
#include "media/frame_reader.h"
#include "review/following_job.h"
#include "review/internal/clip_source.h"

namespace plumbmark::review {
namespace {

using base::Category;
using base::Error;
using base::Result;
using base::worded;

Result<media::FrameReader> open_source(const CopyDrawings& wanted, const std::stop_token& stop) {
    const meet::Clip& clip = wanted.state.clips().at(wanted.from);
    const auto source = clip_source(wanted.meet_folder, clip, stop);
    if (!source) return source.error();
    media::ReaderOptions options;
    options.stop = stop;
    return media::FrameReader::open(source->file, source->table, options);
}

std::map<std::int64_t, std::vector<meet::Drawing>> drawings_by_still(const CopyDrawings& wanted) {
    std::map<std::int64_t, std::vector<meet::Drawing>> by_still;
    for (const auto& [id, drawing] : wanted.state.drawings())
        if (drawing.clip == wanted.from)
            by_still[drawing.still ? drawing.still->number : 0].push_back(drawing);
    return by_still;
}

class Copying {
  public:
    explicit Copying(const CopyDrawings& wanted)
        : wanted_(wanted), next_(wanted.state.next_id(meet::Kind::drawing)) {
        done_.change.label = "copy the drawings of " + wanted.state.clips().at(wanted.from).name;
    }

    void add(const std::vector<meet::Drawing>& drawings, const follow::Fit& fit) {
        for (std::size_t i = 0; i < drawings.size(); ++i) {
            const auto placed = placed_drawing(drawings[i], fit.shapes[i]);
            if (!placed) {
                ++done_.left_out;
                continue;
            }
            ++done_.copied;
            done_.error = std::max(done_.error, fit.shapes[i].error);
            add(*placed);
        }
    }
    void leave_out(std::size_t count) { done_.left_out += static_cast<int>(count); }

    [[nodiscard]] Result<CopiedDrawings> finish() {
        if (done_.copied > 0) return std::move(done_);
        return Error{
            Category::unsupported,
            worded(
                "The drawings do not fit this frame: it shows the scene from elsewhere, in another size, or "
                "with too little of it to be sure. Go to a frame with a clear view, or draw them here."),
            wanted_.state.clips().at(wanted_.to).name};
    }

  private:
    void add(meet::Drawing drawing) {
        drawing.clip = wanted_.to;
        drawing.still = meet::FrameRef{wanted_.to_frame, (*wanted_.to_table)[wanted_.to_frame].pts};
        std::optional<meet::Entity> before;
        for (const auto& [id, kept] : wanted_.state.drawings())
            if (kept.clip == drawing.clip && kept.kind == drawing.kind && kept.key == drawing.key)
                before = kept;
        drawing.id = before ? std::get<meet::Drawing>(*before).id : meet::DrawingId{next_++};
        done_.change.edits.push_back({before, drawing});
    }

    const CopyDrawings& wanted_;
    std::int64_t next_;
    CopiedDrawings done_;
};

}  // namespace

Result<CopiedDrawings> copy_drawings(const CopyDrawings& wanted, const std::stop_token& stop) {
    const auto by_still = drawings_by_still(wanted);
    if (by_still.empty())
        return Error{Category::not_found, worded("Nothing is drawn on that clip."),
                     wanted.state.clips().at(wanted.from).name};
    auto source = open_source(wanted, stop);
    if (!source) return source.error();
    media::ReaderOptions options;
    options.stop = stop;
    auto target = media::FrameReader::open(wanted.to_file, wanted.to_table, options);
    if (!target) return target.error();
    const auto seen = target->read_alone(wanted.to_frame);
    if (!seen) return seen.error();
    const follow::GreyPicture picture = follow::grey_picture(**seen);
    Copying copying(wanted);
    for (const auto& [still, drawings] : by_still) {
        const auto from = source->read_alone(still);
        if (!from) return from.error();
        std::vector<std::vector<follow::Point>> shapes;
        for (const meet::Drawing& drawing : drawings)
            shapes.push_back(followed_points(drawing));
        const auto follower = follow::Follower::make(follow::grey_picture(**from), std::move(shapes));
        if (follower)
            copying.add(drawings, follower->fit(picture));
        else
            copying.leave_out(drawings.size());
    }
    return copying.finish();
}

CopyDrawingsJob::CopyDrawingsJob(CopyDrawings wanted, std::function<void()> wake)
    : wanted_(std::move(wanted)), wake_(std::move(wake)), thread_([this](const std::stop_token& stop) {
          auto answer = copy_drawings(wanted_, stop);
          if (stop.stop_requested()) return;
          {
              const std::lock_guard lock(mutex_);
              answer_ = std::move(answer);
          }
          if (wake_) wake_();
      }) {}

std::optional<base::Result<CopiedDrawings>> CopyDrawingsJob::take() {
    const std::lock_guard lock(mutex_);
    return std::exchange(answer_, std::nullopt);
}

}  // namespace plumbmark::review
