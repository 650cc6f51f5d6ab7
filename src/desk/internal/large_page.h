// The frame of a page that covers the window but for the line of help: shade, ground, title, and the click
// outside that closes it.
#pragma once

#include <cstddef>
#include <optional>
#include <string>
#include <vector>

#include "desk/layout.h"

namespace plumbmark::desk {

struct Look;
struct PageView;

/// UI thread only, between a drawing's begin and its end. The page is drawn into between construction and
/// end.
class LargePage {
  public:
    /// 'name': of the page within the window, the same on every drawing. 'window': all of it.
    LargePage(const Look& look, const Box& window, const std::string& name);
    LargePage(const LargePage&) = delete;
    LargePage& operator=(const LargePage&) = delete;

    /// The title, and small behind it what else is to be known; each cut where there is no room.
    void head(const std::string& title, const std::string& says) const;
    /// What the page may fill below its title.
    [[nodiscard]] Box room() const;
    /// Ends the page. A click outside it closes it, by PageKind::none. Once.
    void end(PageView& page) const;

  private:
    const Look& look_;
    Box frame_;
};

/// What a key on a page does, for the pointer as well.
struct PageChip {
    const char* id;
    std::string words;
    std::string key;
};
/// From the left edge of the row on, as far as there is room. The one that was clicked now.
[[nodiscard]] std::optional<std::size_t> draw_page_chips(const Look& look, const Box& row,
                                                         const std::vector<PageChip>& chips);

/// A thin bar across the box's upper edge while something is worked out; below words, where there are some
/// since nothing else is there, a thicker and shorter one.
void draw_page_progress(const Look& look, const Box& box, double share, const std::string& words);

}  // namespace plumbmark::desk
