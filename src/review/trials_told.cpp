#include "review/trials_told.h"

#include <algorithm>
#include <optional>
#include <set>
#include <tuple>
#include <utility>

#include "base/worded.h"
#include "media/fingerprint.h"
#include "media/photograph.h"
#include "media/still.h"
#include "review/documents.h"
#include "review/internal/clip_source.h"
#include "review/internal/clip_stills.h"
#include "sight/faces.h"

namespace plumbmark::review {
namespace {

using base::Category;
using base::Error;
using base::Result;
using base::Sentence;
using base::worded;

/// Reading the clips is the lesser part; kept tables are there at once.
constexpr double kReadingShare = 0.1;

/// Decodes, compares, hides and shrinks; the cascades are read at the first picture that needs them.
class Photographs {
  public:
    Photographs(const std::filesystem::path& meet_file, const RigPictureWish& wish)
        : meet_file_(meet_file), wish_(wish) {}

    Result<std::vector<report::RigPicture>> of(const meet::RigState& rig) {
        std::vector<report::RigPicture> all;
        for (const meet::RigPhoto& photo : rig.photos) {
            report::RigPicture& one = all.emplace_back();
            one.file = photo.path;
            one.sha256 = photo.sha256;
            if (!photo.path.empty()) one.looked_for = place_of(photo).string();
            auto picture = read(photo);
            if (picture)
                one.picture = std::move(*picture);
            else if (picture.error().category == Category::cancelled)
                return picture.error();
            else
                one.no_picture = picture.error().sentence;
        }
        return all;
    }

  private:
    [[nodiscard]] std::filesystem::path place_of(const meet::RigPhoto& photo) const {
        const std::filesystem::path path = photo.path;
        return path.is_absolute() ? path : std::filesystem::absolute(meet_file_).parent_path() / path;
    }

    Result<media::RgbaImage> read(const meet::RigPhoto& photo) {
        if (photo.path.empty())
            return Error{Category::not_found, worded("Where its file lies was erased."), ""};
        const std::filesystem::path file = place_of(photo);
        const Result<std::string> sha256 = media::sha256_file(file, wish_.stop);
        if (!sha256 && sha256.error().category == Category::not_found)
            return Error{Category::not_found,
                         worded("The file is not there. Put it back, or write the rig down anew."), ""};
        if (!sha256) return sha256.error();
        if (*sha256 != photo.sha256)
            return Error{Category::damaged,
                         worded("The file is another one than was noted: its SHA-256 is {}.", *sha256), ""};
        auto picture = media::read_photograph(file, wish_.stop);
        if (!picture) return picture.error();
        auto small = media::fitted(*picture, wish_.longest_side, wish_.longest_side);
        if (!small) return small.error();
        if (wish_.hide_faces)
            if (const auto hidden = hide(*small); !hidden) return hidden.error();
        return small;
    }

    Result<void> hide(media::RgbaImage& picture) {
        if (!finder_) {
            auto finder = sight::FaceFinder::open();
            if (!finder) return finder.error();
            finder_.emplace(std::move(*finder));
        }
        const sight::Pixels pixels{picture.pixels.data(), picture.width, picture.height};
        const auto faces = finder_->find(pixels, {0, 0, picture.width, picture.height}, wish_.stop);
        if (!faces) return faces.error();
        for (const sight::Box& face : *faces)
            sight::hide(pixels, face);
        return {};
    }

    const std::filesystem::path& meet_file_;
    const RigPictureWish& wish_;
    std::optional<sight::FaceFinder> finder_;
};

/// The frames that open items are about.
class QuestionStills {
  public:
    QuestionStills(const std::filesystem::path& meet_file, const meet::State& state,
                   const std::stop_token& stop)
        : state_(state),
          book_(book_of_trials(state)),
          stills_(
              state,
              [&state, stop, folder = std::filesystem::absolute(meet_file).parent_path()](meet::ClipId clip)
                  -> Result<ClipSource> { return clip_source(folder, state.clips().at(clip), stop); },
              kStillWidth, kStillHeight, stop) {}

    Result<void> add(report::TrialsStation& station, const study::Question& question) {
        if (!question.still || report::still_of(station, question) != nullptr) return {};
        const meet::ClipId clip = question.still->clip;
        if (state_.clips().count(clip) == 0) return {};
        const auto found = state_.marks().find(question.mark);
        const meet::Mark* mark = found == state_.marks().end() ? nullptr : &found->second;
        const std::set<std::string> drawn = keys_of(station.report.key, mark);
        auto taken =
            stills_.about(clip, {question.still->frame.number}, mark, book_ ? &*book_ : nullptr, &drawn);
        if (!taken) return taken.error();
        ClipStill& one = taken->front();
        report::QuestionStill& still = station.stills.emplace_back();
        still.still = *question.still;
        still.mark = question.mark;
        if (mark != nullptr) still.part = mark->alternatives.front().part;
        still.picture = std::move(one.picture);
        still.outlines = std::move(one.outlines);
        still.spot = one.spot;
        // Where a clip lies on this machine is nobody else's business.
        if (one.trouble)
            still.no_picture = one.trouble->category == Category::not_found
                                   ? worded("The file of {} is not there.", state_.clips().at(clip).name)
                                   : one.trouble->sentence;
        return {};
    }

    [[nodiscard]] Sentence faces() const { return stills_.faces(); }

  private:
    static constexpr int kStillWidth = 640, kStillHeight = 480;

    /// What the station's definition and the mark name: all else that is drawn would only hide the scene.
    [[nodiscard]] std::set<std::string> keys_of(const std::string& station, const meet::Mark* mark) const {
        std::set<std::string> keys;
        if (mark != nullptr)
            for (const meet::Event& event : mark->alternatives)
                keys.insert({event.surface, event.plane});
        const course::StationId id = book_ ? book_->find_station(station) : course::StationId{};
        if (!id.valid()) return keys;
        const course::Station& named = book_->station(id);
        for (const course::SurfaceId surface : course::surfaces_named(named))
            keys.insert(book_->surface(surface).key);
        const auto plane = [&](const std::optional<course::PlaneId>& one) {
            if (one) keys.insert(book_->plane(*one).key);
        };
        plane(named.start_plane);
        for (const course::PlaneCondition& passed : named.landing.planes)
            plane(passed.plane);
        for (const course::Checkpoint& checkpoint : named.checkpoints)
            plane(checkpoint.crossed);
        return keys;
    }

    const meet::State& state_;
    const Result<course::CourseBook> book_;
    ClipStills stills_;
};

template <class Map, class Things, class Name>
void take_names(Map& into, const Things& things, const Name& name) {
    for (const auto& [id, thing] : things)
        into[id] = name(thing);
}

report::TrialsStation station_told(const meet::State& state, const StationInBook& station) {
    report::TrialsStation told{station.report, station.results, station.steps, {}, {}};
    for (const auto& [id, rig] : state.rigs()) {
        if (rig.station != station.report.key) continue;
        report::TrialsRig& kept = told.rigs.emplace_back();
        kept.rig = rig;
        for (const meet::RigPhoto& photo : rig.photos)
            kept.pictures.push_back({photo.path, photo.sha256, std::nullopt, {}, {}});
    }
    for (const auto& [id, release] : state.releases()) {
        if (release.station == station.report.key) told.releases.push_back(release);
    }
    std::stable_sort(told.releases.begin(), told.releases.end(),
                     [](const meet::Release& a, const meet::Release& b) {
                         return std::tuple(a.signed_at_ms, a.id) < std::tuple(b.signed_at_ms, b.id);
                     });
    return told;
}

}  // namespace

Result<FrameTables> trial_tables(const std::filesystem::path& meet_folder, const meet::State& state,
                                 const std::stop_token& stop, const std::function<void(double)>& progress) {
    std::set<meet::RunId> runs;
    for (const auto& [id, trial] : state.trials()) {
        if (trial.run.valid()) runs.insert(trial.run);
    }
    FrameTables all;
    double done = 0;
    for (const meet::RunId run : runs) {
        auto tables = frame_tables(meet_folder, state, run, stop, [&](double share) {
            if (progress) progress((done + share) / static_cast<double>(runs.size()));
        });
        if (!tables) return tables.error();
        all.merge(*tables);
        ++done;
        if (progress) progress(done / static_cast<double>(runs.size()));
    }
    return all;
}

report::TrialsDocument trials_document(const meet::State& state, const TrialBook& book,
                                       const TrialBookWish& wish) {
    report::TrialsDocument document;
    document.program_version = program_version();
    document.meet_name = book.meet_name;
    document.venue = state.info().venue;
    document.date = state.info().date;
    document.book_name = book.book_name;
    document.book_revision = book.book_revision;
    document.wish = wish.trials;
    document.people_told = !wish.people.empty();
    for (const StationInBook& station : book.stations)
        document.stations.push_back(station_told(state, station));
    document.unknown_stations = book.unknown_stations;
    take_names(document.runs, state.runs(), [](const meet::Run& run) { return run.label; });
    take_names(document.clips, state.clips(), [](const meet::Clip& clip) { return clip.name; });
    take_names(document.testers, state.testers(), [](const meet::Tester& tester) { return tester.name; });
    document.surfaces = book.surfaces;
    return document;
}

Result<report::TrialsDocument> work_out_trials(const std::filesystem::path& meet_file,
                                               const meet::State& state, const TrialBookWish& wish) {
    std::stop_source reading;
    const auto tables = trial_tables(std::filesystem::absolute(meet_file).parent_path(), state,
                                     reading.get_token(), [&](double share) {
                                         if (wish.stopped && wish.stopped()) reading.request_stop();
                                         if (wish.progress) wish.progress(share * kReadingShare);
                                     });
    if (!tables) return tables.error();
    TrialBookWish ruling = wish;
    if (wish.progress)
        ruling.progress = [&wish](double share) {
            wish.progress(kReadingShare + share * (1 - kReadingShare));
        };
    const auto book = trial_book(state, table_from(*tables), ruling);
    if (!book) return book.error();
    return trials_document(state, *book, wish);
}

Result<std::vector<report::RigPicture>> rig_pictures(const std::filesystem::path& meet_file,
                                                     const meet::RigState& rig, const RigPictureWish& wish) {
    return Photographs(meet_file, wish).of(rig);
}

Result<void> add_sheet_pictures(report::TrialsDocument& document, const std::filesystem::path& meet_file,
                                const meet::State& state, const std::function<void(double)>& progress,
                                const std::stop_token& stop) {
    const RigPictureWish wish{.hide_faces = true, .stop = stop};
    Photographs photographs(meet_file, wish);
    QuestionStills stills(meet_file, state, stop);
    std::size_t wanted = 0, done = 0;
    for (const report::TrialsStation& station : document.stations)
        wanted += station.rigs.size() + station.report.open().size();
    const auto tell = [&]() -> Result<void> {
        ++done;
        if (progress) progress(static_cast<double>(done) / static_cast<double>(wanted));
        if (stop.stop_requested())
            return Error{Category::cancelled, worded("Fetching the stills was stopped."), ""};
        return {};
    };
    bool any = false;
    for (report::TrialsStation& station : document.stations) {
        for (report::TrialsRig& rig : station.rigs) {
            auto pictures = photographs.of(rig.rig);
            if (!pictures) return pictures.error();
            rig.pictures = std::move(*pictures);
            for (const report::RigPicture& one : rig.pictures)
                any |= one.picture.has_value();
            if (const auto on = tell(); !on) return on;
        }
        for (const study::Question* question : station.report.open()) {
            if (auto added = stills.add(station, *question); !added) return added.error();
            if (const auto on = tell(); !on) return on;
        }
    }
    const std::string searched =
        worded(
            "Faces in these pictures were searched for by program, and what it found was made "
            "unrecognisable. A program misses some faces: look at the pictures before giving them out.")
            .english();
    document.faces = stills.faces().english();
    // Photographs show nobody who could have agreed to it.
    if (any && document.faces.find(searched) == std::string::npos)
        document.faces = document.faces.empty() ? searched : searched + " " + document.faces;
    return {};
}

}  // namespace plumbmark::review
