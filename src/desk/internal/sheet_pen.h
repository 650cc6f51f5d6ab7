// Writes down the sheet's page from top to bottom: words, rungs, cards, key lines.
#pragma once

#include <string>
#include <vector>

#include "desk/internal/panels.h"

namespace plumbmark::desk {

/// For one drawn frame, inside the sheet's scrolling child. Grounds of rungs and cards are painted once their
/// height is known, beneath their words, on a lower channel of the draw list.
class SheetPen {
  public:
    struct Story {
        ruling::Verdict verdict;
        std::string head;  ///< "clear if"
        std::string text;
    };

    SheetPen(const Scene& scene, const Box& box);

    void words(const std::string& text, ImFont* font, Colour colour);
    void gap(float units) { y_ += look_.unit(units); }
    void line();
    void begin_rung(bool focus, ruling::Verdict verdict);
    void end_rung();
    void rung_title(const ruling::StationRuling* ruling, const std::string& name, bool if_reached);
    void begin_card(Colour ground, Colour edge);
    void end_card();
    void clause(const ruling::ClauseFinding& finding);
    /// A key cap and what it does; clicking it does the same.
    void key_line(const std::string& id, const std::string& key, const std::string& text, Command command);
    /// The outcomes of a station that is not shown: side by side, or one below the other where the sheet is
    /// narrow.
    void stories(const std::vector<Story>& stories);
    /// True when what was written since 'top' was clicked.
    bool pressed(const std::string& id, float top);
    /// Scrolls so that the rung just ended is in view, its title above all.
    void show_rung();
    [[nodiscard]] float y() const { return y_; }
    /// Tells the child how long the page is.
    void finish();

  private:
    float story(const Story& story, float x, float width, bool draw);
    void mark_clause(ImVec2 centre, ruling::ClauseState state);

    const Scene& s_;
    const Look& look_;
    const Palette& c_;
    ImDrawList* list_;
    float left_, right_, y_, page_top_;
    float rung_top_ = 0, card_top_ = 0;
    bool focus_ = false;
    ruling::Verdict verdict_ = ruling::Verdict::not_reached;
    Colour card_ground_, card_edge_, ground_;
};

}  // namespace plumbmark::desk
