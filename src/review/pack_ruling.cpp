#include <fmt/format.h>

#include <algorithm>
#include <filesystem>
#include <set>

#include "base/text.h"
#include "media/still.h"
#include "report/ruling_json.h"
#include "report/ruling_pdf.h"
#include "report/ruling_sheet.h"
#include "review/capture_time.h"
#include "review/clip_files.h"
#include "review/documents.h"
#include "review/evidence.h"
#include "review/exchange.h"
#include "review/internal/without_name.h"
#include "review/ruling_package.h"
#include "review/run_measures.h"
#include "store/packed_review.h"

namespace plumbmark::review {
namespace {

using base::Category;
using base::Error;
using base::Result;

constexpr const char* kReadMe =
    "This folder is the sealed package of one ruling. Its files:\n\n"
    "  ruling-sheet.html         the ruling, for people\n"
    "  ruling-sheet.pdf          the same, to print\n"
    "  ruling.json               the ruling, for programs\n"
    "  stills/                   the deciding pictures\n"
    "  marks.json                what was marked on the footage\n"
    "  review.json               the clips' frames, times, fingerprints and SHA-256, and their cameras\n"
    "  course-book.course        the course book that the run was ruled under\n"
    "  rules.json                how the meet is run\n"
    "  calls-and-decisions.json  floor calls, official times, appeals and decisions about the run\n"
    "  manifest.json             each file with its size and SHA-256, and the key that signs\n"
    "  manifest.sig              the Ed25519 signature over manifest.json\n"
    "  key.pem                   the public key\n\n"
    "To check all of it, and to have the marks ruled again:\n\n"
    "  plumbmark verify FOLDER\n\n"
    "Without Plumbmark, in this folder (OpenSSL 3.0 or later):\n\n"
    "  openssl pkeyutl -verify -pubin -inkey key.pem -rawin -in manifest.json -sigfile manifest.sig\n"
    "  sha256sum *.* stills/*    and compare with manifest.json\n\n"
    "Whose key it is, the package cannot say: compare its fingerprint with the one the meet gave out.\n";

/// Builds the files of one run's package, all from one state.
class Packer {
  public:
    Packer(const Session& session, const PackingOptions& options)
        : session_(session),
          options_(options),
          run_(session.run()),
          state_(refuses_name(session.state(), run_) ? without_name(session.state(), run_)
                                                     : session.state()) {}

    Result<RulingPackage> pack() {
        if (session_.ruling().error) return *session_.ruling().error;
        if (!session_.book()) return Error{Category::busy, "The ruling is still being reached.", ""};
        if (Result<void> known = find_contents(); !known) return known.error();
        const Result<RunEvidence> evidence =
            run_evidence(state_, run_, *session_.book(), [this](meet::ClipId id) { return table_of(id); });
        if (!evidence) return evidence.error();
        const Result<ruling::RunRuling> ruled = ruling::rule_run(*session_.book(), evidence->evidence, {});
        if (!ruled) return ruled.error();
        report::RulingDocument document =
            ruling_document({state_, run_, *session_.whole_book(), *session_.book(), evidence->evidence,
                             evidence->clips, *ruled});
        if (Result<void> added = add_ruling(document); !added) return added.error();
        if (Result<void> added = add_review(); !added) return added.error();
        add_meet();
        add(kReadMePath, kReadMe);
        if (options_.stop.stop_requested())
            return Error{Category::cancelled, "Packing the ruling was stopped.", ""};
        return std::move(package_);
    }

  private:
    void add(const std::string& path, std::string bytes) {
        package_.files.push_back({path, std::move(bytes)});
    }

    const ClipView* view_of(meet::ClipId id) const {
        for (const ClipView& view : session_.clips()) {
            if (view.id == id) return &view;
        }
        return nullptr;
    }
    std::shared_ptr<const media::FrameTable> table_of(meet::ClipId id) const {
        const ClipView* view = view_of(id);
        return view == nullptr ? nullptr : view->table;
    }

    // The SHA-256 of clips that nobody has read whole yet.
    Result<void> find_contents() {
        meet::Change change;
        for (const meet::ClipId id : state_.runs().at(run_).clips) {
            const meet::Clip& clip = state_.clips().at(id);
            if (clip.content) continue;
            // By its own path: one that was changed for a name leads nowhere.
            const auto read = read_clip_file(session_.path().parent_path(), session_.state().clips().at(id),
                                             options_.stop, [&](double share) {
                                                 if (options_.progress)
                                                     options_.progress("reading " + clip.name, share);
                                             });
            if (!read && read.error().category == Category::cancelled) return read.error();
            if (!read) {
                package_.remarks.push_back(
                    fmt::format("The file of {} cannot be read, so its SHA-256 is not in the package: {}",
                                clip.name, read.error().text()));
                continue;
            }
            meet::Clip known = clip;
            known.content = meet::ClipContent{read->sha256, 0};
            change.edits.push_back({clip, known});
        }
        return state_.apply(change);
    }

    Result<void> add_ruling(report::RulingDocument& document) {
        // What is measured rests on the footage, which the package does not hold: its sheets say it, and the
        // ruling that is compared when it is ruled again does not.
        const std::string ruled = report::ruling_json(document);
        const Result<SheetPictures> pictures = ruling_stills(session_, document, options_.stop);
        if (!pictures) return pictures.error();
        const auto measured = run_measures(session_, options_.stop);
        if (!measured) return measured.error();
        add_measures(*measured, state_, run_, document);
        document.faces = pictures->faces;
        const std::vector<report::Still>& stills = pictures->stills;
        const Result<std::string> printed = report::ruling_sheet_pdf(document, stills);
        if (!printed) return printed.error();
        add(kSheetPath, report::ruling_sheet_html(document, stills));
        add(kPrintedSheetPath, *printed);
        add(kRulingPath, ruled);
        for (std::size_t i = 0; i < stills.size(); ++i)
            add_still(i, stills[i]);
        const std::size_t wanted = report::choose_stills(document).size();
        if (stills.empty() && wanted > 0)
            package_.remarks.emplace_back(
                "The package has no stills: the clips' files could not be read. Put them back where the meet "
                "knows them, and pack again.");
        return {};
    }

    void add_still(std::size_t number, const report::Still& still) {
        const auto png = media::encode_png(still.picture);
        if (!png) {
            package_.remarks.push_back("A still could not be written: " + png.error().text());
            return;
        }
        add(fmt::format("stills/{}-clip-{}-frame-{}-{}.png", number + 1, still.clip.value + 1, still.frame,
                        still.side == report::StillSide::not_yet ? "not-yet" : "it-is"),
            std::string(png->begin(), png->end()));
    }

    Result<void> add_review() {
        Result<store::MarksText> marks = give_out_marks(state_, run_);
        if (!marks) return marks.error();
        for (store::NamedClip& clip : marks->clips)
            clip.file = std::filesystem::path(clip.file).filename().string();
        add(kMarksPath, store::write_marks(*marks));
        const meet::Run& run = state_.runs().at(run_);
        store::PackedReview review;
        review.division = run.division;
        review.lane = run.lane;
        for (const meet::ClipId id : run.clips)
            review.clips.push_back(packed(state_.clips().at(id)));
        const auto add_ids = [&](const auto& things, std::vector<std::int64_t>& ids) {
            for (const auto& [id, thing] : things) {
                if (thing.run == run_) ids.push_back(id.value);
            }
        };
        add_ids(state_.marks(), review.marks);
        add_ids(state_.contacts(), review.contacts);
        add_ids(state_.watched(), review.watched);
        add_cameras(run, review);
        add(kReviewPath, store::write_packed_review(review));
        add(kBookPath, state_.books().at(run.book).text);
        return {};
    }

    /// Where the cameras of the run's clips stood, and their lenses.
    void add_cameras(const meet::Run& run, store::PackedReview& review) const {
        std::set<meet::LensId> lenses;
        for (const auto& [id, stored] : state_.stands()) {
            const auto clip = std::find(run.clips.begin(), run.clips.end(), stored.clip);
            if (clip == run.clips.end()) continue;
            meet::CameraStand stand = stored;
            stand.clip = {clip - run.clips.begin()};
            if (stand.lens.valid()) lenses.insert(stand.lens);
            review.stands.push_back(std::move(stand));
        }
        for (const meet::LensId id : lenses)
            review.lenses.push_back(state_.lenses().at(id));
    }

    store::PackedClip packed(const meet::Clip& clip) const {
        const std::string path = clip.relative_path.empty() ? clip.last_known_path : clip.relative_path;
        store::PackedClip packed{std::filesystem::path(path).filename().string(), clip, {}, false};
        const auto table = table_of(clip.id);
        packed.whole = table != nullptr;
        if (table) {
            packed.clip.time_base = table->time_base();
            if (!packed.clip.slowed) packed.clip.slowed = slowed_by_file(*table);
            for (std::int64_t n = 0; n < table->size(); ++n)
                packed.frames.push_back({n, (*table)[n].pts});
        } else {
            packed.frames = named_frames(clip.id);
        }
        return packed;
    }

    template <class Note>
    static void note_measured(const meet::Mark& mark, meet::ClipId clip, const Note& note) {
        for (const meet::Pointed& pointed : mark.pointed) {
            if (pointed.clip == clip) note(pointed.frame);
        }
        if (mark.measured && mark.measured->clip == clip) note(mark.measured->frame);
    }

    /// The frames of a clip that anything of the run names, ascending, each once.
    std::vector<meet::FrameRef> named_frames(meet::ClipId clip) const {
        std::map<std::int64_t, meet::FrameRef> frames;
        const auto note = [&](const meet::FrameRef& frame) { frames.emplace(frame.number, frame); };
        for (const auto& [id, mark] : state_.marks()) {
            for (const meet::Sighting& sighting : mark.sightings) {
                if (mark.run != run_ || sighting.clip != clip) continue;
                if (sighting.early) note(*sighting.early);
                if (sighting.late) note(*sighting.late);
            }
            if (mark.run == run_) note_measured(mark, clip, note);
        }
        for (const auto& [id, contact] : state_.contacts()) {
            if (contact.run == run_ && contact.clip == clip) note(contact.frame);
        }
        for (const auto& [id, span] : state_.watched()) {
            if (span.run != run_ || span.clip != clip) continue;
            note(span.from);
            note(span.to);
        }
        std::vector<meet::FrameRef> list;
        for (const auto& [number, frame] : frames)
            list.push_back(frame);
        return list;
    }

    void add_meet() {
        add(kRulesPath, store::things_json({state_.info(), state_.rules()}));
        std::vector<meet::Entity> things;
        const auto add_of_run = [&](const auto& all) {
            for (const auto& [id, thing] : all) {
                if (thing.run == run_) things.emplace_back(thing);
            }
        };
        add_of_run(state_.floor_calls());
        add_of_run(state_.clock_times());
        add_of_run(state_.appeals());
        for (const auto& [id, decision] : state_.decisions()) {
            if (state_.appeals().at(decision.appeal).run == run_) things.emplace_back(decision);
        }
        add(kCallsPath, store::things_json(things));
    }

    const Session& session_;
    const PackingOptions& options_;
    const meet::RunId run_;
    meet::State state_;
    RulingPackage package_;
};

}  // namespace

Result<RulingPackage> pack_ruling(const Session& session, const PackingOptions& options) {
    if (!session.state().runs().contains(session.run()))
        return Error{Category::not_found, "There is no run to pack.", ""};
    return Packer(session, options).pack();
}

}  // namespace plumbmark::review
