// The meet's own view: which page is open, and the pages themselves.
#pragma once

#include <functional>
#include <map>
#include <memory>

#include "desk/internal/meet_page.h"

namespace plumbmark::desk {

/// UI thread only; nothing here waits.
class MeetDesk {
  public:
    explicit MeetDesk(std::function<void()> wake);

    /// Once per drawn frame while the view is open.
    void update(review::Session& session);
    /// The view is opened: the page it was left at, or the one that begins a meet without athletes.
    void enter(review::Session& session);
    /// False: the key means nothing here.
    bool key(const MeetHands& hands, const MeetKey& pressed);
    void text(const MeetHands& hands, char32_t character);
    void kept(const MeetHands& hands, const std::string& line);
    void kept_secret(const MeetHands& hands, store::SecretText secret);
    void left_secret(const MeetHands& hands);
    /// Once per drawn frame, 'open': while the view is open.
    void go_on(const MeetHands& hands, bool open);
    /// All commands but ReviewRun, which leaves this view.
    void carry_out(const MeetHands& hands, const MeetCommand& command);
    void draw(const Scene& scene, const Box& box);
    /// As MeetPage::say_anew, for all of them.
    void say_anew();

    [[nodiscard]] MeetPageKind shown() const { return shown_; }
    void show(review::Session& session, MeetPageKind page);
    [[nodiscard]] bool settled() const { return page().settled(); }
    [[nodiscard]] std::vector<Hint> hints(const Keymap& keys) const;
    [[nodiscard]] std::string lead(const review::Session& session) const;
    [[nodiscard]] std::string title() const;
    [[nodiscard]] std::optional<meet::WallTime> next_change() const;
    /// Appeals that wait; counted anew with each change.
    [[nodiscard]] std::size_t waiting() const { return waiting_; }

  private:
    /// A list that was read; one of divisions is taken in at once, a start list looked through first.
    void take_list(const MeetHands& hands, const TakeListFile& list);
    [[nodiscard]] MeetPage& page() const { return *pages_.at(shown_); }
    template <class Page>
    [[nodiscard]] Page& page_as(MeetPageKind kind) const {
        return static_cast<Page&>(*pages_.at(kind));
    }

    std::map<MeetPageKind, std::unique_ptr<MeetPage>> pages_;
    MeetPageKind shown_ = MeetPageKind::entry;
    std::size_t waiting_ = 0;
    std::uint64_t changes_ = 0;
    bool counted_ = false;
};

}  // namespace plumbmark::desk
