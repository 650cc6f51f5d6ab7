#include "base/internal/plural_rule.h"

#include <array>
#include <cctype>
#include <charconv>
#include <optional>

namespace plumbmark::base {
namespace {

enum Kind : int {
    number_kind,
    n_kind,
    not_kind,
    choice_kind,
    or_kind,
    and_kind,
    equal_kind,
    unequal_kind,
    at_most_kind,
    at_least_kind,
    less_kind,
    more_kind,
    plus_kind,
    minus_kind,
    times_kind,
    over_kind,
    rest_kind
};

struct Operator {
    std::string_view sign;
    Kind kind;
    int level;  ///< how tightly it binds: C's order
};
/// Two letters before one, or '<=' would be read as '<'.
constexpr std::array kOperators{
    Operator{"||", or_kind, 1},      Operator{"&&", and_kind, 2},     Operator{"==", equal_kind, 3},
    Operator{"!=", unequal_kind, 3}, Operator{"<=", at_most_kind, 4}, Operator{">=", at_least_kind, 4},
    Operator{"<", less_kind, 4},     Operator{">", more_kind, 4},     Operator{"+", plus_kind, 5},
    Operator{"-", minus_kind, 5},    Operator{"*", times_kind, 6},    Operator{"/", over_kind, 6},
    Operator{"%", rest_kind, 6}};

constexpr int kDeepest = 100;  ///< parentheses within each other; real rules have three
constexpr std::size_t kMostForms = 16;

std::string_view after_word(std::string_view line, std::string_view word) {
    const auto at = line.find(word);
    return at == std::string_view::npos ? std::string_view() : line.substr(at + word.size());
}

}  // namespace

/// Reads the expression by its levels. Every function gives a node, or none where it cannot be read.
class PluralReader {
  public:
    PluralReader(std::string_view text, std::vector<PluralRule::Node>& nodes) : text_(text), nodes_(nodes) {}

    std::optional<int> whole() {
        const auto node = choice();
        skip();
        return node && (text_.empty() || text_.front() == ';') ? node : std::nullopt;
    }

  private:
    int add(PluralRule::Node node) {
        nodes_.push_back(node);
        return static_cast<int>(nodes_.size()) - 1;
    }
    void skip() {
        while (!text_.empty() && std::isspace(static_cast<unsigned char>(text_.front())))
            text_.remove_prefix(1);
    }
    bool take(std::string_view sign) {
        skip();
        if (!text_.starts_with(sign)) return false;
        text_.remove_prefix(sign.size());
        return true;
    }

    std::optional<int> choice() {
        if (++depth_ > kDeepest) return std::nullopt;
        const auto condition = binary(1);
        std::optional<int> result = condition;
        if (condition && take("?")) {
            const auto yes = choice();
            if (!yes || !take(":")) return std::nullopt;
            const auto no = choice();
            if (!no) return std::nullopt;
            result = add({choice_kind, 0, *condition, *yes, *no});
        }
        --depth_;
        return result;
    }

    std::optional<int> binary(int level) {
        if (level > 6) return single();
        auto left = binary(level + 1);
        while (left) {
            const Operator* found = nullptr;
            for (const Operator& one : kOperators)
                if (one.level == level && take(one.sign)) {
                    found = &one;
                    break;
                }
            if (found == nullptr) return left;
            const auto right = binary(level + 1);
            if (!right) return std::nullopt;
            left = add({found->kind, 0, *left, *right});
        }
        return left;
    }

    std::optional<int> single() {
        skip();
        if (take("!")) {
            if (++depth_ > kDeepest) return std::nullopt;
            const auto inner = single();
            --depth_;
            return inner ? std::optional(add({not_kind, 0, *inner})) : std::nullopt;
        }
        if (take("(")) {
            const auto inner = choice();
            return inner && take(")") ? inner : std::nullopt;
        }
        if (take("n")) return add({n_kind});
        std::uint64_t number = 0;
        const auto [end, problem] = std::from_chars(text_.data(), text_.data() + text_.size(), number);
        if (problem != std::errc()) return std::nullopt;
        text_.remove_prefix(static_cast<std::size_t>(end - text_.data()));
        return add({number_kind, number});
    }

    std::string_view text_;
    std::vector<PluralRule::Node>& nodes_;
    int depth_ = 0;
};

PluralRule::PluralRule() : PluralRule("nplurals=2; plural=(n != 1);") {}

PluralRule::PluralRule(std::string_view line) {
    const std::string_view count = after_word(line, "nplurals=");
    std::size_t forms = 0;
    (void)std::from_chars(count.data(), count.data() + count.size(), forms);
    const auto root = PluralReader(after_word(count, "plural="), nodes_).whole();
    if (root && forms >= 1 && forms <= kMostForms) {
        root_ = *root;
        forms_ = forms;
    }
}

std::size_t PluralRule::form(std::uint64_t n) const {
    if (root_ < 0) return n == 1 ? 0 : 1;
    const std::uint64_t form = value(root_, n);
    return form < forms_ ? static_cast<std::size_t>(form) : 0;
}

std::uint64_t PluralRule::value(int node, std::uint64_t n) const {
    const Node& now = nodes_[static_cast<std::size_t>(node)];
    const auto a = [&] { return value(now.a, n); };
    const auto b = [&] { return value(now.b, n); };
    switch (now.kind) {
        case number_kind:
            return now.number;
        case n_kind:
            return n;
        case not_kind:
            return a() == 0;
        case choice_kind:
            return a() != 0 ? b() : value(now.c, n);
        case or_kind:
            return a() != 0 || b() != 0;
        case and_kind:
            return a() != 0 && b() != 0;
        case equal_kind:
            return a() == b();
        case unequal_kind:
            return a() != b();
        case at_most_kind:
            return a() <= b();
        case at_least_kind:
            return a() >= b();
        case less_kind:
            return a() < b();
        case more_kind:
            return a() > b();
        case plus_kind:
            return a() + b();
        case minus_kind:
            return a() - b();
        case times_kind:
            return a() * b();
        default: {
            const std::uint64_t divisor = b();
            // A rule that divides by zero says nothing; the program goes on.
            if (divisor == 0) return 0;
            return now.kind == over_kind ? a() / divisor : a() % divisor;
        }
    }
}

}  // namespace plumbmark::base
