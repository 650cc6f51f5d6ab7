// Short readings of a session that several panels share.
#pragma once

#include <optional>
#include <string>
#include <vector>

#include "desk/internal/state.h"
#include "desk/strip_model.h"
#include "review/clip_ties.h"

namespace plumbmark::desk {

/// What the editing keys act on, in words and in frames of the current clip.
struct Chosen {
    meet::MarkId id;
    std::string words;                  ///< "left foot touches quay deck"
    std::optional<std::int64_t> early;  ///< none: before the clip, or not on this clip
    std::optional<std::int64_t> late;
    bool here = false;     ///< it has a bracket on the current clip
    bool is_mark = false;  ///< a mark, not a statement or a span
    bool is_span = false;
    bool is_contact_event = false;  ///< a touch or release (it may be graded, and have alternatives)
    bool possible = false;
    std::string bracket;  ///< "f 118 to 119"
};
[[nodiscard]] std::optional<Chosen> chosen(const review::Session& session);

/// Everything marked in the current run that lies on the current clip, by frame.
struct Listed {
    meet::MarkId id;
    std::int64_t frame = 0;
};
[[nodiscard]] std::vector<Listed> marks_here(const review::Session& session);

/// "f 1099 of 1440 · 0:18.317".
[[nodiscard]] std::string frame_words(const review::Session& session);
/// "run 12.283 to 12.300 s" since the marked start signal; none without one on this clip.
[[nodiscard]] std::optional<std::string> run_clock(const review::Session& session);
/// What is wrong with the current frame, for the eye that judges it: what its file is known to lack, or that
/// the decoder had to make part of it up; empty for a good one. See damage_at.
[[nodiscard]] std::string frame_damage(const review::Session& session);
/// "60/s", "variable rate": how often the clip shows a frame.
[[nodiscard]] std::string rate_words(const media::FrameTable& table);

/// "left foot", "whole athlete".
[[nodiscard]] std::string part_name(std::optional<course::Part> part);
[[nodiscard]] std::string surface_name(const review::Session& session, const std::string& key);
[[nodiscard]] std::string plane_name(const review::Session& session, const std::string& key);
/// The scope that W would vouch for now; none where nothing fitting is chosen.
[[nodiscard]] std::optional<meet::Scope> watch_scope(const review::Session& session, const MarkingView& view);
[[nodiscard]] std::string scope_words(const review::Session& session, const MarkingView& view);

/// How two clips' clocks lie to each other (review::clip_tie); none while one of them cannot be shown.
[[nodiscard]] std::optional<review::ClipTie> tie_of(const review::Session& session, meet::ClipId clip,
                                                    meet::ClipId other);

/// What the ruling needs next, and how to get there.
struct Need {
    std::string words;  ///< "watch the floor from 0:05.1 to 0:05.4"
    Command command;
};
/// The station with the accent first, then the first other that is not shown. None where all is shown, and
/// while there is nothing to rule on.
[[nodiscard]] std::optional<Need> next_need(const review::Session& session, const SheetView& view);

/// How a clip's pictures are shown, and that in words: "brightness +2, contrast -1".
[[nodiscard]] Tone tone_of(const PicturesView& view, meet::ClipId clip);
[[nodiscard]] std::string tone_words(const Tone& tone);

/// The strip's model of now, made anew only where something of it changed; without the frames that were on
/// the screen, which change with every step (Session::displayed).
[[nodiscard]] const StripModel& strip_model_of(const review::Session& session, StripModelKept& kept);

/// The drawing of a surface or plane on the current clip; null when it was not drawn there.
[[nodiscard]] const meet::Drawing* drawing_of(const review::Session& session, meet::DrawingKind kind,
                                              const std::string& key);

/// The station that has the accent: the one chosen, else the one under appeal, else the first NOT SHOWN, else
/// the last that was reached. -1 without a ruling.
[[nodiscard]] int focused_station(const review::Session& session, const SheetView& view);
[[nodiscard]] const ruling::StationRuling* station_ruling(const review::Session& session, int station);

/// Where the playhead's row positions come from; 'times' must outlive the result.
[[nodiscard]] StripInput strip_input(const review::Session& session);

/// The meet's name, or the file's.
[[nodiscard]] std::string meet_words(const review::Session& session);
/// "run 4 · bib 41".
[[nodiscard]] std::string run_words(const review::Session& session, meet::RunId run);

/// Endings of the files that can be opened, in small letters: ".meet".
[[nodiscard]] const std::vector<std::string>& endings_to_open();
/// Whether a file of such an ending may be a photograph.
[[nodiscard]] bool may_be_photograph(const std::string& ending);

/// What other modules say of an event, a mark, a bracket, a time limit and a key's holder, in the window's
/// language.
[[nodiscard]] std::string event_words(const review::Session& session, const meet::Event& event);
[[nodiscard]] std::string mark_words(const review::Session& session, const meet::Mark& mark);
[[nodiscard]] std::string bracket_words(const meet::Sighting& sighting);
[[nodiscard]] std::string time_left_words(const std::optional<meet::WallTime>& deadline, meet::WallTime now);
[[nodiscard]] std::string holder_words(const meet::SigningKey& key);

/// True when the point lies inside the closed outline (even-odd rule).
[[nodiscard]] bool inside(const std::vector<Point>& outline, Point at);

}  // namespace plumbmark::desk
