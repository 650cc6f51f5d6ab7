// A rule case made ready for the parts of the engine, for their own tests.
#pragma once

#include <memory>
#include <string>
#include <utility>

#include "ruling/case_file.h"
#include "ruling/internal/prepared.h"
#include "ruling/internal/roles.h"

namespace plumbmark::test {

struct PreparedCase {
    RuleCase review;
    std::shared_ptr<const ruling::CourseRoles> course;
    ruling::Roles roles;
    ruling::Prepared prepared;

    explicit PreparedCase(RuleCase one)
        : review(std::move(one)),
          course(std::make_shared<const ruling::CourseRoles>(review.book)),
          roles(std::move(ruling::Roles::make(course, review.evidence).value())),
          prepared(std::move(ruling::prepare(roles, review.evidence).value())) {}
    /// The one case of this text.
    explicit PreparedCase(const std::string& text) : PreparedCase(read_cases(text, "text").front()) {}

    [[nodiscard]] ruling::PairIndex pair(course::Part part, const char* surface) const {
        return roles.pair(part, roles.class_of(review.book.find_surface(surface)));
    }
};

}  // namespace plumbmark::test
