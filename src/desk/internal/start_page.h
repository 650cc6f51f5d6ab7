// The page that begins a meet without athletes.
#pragma once

#include "desk/internal/meet_page.h"
#include "desk/internal/say.h"

namespace plumbmark::desk {

class StartPage : public MeetPage {
  public:
    void update(review::Session& session) override;
    bool key(const MeetHands& hands, const MeetKey& pressed) override;
    void carry_out(const MeetHands&, const MeetCommand&) override {}
    [[nodiscard]] std::vector<Hint> hints(const Keymap& keys) const override;
    [[nodiscard]] std::string title() const override { return tr("the meet"); }
    void draw(const Scene& scene, const Box& box) override;
};

}  // namespace plumbmark::desk
