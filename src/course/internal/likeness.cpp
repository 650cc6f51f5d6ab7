#include "course/internal/likeness.h"

#include <unicode/uchar.h>
#include <unicode/unorm2.h>
#include <unicode/uspoof.h>
#include <unicode/ustring.h>

#include <algorithm>
#include <vector>

#include "base/check.h"
#include "base/text.h"

namespace plumbmark::course::internal {
namespace {

constexpr std::size_t kFewestLetters = 4;

std::u16string as_utf16(std::string_view utf8) {
    std::u16string units;
    for (const char32_t point : base::code_points(utf8)) {
        char16_t pair[U16_MAX_LENGTH];
        int32_t length = 0;
        U16_APPEND_UNSAFE(pair, length, static_cast<UChar32>(point));
        units.append(pair, static_cast<std::size_t>(length));
    }
    return units;
}

// Calls an ICU function of the form (destination, capacity, error) with enough room.
template <class Call>
std::u16string filled(std::size_t room, Call call) {
    std::u16string out(room, u'\0');
    for (;;) {
        UErrorCode error = U_ZERO_ERROR;
        const int32_t length = call(out.data(), static_cast<int32_t>(out.size()), &error);
        const bool too_small = error == U_BUFFER_OVERFLOW_ERROR;
        PLUMBMARK_CHECK(too_small || U_SUCCESS(error));
        out.resize(static_cast<std::size_t>(length));
        if (!too_small) return out;
    }
}

std::u16string normalized(const UNormalizer2* form, const std::u16string& text) {
    return filled(2 * text.size() + 8, [&](char16_t* to, int32_t room, UErrorCode* error) {
        return unorm2_normalize(form, text.data(), static_cast<int32_t>(text.size()), to, room, error);
    });
}

const UNormalizer2* nfkc() {
    UErrorCode error = U_ZERO_ERROR;
    const UNormalizer2* form = unorm2_getNFKCInstance(&error);
    PLUMBMARK_CHECK(U_SUCCESS(error));
    return form;
}

const UNormalizer2* nfkc_casefold() {
    UErrorCode error = U_ZERO_ERROR;
    const UNormalizer2* form = unorm2_getNFKCCasefoldInstance(&error);
    PLUMBMARK_CHECK(U_SUCCESS(error));
    return form;
}

std::u16string skeleton_of(const std::u16string& text) {
    // Never closed: ICU lets any number of threads read one checker, and it lives as long as the program.
    static const USpoofChecker* const kChecker = [] {
        UErrorCode error = U_ZERO_ERROR;
        const USpoofChecker* made = uspoof_open(&error);
        PLUMBMARK_CHECK(U_SUCCESS(error));
        return made;
    }();
    return filled(4 * text.size() + 8, [&](char16_t* to, int32_t room, UErrorCode* error) {
        return uspoof_getSkeleton(kChecker, 0, text.data(), static_cast<int32_t>(text.size()), to, room,
                                  error);
    });
}

bool separates(UChar32 point) {
    return point == '_' || point == '-' || u_isUWhiteSpace(point);
}

// Code points, with one blank for each run of blanks, '_' and '-', and none at the ends.
std::u32string spaced(const std::u16string& units) {
    std::u32string points;
    for (std::size_t i = 0; i < units.size();) {
        UChar32 point = 0;
        U16_NEXT(units.data(), i, units.size(), point);
        if (!separates(point))
            points.push_back(static_cast<char32_t>(point));
        else if (!points.empty() && points.back() != U' ')
            points.push_back(U' ');
    }
    if (!points.empty() && points.back() == U' ') points.pop_back();
    return points;
}

// Whether one insertion, deletion, substitution or swap of neighbours makes b of a (Damerau 1964).
bool one_edit_apart(const std::u32string& a, const std::u32string& b) {
    if (a.size() > b.size()) return one_edit_apart(b, a);
    if (b.size() - a.size() > 1) return false;
    const auto [in_a, in_b] = std::mismatch(a.begin(), a.end(), b.begin());
    if (a.size() < b.size()) return std::equal(in_a, a.end(), in_b + 1);
    if (in_a == a.end()) return false;
    if (std::equal(in_a + 1, a.end(), in_b + 1)) return true;
    return a.end() - in_a >= 2 && *in_a == *(in_b + 1) && *(in_a + 1) == *in_b &&
           std::equal(in_a + 2, a.end(), in_b + 2);
}

bool is_number(char32_t c) {
    return u_getNumericValue(static_cast<UChar32>(c)) != U_NO_NUMERIC_VALUE;
}

enum class Sort { none, letter, number, ideograph };

Sort sort_of(char32_t c) {
    const auto point = static_cast<UChar32>(c);
    if (is_number(c)) return Sort::number;
    if (u_hasBinaryProperty(point, UCHAR_IDEOGRAPHIC)) return Sort::ideograph;
    const bool mark = (U_GET_GC_MASK(point) & U_GC_M_MASK) != 0;
    return mark || u_isalpha(point) ? Sort::letter : Sort::none;
}

// Words, numbers, and ideographs, each of which is a word by itself.
std::vector<std::u32string> pieces_of(const std::u32string& word) {
    std::vector<std::u32string> pieces;
    Sort before = Sort::none;
    for (const char32_t c : word) {
        const Sort now = sort_of(c);
        if (now != Sort::none) {
            if (now != before || now == Sort::ideograph) pieces.emplace_back();
            pieces.back().push_back(c);
        }
        before = now;
    }
    return pieces;
}

bool counts_a_member(const std::u32string& piece) {
    return piece.size() <= 2 || std::all_of(piece.begin(), piece.end(), is_number) ||
           piece.find_first_not_of(U"ivx") == std::u32string::npos;
}

// Whether all in which they differ are the pieces that tell the members of a row apart.
bool members_of_a_row(const std::u32string& a, const std::u32string& b) {
    std::vector<std::u32string> in_a = pieces_of(a);
    std::vector<std::u32string> in_b = pieces_of(b);
    while (!in_a.empty() && !in_b.empty() && in_a.back() == in_b.back()) {
        in_a.pop_back();
        in_b.pop_back();
    }
    const auto [from_a, from_b] = std::mismatch(in_a.begin(), in_a.end(), in_b.begin(), in_b.end());
    return std::all_of(from_a, in_a.end(), counts_a_member) &&
           std::all_of(from_b, in_b.end(), counts_a_member);
}

std::size_t letters_in(const std::u32string& word) {
    return static_cast<std::size_t>(
        std::count_if(word.begin(), word.end(), [](char32_t c) { return c != U' ' && !is_number(c); }));
}

}  // namespace

ComparedWord::ComparedWord(std::string_view utf8) {
    const std::u16string text = as_utf16(utf8);
    folded_ = spaced(normalized(nfkc_casefold(), text));
    skeleton_ = spaced(normalized(nfkc_casefold(), skeleton_of(normalized(nfkc(), text))));
}

Likeness likeness(const ComparedWord& a, const ComparedWord& b) {
    if (a.folded() == b.folded()) return Likeness::same_folded;
    if (a.skeleton() == b.skeleton()) return Likeness::look_same;
    if (!one_edit_apart(a.folded(), b.folded())) return Likeness::none;
    if (std::min(letters_in(a.folded()), letters_in(b.folded())) < kFewestLetters) return Likeness::none;
    return members_of_a_row(a.folded(), b.folded()) ? Likeness::none : Likeness::one_letter;
}

}  // namespace plumbmark::course::internal
