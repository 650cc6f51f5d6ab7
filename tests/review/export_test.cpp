// Clips and stills that leave the meet: exact times, what is drawn and where, and hidden faces. Read back by
// the project's own reader and by the ffmpeg program.
#include <algorithm>
#include <catch2/catch.hpp>
#include <cmath>
#include <filesystem>
#include <set>

#include "media/frame_reader.h"
#include "media/sound.h"
#include "report/annotated_picture.h"
#include "review/export_clip.h"
#include "review/export_job.h"
#include "review/internal/frame_marks.h"
#include "review/mark_list.h"
#include "support/agreed_meet.h"
#include "support/decoded_picture.h"
#include "support/face_clip.h"
#include "support/file_bytes.h"
#include "support/names_in.h"
#include "support/temporary_folder.h"
#include "support/test_places.h"

namespace {

using namespace plumbmark;
namespace fs = std::filesystem;
using test::TemporaryFolder;

const fs::path kSamples = test::source_folder() / "sample_clips";

/// A copy of the sample meet in which every athlete has agreed to be shown, so that nothing is searched for.
struct Agreed {
    TemporaryFolder folder;
    std::unique_ptr<review::Session> session;

    explicit Agreed(const std::string& run = "run 4", bool agreed = true) {
        auto opened = review::Session::open(
            test::agreed_samples(folder / "samples", agreed ? meet::Consent::given : meet::Consent::refused));
        REQUIRE(opened.ok());
        session = std::move(*opened);
        for (const auto& [id, one] : session->state().runs())
            if (one.label == run) session->select_run(id);
        REQUIRE(session->settle().ok());
    }

    meet::ClipId clip(const std::string& name) const {
        for (const review::ClipView& view : session->clips())
            if (view.name == name) return view.id;
        FAIL("no clip " << name);
        return {};
    }
    std::shared_ptr<const media::FrameTable> table(meet::ClipId id) const {
        for (const review::ClipView& view : session->clips())
            if (view.id == id) return view.table;
        return nullptr;
    }
};

review::Exported done(const review::Session& session, const review::ExportWish& wish) {
    const auto work = review::plan_export(session, wish);
    INFO((work.ok() ? "" : work.error().text()));
    REQUIRE(work.ok());
    double last = 0;
    auto made = review::carry_out_export(*work, [&last](double share) {
        CHECK(share >= last);
        last = share;
    });
    INFO((made.ok() ? "" : made.error().text()));
    REQUIRE(made.ok());
    CHECK((wish.still || last == 1));
    return std::move(*made);
}

std::shared_ptr<const media::FrameTable> read_back(const fs::path& path) {
    auto table = media::scan_clip(path);
    REQUIRE(table.ok());
    return std::make_shared<const media::FrameTable>(std::move(*table));
}

media::RgbaImage frame_of(const fs::path& path, const std::shared_ptr<const media::FrameTable>& table,
                          std::int64_t n) {
    auto reader = media::FrameReader::open(path, table);
    REQUIRE(reader.ok());
    const auto picture = reader->read(n);
    REQUIRE(picture.ok());
    return media::to_rgba(**picture);
}

/// The largest difference of a colour, and the root of the mean of their squares, over the rows that both
/// have.
struct Difference {
    int largest = 0;
    double rms = 0;
};
Difference difference(const media::RgbaImage& a, const media::RgbaImage& b) {
    Difference out;
    double sum = 0;
    const std::size_t count = std::min(a.pixels.size(), b.pixels.size());
    REQUIRE(a.width == b.width);
    for (std::size_t i = 0; i < count; ++i) {
        const int d = std::abs(int{a.pixels[i]} - int{b.pixels[i]});
        out.largest = std::max(out.largest, d);
        sum += d * d;
    }
    out.rms = std::sqrt(sum / static_cast<double>(count));
    return out;
}

using plumbmark::test::names_in;

}  // namespace

TEST_CASE("the clip around a station's decision holds its brackets and each frame once at its exact time") {
    const Agreed meet;
    fs::create_directory(meet.folder / "out");
    const meet::ClipId clip = meet.clip("camera A");
    const auto source = meet.table(clip);
    for (const course::Station& station : meet.session->book()->stations) {
        INFO(station.key);
        review::ExportWish wish;
        wish.clip = clip;
        wish.station = station.key;
        wish.slower = 4;
        wish.out = meet.folder / "out" / review::export_name(*meet.session, wish);
        const auto work = review::plan_export(*meet.session, wish);
        if (!work) {
            CHECK(work.error().category == base::Category::not_found);
            continue;
        }
        for (const ruling::StationRuling& one : meet.session->ruling().ruling->stations) {
            if (meet.session->book()->station(one.station).key != station.key || !one.decided_at) continue;
            if (meet.session->ruling().clips[static_cast<std::size_t>(one.decided_at->clip.value)] != clip)
                continue;
            const std::int64_t decided = source->frame_at(*one.decided_at->until);
            CHECK(work->first < decided);
            CHECK(work->last > decided);
            // A second before and after, as near as frames allow.
            CHECK(std::abs((source->time(work->last) - source->time(decided)).ns - 1'000'000'000) <
                  100'000'000);
        }
        CHECK(work->caption->heading.find(station.name) != std::string::npos);
    }
    review::ExportWish wish;
    wish.clip = clip;
    wish.frames = {{100, 130}};
    for (const int slower : review::kSlowings) {
        wish.slower = slower;
        wish.out = meet.folder / "out/clip.mp4";
        const review::Exported made = done(*meet.session, wish);
        CHECK(made.frames == 31);
        CHECK(made.notices.empty());
        const auto table = read_back(wish.out);
        REQUIRE(table->size() == 31);
        for (std::int64_t n = 0; n < 31; ++n) {
            const std::int64_t ticks = ((*source)[100 + n].pts - (*source)[100].pts) * slower;
            CHECK(table->exact_time(n) == base::exact_seconds(ticks, source->time_base()));
        }
    }
    CHECK(names_in(meet.folder / "out") == std::vector<std::string>{"clip.mp4"});
}

TEST_CASE("a clip that shows no bracket of the station is cut at the same moment as well as marks tie it") {
    const Agreed meet;
    const meet::ClipId first = meet.clip("camera A"), second = meet.clip("camera B");
    const auto here = meet.table(first), there = meet.table(second);
    review::ExportWish wish;
    wish.clip = second;
    wish.station = meet.session->book()->stations.front().key;
    wish.out = meet.folder / "clip.mp4";
    CHECK(review::plan_export(*meet.session, wish).error().sentence.english().find("say which frames") !=
          std::string::npos);
    // Camera B began half a second before camera A, as a touch at a later station says.
    meet::Change tie{"tie", {}, 0};
    for (const meet::Mark& mark : meet.session->state().marks_of(meet.session->run())) {
        const meet::Sighting& seen = mark.sightings.front();
        if (mark.alternatives.front().kind != meet::EventKind::touch || seen.late->number < 500 ||
            !tie.edits.empty())
            continue;
        const auto beside = [&](std::int64_t frame, std::int64_t more) {
            const std::int64_t n = there->frame_at(here->time(frame) + base::Duration{500'000'000}) + more;
            return meet::FrameRef{n, (*there)[n].pts};
        };
        meet::Mark after = mark;
        after.sightings.push_back({second, beside(seen.early->number, 0), beside(seen.late->number, 1)});
        tie.edits.push_back({mark, after});
    }
    REQUIRE(tie.edits.size() == 1);
    REQUIRE(meet.session->apply(tie).ok());
    REQUIRE(meet.session->settle().ok());
    const auto of_second = review::plan_export(*meet.session, wish);
    wish.clip = first;
    const auto of_first = review::plan_export(*meet.session, wish);
    REQUIRE(of_first.ok());
    REQUIRE(of_second.ok());
    CHECK(of_second->clock.has_value());
    // As near as the tie and the frames of both allow.
    for (const bool beginning : {true, false}) {
        const base::Time a = here->time(beginning ? of_first->first : of_first->last);
        const base::Time b = there->time(beginning ? of_second->first : of_second->last);
        INFO((b - a).ns);
        CHECK(std::abs((b - a).ns - 500'000'000) < 150'000'000);
    }
    CHECK(of_second->first < of_second->last);
}

TEST_CASE("a plain clip shows the very pictures and a drawn one differs only where something is drawn") {
    const Agreed meet;
    const meet::ClipId clip = meet.clip("camera A");
    const auto source = meet.table(clip);
    review::ExportWish wish;
    wish.clip = clip;
    wish.frames = {{200, 206}};
    wish.plain = true;
    wish.out = meet.folder / "plain.mp4";
    CHECK(done(*meet.session, wish).faces.english().find("where every athlete has agreed to it") !=
          std::string::npos);
    const auto plain = read_back(wish.out);
    REQUIRE(plain->size() == 7);
    fs::path file;
    for (const review::ClipView& view : meet.session->clips())
        if (view.id == clip) file = view.file;
    for (const std::int64_t n : {0, 3, 6}) {
        const Difference d = difference(frame_of(file, source, 200 + n), frame_of(wish.out, plain, n));
        INFO(n << ": " << d.rms);
        CHECK(20 * std::log10(255 / d.rms) > 36);
    }
    wish.still = true;
    wish.frames = {{203, 203}};
    wish.out = meet.folder / "plain.png";
    (void)done(*meet.session, wish);
    // Lossless: the very pixels of the reader.
    const media::RgbaImage still = test::decoded_picture(wish.out), original = frame_of(file, source, 203);
    CHECK(still == original);
    wish.plain = false;
    wish.out = meet.folder / "drawn.png";
    (void)done(*meet.session, wish);
    const media::RgbaImage drawn = test::decoded_picture(wish.out);
    CHECK(drawn.width == original.width);
    CHECK(drawn.height > original.height);
    CHECK(drawn.height % 2 == 0);
    // Each outline's corners are drawn over; a place that is far from every line is as it was.
    std::size_t corners = 0;
    std::vector<std::array<double, 2>> points;
    for (const auto& [id, drawing] : meet.session->state().drawings())
        if (drawing.clip == clip) points.insert(points.end(), drawing.points.begin(), drawing.points.end());
    const auto differs = [&](int x, int y) {
        const auto at = 4 * (static_cast<std::size_t>(y) * static_cast<std::size_t>(original.width) +
                             static_cast<std::size_t>(x));
        return !std::equal(&drawn.pixels[at], &drawn.pixels[at] + 4, &original.pixels[at]);
    };
    for (const auto& point : points) {
        const int x = static_cast<int>(point[0]), y = static_cast<int>(point[1]);
        if (x < 2 || y < 2 || x >= original.width - 2 || y >= original.height - 2) continue;
        ++corners;
        bool near = false;
        for (int dy = -2; dy <= 2; ++dy)
            for (int dx = -2; dx <= 2; ++dx)
                near |= differs(x + dx, y + dy);
        INFO(x << "," << y);
        CHECK(near);
    }
    CHECK(corners > 4);
    std::int64_t changed = 0;
    for (int y = 0; y < original.height; ++y)
        for (int x = 0; x < original.width; ++x)
            changed += differs(x, y) ? 1 : 0;
    // Lines and names: a small part of the picture.
    CHECK(changed > 100);
    CHECK(changed < std::int64_t{original.width} * original.height / 8);
}

TEST_CASE("what is told of a mark follows its bracket and nothing is told far from it") {
    const Agreed meet;
    const meet::ClipId clip = meet.clip("camera A");
    const auto table = meet.table(clip);
    const review::FrameMarks marks(meet.session->state(), meet.session->run(), clip, meet.session->book(),
                                   table, std::nullopt);
    for (const meet::Mark& mark : meet.session->state().marks_of(meet.session->run())) {
        for (const meet::Sighting& seen : mark.sightings) {
            if (seen.clip != clip || !seen.early || !seen.late) continue;
            const std::string range =
                "f " + std::to_string(seen.early->number) + " to " + std::to_string(seen.late->number);
            const auto told = [&](std::int64_t frame) {
                std::string found;
                const auto notes = marks.of(frame, "", {}).notes;
                for (const report::PictureNote& note : notes)
                    if (note.words.starts_with(range + ",")) found += note.words;
                return found;
            };
            INFO(range);
            CHECK(told(seen.early->number).find("not yet: ") != std::string::npos);
            CHECK(told(seen.late->number).find("it had: ") != std::string::npos);
            const std::int64_t after =
                table->frame_at(table->time(seen.late->number) + base::Duration{1'200'000'000});
            if (after + 1 < table->size()) CHECK(told(after).empty());
            const std::int64_t before =
                table->frame_at(table->time(seen.early->number) - base::Duration{700'000'000});
            if (before >= 0) CHECK(told(before).empty());
        }
    }
    std::size_t most = 0;
    for (std::int64_t n = 0; n < table->size(); ++n)
        most = std::max(most, marks.of(n, "", {}).notes.size());
    CHECK(marks.most_notes(0, table->size() - 1) == most);
    CHECK(marks.of(12, "1/4 speed", {}).frame_line.ends_with(" · 1/4 speed"));
}

TEST_CASE("words stand on a band below and all pictures of a clip are as high") {
    const media::RgbaImage grey{320, 200, std::vector<std::uint8_t>(std::size_t{4} * 320 * 200, 128)};
    media::RgbaImage opaque = grey;
    for (std::size_t i = 3; i < opaque.pixels.size(); i += 4)
        opaque.pixels[i] = 255;
    const report::PictureAnnotator annotator(
        320, 200,
        report::PictureCaption{
            ruling::Verdict::fail, "run 4 · swing: FAIL",
            "a long sentence that says which foot came onto which surface before what else, so "
            "that it takes more than one line of a small picture"},
        2);
    report::PictureMarks marks;
    marks.frame_line = "camera A · f 12";
    const auto empty = annotator.draw(opaque, marks);
    REQUIRE(empty.ok());
    CHECK(empty->width == 320);
    CHECK(empty->height == annotator.height());
    // Nothing is drawn over the picture where nothing belongs there.
    CHECK(std::equal(opaque.pixels.begin(), opaque.pixels.end(), empty->pixels.begin()));
    marks.notes = {{course::Part::left_foot, "f 10 to 12, it had: left foot touches quay deck"},
                   {std::nullopt, "f 11 to 12, it had: start signal"},
                   {course::Part::right_hand, "a third"}};
    marks.spots = {{{100, 80}, course::Part::left_foot, false}};
    report::StillOutline square;
    square.points = {{40, 40}, {280, 40}, {280, 160}, {40, 160}};
    square.name = "quay deck";
    marks.outlines = {square};
    const auto full = annotator.draw(opaque, marks);
    REQUIRE(full.ok());
    CHECK(full->height == empty->height);
    const auto at = [&](int x, int y) {
        const auto i = 4 * (static_cast<std::size_t>(y) * 320 + static_cast<std::size_t>(x));
        return std::array{full->pixels[i], full->pixels[i + 1], full->pixels[i + 2]};
    };
    constexpr std::array<std::uint8_t, 3> kGrey{128, 128, 128};
    // On the line, and on the ring in the limb's blue; inside the ring the picture stays to be seen.
    CHECK(at(160, 160) != kGrey);
    CHECK(at(40, 100) != kGrey);
    CHECK(at(100, 80) == kGrey);
    CHECK(at(100 + 13, 80)[2] > at(100 + 13, 80)[0] + 60);
    CHECK(at(20, 20) == kGrey);
    CHECK(at(300, 180) == kGrey);
    const report::PictureAnnotator other(321, 200, std::nullopt, 0);
    CHECK(other.draw(opaque, marks).error().category == base::Category::bad_input);
    CHECK(other.height() % 2 == 0);
}

namespace {

/// A clip of one drawn face in a meet whose athlete has this consent.
struct FaceMeet {
    TemporaryFolder folder;
    std::unique_ptr<review::Session> session;

    bool open(meet::Consent consent) {
        const auto clip = test::clip_of(test::drawn_face(400, 300, 200, 150, 60), folder.path());
        if (!clip) return false;
        auto made = review::Session::create(folder / "trial.meet", {"Pier Nine Youth Open", "", ""});
        REQUIRE(made.ok());
        session = std::move(*made);
        meet::Athlete athlete;
        athlete.number = "17";
        athlete.consent = consent;
        const auto added = session->add_athlete(athlete);
        REQUIRE(added.ok());
        REQUIRE(session->add_run("run 1", *added).ok());
        REQUIRE(session->add_clip(*clip).ok());
        REQUIRE(session->settle().ok());
        return true;
    }
    review::ExportWish wish(const fs::path& out, std::int64_t first, std::int64_t last) const {
        review::ExportWish made;
        made.clip = session->clip();
        made.frames = {{first, last}};
        made.still = out.extension() == ".png";
        made.plain = true;
        made.out = out;
        return made;
    }
};

/// The share of the face's pixels that are another brightness than they were drawn with.
double changed_in_the_face(const media::RgbaImage& image) {
    const media::RgbaImage drawn = test::drawn_face(400, 300, 200, 150, 60);
    int changed = 0;
    for (int y = 100; y < 200; ++y)
        for (int x = 150; x < 250; ++x) {
            const auto i = 4 * (static_cast<std::size_t>(y) * 400 + static_cast<std::size_t>(x));
            changed += std::abs(int{image.pixels[i]} - int{drawn.pixels[i]}) > 24 ? 1 : 0;
        }
    return changed / 10'000.0;
}
bool hidden(const media::RgbaImage& image) {
    const double share = changed_in_the_face(image);
    INFO(share);
    CHECK((share < 0.01 || share > 0.1));
    return share > 0.1;
}

}  // namespace

TEST_CASE("faces are hidden in every frame of a clip and in a still unless the athlete has agreed") {
    for (const meet::Consent consent :
         {meet::Consent::given, meet::Consent::refused, meet::Consent::unknown}) {
        FaceMeet meet;
        if (!meet.open(consent)) return;
        const bool shown = consent == meet::Consent::given;
        const review::Exported clip = done(*meet.session, meet.wish(meet.folder / "out.mp4", 3, 16));
        CHECK((clip.faces.english().find("A program misses some faces") != std::string::npos) == !shown);
        const auto table = read_back(clip.file);
        REQUIRE(table->size() == 14);
        auto reader = media::FrameReader::open(clip.file, table);
        REQUIRE(reader.ok());
        for (std::int64_t n = 0; n < table->size(); ++n) {
            const auto picture = reader->read(n);
            REQUIRE(picture.ok());
            INFO(n);
            CHECK(hidden(media::to_rgba(**picture)) == !shown);
        }
        (void)done(*meet.session, meet.wish(meet.folder / "out.png", 5, 5));
        CHECK(hidden(test::decoded_picture(meet.folder / "out.png")) == !shown);
    }
}

TEST_CASE("what was covered by hand is covered in a clip on its frames whatever the consent") {
    FaceMeet meet;
    if (!meet.open(meet::Consent::given)) return;
    const media::FrameTable& source = *meet.session->current_clip()->table;
    meet::Cover cover;
    cover.id = {1};
    cover.clip = meet.session->clip();
    cover.first = {6, source[6].pts};
    cover.last = {9, source[9].pts};
    cover.box = {0.25, 0.2, 0.5, 0.6};
    REQUIRE(meet.session->apply({"cover", {{std::nullopt, cover}}, 0}).ok());
    const review::Exported clip = done(*meet.session, meet.wish(meet.folder / "out.mp4", 4, 11));
    const auto table = read_back(clip.file);
    for (std::int64_t n = 0; n < table->size(); ++n) {
        INFO(n + 4);
        const bool covered = n + 4 >= 6 && n + 4 <= 9;
        CHECK(hidden(frame_of(clip.file, table, n)) == covered);
    }
    CHECK(clip.faces.english().find("covered by hand") != std::string::npos);
}

TEST_CASE("an export that is stopped leaves no file and one over the meet's own files is refused") {
    const Agreed meet;
    fs::create_directory(meet.folder / "out");
    const meet::ClipId clip = meet.clip("camera A");
    review::ExportWish wish;
    wish.clip = clip;
    wish.frames = {{0, 200}};
    wish.out = meet.folder / "out/clip.mp4";
    auto work = review::plan_export(*meet.session, wish);
    REQUIRE(work.ok());
    std::stop_source stop;
    const auto stopped = review::carry_out_export(
        *work, [&stop](double share) { share > 0.05 ? (void)stop.request_stop() : void(); },
        stop.get_token());
    CHECK(stopped.error().category == base::Category::cancelled);
    CHECK(names_in(meet.folder / "out").empty());
    {
        review::ExportJob job(std::move(*work), {});
        job.stop();
        std::optional<base::Result<review::Exported>> answer;
        while (!(answer = job.take())) {
        }
        CHECK(answer->error().category == base::Category::cancelled);
    }
    CHECK(names_in(meet.folder / "out").empty());
    const std::string before = test::bytes_of(kSamples / "run-4-a.mp4");
    for (const char* name :
         {"samples/run-4-a.mp4", "samples/../samples/run-2-a.mp4", "samples/pier-nine.meet"}) {
        wish.out = meet.folder / name;
        CHECK(review::plan_export(*meet.session, wish)
                  .error()
                  .sentence.english()
                  .starts_with("The meet rests on this file"));
    }
    CHECK(test::bytes_of(meet.folder / "samples/run-4-a.mp4") == before);
}

TEST_CASE("what cannot be given out is said before anything is written") {
    const Agreed meet;
    review::ExportWish wish;
    wish.clip = meet.clip("camera A");
    wish.out = meet.folder / "clip.mp4";
    const auto refused = [&](auto change) {
        review::ExportWish bent = wish;
        change(bent);
        const auto work = review::plan_export(*meet.session, bent);
        REQUIRE_FALSE(work.ok());
        return work.error();
    };
    using Wish = review::ExportWish;
    CHECK(refused([](Wish&) {}).category == base::Category::bad_input);
    CHECK(refused([](Wish& w) { w.station = "nowhere"; })
              .sentence.english()
              .starts_with("The course has no station 'nowhere'; it has"));
    CHECK(refused([](Wish& w) { w.frames = {{5, 4}}; }).category == base::Category::bad_input);
    CHECK(refused([](Wish& w) {
              w.frames = {{0, 1'000'000}};
          })
              .sentence.english()
              .find("has frames 0 to") != std::string::npos);
    CHECK(refused([](Wish& w) { w.slower = 3, w.frames = {{0, 1}}; }).category == base::Category::bad_input);
    CHECK(refused([](Wish& w) {
              w.slower = 2, w.sound = true, w.frames = {{0, 1}};
          }).sentence == "Sound goes with a clip at real speed only.");
    CHECK(refused([](Wish& w) { w.clip = {77}, w.frames = {{0, 1}}; }).category == base::Category::not_found);
}

TEST_CASE("sound goes with the clip at real speed from its first frame on") {
    const TemporaryFolder folder;
    // A tone that begins at 1 s: in a stretch from 0.6 s on it begins at 0.4 s.
    const std::string source = (folder / "tone.mp4").string();
    if (std::system(("ffmpeg -v error -nostdin -f lavfi -i testsrc2=s=320x180:r=25:d=3 -f lavfi -i "
                     "\"aevalsrc='if(gte(t,1),0.7*sin(2000*t),0)':s=48000:d=3\" -c:v libx264 -pix_fmt "
                     "yuv420p -c:a aac '" +
                     source + "' 2>/dev/null")
                        .c_str()) != 0) {
        WARN("skipped: the program ffmpeg cannot make the clip");
        return;
    }
    auto made = review::Session::create(folder / "trial.meet", {"Pier Nine Youth Open", "", ""});
    REQUIRE(made.ok());
    meet::Athlete athlete;
    athlete.number = "17";
    athlete.consent = meet::Consent::given;
    const auto added = (*made)->add_athlete(athlete);
    REQUIRE(added.ok());
    REQUIRE((*made)->add_run("run 1", *added).ok());
    REQUIRE((*made)->add_clip(source).ok());
    REQUIRE((*made)->settle().ok());
    review::ExportWish wish;
    wish.clip = (*made)->clip();
    wish.frames = {{15, 60}};
    wish.sound = true;
    wish.out = folder / "out.mp4";
    const review::Exported out = done(**made, wish);
    CHECK(out.words.english().find("with sound") != std::string::npos);
    CHECK(out.notices.empty());
    auto sound = media::SoundReader::open(out.file);
    REQUIRE(sound.ok());
    std::optional<std::int64_t> begins;
    std::int64_t end = 0;
    for (;;) {
        auto block = sound->read();
        REQUIRE(block.ok());
        if (!*block) break;
        end = (*block)->end().ns;
        for (std::int64_t i = 0; i < (*block)->frames() && !begins; ++i)
            if (std::abs((*block)->samples[static_cast<std::size_t>(i * (*block)->channels)]) > 0.35F)
                begins = (*block)->time_of(i).ns;
    }
    REQUIRE(begins);
    CHECK(std::abs(*begins - 400'000'000) < 5'000'000);
    CHECK(std::abs(end - 46 * 40'000'000) < 40'000'000);
    CHECK(read_back(out.file)->size() == 46);
}
