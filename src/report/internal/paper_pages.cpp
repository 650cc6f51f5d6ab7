#include "report/internal/paper_pages.h"

namespace plumbmark::report::paper {
namespace {

/// Fills one page after the other.
class Dealer {
  public:
    explicit Dealer(double room) : room_(room) { pages_.emplace_back(); }

    void next_page() {
        pages_.emplace_back();
        y_ = 0;
    }

    [[nodiscard]] bool page_is_empty() const { return pages_.back().empty(); }

    /// Whether these, one below the other, fit what is left.
    [[nodiscard]] bool fit(const Slice* first, const Slice* last) const {
        double y = y_;
        for (const Slice* slice = first; slice != last; ++slice)
            y += space_before(*slice, slice == first && page_is_empty()) + slice->height;
        return y <= room_ + 1e-6;
    }

    void put(const Slice& slice) {
        if (page_is_empty() && slice.head) {
            pages_.back().push_back({slice.head.get(), y_});
            y_ += slice.head->height;
        } else if (!page_is_empty()) {
            y_ += slice.above;
        }
        pages_.back().push_back({&slice, y_});
        y_ += slice.height;
    }

    [[nodiscard]] std::vector<Page> take() { return std::move(pages_); }

  private:
    static double space_before(const Slice& slice, bool begins_page) {
        if (!begins_page) return slice.above;
        return slice.head ? slice.head->height : 0;
    }

    double room_;
    double y_ = 0;
    std::vector<Page> pages_;
};

}  // namespace

std::vector<Page> deal(const std::vector<Slice>& slices, double room) {
    Dealer dealer(room);
    for (std::size_t from = 0; from < slices.size();) {
        std::size_t until = from + 1;
        while (until < slices.size() && slices[until - 1].stays_with_next)
            ++until;
        const Slice* first = slices.data() + from;
        const Slice* last = slices.data() + until;
        if (!dealer.fit(first, last) && !dealer.page_is_empty()) dealer.next_page();
        for (const Slice* slice = first; slice != last; ++slice) {
            if (!dealer.fit(slice, slice + 1) && !dealer.page_is_empty()) dealer.next_page();
            dealer.put(*slice);
        }
        from = until;
    }
    return dealer.take();
}

}  // namespace plumbmark::report::paper
