// Words on the desk: in the atlas' type where it has the letters, else as a picture that shapes any script.
#pragma once

#include <map>
#include <string>
#include <string_view>
#include <tuple>
#include <vector>

#include "desk/internal/gui.h"
#include "desk/internal/textures.h"

namespace plumbmark::desk {

/// UI thread only. All positions are top left corners of a line as high as line_height().
class Words {
  public:
    /// Width of one line.
    float width(ImFont* font, std::string_view text);
    void draw(ImDrawList* list, ImFont* font, ImVec2 at, Colour colour, std::string_view text);
    /// Breaks into lines at spaces; returns the height used. 'list' null: measures only.
    float draw_wrapped(ImDrawList* list, ImFont* font, ImVec2 at, float width, Colour colour,
                       std::string_view text);
    /// Some of it needs a picture: letters that the type lacks, or a script that is shaped.
    [[nodiscard]] bool needs_pictures(ImFont* font, std::string_view text);
    /// The text, cut with '…' where it is wider than this.
    std::string fitted(ImFont* font, std::string_view text, float width);
    [[nodiscard]] static float line_height(const ImFont* font) { return font->FontSize * 1.36F; }
    /// Forgets the pictures (when the scale changes).
    void forget() { pictures_.clear(); }

  private:
    struct Piece {
        std::string_view text;
        bool pictured = false;
        float width = 0;
    };
    struct Drawn {
        Texture texture;
        float width = 0, height = 0;
    };
    std::vector<Piece> pieces(ImFont* font, std::string_view text);
    /// With words that are wider than a line cut into parts that are not.
    static std::vector<Piece> broken(ImFont* font, const std::vector<Piece>& whole, float width);
    float piece_width(ImFont* font, const Piece& piece);
    void draw_piece(ImDrawList* list, ImFont* font, ImVec2 at, Colour colour, const Piece& piece);
    const Drawn& picture(ImFont* font, Colour colour, std::string_view text);

    std::map<std::tuple<std::string, float, std::uint32_t>, Drawn, std::less<>> pictures_;
};

}  // namespace plumbmark::desk
