// Ours: media::FrameReader through its public calls only.
#include "contestant.h"
#include "media/frame_reader.h"

namespace plumbmark::bench {
namespace {

class OurReader final : public Contestant {
  public:
    OurReader(const Clip& clip, Keeping keeping) : clip_(clip), keeping_(keeping) {}

    base::Result<void> reopen() {
        media::ReaderOptions options;
        if (keeping_ == Keeping::nothing) options.cache_bytes = 0;
        auto opened = media::FrameReader::open(clip_.path, clip_.table, options);
        if (!opened) return opened.error();
        reader_.emplace(std::move(*opened));
        return {};
    }

    bool show(std::int64_t n) override {
        if (keeping_ == Keeping::new_reader && !reopen()) return false;
        shown_ = n;
        if (n >= clip_.frames()) return false;
        auto read = keeping_ == Keeping::as_shipped ? reader_->read(n) : reader_->read_alone(n);
        picture_ = read ? *read : nullptr;
        return picture_ != nullptr;
    }

    bool next() override { return show(shown_ + 1); }

    Look look() override { return {clip_.seconds(shown_), media::md5_hex(*picture_)}; }

  private:
    const Clip& clip_;
    const Keeping keeping_;
    std::optional<media::FrameReader> reader_;
    std::shared_ptr<const media::Picture> picture_;
    std::int64_t shown_ = -1;
};

std::string name_of(Keeping keeping) {
    switch (keeping) {
        case Keeping::as_shipped:
            return "plumbmark";
        case Keeping::nothing:
            return "plumbmark, nothing kept";
        case Keeping::new_reader:
            return "plumbmark, new reader";
    }
    return {};
}

}  // namespace

Entrant our_reader(Keeping keeping) {
    Entrant entrant;
    entrant.name = name_of(keeping);
    entrant.ours = true;
    entrant.thread_choices = {0};
    entrant.open = [keeping](const Clip& clip, int) -> base::Result<std::unique_ptr<Contestant>> {
        auto made = std::make_unique<OurReader>(clip, keeping);
        auto opened = made->reopen();
        if (!opened) return opened.error();
        return std::unique_ptr<Contestant>(std::move(made));
    };
    return entrant;
}

}  // namespace plumbmark::bench
