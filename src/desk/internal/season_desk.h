// A season of an athlete over meet files, worked out beside the window, and the page that shows it.
#pragma once

#include <atomic>
#include <cstdint>
#include <functional>
#include <memory>
#include <optional>
#include <string>
#include <vector>

#include "desk/internal/panels.h"
#include "desk/internal/season_state.h"
#include "report/plots.h"
#include "report/season_document.h"
#include "review/latest_job.h"

namespace plumbmark::desk {

/// UI thread only; nothing here waits but close(), for as long as a run takes to be laid open.
class SeasonDesk {
  public:
    explicit SeasonDesk(std::function<void()> wake) : wake_(std::move(wake)) {}

    /// Asks for the season where the meet has changed since, or another one is wanted, and takes in what has
    /// come. Once per drawn frame while the page is open.
    void update(const review::Session& session, const SeasonView& view);
    /// The page is closed: what is not finished is stopped, and all is forgotten.
    void close();

    /// What was worked out last; null before, and where it could not be.
    [[nodiscard]] const report::SeasonDocument* document() const { return document_ ? &*document_ : nullptr; }
    /// Its plot, with a row for each station in their order.
    [[nodiscard]] const report::SeasonPlot& plot() const { return plot_; }
    [[nodiscard]] const std::optional<base::Error>& trouble() const { return trouble_; }
    [[nodiscard]] bool working() const { return asked_ != answered_; }
    [[nodiscard]] double progress() const { return share_ ? share_->load(std::memory_order_relaxed) : 0; }

    /// The chosen station's place in the document; none: it has no station.
    [[nodiscard]] std::optional<std::size_t> station(const SeasonView& view) const;

  private:
    struct Wanted {
        std::uint64_t changes = 0;
        std::vector<std::filesystem::path> files;
        std::string athlete;
        bool operator==(const Wanted&) const = default;
    };
    using Answer = base::Result<report::SeasonDocument>;
    void ask(const Wanted& wanted);

    std::function<void()> wake_;
    std::optional<Wanted> wanted_;
    std::uint64_t asked_ = 0, answered_ = 0;
    std::shared_ptr<std::atomic<double>> share_;  ///< of what was asked for last
    std::optional<report::SeasonDocument> document_;
    report::SeasonPlot plot_;
    std::optional<base::Error> trouble_;
    // Last: its work reports to what stands above.
    std::unique_ptr<review::LatestJob<Answer>> job_;
};

/// A key on the page: what it asks for; none: it has no meaning there, or only moved the view.
[[nodiscard]] std::optional<SeasonCommand> season_key(SeasonView& view, const SeasonDesk& desk, int key,
                                                      int mods);

/// What the page is drawn with.
struct SeasonPaint {
    const Look& look;
    const Keymap& keys;
    const SeasonDesk& desk;
    Commands& commands;
};
/// A click outside closes it, by PageKind::none.
void draw_season(const SeasonPaint& paint, const Box& box, SeasonView& view, PageView& page);

/// How the row's station went from meet to meet: the share cleared with its interval, and the times with what
/// the frames leave open.
void draw_season_plot(const Look& look, const Box& box, const report::SeasonPlot& plot,
                      const report::SeasonPlot::Row& row);

}  // namespace plumbmark::desk
