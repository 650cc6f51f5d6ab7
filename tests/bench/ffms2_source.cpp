// FFMS2 with its own index, in its normal seek mode.
#include "ffms2_source.h"

#include "contestant.h"
#include "planes.h"

#if PLUMBMARK_BENCH_FFMS2
#include <ffms.h>

#include <array>
#include <mutex>
#endif

namespace plumbmark::bench {

#if PLUMBMARK_BENCH_FFMS2
namespace {

struct IndexFreer {
    void operator()(FFMS_Index* index) const { FFMS_DestroyIndex(index); }
};
using IndexPtr = std::unique_ptr<FFMS_Index, IndexFreer>;

struct Complaint {
    std::array<char, 512> text{};
    FFMS_ErrorInfo info{};
    Complaint() {
        info.Buffer = text.data();
        info.BufferSize = static_cast<int>(text.size());
    }
};

IndexPtr make_index(const std::filesystem::path& clip) {
    static std::once_flag once;
    std::call_once(once, [] { FFMS_Init(0, 0); });
    Complaint complaint;
    FFMS_Indexer* indexer = FFMS_CreateIndexer(clip.c_str(), &complaint.info);
    if (indexer == nullptr) return nullptr;
    return IndexPtr(FFMS_DoIndexing2(indexer, FFMS_IEH_ABORT, &complaint.info));
}

class Ffms2Source final : public Contestant {
  public:
    ~Ffms2Source() override { FFMS_DestroyVideoSource(source_); }

    bool open(const Clip& clip, int threads) {
        Complaint complaint;
        const IndexPtr index = make_index(clip.path);
        if (!index) return false;
        const int track = FFMS_GetFirstTrackOfType(index.get(), FFMS_TYPE_VIDEO, &complaint.info);
        if (track < 0) return false;
        source_ = FFMS_CreateVideoSource(clip.path.c_str(), track, index.get(), threads, FFMS_SEEK_NORMAL,
                                         &complaint.info);
        return source_ != nullptr;
    }

    bool show(std::int64_t n) override {
        if (n >= FFMS_GetVideoProperties(source_)->NumFrames) return false;
        Complaint complaint;
        shown_ = static_cast<int>(n);
        frame_ = FFMS_GetFrame(source_, shown_, &complaint.info);
        return frame_ != nullptr;
    }
    bool next() override { return show(shown_ + 1); }
    Look look() override {
        FFMS_Track* track = FFMS_GetTrackFromVideo(source_);
        const FFMS_TrackTimeBase* base = FFMS_GetTimeBase(track);
        // The time base gives milliseconds.
        const double ms = static_cast<double>(FFMS_GetFrameInfo(track, shown_)->PTS) *
                          static_cast<double>(base->Num) / static_cast<double>(base->Den);
        return {ms / 1000, planes_md5(frame_->Data, frame_->Linesize, frame_->EncodedPixelFormat,
                                      frame_->EncodedWidth, frame_->EncodedHeight)};
    }

  private:
    FFMS_VideoSource* source_ = nullptr;
    const FFMS_Frame* frame_ = nullptr;
    int shown_ = -1;
};

}  // namespace

bool ffms2_installed() {
    return true;
}
bool ffms2_index(const std::filesystem::path& clip) {
    return make_index(clip) != nullptr;
}
#else
bool ffms2_installed() {
    return false;
}
bool ffms2_index(const std::filesystem::path&) {
    return false;
}
#endif

Entrant ffms2_entrant() {
    Entrant entrant;
    entrant.name = "FFMS2";
    entrant.thread_choices = {1, 2, 0};
#if PLUMBMARK_BENCH_FFMS2
    entrant.open = opener_of<Ffms2Source>("FFMS2");
#else
    entrant.absent = "not installed";
#endif
    return entrant;
}

}  // namespace plumbmark::bench
