// Decoded pictures that are kept, of all open clips together, within one budget of bytes.
#pragma once

#include <cstddef>
#include <cstdint>
#include <map>
#include <memory>
#include <mutex>
#include <optional>
#include <vector>

#include "media/picture.h"

namespace plumbmark::media {

class FramePool;  // the memory that pictures are decoded into; known inside this module only

/// What is kept near where the hand is in each clip. The budget covers all that lives in memory: the pictures
/// kept, those still shown or in a decoder's hands, and the blocks that wait for the next picture. Pictures
/// leave farthest first, seen from the hand in its direction of travel; what lies behind it counts double.
/// Any thread.
class PictureStore {
  public:
    /// Stays over the budget only by what decoders and the screen themselves hold.
    explicit PictureStore(std::size_t budget_bytes = default_budget());
    ~PictureStore();
    PictureStore(const PictureStore&) = delete;
    PictureStore& operator=(const PictureStore&) = delete;

    /// A quarter of the machine's memory, at most 1 GiB.
    [[nodiscard]] static std::size_t default_budget();

    [[nodiscard]] std::size_t budget() const { return budget_; }
    /// Bytes of the kept pictures alone.
    [[nodiscard]] std::size_t kept_bytes() const;
    /// All bytes that the budget speaks of.
    [[nodiscard]] std::size_t used_bytes() const;

    /// One clip's pictures, by frame number. Must not outlive the store; gives everything back when it goes.
    class Shelf {
      public:
        explicit Shelf(PictureStore& store);
        ~Shelf();
        Shelf(const Shelf&) = delete;
        Shelf& operator=(const Shelf&) = delete;

        /// Null when it is not kept.
        [[nodiscard]] std::shared_ptr<const Picture> find(std::int64_t frame) const;
        struct Kept {
            std::int64_t frame = -1;
            std::shared_ptr<const Picture> picture;
        };
        /// The kept picture nearest to the frame; null when there is none.
        [[nodiscard]] Kept nearest(std::int64_t frame) const;
        /// Keeps the picture, and lets others go (or this one, when it is the farthest) until the budget
        /// holds. The picture at the hand always stays.
        void put(std::int64_t frame, std::shared_ptr<const Picture> picture);
        /// Where the hand is, and whether it goes forward (1), backward (-1) or jumped (0).
        void place_hand(std::int64_t frame, int direction);
        /// From 'frame' in steps of 'step' (1 or -1): the first frame that is not kept, looking at most as
        /// far as 'end' (that frame included); none when all are kept.
        [[nodiscard]] std::optional<std::int64_t> first_gap(std::int64_t frame, int step,
                                                            std::int64_t end) const;
        /// About how many pictures of this clip the budget has room for, at least 1: an equal share for each
        /// clip that keeps any.
        [[nodiscard]] std::int64_t capacity() const;
        void clear();

        /// Looking ahead is done for one clip at a time, so that the clips of a run do not slow each other
        /// when one of them is asked for a frame: true when it is this clip's turn until give_turn.
        [[nodiscard]] bool take_turn();
        void give_turn();

      private:
        friend class PictureStore;
        PictureStore& store_;
        std::map<std::int64_t, std::shared_ptr<const Picture>> pictures_;  // guarded by the store's mutex
        std::int64_t hand_ = 0;
        int direction_ = 0;
        std::uint64_t placed_ = 0;  // the larger, the more lately the hand moved here
    };

    [[nodiscard]] FramePool& pool() { return *pool_; }  ///< only inside this module

  private:
    struct Victim {
        Shelf* shelf = nullptr;
        std::int64_t frame = 0;
        double cost = -1;
    };
    [[nodiscard]] Victim farthest() const;
    [[nodiscard]] std::size_t beside_the_kept() const;
    [[nodiscard]] std::size_t room_for_kept(const Picture& like) const;
    void make_room(const Picture& newest, std::vector<std::shared_ptr<const Picture>>& leaving);

    const std::size_t budget_;
    std::unique_ptr<FramePool> pool_;
    mutable std::mutex mutex_;
    std::vector<Shelf*> shelves_;   // guarded by mutex_
    std::size_t kept_bytes_ = 0;    // guarded by mutex_
    std::size_t kept_of_pool_ = 0;  // guarded by mutex_; the part of it that lies in the pool's blocks
    const Shelf* turn_ = nullptr;   // guarded by mutex_
    std::uint64_t placings_ = 0;    // guarded by mutex_
};

}  // namespace plumbmark::media
