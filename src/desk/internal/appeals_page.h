// Appeals on the desk: the queue, lodging one, and deciding one by what its review came to.
#pragma once

#include "desk/appeals_table.h"
#include "desk/form.h"
#include "desk/internal/meet_page.h"
#include "desk/internal/say.h"
#include "review/latest_job.h"

namespace plumbmark::desk {

/// The queue.
class AppealsPage : public MeetPage {
  public:
    void update(review::Session& session) override;
    bool key(const MeetHands& hands, const MeetKey& pressed) override;
    void kept(const MeetHands& hands, const std::string& line) override;
    void carry_out(const MeetHands& hands, const MeetCommand& command) override;
    [[nodiscard]] std::vector<Hint> hints(const Keymap& keys) const override;
    [[nodiscard]] std::string title() const override;
    void draw(const Scene& scene, const Box& box) override;
    void say_anew() override { made_ = false; }
    [[nodiscard]] std::optional<meet::WallTime> next_change() const override;

    /// The appeal under the cursor; none: there is none.
    [[nodiscard]] meet::AppealId chosen() const;

  private:
    bool act(const MeetHands& hands, Action action);
    void review(const MeetHands& hands, const AppealRow& row) const;
    // appeals_panel.cpp
    void draw_rows(const Scene& scene, const Box& box);
    void draw_details(const Scene& scene, const Box& box) const;

    std::vector<AppealRow> rows_;
    std::size_t cursor_ = 0;
    std::uint64_t changes_ = 0;
    bool made_ = false;
    bool scroll_to_cursor_ = true;
    meet::AppealId asked_;  ///< to be withdrawn
};

/// A form about an appeal; what the two forms share.
class AppealForm : public MeetPage {
  public:
    bool key(const MeetHands& hands, const MeetKey& pressed) override;
    void carry_out(const MeetHands& hands, const MeetCommand& command) override;
    [[nodiscard]] std::vector<Hint> hints(const Keymap& keys) const override;

  protected:
    /// What Enter does on this field.
    virtual void take_up(const MeetHands& hands, std::size_t field) = 0;
    virtual void choose(std::size_t field, int value) = 0;
    /// Opens the line for a field; 'begun': by a letter that belongs into it.
    void write(const MeetHands& hands, std::size_t field, bool begun);
    static void list_capacities(const MeetHands& hands, std::size_t field, meet::Capacity now);

    Form form_;
    std::size_t written_ = 0;  ///< the field that a line is being written for
};

class LodgingPage : public AppealForm {
  public:
    void update(review::Session& session) override;
    void kept(const MeetHands& hands, const std::string& line) override;
    [[nodiscard]] std::string title() const override { return tr("lodge an appeal"); }
    void draw(const Scene& scene, const Box& box) override;
    [[nodiscard]] std::optional<meet::WallTime> next_change() const override;

    /// Begins anew, about nobody.
    void begin();
    /// ... or about this run and station.
    void begin(const meet::State& state, meet::RunId run);

  protected:
    void take_up(const MeetHands& hands, std::size_t field) override;
    void choose(std::size_t field, int value) override;

  private:
    enum Field : std::size_t { at_number, at_round, at_station, at_by, at_capacity, at_point, at_fee };
    [[nodiscard]] std::optional<meet::RoundId> chosen_round(const meet::State& state) const;
    [[nodiscard]] const meet::Run* run_of(const meet::State& state) const;
    [[nodiscard]] base::Result<meet::Appeal> appeal(const meet::State& state) const;
    /// Why it would be refused, or cannot be lodged at all; empty: it is to be heard.
    [[nodiscard]] std::vector<std::string> obstacles(const meet::State& state) const;
    void refresh(const meet::State& state);
    void list_stations(const MeetHands& hands) const;
    void lodge(const MeetHands& hands);

    std::string number_, by_, point_;
    std::optional<meet::RoundId> round_;
    std::string station_;
    meet::Capacity capacity_ = meet::Capacity::coach;
    bool fee_paid_ = false;
    std::vector<course::Station> stations_;  ///< of the athlete's course
    meet::RunId stations_of_;                ///< the run that they were read for
    std::uint64_t changes_ = 0;
    std::vector<std::string> obstacles_;
    bool complete_ = false;  ///< enough is said for it to be written down
};

class DecidingPage : public AppealForm {
  public:
    explicit DecidingPage(std::function<void()> wake) : effect_(std::move(wake)) {}

    void update(review::Session& session) override;
    void kept(const MeetHands& hands, const std::string& line) override;
    [[nodiscard]] std::string title() const override;
    void draw(const Scene& scene, const Box& box) override;
    [[nodiscard]] bool settled() const override { return moves_.has_value() || (ruling_ && !ruling_->ok()); }
    void say_anew() override { asked_.reset(); }

    /// Goes to the appeal's run, so that its marks are ruled.
    void begin(review::Session& session, meet::AppealId appeal);

  protected:
    void take_up(const MeetHands& hands, std::size_t field) override;
    void choose(std::size_t field, int value) override;

  private:
    enum Field : std::size_t {
        at_first_name,
        at_first_capacity,
        at_second_name,
        at_second_capacity,
        at_reason
    };
    [[nodiscard]] base::Result<meet::Decision> decision(const meet::State& state) const;
    void refresh(const meet::State& state);
    void ask_effect(const review::Session& session);
    void decide(const MeetHands& hands);

    meet::AppealId appeal_;
    meet::Signature signatures_[2];
    std::string reason_;
    std::optional<base::Result<review::AppealRuling>> ruling_;  ///< none while it is being reached
    std::optional<std::vector<std::string>> moves_;             ///< none while they are worked out
    std::optional<std::pair<std::uint64_t, ruling::Verdict>>
        asked_;  ///< the changes and the ruling they are of
    std::uint64_t question_ = 0;
    review::LatestJob<std::vector<std::string>> effect_;
};

}  // namespace plumbmark::desk
