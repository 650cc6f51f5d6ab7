// Standings on the desk: as they are now, what was given out last and moved since, and giving them out.
#pragma once

#include "desk/internal/meet_page.h"
#include "desk/internal/sealing_desk.h"
#include "desk/standings_rows.h"
#include "review/latest_job.h"

namespace plumbmark::desk {

class StandingsPage : public MeetPage {
  public:
    explicit StandingsPage(const std::function<void()>& wake) : job_(wake), sealing_(wake) {}

    void update(review::Session& session) override;
    bool key(const MeetHands& hands, const MeetKey& pressed) override;
    void kept(const MeetHands& hands, const std::string& line) override;
    void kept_secret(const MeetHands& hands, store::SecretText secret) override;
    void left_secret(const MeetHands& hands) override;
    void go_on(const MeetHands& hands, bool shown) override { sealing_.go_on(hands, shown); }
    void carry_out(const MeetHands& hands, const MeetCommand& command) override;
    [[nodiscard]] std::vector<Hint> hints(const Keymap& keys) const override;
    [[nodiscard]] std::string title() const override;
    void draw(const Scene& scene, const Box& box) override;
    void say_anew() override { asked_ = false; }
    [[nodiscard]] bool settled() const override { return outlook_ && !outdated(); }

  private:
    bool act(const MeetHands& hands, Action action);
    void offer(const MeetHands& hands, bool official);
    void give_out(const MeetHands& hands, bool official);
    /// The tables that A and O act on: the chosen one, or all.
    [[nodiscard]] review::StandingsOutlook chosen_tables() const;
    void move_table(std::ptrdiff_t by);
    void move_line(std::ptrdiff_t by);
    [[nodiscard]] bool outdated() const { return answered_ != changes_; }
    // standings_panel.cpp
    void draw_tables(const Scene& scene, const Box& box);
    void draw_table(const Scene& scene, const Box& box);
    void draw_summary(const Scene& scene, const Box& box) const;
    float draw_state(const Scene& scene, const Box& box, const TableRows& table) const;

    void draw_sealing(const Scene& scene, Box& rest) const;

    review::LatestJob<review::StandingsOutlook> job_;
    SealingDesk sealing_;
    std::vector<meet::PublicationId> unsealed_;  ///< official ones
    std::string last_seal_;  ///< the last one in words, with its line; empty: there is none
    std::optional<review::StandingsOutlook> outlook_;  ///< none until the first was worked out
    std::vector<TableRows> tables_;                    ///< its tables in words
    std::uint64_t changes_ = 0, answered_ = 0;
    bool asked_ = false;
    std::size_t table_ = 0;  ///< 0: all tables, else the one before it in tables_
    std::size_t line_ = 0;
    bool scroll_to_line_ = true;
    bool official_ = false;  ///< what a note is being written for
    std::string note_;
};

}  // namespace plumbmark::desk
