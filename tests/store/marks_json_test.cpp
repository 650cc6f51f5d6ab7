// Marks as text: what the document shows is read as it says, slips of the pen are named, and nothing breaks
// the reader.
#include "store/marks_json.h"

#include <algorithm>
#include <catch2/catch.hpp>
#include <fstream>
#include <random>

#include "meet/random_changes.h"
#include "support/test_places.h"

namespace plumbmark {
namespace {

using store::MarksText;

// The example between the fences of docs/marks.md, so that the document cannot go stale.
std::string documented_example() {
    std::ifstream file((test::source_folder() / "docs/marks.md").string());
    const std::string text{std::istreambuf_iterator<char>(file), {}};
    const std::size_t begin = text.find("```json\n") + 8;
    return text.substr(begin, text.find("```", begin) - begin);
}

std::string with(const std::string& marks) {
    return R"({"format":"plumbmark-marks/1","run":"run 1","clips":[{"key":"cam01","file":"a.mp4"},)"
           R"({"key":"cam02","file":"b.mp4"}],)" +
           marks + "}";
}

bool equal(const MarksText& a, const MarksText& b) {
    const auto same_clip = [](const store::NamedClip& x, const store::NamedClip& y) {
        return x.key == y.key && x.file == y.file && x.capture == y.capture;
    };
    return a.run == b.run &&
           std::equal(a.clips.begin(), a.clips.end(), b.clips.begin(), b.clips.end(), same_clip) &&
           a.marks == b.marks && a.contacts == b.contacts && a.watched == b.watched &&
           a.drawings == b.drawings;
}

std::string error_of(const std::string& text) {
    const base::Result<MarksText> marks = store::read_marks(text);
    if (marks) return "read without error";
    CHECK(marks.error().category == base::Category::bad_input);
    return marks.error().text();
}

TEST_CASE("the capture time of a clip is read as a reviewer writes it, and what is wrong with it is named") {
    const base::Result<MarksText> example = store::read_marks(documented_example());
    REQUIRE(example.ok());
    CHECK(meet::capture_text(example->clips[1].capture) == "240 shown 30; @480 as shown");
    const auto text = [](const std::string& capture) {
        return R"({"format":"plumbmark-marks/1","run":"r","clips":[{"key":"a","file":"a.mp4","capture":")" +
               capture + R"("}]})";
    };
    CHECK(store::read_marks(text("unknown"))->clips[0].capture.front().pace == meet::Pace::unknown);
    const base::Result<MarksText> wrong = store::read_marks(text("as shown; 240"));
    REQUIRE_FALSE(wrong.ok());
    CHECK(wrong.error().where == "clips[0].capture");
    CHECK(wrong.error().sentence.english().find("begins with its frame") != std::string::npos);
}

TEST_CASE("the documented example is read as the document says") {
    const base::Result<MarksText> read = store::read_marks(documented_example());
    REQUIRE(read.ok());
    const MarksText& text = *read;
    CHECK(text.run == "run 4");
    REQUIRE(text.clips.size() == 2);
    CHECK(text.clips[1].key == "cam03");
    CHECK(text.clips[1].file == "clips/run-4-right.mp4");
    REQUIRE(text.marks.size() == 6);

    const meet::Mark& start = text.marks[0];
    CHECK(start.id.value == -1);
    CHECK(start.run.value == -1);
    CHECK(start.alternatives[0].kind == meet::EventKind::signal);
    CHECK(start.alternatives[0].signal == ruling::SignalKind::start_given);

    const meet::Mark& foot = text.marks[1];
    REQUIRE(foot.sightings.size() == 2);
    CHECK(foot.sightings[0] == meet::Sighting{{0}, meet::FrameRef{41, 0}, meet::FrameRef{42, 0}});
    CHECK(foot.sightings[1] == meet::Sighting{{1}, meet::FrameRef{37, 0}, meet::FrameRef{39, 0}});
    CHECK(foot.alternatives[0].part == course::Part::left_foot);
    CHECK(foot.alternatives[0].surface == "platform");
    CHECK(foot.alternatives[0].grade == ruling::Grade::weight);
    CHECK(foot.spot == std::array<double, 2>{412.5, 300});

    CHECK(text.marks[2].possible);
    CHECK(text.marks[2].note == "one view looks like a touch");
    CHECK(text.marks[2].alternatives[0].grade == ruling::Grade::ungraded);
    REQUIRE(text.marks[3].alternatives.size() == 2);
    CHECK(text.marks[3].alternatives[1].surface == "floor");
    const meet::Mark& measured = text.marks[4];
    REQUIRE(measured.pointed.size() == 2);
    CHECK(measured.pointed[1] == meet::Pointed{{0}, {71, 0}, {611.75, 640}});
    CHECK(measured.measured == meet::MeasuredMoment{{0}, {70, 0}, {9'500'000}, {13'250'000}});
    const meet::Mark& crossing = text.marks[5];
    CHECK(crossing.pointed.empty());
    CHECK_FALSE(crossing.measured);
    CHECK_FALSE(crossing.alternatives[0].part);
    CHECK(crossing.alternatives[0].direction == ruling::Direction::forward);
    CHECK_FALSE(crossing.sightings[0].late);

    CHECK(text.contacts[0].on);
    CHECK(text.watched[0].scope == meet::Scope{});
    CHECK(text.watched[1].scope == meet::Scope{false, {"platform"}, {"line"}, true});
    CHECK(text.drawings[0].kind == meet::DrawingKind::surface);
    CHECK(text.drawings[0].points.size() == 4);
    CHECK(text.drawings[1].kind == meet::DrawingKind::plane);
    CHECK(text.drawings[1].towards == std::array<double, 2>{700, 400});
    CHECK_FALSE(text.drawings[0].still);
    CHECK(text.drawings[1].still == meet::FrameRef{11, 0});
}

TEST_CASE("what is written reads back equal, for the example and for random marks of every kind") {
    const base::Result<MarksText> example = store::read_marks(documented_example());
    REQUIRE(example.ok());
    const base::Result<MarksText> again = store::read_marks(store::write_marks(*example));
    REQUIRE(again.ok());
    CHECK(equal(*again, *example));

    const std::uint64_t seed = 10;
    CAPTURE(seed);
    test::RandomChanges random(seed);
    meet::State state;
    for (int i = 0; i < 400; ++i)
        REQUIRE(state.apply(random.next(state)).ok());
    MarksText text{"run 'x'", {}, {}, {}, {}, {}};
    std::map<std::int64_t, std::int64_t> index;
    for (const auto& [id, clip] : state.clips()) {
        index[id.value] = std::ssize(text.clips);
        text.clips.push_back({"cam" + std::to_string(id.value), clip.last_known_path});
    }
    const auto loose = [&](auto thing) {
        thing.id = {};
        if constexpr (requires { thing.run; }) thing.run = {};
        if constexpr (requires { thing.clip; }) thing.clip.value = index.at(thing.clip.value);
        return thing;
    };
    std::size_t places = 0, moments = 0;
    for (const auto& [id, mark] : state.marks()) {
        text.marks.push_back(loose(mark));
        for (meet::Sighting& sighting : text.marks.back().sightings) {
            sighting.clip.value = index.at(sighting.clip.value);
            if (sighting.early) sighting.early->pts = 0;
            if (sighting.late) sighting.late->pts = 0;
        }
        for (meet::Pointed& pointed : text.marks.back().pointed) {
            pointed.clip.value = index.at(pointed.clip.value);
            pointed.frame.pts = 0;
        }
        if (auto& measured = text.marks.back().measured) {
            measured->clip.value = index.at(measured->clip.value);
            measured->frame.pts = 0;
            ++moments;
        }
        places += text.marks.back().pointed.size();
    }
    for (const auto& [id, contact] : state.contacts()) {
        text.contacts.push_back(loose(contact));
        text.contacts.back().frame.pts = 0;
    }
    for (const auto& [id, span] : state.watched()) {
        text.watched.push_back(loose(span));
        text.watched.back().from.pts = text.watched.back().to.pts = 0;
    }
    for (const auto& [id, drawing] : state.drawings()) {
        text.drawings.push_back(loose(drawing));
        if (text.drawings.back().still) text.drawings.back().still->pts = 0;
    }
    CHECK((text.marks.size() > 5 && text.contacts.size() > 5 && text.watched.size() > 5 &&
           text.drawings.size() > 5));
    CHECK((places > 5 && moments > 2));
    const base::Result<MarksText> back = store::read_marks(store::write_marks(text));
    REQUIRE(back.ok());
    CHECK(equal(*back, text));
}

TEST_CASE("slips of the pen are named with their path and the nearest known word") {
    const std::string head = R"("marks":[{"clip":"cam01","early":1,"late":2,)";
    const auto mark = [&](const std::string& rest) { return error_of(with(head + rest + "}]")); };
    CHECK(mark(R"("event":"touch","prat":"left_foot","surface":"deck")") ==
          "marks[0].prat: no such member is known here; did you mean 'part'?");
    CHECK(mark(R"("event":"tuoch","part":"left_foot","surface":"deck")") ==
          "marks[0].event: 'tuoch' is not known here; did you mean 'touch'?");
    CHECK(mark(R"("event":"touch","part":"leftfoot","surface":"deck")") ==
          "marks[0].part: 'leftfoot' is not known here; did you mean 'left_foot'?");
    CHECK(mark(R"("event":"touch","part":"whole","surface":"deck")") ==
          "marks[0].part: 'whole' is not known here; one of left_hand, right_hand, left_foot, right_foot, "
          "other or "
          "loose is expected");
    CHECK(mark(R"("event":"touch","part":"left_foot")") == "marks[0]: the member 'surface' is missing");
    CHECK(mark(R"("event":"cross","part":"left_foot","plane":"","direction":"forward")") ==
          "marks[0]: it names no plane");
    CHECK(mark(R"("event":"touch","part":"left_foot","surface":7)") ==
          "marks[0].surface: a text is expected here, not the number 7");
    CHECK(mark(R"("event":"touch","part":"left_foot","surface":"deck","plane":"line")") ==
          "marks[0].plane: this has no place in an event of the kind 'touch'");
    CHECK(mark(R"("event":"control","alternatives":[])") ==
          "marks[0].event: where there are alternatives, the event stands in each of them");
    CHECK(mark(R"("alternatives":[])") == "marks[0]: it names no event");
    CHECK(mark(R"("event":"control","possible":1)") ==
          "marks[0].possible: true or false is expected here, not the number 1");
    CHECK(mark(R"("event":"control","spot":[1])") ==
          "marks[0].spot: a point is written as two numbers, [x, y]");
    CHECK(mark(R"("event":"control","pointed":[{"clip":"cam01","frame":1,"at":[1,2],"x":3}])") ==
          "marks[0].pointed[0].x: no such member is known here; known are clip, frame, at and followed");
    CHECK(mark(R"("event":"control","pointed":[{"clip":"cam9","frame":1,"at":[1,2]}])") ==
          "marks[0].pointed[0].clip: 'cam9' is not known here; one of cam01 or cam02 is expected");
    CHECK(mark(R"("event":"control","pointed":[{"clip":"cam01","frame":1,"at":[1]}])") ==
          "marks[0].pointed[0].at: a point is written as two numbers, [x, y]");
    CHECK(mark(R"("event":"control","pointed":{})") ==
          "marks[0].pointed: a list is expected here, not an object");
    CHECK(mark(R"("event":"control","measured":{"clip":"cam02","frame":1,"from_ns":1,"to_ns":2})") ==
          "marks[0]: what was measured lies on a clip without a bracket");
    CHECK(mark(R"("event":"control","measured":{"clip":"cam01","frame":1,"from_ns":3,"to_ns":2})") ==
          "marks[0]: its measured time ends before it begins");
    CHECK(mark(R"("event":"control","measured":{"clip":"cam01","frame":1,"from_ns":-1,"to_ns":2})") ==
          "marks[0].measured.from_ns: a whole number from 0 is expected here, not the number -1");
    CHECK(mark(R"("event":"control","measured":{"clip":"cam01","frame":1,"from_ns":1})") ==
          "marks[0].measured: the member 'to_ns' is missing");
    CHECK(mark(R"("event":"control","also":[{"clip":"cam01","early":1,"late":2}])") ==
          "marks[0]: it has two brackets on one clip");
    CHECK(mark(R"("event":"control","also":[{"clip":"cam2","early":1,"late":2}])") ==
          "marks[0].also[0].clip: 'cam2' is not known here; did you mean 'cam02'?");

    CHECK(error_of(with(R"("marks":[{"clip":"cam01","event":"control","early":2,"late":2}])")) ==
          "marks[0]: its early frame is not before its late frame");
    CHECK(error_of(with(R"("marks":[{"clip":"cam01","event":"control","late":2}])")) ==
          "marks[0]: the member 'early' is missing");
    CHECK(error_of(with(R"("marks":[{"clip":"cam01","event":"control","early":-1,"late":2}])")) ==
          "marks[0].early: a whole number from 0 is expected here, not the number -1");
    CHECK(error_of(with(R"("marks":[{"clip":"cam01","event":"control","early":1.5,"late":2}])")) ==
          "marks[0].early: a whole number from 0 is expected here, not the number 1.5");
    CHECK(
        error_of(with(R"("marks":[{"clip":"cam01","event":"control","early":1,"late":9007199254740992}])")) ==
        "marks[0].late: a whole number from 0 is expected here, not the number 9007199254740992");
    CHECK(error_of(with(R"("watched":[{"clip":"cam01","from":1,"to":9,"scope":"athlet"}])")) ==
          "watched[0].scope: 'athlet' is not known here; did you mean 'athlete'?");
    CHECK(error_of(with(R"("watched":[{"clip":"cam01","from":1,"to":9,"scope":{}}])")) ==
          "watched[0]: its scope is empty");
    CHECK(error_of(with(R"("watched":[{"clip":"cam01","from":1,"to":9,"scope":["deck"]}])")) ==
          "watched[0].scope: an object is expected here, not a list");
    CHECK(error_of(with(R"("watched":[{"clip":"cam01","from":9,"to":1,"scope":"athlete"}])")) ==
          "watched[0]: its first frame is not before its last frame");
    CHECK(error_of(with(R"("drawings":[{"clip":"cam01","surface":"deck","polygon":[[0,0],[1,1]]}])")) ==
          "drawings[0]: a surface's outline needs three points");
    CHECK(error_of(with(R"("drawings":[{"clip":"cam01","surface":"deck","points":[]}])")) ==
          "drawings[0].points: no such member is known here; known are clip, surface, polygon and still");
    CHECK(error_of(
              with(R"("contacts":[{"clip":"cam01","frame":1,"part":"other","surface":"a","state":"of"}])")) ==
          "contacts[0].state: 'of' is not known here; did you mean 'on'?");
    CHECK(error_of(with(R"("mark":[])")) == "mark: no such member is known here; did you mean 'marks'?");
    CHECK(error_of(R"({"format":"plumbmark-marks/2","run":"","clips":[]})") ==
          "format: 'plumbmark-marks/1' is expected here; this text has another format");
    CHECK(error_of(R"({"format":"plumbmark-marks/1","run":"","clips":[]})") ==
          "clips: a marks text names at least one clip");
    CHECK(
        error_of(
            R"({"format":"plumbmark-marks/1","run":"","clips":[{"key":"a","file":""},{"key":"a","file":""}]})") ==
        "clips[1].key: two clips have the key 'a'");
    CHECK(error_of("[]") == "the whole text: an object is expected here, not a list");
}

TEST_CASE("what is not JSON is refused with line and column") {
    CHECK(error_of("{\n  \"format\": \"plumbmark-marks/1\",,\n}") ==
          "line 2, column 33: this is not JSON from here on");
    CHECK(error_of("") == "line 1, column 1: this is not JSON from here on");
    CHECK(error_of("{\"run\":1e999}") == "line 1, column 12: this number is too large");
    CHECK(error_of("{\"run\":\"a\",\"run\":\"b\"}") == "the member 'run' stands twice in one object");
    CHECK(error_of("{\"run\":\"\xC3\x28\"}").find("this is not JSON from here on") != std::string::npos);
    CHECK(error_of("{\"run\":\"\\ud800\"}").find("this is not JSON from here on") != std::string::npos);
    CHECK(error_of(with("\"marks\":[{\"clip\":\"cam01\\u0000\"}]")).find("marks[0]") == 0);
}

TEST_CASE("deep, huge and garbled texts are answered with an error or with marks, never with a crash") {
    for (const char* opening : {"[", "{\"marks\":", "[{\"a\":"}) {
        std::string deep;
        for (int i = 0; i < 300'000; ++i)
            deep += opening;
        CHECK(error_of(deep) == "objects and arrays are nested deeper than 100");
    }
    CHECK_FALSE(store::read_marks("{\"" + std::string(20'000'000, 'x') + "\":1}").ok());
    std::string many = with("\"marks\":[");
    many.pop_back();
    for (int i = 0; i < 20'000; ++i)
        many += std::string(i > 0 ? "," : "") + R"({"clip":"cam01","early":1,"late":2,"event":"control"})";
    const base::Result<MarksText> read = store::read_marks(many + "]}");
    REQUIRE(read.ok());
    CHECK(read->marks.size() == 20'000);

    const std::uint64_t seed = 4;
    CAPTURE(seed);
    std::mt19937_64 random(seed);
    const std::string good = documented_example();
    int refused = 0;
    for (int round = 0; round < 5'000; ++round) {
        std::string text = good;
        for (int flips = 1 + static_cast<int>(random() % 3); flips > 0; --flips) {
            const std::size_t at = random() % text.size();
            switch (random() % 3) {
                case 0:
                    text[at] = static_cast<char>(random());
                    break;
                case 1:
                    text.erase(at, 1 + random() % 20);
                    break;
                default:
                    text.insert(at, text.substr(random() % text.size(), random() % 30));
                    break;
            }
        }
        const base::Result<MarksText> outcome = store::read_marks(text);
        if (outcome) {
            const base::Result<MarksText> again = store::read_marks(store::write_marks(*outcome));
            REQUIRE(again.ok());
            CHECK(equal(*again, *outcome));
        } else {
            ++refused;
            CHECK_FALSE(outcome.error().sentence.empty());
        }
    }
    CHECK(refused > 2'500);
    CHECK(refused < 5'000);
}

}  // namespace
}  // namespace plumbmark
