#include "markup.h"

#include <algorithm>
#include <cctype>

namespace plumbmark::test {
namespace {

const std::set<std::string> kWithoutEnd = {"meta", "br", "img", "link"};

std::string resolved(std::string text) {
    const std::pair<const char*, const char*> references[] = {
        {"&lt;", "<"}, {"&gt;", ">"}, {"&quot;", "\""}, {"&#39;", "'"}, {"&amp;", "&"}};
    for (const auto& [reference, letter] : references)
        for (std::size_t at = 0; (at = text.find(reference, at)) != std::string::npos; ++at)
            text.replace(at, std::string(reference).size(), letter);
    return text;
}

class Reader {
  public:
    explicit Reader(const std::string& html) : html_(html) {}

    Markup read() {
        expect("<!DOCTYPE html>\n");
        while (out_.fault.empty() && at_ < html_.size())
            html_[at_] == '<' ? tag() : words();
        if (out_.fault.empty() && !open_.empty()) out_.fault = "<" + open_.back() + "> stays open";
        return std::move(out_);
    }

  private:
    void fail(const std::string& what) {
        if (out_.fault.empty()) out_.fault = what + " at: " + html_.substr(at_, 80);
    }
    void expect(const std::string& word) {
        if (html_.compare(at_, word.size(), word) != 0) return fail("expected " + word);
        at_ += word.size();
    }

    void words() {
        const std::size_t end = std::min(html_.find('<', at_), html_.size());
        const std::string text = html_.substr(at_, end - at_);
        if (text.find('>') != std::string::npos && (open_.empty() || open_.back() != "style"))
            return fail("a bare '>'");
        out_.text += resolved(text);
        at_ = end;
    }

    std::string name() {
        const std::size_t from = at_;
        while (at_ < html_.size() &&
               (std::isalnum(static_cast<unsigned char>(html_[at_])) || html_[at_] == '-'))
            ++at_;
        return html_.substr(from, at_ - from);
    }

    void tag() {
        ++at_;
        if (html_[at_] == '/') return end_tag();
        const std::string element = name();
        if (element.empty()) return fail("no element's name");
        std::string shape = element;
        while (out_.fault.empty() && html_[at_] == ' ')
            shape += " " + attribute();
        const bool closed = html_[at_] == '/';
        at_ += closed ? 1 : 0;
        expect(">");
        out_.elements.insert(element);
        out_.shape.push_back(shape);
        if (!closed && kWithoutEnd.count(element) == 0) open_.push_back(element);
    }

    void end_tag() {
        ++at_;
        const std::string element = name();
        expect(">");
        if (open_.empty() || open_.back() != element)
            return fail("</" + element + "> closes " +
                        (open_.empty() ? "nothing" : "<" + open_.back() + ">"));
        open_.pop_back();
        out_.shape.push_back("/" + element);
    }

    std::string attribute() {
        ++at_;
        const std::string attribute_name = name();
        expect("=\"");
        const std::size_t end = html_.find('"', at_);
        if (attribute_name.empty() || end == std::string::npos) {
            fail("an attribute without name or end");
            return {};
        }
        const std::string value = html_.substr(at_, end - at_);
        if (value.find('<') != std::string::npos) fail("a bare '<' in an attribute");
        out_.attributes.emplace_back(attribute_name, resolved(value));
        at_ = end + 1;
        return attribute_name;
    }

    const std::string& html_;
    std::size_t at_ = 0;
    std::vector<std::string> open_;
    Markup out_;
};

}  // namespace

Markup read_markup(const std::string& html) {
    return Reader(html).read();
}

std::vector<std::uint8_t> bytes_of_base64(const std::string& text) {
    static const std::string kLetters = "ABCDEFGHIJKLMNOPQRSTUVWXYZabcdefghijklmnopqrstuvwxyz0123456789+/";
    std::vector<std::uint8_t> out;
    std::uint32_t bits = 0;
    int have = 0;
    for (const char letter : text) {
        const std::size_t value = kLetters.find(letter);
        if (value == std::string::npos) break;
        bits = (bits << 6) | static_cast<std::uint32_t>(value);
        have += 6;
        if (have >= 8) out.push_back(static_cast<std::uint8_t>((bits >> (have -= 8)) & 0xFF));
    }
    return out;
}

}  // namespace plumbmark::test
