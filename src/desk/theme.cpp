#include "desk/theme.h"

#include <algorithm>
#include <cmath>

#include "base/catalogue.h"
namespace plumbmark::desk {
namespace {

double linear(std::uint8_t code) {
    const double v = code / 255.0;
    return v <= 0.04045 ? v / 12.92 : std::pow((v + 0.055) / 1.055, 2.4);
}

double luminance(Colour c) {
    return 0.2126 * linear(c.r) + 0.7152 * linear(c.g) + 0.0722 * linear(c.b);
}

Palette dark() {
    Palette p;
    p.ground = rgb(0x141517);
    p.bar = rgb(0x17181A);
    p.picture = rgb(0x1E1F21);
    p.strip = rgb(0x1C1D20);
    p.row = rgb(0x25272A);
    p.segment = rgb(0x35383C);
    p.line = rgb(0x3A3D41);
    p.ink = rgb(0xF0F0EE);
    p.soft = rgb(0xB4B6BA);
    p.key = rgb(0x3A3D42);
    p.chosen = rgb(0xFFFFFF);
    p.playhead = rgb(0xFFFFFF);
    p.displayed = rgb(0x4C5358);
    p.vouched = rgb(0x8FA3AE);
    p.paper = rgb(0xF3F0E9);
    p.paper_card = rgb(0xFFFFFF);
    p.paper_offer = rgb(0xFFF5DC);
    p.paper_focus = rgb(0xFCFBF7);
    p.paper_line = rgb(0xCFC9BC);
    p.paper_ink = rgb(0x23211D);
    p.paper_soft = rgb(0x5F5B52);
    p.paper_key = rgb(0xFFFFFF);
    p.label = rgb(0x141517);
    p.label_ink = rgb(0xF0F0EE);
    p.float_ground = rgb(0x26282B);
    p.float_line = rgb(0x5A5E64);
    p.trouble = kVermilion;
    p.outline = rgb(0xE8E8E6);
    return p;
}

Palette light() {
    Palette p = dark();
    p.ground = rgb(0xD6D7D9);
    p.bar = rgb(0xF4F4F3);
    p.picture = rgb(0xC4C6C8);
    p.strip = rgb(0xECEDED);
    p.row = rgb(0xDFE1E2);
    p.segment = rgb(0xCDD1D4);
    p.line = rgb(0xBFC3C6);
    p.ink = rgb(0x1B1C1E);
    p.soft = rgb(0x4A4D51);
    p.key = rgb(0xFFFFFF);
    p.chosen = rgb(0x000000);
    p.playhead = rgb(0x000000);
    p.displayed = rgb(0xA9B4BB);
    p.vouched = rgb(0x3F5A69);
    p.paper = rgb(0xFBFAF7);
    p.paper_focus = rgb(0xF1EEE6);
    p.paper_offer = rgb(0xFFF0C9);
    p.paper_soft = rgb(0x57534B);
    p.label = rgb(0xF4F4F3);
    p.label_ink = rgb(0x1B1C1E);
    p.float_ground = rgb(0xFFFFFF);
    p.float_line = rgb(0x8A8E92);
    p.outline = rgb(0x2A2B2D);
    return p;
}

Palette high_contrast() {
    Palette p;
    const Colour black = rgb(0x000000), white = rgb(0xFFFFFF);
    p.ground = p.bar = p.picture = p.strip = black;
    p.row = rgb(0x141414);
    p.segment = rgb(0x2A2A2A);
    p.line = rgb(0x8A8A8A);
    p.ink = p.soft = white;
    p.key = rgb(0x1E1E1E);
    p.chosen = rgb(0xFFFF00);
    p.playhead = white;
    p.displayed = rgb(0x6A6A6A);
    p.vouched = white;
    p.paper = p.paper_card = p.paper_offer = black;
    p.paper_focus = rgb(0x1E1E1E);
    p.paper_line = white;
    p.paper_ink = p.paper_soft = white;
    p.paper_key = rgb(0x2A2A2A);
    p.label = black;
    p.label_ink = white;
    p.float_ground = black;
    p.float_line = white;
    p.trouble = kVermilion;
    p.outline = white;
    return p;
}

}  // namespace

double contrast(Colour a, Colour b) {
    const double first = luminance(a), second = luminance(b);
    return (std::max(first, second) + 0.05) / (std::min(first, second) + 0.05);
}

Colour blended(Colour over, Colour ground) {
    const auto mix = [&](std::uint8_t top, std::uint8_t below) {
        return static_cast<std::uint8_t>((top * over.a + below * (255 - over.a) + 127) / 255);
    };
    return {mix(over.r, ground.r), mix(over.g, ground.g), mix(over.b, ground.b), 255};
}

const char* theme_words(Theme theme) {
    switch (theme) {
        case Theme::dark:
            return base::to_translate("dark");
        case Theme::light:
            return base::to_translate("light");
        case Theme::high_contrast:
            return base::to_translate("high contrast");
    }
    return "";
}

const Palette& palette(Theme theme) {
    static const std::array<Palette, 3> all{dark(), light(), high_contrast()};
    return all[static_cast<std::size_t>(theme)];
}

Colour verdict_colour(ruling::Verdict verdict) {
    switch (verdict) {
        case ruling::Verdict::clear:
            return kBluishGreen;
        case ruling::Verdict::fail:
            return kVermilion;
        case ruling::Verdict::not_shown:
            return kOrange;
        case ruling::Verdict::not_reached:
            return kGrey;
    }
    return kGrey;
}

Colour part_colour(course::Part part) {
    switch (part) {
        case course::Part::left_hand:
            return rgb(0x56B4E9);
        case course::Part::right_hand:
            return rgb(0xCC79A7);
        case course::Part::left_foot:
            return rgb(0x0072B2);
        case course::Part::right_foot:
            return rgb(0x8E4585);
        case course::Part::other:
            return rgb(0x999999);
        case course::Part::loose:
            return rgb(0x777777);
    }
    return kGrey;
}

bool needs_outline(Colour fill, Colour ground) {
    return contrast(fill, ground) < 3.0;
}

std::vector<InkPair> ink_pairs(const Palette& p) {
    std::vector<InkPair> pairs;
    const struct {
        const char* name;
        Colour ground;
    } desk[] = {{"ground", p.ground}, {"bar", p.bar},           {"picture", p.picture},
                {"strip", p.strip},   {"row", p.row},           {"segment", p.segment},
                {"key", p.key},       {"float", p.float_ground}},
      paper[] = {{"paper", p.paper},
                 {"card", p.paper_card},
                 {"offer", p.paper_offer},
                 {"focus", p.paper_focus},
                 {"paper key", p.paper_key}};
    for (const auto& [name, ground] : desk) {
        pairs.push_back({std::string("ink on ") + name, p.ink, ground});
        pairs.push_back({std::string("soft on ") + name, p.soft, ground});
    }
    for (const auto& [name, ground] : paper) {
        pairs.push_back({std::string("paper ink on ") + name, p.paper_ink, ground});
        pairs.push_back({std::string("paper soft on ") + name, p.paper_soft, ground});
    }
    pairs.push_back({"label ink on label", p.label_ink, p.label});
    return pairs;
}

}  // namespace plumbmark::desk
