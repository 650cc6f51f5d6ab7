// The stills of a sheet from a clip with a face in it: the consent of the athlete decides whether it is seen,
// and the place that a mark points at is.
#include <catch2/catch.hpp>
#include <filesystem>
#include <set>

#include "review/documents.h"
#include "review/ruling_package.h"
#include "review/session.h"
#include "sight/faces.h"
#include "support/decoded_picture.h"
#include "support/face_clip.h"
#include "support/file_bytes.h"
#include "support/temporary_folder.h"

namespace {

namespace fs = std::filesystem;
using namespace plumbmark;
using review::Session;
using test::TemporaryFolder;

constexpr int kWidth = 800, kHeight = 600, kFaceX = 400, kFaceY = 300, kFaceHalf = 80;

constexpr const char* kBook =
    "course = \"Pier Nine trial\"\nrevision = \"1\"\n[surfaces]\npier = \"pier deck\"\ncoil = \"coil deck\"\n"
    "floor = { name = \"floor\", out_of_play = true }\n"
    "[[station]]\nkey = \"hop\"\nname = \"hop\"\nstart = \"pier\"\n"
    "[station.landing]\nsurface = \"coil\"\nparts = \"any foot\"\n";

meet::Mark mark(const Session& session, const meet::Event& event, std::int64_t frame,
                std::optional<std::array<double, 2>> spot) {
    const media::FrameTable& table = *session.current_clip()->table;
    meet::Mark mark;
    mark.id = {session.state().next_id(meet::Kind::mark)};
    mark.run = session.run();
    mark.alternatives = {event};
    mark.sightings = {{session.clip(), meet::FrameRef{frame - 1, table[frame - 1].pts},
                       meet::FrameRef{frame, table[frame].pts}}};
    mark.spot = spot;
    return mark;
}

/// A meet with one athlete and a run whose deciding touch was pointed at in the face, or beside everything.
struct Sheet {
    TemporaryFolder folder;
    std::unique_ptr<Session> session;

    bool open(meet::Consent consent, std::array<double, 2> spot) {
        const auto clip =
            test::clip_of(test::drawn_face(kWidth, kHeight, kFaceX, kFaceY, kFaceHalf), folder.path());
        if (!clip) return false;
        auto made =
            Session::create(folder / "trial.meet", {"Pier Nine Youth Open", "harbour hall", "2026-05-02"});
        REQUIRE(made.ok());
        session = std::move(*made);
        REQUIRE(session->add_book("trial.course", kBook).ok());
        REQUIRE(session->add_run("run 1").ok());
        REQUIRE(session->add_clip(*clip).ok());
        REQUIRE(session->settle().ok());
        meet::Athlete athlete{{session->state().next_id(meet::Kind::athlete)}, "17", "Mila Brandt", "", ""};
        athlete.consent = consent;
        change({std::nullopt, athlete});
        meet::Run run = session->state().runs().at(session->run());
        run.athlete = athlete.id;
        change({session->state().runs().at(run.id), run});
        mark_a_fall(spot);
        return true;
    }
    /// The athlete stands on the pier, is started, and puts a foot on the floor.
    void mark_a_fall(std::array<double, 2> spot) const {
        const media::FrameTable& table = *session->current_clip()->table;
        meet::Event signal, fall;
        signal.kind = meet::EventKind::signal;
        fall.part = course::Part::left_foot;
        fall.surface = "floor";
        change({std::nullopt, meet::ContactStatement{{session->state().next_id(meet::Kind::contact)},
                                                     session->run(),
                                                     session->clip(),
                                                     {2, table[2].pts},
                                                     course::Part::left_foot,
                                                     "pier",
                                                     true}});
        REQUIRE(session->watch(0, 39, {}).ok());
        change({std::nullopt, mark(*session, signal, 5, std::nullopt)});
        change({std::nullopt, mark(*session, fall, 20, spot)});
    }
    void change(const meet::Edit& edit) const {
        const auto done = session->apply({"a change", {edit}, 0});
        INFO((done.ok() ? "" : done.error().text()));
        REQUIRE(done.ok());
        REQUIRE(session->settle().ok());
    }
    review::SheetPictures pictures() const {
        const auto document = review::ruling_document(*session);
        REQUIRE(document.ok());
        auto made = review::ruling_stills(*session, *document);
        REQUIRE(made.ok());
        REQUIRE_FALSE(made->stills.empty());
        return std::move(*made);
    }
};

bool shows_a_face(const review::SheetPictures& pictures) {
    auto finder = sight::FaceFinder::open();
    REQUIRE(finder.ok());
    for (media::RgbaImage image : {pictures.stills.front().picture, pictures.stills.back().picture}) {
        if (!finder->find({image.pixels.data(), image.width, image.height}).empty()) return true;
    }
    return false;
}

bool shows_a_face(const fs::path& file) {
    media::RgbaImage image = test::decoded_picture(file);
    auto finder = sight::FaceFinder::open();
    REQUIRE(finder.ok());
    return !finder->find({image.pixels.data(), image.width, image.height}).empty();
}

/// The pictures of a page, of a printed sheet, or of a picture's own file, each as a file of its own. A page
/// has them as base64 (RFC 4648), a PDF byte by byte (ISO 32000-1, 7.4.8: DCTDecode), from FF D8 FF to FF D9.
std::vector<fs::path> pictures_in(const std::string& name, const std::string& bytes, const fs::path& folder) {
    std::vector<fs::path> files;
    const auto add = [&](const std::string& picture) {
        files.push_back(folder /
                        ("part-" + std::to_string(files.size()) + "-" + fs::path(name).filename().string()));
        test::write_bytes(files.back(), picture);
    };
    if (name.ends_with(".png")) add(bytes);
    const std::string data = "data:image/jpeg;base64,";
    for (std::size_t at = bytes.find(data); at != std::string::npos; at = bytes.find(data, at + 1)) {
        const std::size_t begin = at + data.size();
        add(bytes.substr(begin, bytes.find('"', begin) - begin));
        const std::string file = "'" + files.back().string() + "'";
        REQUIRE(test::run_line("base64 -d " + file + " > " + file + ".jpg").code == 0);
        files.back() += ".jpg";
    }
    if (!name.ends_with(".pdf")) return files;
    for (std::size_t at = bytes.find("\xff\xd8\xff"); at != std::string::npos;
         at = bytes.find("\xff\xd8\xff", at + 1))
        add(bytes.substr(at, bytes.find("\xff\xd9", at) + 2 - at));
    return files;
}

/// How many colours stand in the square of that side around a place of a still.
std::size_t colours(const report::Still& still, std::array<double, 2> place, int side) {
    std::set<std::uint8_t> seen;
    for (int y = static_cast<int>(place[1]) - side / 2; y < place[1] + side / 2.0; ++y)
        for (int x = static_cast<int>(place[0]) - side / 2; x < place[0] + side / 2.0; ++x)
            seen.insert(still.picture.pixels[4 * static_cast<std::size_t>(y * still.picture.width + x)]);
    return seen.size();
}

/// On the drawn face's left eye.
constexpr std::array<double, 2> kEye{kFaceX - 0.33 * kFaceHalf, kFaceY - 0.12 * kFaceHalf};
constexpr std::array<double, 2> kBesideAll{90, 90};

}  // namespace

TEST_CASE("a still shows a face where the athlete agreed, and hides it where not") {
    Sheet sheet;
    if (!sheet.open(meet::Consent::given, kBesideAll)) return;
    CHECK(shows_a_face(sheet.pictures()));
    meet::Athlete athlete = sheet.session->state().athletes().begin()->second;
    for (const meet::Consent other : {meet::Consent::unknown, meet::Consent::refused}) {
        const meet::Athlete before = sheet.session->state().athletes().begin()->second;
        athlete.consent = other;
        sheet.change({before, athlete});
        const review::SheetPictures pictures = sheet.pictures();
        CHECK_FALSE(shows_a_face(pictures));
        CHECK(pictures.faces.find("searched for by program") != std::string::npos);
        CHECK(pictures.faces.find("left open") == std::string::npos);
    }
}

TEST_CASE("a run that hangs on its entry shows that athlete, and hides faces by that athlete's consent") {
    Sheet sheet;
    if (!sheet.open(meet::Consent::given, kBesideAll)) return;
    const meet::State& state = sheet.session->state();
    // The run names somebody who agreed; its entry, which counts, is of somebody who refused.
    meet::Athlete other{{state.next_id(meet::Kind::athlete)}, "23", "Jonna Pohl", "Quay Club", ""};
    other.consent = meet::Consent::refused;
    sheet.change({std::nullopt, other});
    meet::Round round;
    round.id = {state.next_id(meet::Kind::round)};
    round.name = "Final";
    sheet.change({std::nullopt, round});
    meet::Entry entry;
    entry.id = {state.next_id(meet::Kind::entry)};
    entry.athlete = other.id;
    entry.round = round.id;
    sheet.change({std::nullopt, entry});
    for (const meet::AthleteId named : {state.runs().begin()->second.athlete, meet::AthleteId{}}) {
        meet::Run run = state.runs().at(sheet.session->run());
        run.athlete = named;
        run.entry = entry.id;
        sheet.change({state.runs().at(run.id), run});
        const auto document = review::ruling_document(*sheet.session);
        REQUIRE(document.ok());
        CHECK(document->athlete_number == "23");
        CHECK(document->athlete_name == "Jonna Pohl");
        CHECK_FALSE(shows_a_face(sheet.pictures()));
    }
    meet::Athlete agreed = other;
    agreed.consent = meet::Consent::given;
    sheet.change({other, agreed});
    CHECK(shows_a_face(sheet.pictures()));
}

TEST_CASE("a package's stills, page and printed sheet show a face by the same consent") {
    Sheet sheet;
    if (!sheet.open(meet::Consent::given, kBesideAll)) return;
    for (const bool agreed : {true, false}) {
        const meet::Athlete before = sheet.session->state().athletes().begin()->second;
        meet::Athlete after = before;
        after.consent = agreed ? meet::Consent::given : meet::Consent::refused;
        if (!(before == after)) sheet.change({before, after});
        const auto package = review::pack_ruling(*sheet.session);
        REQUIRE(package.ok());
        std::set<std::string> kinds;
        for (const store::PackageFile& file : package->files) {
            const std::vector<fs::path> pictures = pictures_in(file.path, file.bytes, sheet.folder.path());
            if (!pictures.empty()) kinds.insert(fs::path(file.path).extension());
            for (const fs::path& picture : pictures) {
                INFO(file.path << ", " << picture);
                CHECK(shows_a_face(picture) == agreed);
            }
        }
        CHECK(kinds == std::set<std::string>{".html", ".pdf", ".png"});
    }
}

TEST_CASE("a still about a touch in a refused face shows the touch, says so, and shows nobody") {
    Sheet sheet;
    if (!sheet.open(meet::Consent::refused, kEye)) return;
    const review::SheetPictures pictures = sheet.pictures();
    CHECK_FALSE(shows_a_face(pictures));
    CHECK(pictures.faces.find("left open") != std::string::npos);
    bool pointed = false;
    for (const report::Still& still : pictures.stills) {
        if (!still.spot) continue;
        pointed = true;
        // The edge of the eye is there in the open; hidden, at most four cells meet in so small a square.
        CHECK(colours(still, *still.spot, 16) > 4);
    }
    CHECK(pointed);
}

TEST_CASE("a cover made by hand over the touch hides it in the still") {
    Sheet sheet;
    if (!sheet.open(meet::Consent::refused, kEye)) return;
    const media::FrameTable& table = *sheet.session->current_clip()->table;
    meet::Cover cover;
    cover.id = {sheet.session->state().next_id(meet::Kind::cover)};
    cover.clip = sheet.session->clip();
    cover.first = {0, table[0].pts};
    cover.last = {table.size() - 1, table[table.size() - 1].pts};
    cover.box = {(kEye[0] - 50) / kWidth, (kEye[1] - 50) / kHeight, 100.0 / kWidth, 100.0 / kHeight};
    sheet.change({std::nullopt, cover});
    const review::SheetPictures pictures = sheet.pictures();
    CHECK(pictures.faces.find("covered by hand are hidden") != std::string::npos);
    for (const report::Still& still : pictures.stills)
        if (still.spot) CHECK(colours(still, *still.spot, 16) <= 4);
}
