// Ordinary outcomes as values, and broken invariants that stop the program.
#include "base/result.h"

#include <sys/wait.h>
#include <unistd.h>

#include <catch2/catch.hpp>
#include <csignal>
#include <memory>
#include <unordered_set>

#include "base/ids.h"

using namespace plumbmark::base;

namespace {

const Error kGone{Category::not_found, "There is no clip 'near'.", "pier-nine.meet"};

// Runs the action in a child process and tells the signal that ended it; 0 when it ended by itself.
template <class Action>
int signal_of(Action action) {
    const pid_t child = fork();
    REQUIRE(child >= 0);
    if (child == 0) {
        std::signal(SIGABRT, SIG_DFL);  // past the test framework's own handler
        if (freopen("/dev/null", "w", stderr) == nullptr) _exit(3);
        action();
        _exit(0);
    }
    int status = 0;
    REQUIRE(waitpid(child, &status, 0) == child);
    return WIFSIGNALED(status) ? WTERMSIG(status) : 0;
}

}  // namespace

TEST_CASE("a result is a value or an error, and says which") {
    const Result<int> good = 7;
    CHECK(good.ok());
    CHECK(*good == 7);
    const Result<int> bad = kGone;
    CHECK_FALSE(bad.ok());
    CHECK_FALSE(static_cast<bool>(bad));
    CHECK(bad.error() == kGone);
}

TEST_CASE("an error's text has where in front, unless the sentence says it") {
    CHECK(kGone.text() == "pier-nine.meet: There is no clip 'near'.");
    CHECK(Error{Category::io, "The disk is full.", ""}.text() == "The disk is full.");
}

TEST_CASE("a value that can only be moved is moved out of its result") {
    Result<std::unique_ptr<int>> result = std::make_unique<int>(3);
    CHECK(**result == 3);
    const std::unique_ptr<int> taken = std::move(result).value();
    CHECK(*taken == 3);
}

TEST_CASE("a result of an error type is still a value when it was given as one") {
    struct Box {
        Error error;
    };
    const Result<Box> boxed = Box{kGone};
    CHECK(boxed.ok());
    CHECK(boxed.value().error == kGone);
}

TEST_CASE("a result without a value is success or an error") {
    const Result<void> good;
    CHECK(good.ok());
    const Result<void> bad = kGone;
    CHECK_FALSE(bad.ok());
    CHECK(bad.error() == kGone);
}

TEST_CASE("reading a value that is not there stops the program, also in release") {
    const Result<int> bad = kGone;
    CHECK(signal_of([&] { (void)bad.value(); }) == SIGABRT);
    const auto good = std::make_unique<Result<int>>(1);
    CHECK(signal_of([&] { (void)good->error(); }) == SIGABRT);
    CHECK(signal_of([&] { (void)Result<void>().error(); }) == SIGABRT);
    CHECK(signal_of([&] { (void)good->value(); }) == 0);
}

TEST_CASE("ids of one kind compare and hash by their value, and minus one is none") {
    using CrateId = Id<struct CrateTag>;
    CHECK_FALSE(CrateId{}.valid());
    CHECK(CrateId{0}.valid());
    CHECK(CrateId{1} < CrateId{2});
    const std::unordered_set<CrateId> set{CrateId{1}, CrateId{1}, CrateId{2}};
    CHECK(set.size() == 2);
}
