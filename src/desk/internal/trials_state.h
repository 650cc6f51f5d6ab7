// What the page of the trials keeps, and what its keys, clicks and lists ask for.
#pragma once

#include <array>
#include <cstddef>
#include <cstdint>
#include <filesystem>
#include <string>
#include <variant>
#include <vector>

#include "meet/testing.h"

namespace plumbmark::desk {

/// The bounds for the lower end of a rate that may be wanted.
inline constexpr std::array kTrialBounds{0.5, 0.6, 0.7, 0.8, 0.9, 0.95};

/// What the line that is written on the page is for.
enum class TrialsLine : std::uint8_t { none, reason, signer, tester, rig, photos };

struct TrialsView {
    std::string station;    ///< key of the chosen one; none of these: the first
    std::string question;   ///< key of the chosen open item; none of these: the first
    std::size_t bound = 3;  ///< of kTrialBounds
    float scroll = 0;       ///< rows to move the station's words by when drawn next
    bool show_station = false, show_question = false;  ///< are brought into sight when drawn next
    TrialsLine line = TrialsLine::none;
    meet::Trial entering;                       ///< the run on the screen, as far as it is told
    std::vector<meet::RigItem> rig;             ///< as just written, while its photographs are asked for
    std::vector<std::filesystem::path> photos;  ///< dropped on the page before they were asked for
};

struct TakeTrialsStation {
    std::string key;
};
struct TakeQuestion {
    std::string key;
};
/// To the moment that the chosen item is about.
struct GoToQuestion {};
/// Asks for the reason with which the chosen item is closed.
struct CloseQuestion {};
/// Asks who releases the station; says why it cannot be where something is open.
struct ReleaseStation {};
struct SignRelease {
    std::string who;
};
/// Somebody who is not in the list: asks for the name.
struct WriteSigner {};
/// The run on the screen becomes a trial of the station: asks for what is not told.
struct EnterTrial {};
struct TrialOf {
    meet::TesterId tester;
};
struct WriteTester {};
struct TrialFrom {
    std::string start;
};
struct TrialTo {
    std::string landing;  ///< empty: as its marks tell it
};
/// Asks how the station is set up now.
struct WriteRig {};
/// The sheet of releases as a PDF beside the meet.
struct PrintReleases {};
/// How many trials more are told for another bound.
struct TurnBound {
    int by;
};

using TrialsCommand = std::variant<TakeTrialsStation, TakeQuestion, GoToQuestion, CloseQuestion,
                                   ReleaseStation, SignRelease, WriteSigner, EnterTrial, TrialOf, WriteTester,
                                   TrialFrom, TrialTo, WriteRig, PrintReleases, TurnBound>;

}  // namespace plumbmark::desk
