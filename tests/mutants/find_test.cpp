// The finder of mutants on small sources, and on the sources of the engine.
#include "mutants/find.h"

#include <catch2/catch.hpp>

using namespace plumbmark::mutants;

namespace {

std::vector<std::string> found(const std::string& source) {
    std::vector<std::string> all;
    for (const Mutant& mutant : mutate(source, 1).mutants)
        all.push_back(mutant.what + ": " + mutant.text);
    return all;
}
using Found = std::vector<std::string>;

}  // namespace

TEST_CASE("a condition is turned round, its comparison has the other end, and operands are left out") {
    CHECK(found("void f() { if (a < b && c) g(); }") ==
          Found{"if turned round: a < b && c", "< with the other end: a < b", "operand of && left out: a < b",
                "operand of && left out: c"});
    CHECK(mutate("void f() { if (a < b && c) g(); }", 7).source ==
          "void f() { if ((plumbmark_mutant(7) != static_cast<bool>((plumbmark_mutant(9) || (a < "
          "PlumbmarkCompare{8} < b)) && (plumbmark_mutant(10) || (c))))) g(); }");
}

TEST_CASE("operands of || reach over &&, and each is left out once") {
    CHECK(found("bool f() { x = a || b && c || d; return x; }") ==
          Found{"operand of || left out: a", "operand of || left out: b && c", "operand of && left out: b",
                "operand of && left out: c", "operand of || left out: d", "result turned round: x"});
}

TEST_CASE("references, templates and shifts are no conditions") {
    CHECK(found("template <class T>\nvoid f(T&& t, std::vector<std::vector<int>>& v) { out << v >> t; }")
              .empty());
    CHECK(found("auto f(int&& a) -> std::array<int, 3> { return {a < b}; }") ==
          Found{"< with the other end: a < b"});
}

TEST_CASE("what is compiled or declared is passed over, and what follows it is not") {
    CHECK(found("void f() { if constexpr (a) g(); }").empty());
    CHECK(found("void f() { if (const auto x = g(); !x) h(); }") == Found{"if turned round: !x"});
    CHECK(found("void f() { if (const auto x = g()) h(); }").empty());
}

TEST_CASE("results are turned round where they are a yes or no") {
    CHECK(found("int f() { return a; }").empty());
    CHECK(found("bool A::f(int a) const { return g(a); }") == Found{"result turned round: g(a)"});
    CHECK(found("int f() { return std::any_of(b, e, [](int i) { return g(i); }); }") ==
          Found{"result turned round: g(i)"});
    CHECK(found("int f() { const auto k = [](int i) { return g(i); }; }").empty());
    CHECK(found("bool f() { return a == b; }") == Found{"== turned round: a == b"});
}

TEST_CASE("one more and one less are left out, and the condition of a choice is turned round") {
    CHECK(found("int f() { return (a ? n + 1 : n - 1U) + 10; }") ==
          Found{"condition of ?: turned round: a", "+ 1 left out: n + 1", "- 1 left out: n - 1U"});
}

TEST_CASE("what a constant is made of cannot be switched, and what a constexpr function says can") {
    CHECK(
        found("int a;\ninline constexpr int kMore = kParts + 1;\nconstexpr int kLess = kMore - 1;").empty());
    CHECK(found("constexpr int next(int n) { return n + 1; }") == Found{"+ 1 left out: n + 1"});
}

TEST_CASE("comments, texts and preprocessor lines hold no conditions") {
    CHECK(found("#if A && B\n// if (a && b)\n/* a < b */ auto s = \"a && b\"; auto r = R\"x(a || b)x\";")
              .empty());
}

TEST_CASE("a bracket without its partner is told with its line") {
    CHECK_THROWS_WITH(mutate("void f() {\n }\n}", 1), Catch::Contains("line 3: '}' closes nothing"));
}
