// The guided first ruling on the desk: where it begins, and what comes after it.
#include <fmt/format.h>

#include "desk/internal/desk_core.h"
#include "desk/internal/say.h"

namespace plumbmark::desk {

void DeskCore::begin_guide() {
    if (guide_.on()) {
        guide_.stop();
        return say(tr("The seven steps are left; {} begins them anew.", keys_.label(Action::guide)));
    }
    if (session_ && guide_.begin(*session_)) {
        views_.place = KeyPlace::run;
        views_.help = false;
        return;
    }
    if (options_.sample_meet.empty())
        return say(tr("The seven steps need the sample meet, which is not beside this program."));
    if (!session_) return guide_on_sample();
    views_.offer = Offer{tr("The seven steps go through a run of the sample meet. Leave this meet, and open "
                            "a copy of the sample? All is kept."),
                         OpenSampleForGuide{}};
}

void DeskCore::guide_on_sample() {
    open_sample();
    if (!session_ || guide_.begin(*session_)) return;
    say(
        tr("In this copy of the sample meet the mark that the seven steps are about is gone. Undo brings it "
           "back."));
}

void DeskCore::go_on_with_guide() {
    if (!guide_.on() || !guide_.update(*session_, views_)) return;
    say(
        tr("That was a ruling: marks, a sheet, and the reason. {} takes back what you marked, {} shows all "
           "keys, {} gives pictures and marks out.",
           keys_.label(Action::undo), keys_.label(Action::help), keys_.label(Action::give_out)));
}

}  // namespace plumbmark::desk
