// The thread that rules: the newest evidence is answered, what nobody waits for any more is stopped.
#include "review/internal/ruling_job.h"

#include <atomic>
#include <catch2/catch.hpp>
#include <chrono>
#include <fstream>
#include <iterator>
#include <thread>

#include "course/read.h"
#include "support/test_places.h"

namespace {

using namespace plumbmark;
using review::RulingAnswer;
using review::RulingJob;
using review::RulingQuestion;

std::shared_ptr<const course::CourseBook> sample_book() {
    std::ifstream file((test::source_folder() / "sample_clips/pier-nine.course").string(), std::ios::binary);
    course::ReadBook read = course::read_book(std::string(std::istreambuf_iterator<char>(file), {}));
    REQUIRE(read.book);
    return std::make_shared<const course::CourseBook>(std::move(*read.book));
}

/// Touches that may all have come in any order on one clip that nobody watched: more orders than any budget
/// holds.
RulingQuestion question(std::uint64_t number, const std::shared_ptr<const course::CourseBook>& book,
                        int touches) {
    ruling::Evidence evidence;
    ruling::ClipFacts clip;
    clip.name = "camera A";
    for (int i = 0; i < 600; ++i)
        clip.frame_times.push_back(base::Time{i * 40'000'000LL});
    evidence.clips.push_back(clip);
    for (int i = 0; i < touches; ++i) {
        ruling::Mark mark;
        mark.id = ruling::MarkId{i + 1};
        const auto surfaces = static_cast<std::int64_t>(book->surfaces.size());
        mark.alternatives.push_back(
            ruling::Touch{static_cast<course::Part>(i % 4), course::SurfaceId{i % surfaces}});
        mark.sightings.push_back({ruling::ClipIndex{0}, base::Time{40'000'000LL}, base::Time{400'000'000LL}});
        evidence.marks.push_back(mark);
    }
    return {number, book, std::make_shared<const ruling::Evidence>(evidence)};
}

RulingAnswer answer_of(RulingJob& job) {
    for (;;) {
        if (auto answer = job.take()) return *answer;
        std::this_thread::sleep_for(std::chrono::milliseconds(1));
    }
}

}  // namespace

TEST_CASE("a newer question stops the ruling under way, and only the newest is answered") {
    const auto book = sample_book();
    std::atomic<int> wakes{0};
    RulingJob job([&] { ++wakes; });
    for (std::uint64_t number = 1; number <= 5; ++number) {
        job.ask(question(number, book, 30));
        std::this_thread::sleep_for(std::chrono::milliseconds(20));  // so that it is under way
    }
    job.ask(question(6, book, 2));
    const RulingAnswer answer = answer_of(job);
    CHECK(answer.number == 6);
    CHECK(answer.ruling != nullptr);
    CHECK(wakes <= 1);  // the call comes after the answer
}

TEST_CASE("the end does not wait for a ruling under way") {
    const auto book = sample_book();
    std::atomic<int> wakes{0};
    {
        RulingJob job([&] { ++wakes; });
        job.ask(question(1, book, 30));
        std::this_thread::sleep_for(std::chrono::milliseconds(50));
    }
    // A ruling that ran to its end would have called out, if only to say that it is too tangled.
    CHECK(wakes == 0);
}

TEST_CASE(
    "a ruling is refused as too tangled, stopped, or given; and a question that nobody overtakes is "
    "answered") {
    const auto book = sample_book();
    ruling::Settings small;
    small.budget_states = 2'000;
    const RulingQuestion tangled = question(1, book, 30);
    const auto refused = ruling::rule_run(*tangled.book, *tangled.evidence, small);
    REQUIRE_FALSE(refused.ok());
    CHECK(refused.error().category == base::Category::too_tangled);  // what the two tests above stop
    small.stopped = [] { return true; };
    const auto stopped = ruling::rule_run(*tangled.book, *tangled.evidence, small);
    REQUIRE_FALSE(stopped.ok());
    CHECK(stopped.error().category == base::Category::cancelled);
    RulingJob job({});
    job.ask(question(7, book, 2));
    CHECK(answer_of(job).number == 7);
}
