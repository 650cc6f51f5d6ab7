// Carrying out what panels and keys ask for.
#include <fmt/format.h>

#include <algorithm>

#include "desk/internal/desk_core.h"
#include "desk/internal/drawing_mode.h"
#include "desk/internal/reading.h"
#include "desk/internal/say.h"

namespace plumbmark::desk {
namespace {

template <class... F>
struct Each : F... {
    using F::operator()...;
};
template <class... F>
Each(F...) -> Each<F...>;

}  // namespace

bool DeskCore::carry_out_commands() {
    bool any = false;
    // A command may ask for more (an offer taken, a list opened), never without end.
    for (int round = 0; round < 8; ++round) {
        const std::vector<Command> list = commands_.take();
        if (list.empty()) break;
        for (const Command& command : list)
            carry_out(command);
        any = true;
    }
    return any;
}

bool DeskCore::may_mark() {
    if (views_.pictures.tool != PictureTool::same_place) return true;
    say(tr("The picture shown is not your frame. {} brings it back, then mark.",
           keys_.label(Action::let_go)));
    return false;
}

void DeskCore::carry_out(const Command& command) {
    if (const auto* action = std::get_if<Do>(&command)) return act(action->action);
    if (const auto* open = std::get_if<OpenPath>(&command)) return open_path(open->path);
    if (const auto* prefer = std::get_if<Prefer>(&command)) {
        if (prefer->files)
            own_list_of_files_ = !own_list_of_files_, remember();
        else
            act(prefer->action);
        return list_preferences(prefer->row);
    }
    if (const auto* keys = std::get_if<OfKeys>(&command)) return carry_out_for_keys(*keys);
    if (std::holds_alternative<OpenSampleForGuide>(command)) return guide_on_sample();
    if (const auto* language = std::get_if<TakeLanguage>(&command)) {
        speak(language->code);
        remember();
        return list_preferences(language->row);
    }
    if (!session_) return;
    review::Session& session = *session_;
    PicturesView& pictures = views_.pictures;
    const auto spot = [&]() -> std::optional<Point> {
        if (pictures.spot && pictures.spot_frame == session.frame()) return pictures.spot;
        const bool over_chosen =
            !pictures.hovered_key.empty() && pictures.hovered_key == session.hand().surface;
        return over_chosen ? pictures.pointer : std::nullopt;
    };
    std::visit(
        Each{
            [](const Do&) {},
            [](const OpenPath&) {},
            [&](const GoFrame& go) {
                views_.play.playing = false;
                session.go_to_frame(go.frame);
            },
            [&](const GoShown& go) { session.go_to(go.shown); },
            [&](const GoMark& go) {
                views_.play.playing = false;
                session.go_to_mark(go.mark);
            },
            [&](const ChooseMark& choose) { session.select(choose.mark); },
            [&](const TakeClip& take) {
                views_.play.playing = false;
                session.select_clip(take.clip);
                pictures.drawing = {};
                pictures.camera = {};
                pictures.point = {};
            },
            [&](const TakeStreams& take) {
                views_.play.playing = false;
                views_.strip = {};
                pictures.drawing = {};
                pictures.camera = {};
                pictures.point = {};
                complain_if(session.choose_streams(session.clip(), take.streams));
            },
            [&](const TakeRun& take) {
                session.select_run(take.run);
                views_.sheet = {};
                views_.strip = {};
                views_.marking.watch_from.reset();
                pictures.drawing = {};
                pictures.camera = {};
                pictures.point = {};
            },
            [&](const TakeSurface& take) {
                review::Hand hand = session.hand();
                hand.surface = take.key;
                session.set_hand(hand);
                views_.marking.undeclared = take.undeclared;
            },
            [&](const TakePlane& take) {
                review::Hand hand = session.hand();
                hand.plane = take.key;
                session.set_hand(hand);
            },
            [&](const TakePart& take) {
                review::Hand hand = session.hand();
                hand.part = take.part;
                session.set_hand(hand);
            },
            [&](const MarkEvent& mark) {
                if (!may_mark()) return;
                const bool pointed =
                    mark.event.kind == meet::EventKind::touch || mark.event.kind == meet::EventKind::release;
                const auto made = session.mark(mark.event, pointed ? spot() : std::nullopt);
                if (!made) complain(made.error());
            },
            [&](const StateContact& state) {
                const review::Hand& hand = session.hand();
                if (!hand.part || hand.surface.empty()) return say(tr("Choose a limb and a surface first."));
                if (!may_mark()) return;
                const auto made = session.state_contact(*hand.part, hand.surface, state.on);
                if (!made) complain(made.error());
            },
            [&](const AddAlternative& add) { complain_if(session.add_alternative(add.event)); },
            [&](const KeepTies&) { keep_ties(); },
            [&](const SetGrade& set) { complain_if(session.set_grade(set.grade)); },
            [&](const StartDrawing& start) {
                const meet::Drawing* stored = drawing_of(session, start.kind, start.key);
                begin_drawing(pictures, start.kind, start.key,
                              stored ? std::optional(following_.placed(session, *stored)) : std::nullopt);
            },
            [&](const SaveDrawing& save) {
                const auto made = session.put_drawing(save.kind, save.key, save.points, save.towards);
                if (!made) return complain(made.error());
                if (save.kind == meet::DrawingKind::surface)
                    carry_out(TakeSurface{save.key, false});
                else
                    carry_out(TakePlane{save.key});
            },
            [&](const DropDrawing& drop) { complain_if(session.remove_drawing(drop.id)); },
            [&](const CopyDrawingsOf& copy) {
                following_.copy(session, copy.clip);
                say(tr("Looking for that scene in this frame…"));
            },
            [&](const Vouch& vouch) {
                const auto made = session.watch(vouch.from, vouch.to, vouch.scope);
                if (!made) complain(made.error());
            },
            [&](const GiveFloorCall& given) { give_floor_call(given); },
            [&](const FocusStation& focus) {
                SheetView& view = views_.sheet;
                const bool same = focused_station(session, view) == focus.station;
                view.open = focus.toggle && same ? !view.open : true;
                view.focus = focus.station;
                view.scroll_to_focus = true;
                view.rests_on = 0;
            },
            [&](const Settle& settle) {
                const auto* now = station_ruling(session, focused_station(session, views_.sheet));
                const auto step = static_cast<std::size_t>(settle.step);
                if (!now || step >= now->settle.size())
                    return say(
                        tr("Nothing is left to settle here. Choose the station with Shift and an arrow."));
                const ruling::SettleStep& chosen_step = now->settle[step];
                if (!chosen_step.marks.empty()) session.go_to_mark(chosen_step.marks.front());
                if (chosen_step.where) session.go_to(*chosen_step.where);
                say(chosen_step.sentence.spoken());
            },
            [&](const TakeCourse& take) {
                complain_if(session.set_division_and_lane(take.division, take.lane));
                views_.sheet = {};
            },
            [&](const TakeInBook& take) { take_in(take.this_run_alone); },
            [&](const TryBook& tried) { try_book(tried.path); },
            [&](const OfMeet& asked) { carry_out_for_meet(asked.command); },
            [&](const OfStudy& asked) { carry_out_for_study(asked.command); },
            [&](const OfSeason& asked) { carry_out_for_season(asked.command); },
            [&](const OfTrials& asked) { carry_out_for_trials(asked.command); },
            [](const Prefer&) {},
            [](const OfKeys&) {},
            [](const OpenSampleForGuide&) {},
            [&](const UndoEarlier&) { undo_earlier(); },
            [](const TakeLanguage&) {},
            [&](const RetrySave&) { session.retry_save(); },
            [&](const StopReading&) { session.cancel_scan(); },
            [&](const StopSound&) { sound_.stop_reading(session.clip()); },
            [&](const MarkMenu& menu) { list_mark_menu(menu.x, menu.y); },
            [&](const OfCamera& asked) { carry_out_for_camera(asked.command); },
            [&](ExportKind what) { name_export(what); },
        },
        command);
}

void DeskCore::give_floor_call(const GiveFloorCall& given) {
    std::string judge;
    for (const meet::FloorCall& call : session_->state().floor_calls_of(session_->run()))
        if (call.station == given.station) judge = call.judge;
    complain_if(session_->put_floor_call(given.station, given.call, given.under_appeal, judge));
}

}  // namespace plumbmark::desk
