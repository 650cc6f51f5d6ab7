// What ruling a review takes: part of the promise, since a review beyond the budget is refused. Held against
// the ledger tests/ruling/work-ledger.txt.
#include "ruling/work_ledger.h"

#include <catch2/catch.hpp>
#include <fstream>
#include <iostream>
#include <set>

using namespace plumbmark;
using namespace plumbmark::test;

TEST_CASE("no review takes more states, zones or steps than the ledger of work says", "[work]") {
    const WorkDifference difference = compare_with_ledger();
    for (const std::string& more : difference.more)
        FAIL_CHECK("more work than before: " << more);
    if (difference.fewer.empty()) return;
    std::cout << difference.fewer.size()
              << " reviews take less work than the ledger says; after a look at why, write it anew with "
                 "test-ruling \"[write-work-ledger]\". The first: "
              << difference.fewer.front() << "\n";
}

TEST_CASE("the ledger of work has every rule case that is ruled, and many random reviews", "[work]") {
    std::set<std::string> listed;
    std::size_t random = 0;
    for (const LedgerEntry& entry : read_ledger()) {
        CHECK(listed.insert(entry.name).second);
        random += entry.name.rfind("seed ", 0) == 0 ? 1 : 0;
    }
    CHECK(random >= 300);
    for (const WorkReview& review : work_reviews()) {
        if (review.name.rfind("seed ", 0) == 0 || listed.count(review.name) != 0) continue;
        INFO(review.name << ": after a new case, test-ruling \"[write-work-ledger]\"");
        CHECK_FALSE(review.rule().ok());
    }
}

TEST_CASE("the ledger of work is written anew", "[.write-work-ledger]") {
    std::ofstream stream(ledger_path(), std::ios::binary);
    stream << "# What ruling each review takes; see work_ledger.h. More than this fails a test. Written by\n"
              "# test-ruling \"[write-work-ledger]\".\n";
    for (const WorkReview& review : work_reviews()) {
        const auto ruled = review.rule();
        if (ruled.ok()) stream << ledger_line(review.name, ruled->work) << "\n";
    }
    CHECK(stream.flush().good());
}
