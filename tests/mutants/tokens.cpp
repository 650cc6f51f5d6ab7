#include "mutants/tokens.h"

#include <algorithm>
#include <array>
#include <cctype>
#include <stdexcept>

namespace plumbmark::mutants {
namespace {

bool begins_word(char c) {
    return std::isalpha(static_cast<unsigned char>(c)) != 0 || c == '_';
}
bool in_word(char c) {
    return begins_word(c) || std::isdigit(static_cast<unsigned char>(c)) != 0;
}
bool is_blank(char c) {
    return std::isspace(static_cast<unsigned char>(c)) != 0;
}

// The longest first.
constexpr std::array<std::string_view, 26> kOperators{
    "<=>", "<<=", ">>=", "...", "->*", "::", "->", "++", "--", "<<", ">>", "<=", ">=",
    "==",  "!=",  "&&",  "||",  "+=",  "-=", "*=", "/=", "%=", "&=", "|=", "^=", ".*"};

class Reader {
  public:
    explicit Reader(std::string_view source) : source_(source) {}

    std::vector<Token> read() {
        while (skip())
            take(length());
        return std::move(tokens_);
    }

  private:
    [[nodiscard]] char at(std::size_t ahead) const {
        return next_ + ahead < source_.size() ? source_[next_ + ahead] : '\0';
    }
    void pass(std::size_t count) {
        for (; count > 0 && next_ < source_.size(); --count, ++next_) {
            if (source_[next_] == '\n') ++line_;
        }
    }
    void pass_line() {
        while (next_ < source_.size() && source_[next_] != '\n')
            pass(source_[next_] == '\\' ? 2 : 1);
    }

    // To the next token; false at the end.
    bool skip() {
        while (next_ < source_.size()) {
            if (is_blank(at(0))) {
                blank_ = true;
                pass(1);
            } else if (at(0) == '/' && at(1) == '/') {
                pass_line();
            } else if (at(0) == '/' && at(1) == '*') {
                const std::size_t end = source_.find("*/", next_);
                pass(end == std::string_view::npos ? source_.size() : end + 2 - next_);
            } else if (at(0) == '#') {
                pass_line();
            } else {
                return true;
            }
        }
        return false;
    }

    [[nodiscard]] std::size_t length() const {
        if (at(0) == 'R' && at(1) == '"') return raw_string();
        if (begins_word(at(0))) return run([](char c) { return in_word(c); });
        if (std::isdigit(static_cast<unsigned char>(at(0))) != 0)
            return run([](char c) { return in_word(c) || c == '.' || c == '\''; });
        if (at(0) == '"' || at(0) == '\'') return quoted();
        for (const std::string_view op : kOperators) {
            if (source_.substr(next_, op.size()) == op) return op.size();
        }
        return 1;
    }
    template <class Belongs>
    [[nodiscard]] std::size_t run(Belongs&& belongs) const {
        std::size_t size = 1;
        while (belongs(at(size)))
            ++size;
        return size;
    }
    [[nodiscard]] std::size_t quoted() const {
        std::size_t size = 1;
        while (at(size) != at(0) && at(size) != '\0')
            size += at(size) == '\\' ? 2 : 1;
        return size + 1;
    }
    [[nodiscard]] std::size_t raw_string() const {
        const std::size_t open = source_.find('(', next_);
        const std::string close = ")" + std::string(source_.substr(next_ + 2, open - next_ - 2)) + "\"";
        return source_.find(close, open) + close.size() - next_;
    }

    void take(std::size_t size) {
        Token token;
        token.text = source_.substr(next_, size);
        token.at = next_;
        token.line = line_;
        token.blank_before = blank_;
        pass(size);
        token.blank_after = is_blank(at(0));
        blank_ = false;
        // Two template brackets at once.
        if (token.is(">>") && !token.blank_before) {
            Token first = token;
            first.text = token.text.substr(0, 1);
            first.blank_after = false;
            tokens_.push_back(first);
            token.text = token.text.substr(1);
            ++token.at;
        }
        tokens_.push_back(token);
    }

    std::string_view source_;
    std::size_t next_ = 0;
    int line_ = 1;
    bool blank_ = true;
    std::vector<Token> tokens_;
};

bool opens(const Token& token) {
    return token.is("(") || token.is("[") || token.is("{");
}
bool closes(const Token& token) {
    return token.is(")") || token.is("]") || token.is("}");
}
bool opens_template(const std::vector<Token>& tokens, std::size_t i) {
    return tokens[i].is("<") && i > 0 && !tokens[i].blank_after &&
           (tokens[i - 1].is_word() || tokens[i - 1].is("template"));
}

void match_brackets(std::vector<Token>& tokens) {
    std::vector<std::size_t> open;
    const auto join = [&](std::size_t i) {
        tokens[i].partner = open.back();
        tokens[open.back()].partner = i;
        open.pop_back();
    };
    for (std::size_t i = 0; i < tokens.size(); ++i) {
        if (opens(tokens[i]) || opens_template(tokens, i)) {
            open.push_back(i);
        } else if (tokens[i].is(">") && !open.empty() && tokens[open.back()].is("<")) {
            join(i);
        } else if (closes(tokens[i])) {
            while (!open.empty() && tokens[open.back()].is("<"))
                open.pop_back();  // it was an operator after all
            if (open.empty())
                throw std::runtime_error("line " + std::to_string(tokens[i].line) + ": '" +
                                         std::string(tokens[i].text) + "' closes nothing");
            join(i);
        }
    }
}

}  // namespace

bool Token::is_word() const {
    return !text.empty() && begins_word(text.front());
}

std::vector<Token> tokens_of(std::string_view source) {
    std::vector<Token> tokens = Reader(source).read();
    match_brackets(tokens);
    return tokens;
}

}  // namespace plumbmark::mutants
