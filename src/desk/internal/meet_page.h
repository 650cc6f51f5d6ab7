// One page of the meet's own view: its keys, its words and its drawing. Each keeps its own cursor, so that
// coming back keeps the place.
#pragma once

#include <functional>
#include <optional>
#include <string>
#include <vector>

#include "desk/internal/panels.h"

namespace plumbmark::desk {

/// What a page acts with. Made for one call.
struct MeetHands {
    review::Session& session;
    Views& views;
    Commands& commands;
    const Keymap& keys;
    std::function<void(const std::string&)> say;
    std::function<void(const base::Error&)> complain;

    /// Opens the line to write on; what is kept comes to the page's kept().
    void write(const std::string& title, const std::string& hint, const std::string& text) const;
    /// One change with undo; complains where it cannot be made.
    bool apply(const base::Result<meet::Change>& change) const;
    void show(MeetPageKind page) const { commands.add(OfMeet{ShowPage{page}}); }
};

/// A key press: the place on the board for what moves, the action for what does something.
struct MeetKey {
    int key = 0, mods = 0;
    std::optional<Action> action;
};

/// UI thread only; nothing here waits.
class MeetPage {
  public:
    virtual ~MeetPage() = default;
    /// Takes in what changed and what workers finished. Before each frame and each key.
    virtual void update(review::Session& session) = 0;
    /// False: the key means nothing here.
    virtual bool key(const MeetHands& hands, const MeetKey& pressed) = 0;
    /// A typed character that is no letter of a line being written; as key().
    virtual bool text(const MeetHands&, char32_t) { return false; }
    virtual void kept(const MeetHands&, const std::string&) {}
    /// The passphrase that was asked for (Views::secret), or it was left.
    virtual void kept_secret(const MeetHands&, store::SecretText) {}
    virtual void left_secret(const MeetHands&) {}
    /// Takes in what workers finished and acts on it; once per drawn frame, also while the page is not shown.
    virtual void go_on(const MeetHands&, bool /*shown*/) {}
    virtual void carry_out(const MeetHands& hands, const MeetCommand& command) = 0;
    /// What the next keys do.
    [[nodiscard]] virtual std::vector<Hint> hints(const Keymap& keys) const = 0;
    /// What stands first on the line of help; empty: nothing.
    [[nodiscard]] virtual std::string lead(const review::Session&) const { return {}; }
    /// For the window's title: "floor entry · 17 · hawser swing".
    [[nodiscard]] virtual std::string title() const = 0;
    virtual void draw(const Scene& scene, const Box& box) = 0;
    /// Another language was chosen: what was put into words is put into words anew with the next update.
    virtual void say_anew() {}
    /// Nothing more is being worked out for it.
    [[nodiscard]] virtual bool settled() const { return true; }
    /// The time after which something drawn is no longer true; none: nothing changes by itself.
    [[nodiscard]] virtual std::optional<meet::WallTime> next_change() const { return std::nullopt; }
};

}  // namespace plumbmark::desk
