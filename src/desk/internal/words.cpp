#include "desk/internal/words.h"

#include <algorithm>
#include <cmath>

#include "base/text.h"
#include "report/text_picture.h"

namespace plumbmark::desk {
namespace {

constexpr std::size_t kMostPictures = 256;

/// The atlas lays glyphs side by side and nothing more: letters it lacks, marks that sit on others, and
/// scripts that join or run from the right need a picture.
bool needs_picture(ImFont* font, std::string_view text) {
    const bool ascii =
        std::all_of(text.begin(), text.end(), [](char c) { return static_cast<unsigned char>(c) < 128; });
    if (ascii) return false;
    for (const char32_t c : base::code_points(text)) {
        if (c >= 0x300 && c <= 0x36F) return true;
        if (!has_glyph(font, c)) return true;
    }
    return false;
}

float plain_width(ImFont* font, std::string_view text) {
    return font->CalcTextSizeA(font->FontSize, FLT_MAX, 0, text.data(), text.data() + text.size()).x;
}

}  // namespace

std::vector<Words::Piece> Words::pieces(ImFont* font, std::string_view text) {
    std::vector<Piece> out;
    std::size_t at = 0;
    while (at < text.size()) {
        const std::size_t end = std::min(text.find_first_of(" \n", at), text.size());
        Piece piece{text.substr(at, end - at), false, 0};
        piece.pictured = needs_picture(font, piece.text);
        // Neighbouring words of one shaped script are one piece, or a line written from the right would be
        // torn apart.
        if (piece.pictured && !out.empty() && out.back().pictured && text[at - 1] == ' ') {
            const auto first = static_cast<std::size_t>(out.back().text.data() - text.data());
            out.back().text = text.substr(first, end - first);
        } else {
            out.push_back(piece);
        }
        if (end < text.size() && text[end] == '\n') out.push_back({text.substr(end, 1), false, 0});
        at = end + 1;
    }
    for (Piece& piece : out)
        piece.width = piece.text == "\n" ? 0 : piece_width(font, piece);
    return out;
}

bool Words::needs_pictures(ImFont* font, std::string_view text) {
    const std::vector<Piece> all = pieces(font, text);
    return std::any_of(all.begin(), all.end(), [](const Piece& piece) { return piece.pictured; });
}

float Words::piece_width(ImFont* font, const Piece& piece) {
    return piece.pictured ? picture(font, Colour{255, 255, 255, 255}, piece.text).width
                          : plain_width(font, piece.text);
}

const Words::Drawn& Words::picture(ImFont* font, Colour colour, std::string_view text) {
    const std::uint32_t packed = ink(colour);
    std::tuple<std::string, float, std::uint32_t> key{std::string(text), font->FontSize, packed};
    if (const auto found = pictures_.find(key); found != pictures_.end()) return found->second;
    if (pictures_.size() >= kMostPictures) pictures_.clear();
    Drawn drawn;
    const auto image =
        report::draw_text(std::string(text), font->FontSize, {colour.r, colour.g, colour.b, colour.a});
    if (image && !image.value().pixels.empty()) {
        drawn.texture = Texture(image.value());
        drawn.width = static_cast<float>(image.value().width);
        drawn.height = static_cast<float>(image.value().height);
    }
    return pictures_.emplace(std::move(key), std::move(drawn)).first->second;
}

void Words::draw_piece(ImDrawList* list, ImFont* font, ImVec2 at, Colour colour, const Piece& piece) {
    const float line = line_height(font);
    if (!piece.pictured) {
        list->AddText(font, font->FontSize,
                      {std::round(at.x), std::round(at.y + (line - font->FontSize) / 2)}, ink(colour),
                      piece.text.data(), piece.text.data() + piece.text.size());
        return;
    }
    const Drawn& drawn = picture(font, colour, piece.text);
    if (drawn.texture.name() == 0) return;
    const ImVec2 from{std::round(at.x), std::round(at.y + (line - drawn.height) / 2)};
    list->AddImage(as_texture(drawn.texture.name()), from, {from.x + drawn.width, from.y + drawn.height});
}

float Words::width(ImFont* font, std::string_view text) {
    const float space = plain_width(font, " ");
    float sum = 0;
    for (const Piece& piece : pieces(font, text))
        sum += piece.width + (sum > 0 ? space : 0);
    return sum;
}

void Words::draw(ImDrawList* list, ImFont* font, ImVec2 at, Colour colour, std::string_view text) {
    const float space = plain_width(font, " ");
    for (const Piece& piece : pieces(font, text)) {
        if (piece.text == "\n") continue;
        draw_piece(list, font, at, colour, piece);
        at.x += piece.width + space;
    }
}

std::vector<Words::Piece> Words::broken(ImFont* font, const std::vector<Piece>& whole, float width) {
    std::vector<Piece> parts;
    for (Piece piece : whole) {
        // A word with a picture of its own is one image; others, like a path or a seal's line, go on below.
        while (!piece.pictured && piece.width > width) {
            const char* end = piece.text.data() + piece.text.size();
            const char* cut = nullptr;
            font->CalcTextSizeA(font->FontSize, width, 0, piece.text.data(), end, &cut);
            const auto taken = static_cast<std::size_t>(cut - piece.text.data());
            if (taken == 0 || taken >= piece.text.size()) break;
            const std::string_view part = piece.text.substr(0, taken);
            parts.push_back({part, false, plain_width(font, part)});
            piece.text.remove_prefix(taken);
            piece.width = plain_width(font, piece.text);
        }
        parts.push_back(piece);
    }
    return parts;
}

float Words::draw_wrapped(ImDrawList* list, ImFont* font, ImVec2 at, float width, Colour colour,
                          std::string_view text) {
    const float space = plain_width(font, " "), line = line_height(font);
    float x = 0, y = 0;
    for (const Piece& piece : broken(font, pieces(font, text), width)) {
        if (piece.text == "\n" || (x > 0 && x + piece.width > width)) {
            x = 0;
            y += line;
        }
        if (piece.text == "\n") continue;
        if (list) draw_piece(list, font, {at.x + x, at.y + y}, colour, piece);
        x += piece.width + space;
    }
    return y + line;
}

std::string Words::fitted(ImFont* font, std::string_view text, float room) {
    if (width(font, text) <= room) return std::string(text);
    const float dots = plain_width(font, "…");
    std::size_t length = text.size();
    while (length > 0) {
        do
            --length;
        while (length > 0 && (static_cast<unsigned char>(text[length]) & 0xC0) == 0x80);
        if (width(font, text.substr(0, length)) + dots <= room) break;
    }
    return std::string(text.substr(0, length)) + "…";
}

}  // namespace plumbmark::desk
