#include <fmt/format.h>

#include <map>

#include "course/read.h"
#include "report/ruling_json.h"
#include "review/documents.h"
#include "review/evidence.h"
#include "review/ruling_package.h"
#include "store/marks_json.h"
#include "store/packed_review.h"

namespace plumbmark::review {
namespace {

using base::Category;
using base::Error;
using base::Result;

Error in_file(const char* file, const Error& error) {
    return {Category::bad_input, error.text(), file};
}

Result<std::string> bytes_of(const std::vector<store::PackageFile>& files, const char* path) {
    for (const store::PackageFile& file : files) {
        if (file.path == path) return file.bytes;
    }
    return Error{Category::bad_input, "The package has no such file, so its marks cannot be ruled again.",
                 path};
}

/// Puts the run together again from what was packed, in a meet of its own.
class Rebuilder {
  public:
    Rebuilder(store::MarksText marks, store::PackedReview review, std::string book)
        : marks_(std::move(marks)), review_(std::move(review)), book_(std::move(book)) {}

    /// The state with one run, whose id is 1. Error bad_input where the files do not fit each other.
    Result<meet::State> state() {
        if (Result<void> fits = check_counts(); !fits) return fits.error();
        meet::Run run{{1}, {}, {1}, marks_.run, {}, ""};
        run.division = review_.division;
        run.lane = review_.lane;
        edits_.push_back({std::nullopt, meet::BookRevision{{1}, "", book_, ""}});
        for (std::size_t i = 0; i < review_.clips.size(); ++i) {
            meet::Clip clip = review_.clips[i].clip;
            clip.id = clip_id(i);
            run.clips.push_back(clip.id);
            edits_.push_back({std::nullopt, clip});
            for (const meet::FrameRef& frame : review_.clips[i].frames)
                pts_[{clip.id, frame.number}] = frame.pts;
        }
        edits_.push_back({std::nullopt, run});
        add_cameras();
        add_marks();
        if (error_) return *error_;
        meet::State state;
        if (Result<void> applied = state.apply({"", std::move(edits_), 0}); !applied)
            return in_file(kMarksPath, applied.error());
        return state;
    }

    [[nodiscard]] const store::PackedReview& review() const { return review_; }

  private:
    static meet::ClipId clip_id(std::size_t index) { return {static_cast<std::int64_t>(index) + 1}; }

    Result<void> check_counts() const {
        if (marks_.clips.size() == review_.clips.size() && marks_.marks.size() == review_.marks.size() &&
            marks_.contacts.size() == review_.contacts.size() &&
            marks_.watched.size() == review_.watched.size())
            return {};
        return Error{
            Category::bad_input,
            "It does not hold as many clips, marks, contact statements and watched spans as marks.json.",
            kReviewPath};
    }

    void add_cameras() {
        for (const meet::CameraLens& lens : review_.lenses)
            edits_.push_back({std::nullopt, lens});
        for (meet::CameraStand stand : review_.stands) {
            stand.clip = stored(stand.clip);
            edits_.push_back({std::nullopt, std::move(stand)});
        }
    }

    void add_marks() {
        for (std::size_t i = 0; i < marks_.marks.size(); ++i) {
            meet::Mark mark = marks_.marks[i];
            mark.id = {review_.marks[i]};
            mark.run = {1};
            for (meet::Sighting& sighting : mark.sightings) {
                sighting.clip = stored(sighting.clip);
                if (sighting.early) place(sighting.clip, *sighting.early);
                if (sighting.late) place(sighting.clip, *sighting.late);
            }
            for (meet::Pointed& pointed : mark.pointed) {
                pointed.clip = stored(pointed.clip);
                place(pointed.clip, pointed.frame);
            }
            if (mark.measured) {
                mark.measured->clip = stored(mark.measured->clip);
                place(mark.measured->clip, mark.measured->frame);
            }
            edits_.push_back({std::nullopt, mark});
        }
        for (std::size_t i = 0; i < marks_.contacts.size(); ++i) {
            meet::ContactStatement contact = marks_.contacts[i];
            contact.id = {review_.contacts[i]};
            contact.run = {1};
            contact.clip = stored(contact.clip);
            place(contact.clip, contact.frame);
            edits_.push_back({std::nullopt, contact});
        }
        for (std::size_t i = 0; i < marks_.watched.size(); ++i) {
            meet::WatchedSpan span = marks_.watched[i];
            span.id = {review_.watched[i]};
            span.run = {1};
            span.clip = stored(span.clip);
            place(span.clip, span.from);
            place(span.clip, span.to);
            edits_.push_back({std::nullopt, span});
        }
    }

    static meet::ClipId stored(meet::ClipId index) { return {index.value + 1}; }

    void place(meet::ClipId clip, meet::FrameRef& frame) {
        const auto known = pts_.find({clip, frame.number});
        if (known != pts_.end()) {
            frame.pts = known->second;
        } else if (!error_) {
            error_ = Error{
                Category::bad_input,
                fmt::format("It does not say when frame {} of clip {} was shown.", frame.number, clip.value),
                kReviewPath};
        }
    }

    store::MarksText marks_;
    store::PackedReview review_;
    std::string book_;
    std::vector<meet::Edit> edits_;
    std::map<std::pair<meet::ClipId, std::int64_t>, std::int64_t> pts_;
    std::optional<Error> error_;
};

Result<Rebuilder> read_parts(const std::vector<store::PackageFile>& files) {
    const Result<std::string> marks_text = bytes_of(files, kMarksPath);
    const Result<std::string> review_text = bytes_of(files, kReviewPath);
    Result<std::string> book = bytes_of(files, kBookPath);
    for (const Result<std::string>* text :
         std::initializer_list<const Result<std::string>*>{&marks_text, &review_text, &book}) {
        if (!*text) return text->error();
    }
    Result<store::MarksText> marks = store::read_marks(*marks_text);
    if (!marks) return in_file(kMarksPath, marks.error());
    Result<store::PackedReview> review = store::read_packed_review(*review_text);
    if (!review) return in_file(kReviewPath, review.error());
    return Rebuilder(std::move(*marks), std::move(*review), std::move(*book));
}

/// The evidence with all the frame times that were packed, as the session that packed it had them.
Result<RunEvidence> evidence_of(const meet::State& state, const store::PackedReview& review,
                                const course::CourseBook& book) {
    Result<RunEvidence> evidence = run_evidence(
        state, {1}, book, [](meet::ClipId) { return std::shared_ptr<const media::FrameTable>(); });
    if (!evidence) return evidence;
    for (std::size_t i = 0; i < review.clips.size(); ++i) {
        if (review.clips[i].whole)
            evidence->evidence.clips[i].frame_times =
                frame_times(review.clips[i].clip, review.clips[i].frames);
    }
    return evidence;
}

}  // namespace

Result<RuledAgain> rule_again(const std::vector<store::PackageFile>& files) {
    const Result<std::string> packed = bytes_of(files, kRulingPath);
    if (!packed) return packed.error();
    Result<Rebuilder> rebuilder = read_parts(files);
    if (!rebuilder) return rebuilder.error();
    const Result<meet::State> state = rebuilder->state();
    if (!state) return state.error();
    const Result<course::CourseBook> whole =
        course::read_book_or_error(state->books().at({1}).text, kBookPath);
    if (!whole) return whole.error();
    const store::PackedReview& review = rebuilder->review();
    const Result<course::CourseBook> book = course::run_book(*whole, review.division, review.lane);
    if (!book) return in_file(kReviewPath, book.error());
    const Result<RunEvidence> evidence = evidence_of(*state, review, *book);
    if (!evidence) return in_file(kMarksPath, evidence.error());
    const Result<ruling::RunRuling> ruled = ruling::rule_run(*book, evidence->evidence, {});
    if (!ruled) return ruled.error();
    const report::RulingDocument document =
        ruling_document({*state, {1}, *whole, *book, evidence->evidence, evidence->clips, *ruled});
    const auto compared = store::compare_rulings(*packed, report::ruling_json(document));
    if (!compared) return in_file(kRulingPath, compared.error());
    return RuledAgain{state->runs().at({1}).label, ruled->sentence.english(), compared->difference,
                      compared->other_words};
}

}  // namespace plumbmark::review
