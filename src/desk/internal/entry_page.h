// Floor entry on the desk: calls and times of every run, with keys alone.
#pragma once

#include <map>

#include "desk/entry_table.h"
#include "desk/internal/meet_page.h"

namespace plumbmark::desk {

class EntryPage : public MeetPage {
  public:
    void update(review::Session& session) override;
    bool key(const MeetHands& hands, const MeetKey& pressed) override;
    bool text(const MeetHands& hands, char32_t character) override;
    void kept(const MeetHands& hands, const std::string& line) override;
    void carry_out(const MeetHands& hands, const MeetCommand& command) override;
    [[nodiscard]] std::vector<Hint> hints(const Keymap& keys) const override;
    [[nodiscard]] std::string lead(const review::Session& session) const override;
    [[nodiscard]] std::string title() const override;
    void draw(const Scene& scene, const Box& box) override;
    void say_anew() override { made_ = false; }

    [[nodiscard]] const EntryFilter& filter() const { return filter_; }
    /// The run that the cursor is on; none: nobody has run there.
    [[nodiscard]] meet::RunId run() const;
    /// Puts the cursor on this run, if it is shown.
    void go_to(meet::RunId run);
    [[nodiscard]] const EntryTable& table() const { return table_; }

  private:
    enum class Asked : std::uint8_t { judge, reason };

    [[nodiscard]] const EntryRow* row() const;
    bool take_typed(const MeetHands& hands);
    bool act(const MeetHands& hands, Action action);
    void enter(const MeetHands& hands, meet::FloorLine line);
    void call(const MeetHands& hands, std::optional<meet::Call> call);
    void begin_time(const MeetHands& hands);
    void begin_points(const MeetHands& hands);
    void list_cell(const MeetHands& hands, float x, float y) const;
    void list_statuses(const MeetHands& hands) const;
    void list_filters(const MeetHands& hands) const;
    void put_status(const MeetHands& hands, meet::EntryId entry, meet::EntryStatus status,
                    const std::string& reason) const;
    void give_rerun(const MeetHands& hands, meet::EntryId entry);
    /// True where calls may go to the cell under the cursor, else says why not.
    bool may_enter(const MeetHands& hands, bool at_station) const;
    const std::vector<base::Sentence>& remarks(const review::Session& session, const EntryRow& row) const;

    // entry_panel.cpp
    struct Columns;
    void draw_head(const Scene& scene, const Box& box) const;
    void point_at(const Scene& scene, std::size_t row, std::size_t column) const;
    void draw_row(const Scene& scene, const Columns& columns, const Box& box, std::size_t at) const;
    void draw_cell(const Scene& scene, const Box& box, const EntryRow& row, std::size_t column,
                   bool here) const;

    EntryTable table_;
    EntryHand hand_;
    EntryFilter filter_;
    bool filter_chosen_ = false;
    std::string judge_;                                   ///< for all calls until another one is named
    mutable std::optional<review::MeetCourses> courses_;  ///< reads a course when it is asked for one
    meet::Things<meet::Division> courses_divisions_;      ///< that 'courses_' was made for
    meet::BookId courses_book_;
    std::uint64_t changes_ = 0;
    bool made_ = false;
    bool scroll_to_row_ = true;
    Asked asked_ = Asked::judge;
    meet::EntryId asked_entry_;
    meet::EntryStatus asked_status_ = meet::EntryStatus::entered;
    /// Worked out for rows that are drawn, and forgotten with every change.
    mutable std::map<meet::RunId, std::vector<base::Sentence>> remarks_;
};

/// The choices of rounds, divisions and heats, as commands that put one in place of the present.
[[nodiscard]] Chooser filter_list(const meet::State& state, const EntryFilter& now, bool with_heats);
/// What is shown until somebody chooses: the last round that somebody is entered in.
[[nodiscard]] EntryFilter usual_filter(const meet::State& state);

}  // namespace plumbmark::desk
