// Decoded pictures by frame number, the least recently used leave first, within a budget of bytes.
#pragma once

#include <cstdint>
#include <list>
#include <memory>
#include <unordered_map>

#include "media/picture.h"

namespace plumbmark::media {

/// One owner thread.
class PictureCache {
  public:
    explicit PictureCache(std::size_t budget) : budget_(budget) {}

    [[nodiscard]] std::shared_ptr<const Picture> peek(std::int64_t frame) const {
        const auto found = places_.find(frame);
        return found == places_.end() ? nullptr : found->second->picture;
    }
    /// As peek, and the frame counts as used just now.
    std::shared_ptr<const Picture> use(std::int64_t frame) {
        const auto found = places_.find(frame);
        if (found == places_.end()) return nullptr;
        order_.splice(order_.begin(), order_, found->second);
        return found->second->picture;
    }
    /// Keeps the picture and lets the oldest go until the budget holds; the picture just put in stays in any
    /// case.
    void put(std::int64_t frame, std::shared_ptr<const Picture> picture) {
        if (use(frame)) return;
        bytes_ += picture->bytes();
        order_.push_front({frame, std::move(picture)});
        places_[frame] = order_.begin();
        while (bytes_ > budget_ && order_.size() > 1) {
            bytes_ -= order_.back().picture->bytes();
            places_.erase(order_.back().frame);
            order_.pop_back();
        }
    }
    [[nodiscard]] std::size_t bytes() const { return bytes_; }

  private:
    struct Kept {
        std::int64_t frame;
        std::shared_ptr<const Picture> picture;
    };
    std::size_t budget_, bytes_ = 0;
    std::list<Kept> order_;  // most recently used first
    std::unordered_map<std::int64_t, std::list<Kept>::iterator> places_;
};

}  // namespace plumbmark::media
