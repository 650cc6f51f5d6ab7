#include "mutants/find.h"

#include <algorithm>
#include <array>
#include <set>

#include "mutants/tokens.h"

namespace plumbmark::mutants {
namespace {

using Words = std::set<std::string_view>;

const Words kComparisons{"<", "<=", ">", ">=", "==", "!="};
const Words kAssignments{"=", "+=", "-=", "*=", "/=", "%=", "&=", "|=", "^=", "<<=", ">>="};
// What ends an expression on its left, beside an opening bracket.
const Words kBefore{",", ";", "return", "?", ":", "co_return", "else", "do", "throw", "case"};
const Words kAfter{",", ";", "?", ":"};
// Standard algorithms whose lambda answers yes or no.
const Words kAsking{"any_of",   "all_of",    "none_of",   "count_if",         "find_if",
                    "erase_if", "remove_if", "partition", "stable_partition", "find_if_not"};

/// Tokens from 'first' to before 'last'.
struct Range {
    std::size_t first = 0;
    std::size_t last = 0;
    friend bool operator==(const Range&, const Range&) = default;
};

/// Text to be put into the source at an offset. Around one place, what belongs to the wider range stands
/// further out.
struct Edit {
    std::size_t at = 0;
    bool closing = false;
    std::size_t width = 0;
    int number = 0;
    std::string text;
    std::size_t replaces = 0;
};

class Finder {
  public:
    Finder(std::string_view source, int first) : source_(source), tokens_(tokens_of(source)), next_(first) {}

    Mutated find() {
        for (std::size_t i = 0; i < tokens_.size(); ++i) {
            const Token& token = tokens_[i];
            if (token.is("if") || token.is("while")) condition(i);
            if (token.is("?") && token.between()) chosen(i);
            if ((token.is("&&") || token.is("||")) && token.between()) operands(i);
            if (kComparisons.count(token.text) != 0 && token.between()) comparison(i);
            if (token.is("return")) returned(i);
            if ((token.is("+") || token.is("-")) && token.between()) one_more(i);
        }
        return {applied(), std::move(mutants_)};
    }

  private:
    // --- what the mutants are ---

    void condition(std::size_t keyword) {
        const std::size_t open = keyword + 1;
        if (open >= tokens_.size() || !tokens_[open].is("(")) return;  // if constexpr
        Range range{open + 1, tokens_[open].partner};
        for (std::size_t i = range.first; i < range.last; i = after(i)) {
            if (tokens_[i].is(";")) range.first = i + 1;
        }
        turn_round(range, std::string(tokens_[keyword].text) + " turned round");
    }
    void chosen(std::size_t question) {
        turn_round({left_of(question, kBefore), question}, "condition of ?: turned round");
    }
    void returned(std::size_t keyword) {
        std::size_t last = keyword + 1;
        while (!tokens_[last].is(";"))
            last = after(last);
        const Range range{keyword + 1, last};
        if (range.first < range.last && returns_bool(keyword)) turn_round(range, "result turned round");
    }
    void turn_round(Range range, const std::string& what) {
        if (range.first >= range.last || declares(range) || is_one_equality(range)) return;
        wrap(range, "(plumbmark_mutant(#) != static_cast<bool>(", "))", what);
    }

    void operands(std::size_t op) {
        const bool conjunction = tokens_[op].is("&&");
        Words stop_left = kBefore;
        Words stop_right = kAfter;
        stop_left.insert("||");
        stop_right.insert("||");
        if (conjunction) {
            stop_left.insert("&&");
            stop_right.insert("&&");
        }
        left_out({left_of(op, stop_left), op}, conjunction);
        left_out({op + 1, right_of(op, stop_right)}, conjunction);
    }
    void left_out(Range range, bool conjunction) {
        if (std::find(wrapped_.begin(), wrapped_.end(), range) != wrapped_.end()) return;
        wrapped_.push_back(range);
        if (conjunction)
            wrap(range, "(plumbmark_mutant(#) || (", "))", "operand of && left out");
        else
            wrap(range, "(!plumbmark_mutant(#) && (", "))", "operand of || left out");
    }

    void comparison(std::size_t op) {
        const std::string sign(tokens_[op].text);
        const std::string what =
            sign == "==" || sign == "!=" ? sign + " turned round" : sign + " with the other end";
        Words stop_left = kBefore;
        Words stop_right = kAfter;
        for (const std::string_view each : {"&&", "||"}) {
            stop_left.insert(each);
            stop_right.insert(each);
        }
        add_mutant(op, {left_of(op, stop_left), right_of(op, stop_right)}, what);
        edits_.push_back({tokens_[op].end(), false, 0, next_,
                          " PlumbmarkCompare{" + std::to_string(next_) + "} " + sign, 0});
        ++next_;
    }

    void one_more(std::size_t op) {
        const Token& literal = tokens_[op + 1];
        if (!literal.is("1") && !literal.is("1U")) return;
        if (is_of_constant(op)) return;
        add_mutant(op, {left_of(op, kBefore), op + 2}, std::string(tokens_[op].text) + " 1 left out");
        const std::string zero = literal.is("1") ? "0" : "0U";
        edits_.push_back({literal.at, false, 0, next_,
                          "(plumbmark_mutant(" + std::to_string(next_) + ") ? " + zero + " : " +
                              std::string(literal.text) + ")",
                          literal.text.size()});
        ++next_;
    }

    // --- finding one's way ---

    /// The next token after this one, or after what it opens.
    [[nodiscard]] std::size_t after(std::size_t i) const {
        const std::size_t partner = tokens_[i].partner;
        return (partner != kNone && partner > i ? partner : i) + 1;
    }
    [[nodiscard]] bool stops(const Token& token, const Words& stop) const {
        return stop.count(token.text) != 0 || kAssignments.count(token.text) != 0;
    }
    /// The first token of the expression that ends before 'i'.
    [[nodiscard]] std::size_t left_of(std::size_t i, const Words& stop) const {
        while (i > 0) {
            const std::size_t partner = tokens_[i - 1].partner;
            if (partner != kNone && partner >= i) break;  // an opening bracket
            if (stops(tokens_[i - 1], stop)) break;
            if (tokens_[i - 1].is("}") && partner != kNone && !ends_value(partner)) break;
            i = partner != kNone ? partner : i - 1;
        }
        return i;
    }
    /// Whether this brace belongs to a value (T{...}, or a lambda) and not to a block of statements.
    [[nodiscard]] bool ends_value(std::size_t brace) const {
        return brace > 0 && (tokens_[brace - 1].is_word() || tokens_[brace - 1].is(">"));
    }
    [[nodiscard]] std::size_t right_of(std::size_t i, const Words& stop) const {
        for (++i; i < tokens_.size(); i = after(i)) {
            const std::size_t partner = tokens_[i].partner;
            if (partner != kNone && partner < i) break;  // a closing bracket
            if (stops(tokens_[i], stop)) break;
        }
        return i;
    }
    /// Whether the statement gives a constant its value, which no switch can reach.
    [[nodiscard]] bool is_of_constant(std::size_t i) const {
        while (i > 0 && !tokens_[i - 1].is(";") && !tokens_[i - 1].is("{") && !tokens_[i - 1].is("}"))
            --i;
        return tokens_[i].is("constexpr") || (tokens_[i].is("inline") && tokens_[i + 1].is("constexpr"));
    }
    [[nodiscard]] bool declares(Range range) const {
        for (std::size_t i = range.first; i < range.last; i = after(i)) {
            if (tokens_[i].is("=")) return true;
        }
        return false;
    }
    /// Such a one has a mutant of its own that says the same.
    [[nodiscard]] bool is_one_equality(Range range) const {
        int equalities = 0;
        for (std::size_t i = range.first; i < range.last; i = after(i)) {
            const Token& token = tokens_[i];
            if (token.is("&&") || token.is("||") || token.is("?")) return false;
            if ((token.is("==") || token.is("!=")) && token.between()) ++equalities;
        }
        return equalities == 1;
    }

    [[nodiscard]] bool returns_bool(std::size_t keyword) const {
        const std::size_t body = body_around(keyword);
        if (body == kNone) return false;
        std::size_t i = body - 1;
        while (tokens_[i].is("const") || tokens_[i].is("noexcept") || tokens_[i].is("mutable"))
            --i;
        if (tokens_[i].is("bool") && tokens_[i - 1].is("->")) return true;
        if (tokens_[i].is("]")) return asks(tokens_[i].partner);
        if (!tokens_[i].is(")")) return false;
        std::size_t before = tokens_[i].partner - 1;
        if (tokens_[before].is("]")) return asks(tokens_[before].partner);
        // A function: its name, its class, and before these its result.
        while (before > 0 && (tokens_[before].is_word() || tokens_[before].is("::")) &&
               !tokens_[before].is("bool"))
            --before;
        return tokens_[before].is("bool");
    }
    /// Whether a lambda is handed to an algorithm that asks it.
    [[nodiscard]] bool asks(std::size_t lambda) const {
        for (std::size_t i = lambda; i-- > 0;) {
            const std::size_t partner = tokens_[i].partner;
            if (partner != kNone && partner < i) {
                i = partner;
            } else if (tokens_[i].is("(")) {
                return i > 0 && kAsking.count(tokens_[i - 1].text) != 0;
            } else if (tokens_[i].is(";") || tokens_[i].is("{")) {
                return false;
            }
        }
        return false;
    }
    /// The brace that opens the function or lambda around this token.
    [[nodiscard]] std::size_t body_around(std::size_t i) const {
        static const Words kBlocks{"if", "for", "while", "switch", "catch"};
        while (i-- > 0) {
            const std::size_t partner = tokens_[i].partner;
            if (partner != kNone && partner < i) {
                i = partner;
                continue;
            }
            if (!tokens_[i].is("{") || i == 0) continue;
            const Token& before = tokens_[i - 1];
            if (before.is("else") || before.is("do") || before.is("try") || before.is(":") ||
                before.is(";") || before.is("{") || before.is("}"))
                continue;
            const bool block =
                before.is(")") && before.partner > 0 && kBlocks.count(tokens_[before.partner - 1].text) != 0;
            if (!block) return i;
        }
        return kNone;
    }

    // --- writing it down ---

    [[nodiscard]] std::string text_of(Range range) const {
        const std::size_t from = tokens_[range.first].at;
        std::string text(source_.substr(from, tokens_[range.last - 1].end() - from));
        std::string on_one_line;
        for (const char c : text) {
            const char shown = c == '\n' || c == '\t' ? ' ' : c;
            if (shown != ' ' || on_one_line.empty() || on_one_line.back() != ' ') on_one_line += shown;
        }
        return on_one_line;
    }
    void add_mutant(std::size_t token, Range range, const std::string& what) {
        mutants_.push_back({next_, tokens_[token].line, what, text_of(range)});
    }
    void wrap(Range range, std::string before, const std::string& behind, const std::string& what) {
        add_mutant(range.first, range, what);
        before.replace(before.find('#'), 1, std::to_string(next_));
        const std::size_t from = tokens_[range.first].at;
        const std::size_t to = tokens_[range.last - 1].end();
        edits_.push_back({from, false, to - from, next_, before, 0});
        edits_.push_back({to, true, to - from, next_, behind, 0});
        ++next_;
    }
    [[nodiscard]] std::string applied() {
        std::sort(edits_.begin(), edits_.end(), [](const Edit& a, const Edit& b) {
            if (a.at != b.at) return a.at < b.at;
            if (a.closing != b.closing) return a.closing;
            if (a.width != b.width) return a.closing ? a.width < b.width : a.width > b.width;
            return a.closing ? a.number > b.number : a.number < b.number;
        });
        std::string made;
        std::size_t at = 0;
        for (const Edit& edit : edits_) {
            made += source_.substr(at, edit.at - at);
            made += edit.text;
            at = edit.at + edit.replaces;
        }
        made += source_.substr(at);
        return made;
    }

    std::string_view source_;
    std::vector<Token> tokens_;
    int next_;
    std::vector<Mutant> mutants_;
    std::vector<Range> wrapped_;
    std::vector<Edit> edits_;
};

}  // namespace

Mutated mutate(std::string_view source, int first) {
    return Finder(source, first).find();
}

}  // namespace plumbmark::mutants
