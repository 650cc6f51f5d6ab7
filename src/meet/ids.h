// The ids of the stored things that more than one header names.
#pragma once

#include "base/ids.h"
#include "ruling/evidence.h"

namespace plumbmark::meet {

using AthleteId = base::Id<struct AthleteTag>;
using BookId = base::Id<struct BookTag>;
using ClipId = base::Id<struct ClipTag>;
using RunId = base::Id<struct RunTag>;
/// Shared by marks, contact statements and watched spans: unique over all three, and the ruling's own id for
/// them.
using MarkId = ruling::MarkId;
using DrawingId = base::Id<struct DrawingTag>;
using FloorCallId = base::Id<struct FloorCallTag>;
using EntryId = base::Id<struct EntryTag>;
using LensId = base::Id<struct LensTag>;
using StandId = base::Id<struct StandTag>;
using TesterId = base::Id<struct TesterTag>;
using RigId = base::Id<struct RigTag>;
using TrialId = base::Id<struct TrialTag>;
using ClosingId = base::Id<struct ClosingTag>;
using ReleaseId = base::Id<struct ReleaseTag>;
using NoteId = base::Id<struct NoteTag>;

}  // namespace plumbmark::meet
