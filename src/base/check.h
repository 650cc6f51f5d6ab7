// Broken invariants of our own stop the program, in release builds too: a wrong ruling is worse than none.
#pragma once

namespace plumbmark::base {

/// Writes "file:line: broken invariant: condition" to standard error and aborts.
[[noreturn]] void broken_invariant(const char* file, int line, const char* condition);

}  // namespace plumbmark::base

/// Stops the program when the condition does not hold. An expression, so that it can stand in a return
/// statement.
#define PLUMBMARK_CHECK(condition) \
    ((condition) ? static_cast<void>(0) : ::plumbmark::base::broken_invariant(__FILE__, __LINE__, #condition))
