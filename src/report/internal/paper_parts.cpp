#include "report/internal/paper_parts.h"

#include "report/internal/plain.h"

namespace plumbmark::report::paper {
namespace {

std::vector<Block> head_side(const HeadSide& side, bool right) {
    std::vector<std::string> names;
    for (const std::string& name : side.names)
        names.push_back(isolated(name));
    Paragraph strong{Style::note, {{isolated(side.strong), true}}};
    Paragraph under{Style::note, {{joined_names(names, " · ")}}};
    strong.right = under.right = right;
    return {{std::move(strong)}, {std::move(under)}};
}

}  // namespace

Sign sign_of(ruling::Verdict verdict) {
    switch (verdict) {
        case ruling::Verdict::clear:
            return Sign::disc;
        case ruling::Verdict::fail:
            return Sign::square;
        case ruling::Verdict::not_shown:
            return Sign::diamond;
        case ruling::Verdict::not_reached:
            break;
    }
    return Sign::dash;
}

Block text_block(Style style, std::vector<Words> words, double above) {
    Paragraph paragraph{style, std::move(words)};
    return {std::move(paragraph), above};
}

Block heading(std::string words) {
    return text_block(Style::heading, {{std::move(words)}}, 8);
}

std::vector<Block> head(const HeadSide& left, const HeadSide& right) {
    Beside sides;
    sides.columns = {head_side(left, false), head_side(right, true)};
    sides.shares = {1, 1};
    return {{std::move(sides)}, {Line{}, 3}};
}

std::string joined_names(const std::vector<std::string>& names, const char* between) {
    std::string out;
    for (const std::string& name : names)
        if (!name.empty()) out += (out.empty() ? "" : between) + name;
    return out;
}

}  // namespace plumbmark::report::paper
