// Taking in a start list on the desk: what each column is, what would be entered, and what is wrong, before
// anything is.
#pragma once

#include "base/table.h"
#include "desk/form.h"
#include "desk/internal/meet_page.h"
#include "meet/start_list.h"
#include "review/entering.h"

namespace plumbmark::desk {

class StartListPage : public MeetPage {
  public:
    void update(review::Session& session) override;
    bool key(const MeetHands& hands, const MeetKey& pressed) override;
    void kept(const MeetHands& hands, const std::string& line) override;
    void carry_out(const MeetHands& hands, const MeetCommand& command) override;
    [[nodiscard]] std::vector<Hint> hints(const Keymap& keys) const override;
    [[nodiscard]] std::string title() const override;
    void draw(const Scene& scene, const Box& box) override;
    void say_anew() override { made_ = false; }

    /// A table that was read from a file of this name.
    void take(std::string file, base::Table table);
    [[nodiscard]] bool has_list() const { return !table_.header.empty(); }

  private:
    void refresh(const meet::State& state);
    void take_up(const MeetHands& hands, std::size_t field);
    void list_fields(const MeetHands& hands, std::size_t column) const;
    void list_rounds(const MeetHands& hands) const;
    void enter(const MeetHands& hands);
    [[nodiscard]] std::string example(std::size_t column) const;
    // start_list_panel.cpp
    void draw_preview(const Scene& scene, const Box& box);

    std::string file_;
    base::Table table_;
    meet::ColumnMap columns_;
    std::string round_name_;  ///< as chosen; empty: the only one, or a new "Final"
    meet::Round round_;
    meet::StartList list_;
    Form form_;
    float scroll_ = 0;  ///< rows that the preview is moved by when it is drawn next
    std::uint64_t changes_ = 0;
    bool made_ = false;
};

}  // namespace plumbmark::desk
