// What lies over the desk for a moment: all keys, lists, a line to write on, messages, and the empty desk.
#include <fmt/format.h>

#include <algorithm>
#include <cmath>

#include "desk/internal/panels.h"
#include "desk/internal/say.h"

namespace plumbmark::desk {
namespace {

void begin_page(const char* id, const Look& look, const Box& box) {
    begin_float(id, box, look.colours->float_ground);
    ImGui::GetWindowDrawList()->AddRect(top_left(box), bottom_right(box), ink(look.colours->float_line),
                                        look.unit(4), 0, std::max(1.0F, look.unit(1.5F)));
}

/// Darkens what lies below and keeps clicks from it.
void shade(const Box& box, int alpha) {
    begin_float("shade", box, rgb(0x000000, static_cast<std::uint8_t>(alpha)));
    ImGui::End();
}

Box centred(const Box& within, float w, float h) {
    w = std::min(w, within.w * 0.96F);
    h = std::min(h, within.h * 0.94F);
    return {within.x + (within.w - w) / 2, within.y + (within.h - h) / 2, w, h};
}

}  // namespace

void draw_empty(const Look& look, const Keymap& keys, const Box& box, bool sample, bool recent,
                Commands& commands) {
    begin_zone("empty", box, look.colours->ground);
    ImDrawList* list = ImGui::GetWindowDrawList();
    const Palette& c = *look.colours;
    const std::string title = sample ? tr("Drop a clip here, or press Enter for the sample meet.")
                                     : tr("Drop a clip or a meet here.");
    const float w = look.words->width(look.fonts.title, title);
    float y = box.y + box.h * 0.4F;
    look.words->draw(list, look.fonts.title, {box.x + (box.w - w) / 2, y}, c.ink, title);
    y += look.unit(44);
    const struct {
        Action action;
        std::string words;
    } lines[] = {{Action::take, tr("work on a copy of the sample meet")},
                 {Action::guide, tr("a first ruling on it, in seven steps")},
                 {Action::open_file, tr("open a meet, a clip or a course book")},
                 {Action::recent_meets, tr("open a meet that was open before")},
                 {Action::help, tr("all keys")}};
    const float left = box.x + box.w / 2 - look.unit(150);
    for (const auto& line : lines) {
        const bool of_sample = line.action == Action::take || line.action == Action::guide;
        if ((of_sample && !sample) || (line.action == Action::recent_meets && !recent)) continue;
        const std::string label = keys.label(line.action);
        const Box row{left, y, look.unit(330), look.unit(32)};
        if (hit(label.c_str(), row)) commands.add(Do{line.action});
        draw_invitation(list, look, row, label, line.words);
        y += row.h;
    }
    ImGui::End();
}

void draw_help(const Look& look, const Keymap& keys, const Box& box, float& scroll, bool& open) {
    shade(box, 150);
    const Box page = centred(box, look.unit(1240), look.unit(900));
    begin_page("all keys", look, page);
    const Palette& c = *look.colours;
    ImDrawList* list = ImGui::GetWindowDrawList();
    look.words->draw(list, look.fonts.title, {page.x + look.unit(24), page.y + look.unit(14)}, c.ink,
                     tr("All keys"));
    const std::string hint =
        tr("{} or {} closes this. {} changes keys, and prints them.", keys.label(Action::help),
           keys.label(Action::let_go), keys.label(Action::change_keys));
    look.words->draw(list, look.fonts.small, {page.x + look.unit(124), page.y + look.unit(20)}, c.soft, hint);
    const float head = look.unit(52);
    ImGui::SetCursorScreenPos({page.x, page.y + head});
    begin_child("keys page", {page.w, page.h - head - look.unit(8)}, ImGuiWindowFlags_NoNav);
    if (scroll != 0) ImGui::SetScrollY(ImGui::GetScrollY() + scroll * look.unit(60));
    scroll = 0;
    ImDrawList* in = ImGui::GetWindowDrawList();
    const int columns = page.w >= look.unit(1100) ? 3 : page.w >= look.unit(720) ? 2 : 1;
    const float column = (page.w - look.unit(48)) / static_cast<float>(columns), row = look.unit(26);
    const ImVec2 start = ImGui::GetCursorScreenPos();
    std::vector<float> heights(static_cast<std::size_t>(columns), 0.0F);
    for (const KeyGroup group : kKeyGroups) {
        const auto least = std::min_element(heights.begin(), heights.end());
        const float x = start.x + look.unit(24) + column * static_cast<float>(least - heights.begin());
        float y = start.y + *least;
        look.words->draw(in, look.fonts.strong, {x, y}, c.ink, tr(group_words(group)));
        y += row;
        for (const KeyBinding& binding : keys.bindings()) {
            if (binding.group != group) continue;
            draw_key(in, look, {x, y + look.unit(2)}, keys.label(binding.action), c.key, c.ink, c.line);
            const float after =
                std::max(look.unit(104), key_width(look, keys.label(binding.action)) + look.unit(8));
            look.words->draw(
                in, look.fonts.small, {x + after, y + look.unit(3)}, c.ink,
                look.words->fitted(look.fonts.small, tr(binding.words), column - after - look.unit(16)));
            y += row;
        }
        *least = y - start.y + look.unit(14);
    }
    ImGui::Dummy({1, *std::max_element(heights.begin(), heights.end())});
    ImGui::EndChild();
    if (ImGui::IsMouseClicked(0) && !page.holds(ImGui::GetMousePos().x, ImGui::GetMousePos().y)) open = false;
    ImGui::End();
}

void draw_chooser(const Look& look, const Box& box, Chooser& chooser, Commands& commands, bool& done) {
    const Palette& c = *look.colours;
    const std::vector<int> shown = chooser.shown();
    const float row = look.unit(32), head = look.unit(chooser.typed ? 72 : 44);
    const float wanted =
        head + row * static_cast<float>(std::max<std::size_t>(1, shown.size())) + look.unit(8);
    Box page = centred(box, look.unit(chooser.wide ? 960 : 520), wanted);
    if (chooser.at) {
        page.x = std::clamp((*chooser.at)[0], box.x, std::max(box.x, box.right() - page.w));
        page.y = std::clamp((*chooser.at)[1], box.y, std::max(box.y, box.bottom() - page.h));
    }
    shade(box, 40);
    begin_page("list", look, page);
    ImDrawList* list = ImGui::GetWindowDrawList();
    const float left = page.x + look.unit(16);
    look.words->draw(list, look.fonts.strong, {left, page.y + look.unit(12)}, c.ink,
                     look.words->fitted(look.fonts.strong, chooser.title, page.w - look.unit(32)));
    if (chooser.typed)
        look.words->draw(list, look.fonts.body, {left, page.y + look.unit(40)}, c.soft,
                         chooser.filter.empty() ? tr("type to narrow the list") : chooser.filter + "|");
    ImGui::SetCursorScreenPos({page.x, page.y + head});
    begin_child("choices", {page.w, page.h - head - look.unit(6)}, ImGuiWindowFlags_NoNav);
    ImDrawList* in = ImGui::GetWindowDrawList();
    keep_in_sight(row * static_cast<float>(chooser.cursor), row);
    const ImVec2 start = ImGui::GetCursorScreenPos();
    // Of a list of thousands only what is in sight is drawn.
    const auto first = static_cast<std::size_t>(std::max(0.0F, ImGui::GetScrollY() / row));
    const std::size_t last =
        std::min(shown.size(), first + static_cast<std::size_t>(std::max(0.0F, (page.h - head) / row)) + 2);
    for (std::size_t i = first; i < last; ++i) {
        const Choice& choice = chooser.choices[static_cast<std::size_t>(shown[i])];
        const Box b{start.x + look.unit(6), start.y + row * static_cast<float>(i), page.w - look.unit(12),
                    row};
        if (hit(fmt::format("choice{}", i).c_str(), b)) {
            commands.add(choice.command);
            done = true;
        }
        const bool moved = ImGui::GetIO().MouseDelta.x != 0 || ImGui::GetIO().MouseDelta.y != 0;
        if (ImGui::IsItemHovered() && moved) chooser.cursor = static_cast<int>(i);
        const bool here = chooser.cursor == static_cast<int>(i);
        if (here) {
            in->AddRectFilled(top_left(b), bottom_right(b), ink(c.key), look.unit(4));
            in->AddRect(top_left(b), bottom_right(b), ink(c.soft), look.unit(4));
        }
        float x = left;
        const float y = b.y + (row - Words::line_height(look.fonts.body)) / 2;
        if (!chooser.typed && i < 9)
            x += draw_key(in, look, {x, b.y + look.unit(6)}, fmt::format("{}", i + 1), c.key, c.ink, c.line) +
                 look.unit(10);
        const float detail = look.words->width(look.fonts.small, choice.detail);
        look.words->draw(
            in, look.fonts.body, {x, y}, c.ink,
            look.words->fitted(look.fonts.body, choice.label, b.right() - x - detail - look.unit(24)));
        look.words->draw(in, look.fonts.small, {b.right() - detail - look.unit(10), b.y + look.unit(7)},
                         c.soft, choice.detail);
    }
    ImGui::SetCursorScreenPos({start.x, start.y + row * static_cast<float>(shown.size())});
    ImGui::Dummy({1, 1});
    if (shown.empty())
        look.words->draw(in, look.fonts.body, {left, start.y + look.unit(6)}, c.soft, tr("nothing fits"));
    ImGui::EndChild();
    if (ImGui::IsMouseClicked(0) && !page.holds(ImGui::GetMousePos().x, ImGui::GetMousePos().y)) done = true;
    ImGui::End();
}

namespace {

int note_caret(ImGuiInputTextCallbackData* data) {
    *static_cast<int*>(data->UserData) = data->CursorPos;
    return 0;
}

/// While it lives, what the toolkit's field takes from the clipboard or puts there goes through the line's
/// letters.
class ClipboardOfLine {
  public:
    explicit ClipboardOfLine(FieldLetters& letters) : io_(ImGui::GetIO()), letters_(letters) {
        io_.GetClipboardTextFn = get;
        io_.SetClipboardTextFn = set;
        io_.ClipboardUserData = this;
    }
    ~ClipboardOfLine() {
        io_.GetClipboardTextFn = get_;
        io_.SetClipboardTextFn = set_;
        io_.ClipboardUserData = data_;
    }
    ClipboardOfLine(const ClipboardOfLine&) = delete;
    ClipboardOfLine& operator=(const ClipboardOfLine&) = delete;

  private:
    static const char* get(void* self) {
        auto& line = *static_cast<ClipboardOfLine*>(self);
        const char* text = line.get_ ? line.get_(line.data_) : nullptr;
        if (!text) return nullptr;
        line.taken_ = line.letters_.for_field(text);
        return line.taken_.c_str();
    }
    static void set(void* self, const char* text) {
        const auto& line = *static_cast<ClipboardOfLine*>(self);
        if (line.set_) line.set_(line.data_, line.letters_.meant(text).c_str());
    }

    ImGuiIO& io_;
    FieldLetters& letters_;
    std::string taken_;
    decltype(ImGuiIO::GetClipboardTextFn) get_ = io_.GetClipboardTextFn;
    decltype(ImGuiIO::SetClipboardTextFn) set_ = io_.SetClipboardTextFn;
    void* data_ = io_.ClipboardUserData;
};

/// A line in letters that the toolkit's field cannot show, over the field: every script as it is written.
void draw_written(const Look& look, const TextEntry& entry, int caret) {
    const std::string_view in_field = entry.text.data();
    const std::string before =
        entry.letters.meant(in_field.substr(0, std::min(in_field.size(), static_cast<std::size_t>(caret))));
    const ImVec2 from = ImGui::GetItemRectMin(), to = ImGui::GetItemRectMax();
    const float pad = look.unit(8), inner = to.x - from.x - 2 * pad;
    const float at = look.words->width(look.fonts.body, before);
    // The caret stays in sight.
    const float left = from.x + pad - std::max(0.0F, at - inner);
    ImDrawList* list = ImGui::GetWindowDrawList();
    list->PushClipRect({from.x + pad, from.y}, {to.x - pad + look.unit(2), to.y}, true);
    const float high = Words::line_height(look.fonts.body), y = from.y + (to.y - from.y - high) / 2;
    look.words->draw(list, look.fonts.body, {left, y}, look.colours->ink, entry.words());
    if (entry.active)
        list->AddLine({left + at, y}, {left + at, y + high}, ink(look.colours->ink), look.unit(1));
    list->PopClipRect();
}

}  // namespace

void draw_entry(const Look& look, const Box& box, TextEntry& entry) {
    const Palette& c = *look.colours;
    const float wide = look.unit(520), side = look.unit(16);
    // What a hint says is read whole: it may be a caution.
    const auto hint = [&](ImDrawList* list, ImVec2 at, float width) {
        return look.words->draw_wrapped(list, look.fonts.body, at, width, c.soft, entry.hint);
    };
    const float inner = centred(box, wide, 0).w - 2 * side;
    const float below = entry.hint.empty() ? 0 : hint(nullptr, {}, inner) + look.unit(8);
    Box page = centred(box, wide, std::ceil(look.unit(108) + below));
    // On whole pixels: the toolkit cuts a window to them, and with it the line around it.
    page.x = std::floor(page.x);
    page.y = std::floor(page.y);
    shade(box, 40);
    begin_page("line to write", look, page);
    hint(ImGui::GetWindowDrawList(), {page.x + side, page.y + look.unit(98)}, inner);
    look.words->draw(ImGui::GetWindowDrawList(), look.fonts.strong,
                     {page.x + look.unit(16), page.y + look.unit(12)}, c.ink,
                     look.words->fitted(look.fonts.strong, entry.title, page.w - look.unit(32)));
    ImGui::SetCursorScreenPos({page.x + look.unit(16), page.y + look.unit(48)});
    ImGui::SetNextItemWidth(page.w - look.unit(32));
    ImGui::PushStyleColor(ImGuiCol_FrameBg, ink(c.row));
    const bool written = look.words->needs_pictures(look.fonts.body, entry.words());
    ImGui::PushStyleColor(ImGuiCol_Text, written ? ink(rgb(0, 0)) : ink(c.ink));
    ImGui::PushStyleVar(ImGuiStyleVar_FramePadding, ImVec2{look.unit(8), look.unit(8)});
    // Left and opened again before anything was drawn, the field would still be at the line before.
    if (!entry.active && entry.frames_without_keyboard == 0) ImGui::ClearActiveID();
    // The toolkit grants the keyboard a frame or two later, and newer releases begin anew when asked
    // meanwhile.
    if (!entry.active && entry.frames_without_keyboard++ % 4 == 0) {
        // Newer ones also look only inside the window that has the focus.
        ImGui::SetWindowFocus();
        ImGui::SetKeyboardFocusHere();
    }
    int caret = static_cast<int>(std::string_view(entry.text.data()).size());
    {
        const ClipboardOfLine clipboard(entry.letters);
        ImGui::InputText("##line", entry.text.data(), entry.text.size(), ImGuiInputTextFlags_CallbackAlways,
                         note_caret, &caret);
    }
    entry.active = ImGui::IsItemActive();
    if (written) draw_written(look, entry, caret);
    ImGui::PopStyleVar();
    ImGui::PopStyleColor(2);
    ImGui::End();
}

void draw_secret(const Look& look, const Box& box, const SecretEntry& entry) {
    const Palette& c = *look.colours;
    const float pad = look.unit(16), width = std::min(look.unit(560), box.w * 0.96F), inner = width - 2 * pad;
    const auto height = [&](ImFont* font, const std::string& words) {
        return words.empty()
                   ? 0
                   : look.words->draw_wrapped(nullptr, font, {0, 0}, inner, c.ink, words) + look.unit(8);
    };
    const float above = height(look.fonts.body, entry.problem) + height(look.fonts.strong, entry.title);
    const float field = look.unit(36);
    const Box page = centred(
        box, width,
        look.unit(12) + above + field + look.unit(10) + height(look.fonts.body, entry.hint) + look.unit(6));
    shade(box, 40);
    begin_page("passphrase", look, page);
    ImDrawList* list = ImGui::GetWindowDrawList();
    float y = page.y + look.unit(12);
    const auto put = [&](ImFont* font, Colour colour, const std::string& words) {
        if (words.empty()) return;
        y += look.words->draw_wrapped(list, font, {page.x + pad, y}, inner, colour, words) + look.unit(8);
    };
    put(look.fonts.body, c.ink, entry.problem);
    put(look.fonts.strong, c.ink, entry.title);
    const Box line{page.x + pad, y, inner, field};
    list->AddRectFilled(top_left(line), bottom_right(line), ink(c.row), look.unit(3));
    list->AddRect(top_left(line), bottom_right(line), ink(c.chosen), look.unit(3), 0,
                  std::max(1.0F, look.unit(1.5F)));
    const float r = look.unit(3.5F), step = look.unit(12), middle = line.y + line.h / 2;
    // The last ones where there are more than the field has room for.
    const auto room = static_cast<std::size_t>(std::max(1.0F, (line.w - look.unit(24)) / step));
    const std::size_t dots = std::min(entry.text.length(), room);
    float x = line.x + look.unit(12);
    for (std::size_t i = 0; i < dots; ++i, x += step)
        list->AddCircleFilled({x + r, middle}, r, ink(c.ink), 12);
    list->AddLine({x, middle - look.unit(9)}, {x, middle + look.unit(9)}, ink(c.ink),
                  std::max(1.0F, look.unit(1)));
    y += field + look.unit(10);
    put(look.fonts.body, c.soft, entry.hint);
    ImGui::End();
}

void draw_new_key(const Look& look, const Keymap& keys, const Box& box, const NewKey& asked) {
    const Palette& c = *look.colours;
    const KeyBinding& binding = keys.binding(asked.action);
    const float pad = look.unit(16), width = std::min(look.unit(560), box.w * 0.96F), inner = width - 2 * pad;
    struct Line {
        ImFont* font;
        Colour colour;
        std::string words;
    };
    std::vector<Line> lines{
        {look.fonts.strong, c.ink, tr("The new key for: {}", binding.words)},
        {look.fonts.body, c.ink,
         tr("Press it, alone or with Ctrl, Alt or Shift. It is {} now.", keys.label(asked.action))}};
    if (!asked.problem.empty()) lines.push_back({look.fonts.body, c.ink, asked.problem});
    lines.push_back({look.fonts.body, c.soft, tr("Esc leaves it as it is.")});
    const auto put = [&](ImDrawList* list, ImVec2 at) {
        const float top = at.y;
        for (const Line& line : lines)
            at.y +=
                look.words->draw_wrapped(list, line.font, at, inner, line.colour, line.words) + look.unit(8);
        return at.y - top;
    };
    const Box page = centred(box, width, put(nullptr, {0, 0}) + look.unit(22));
    shade(box, 40);
    begin_page("new key", look, page);
    put(ImGui::GetWindowDrawList(), {page.x + pad, page.y + look.unit(14)});
    ImGui::End();
}

void draw_messages(const Look& look, const Keymap& keys, const Box& box, const std::optional<Offer>& offer,
                   const std::vector<Message>& messages, Commands& commands) {
    if (!offer && messages.empty()) return;
    const Palette& c = *look.colours;
    const float width = std::min(look.unit(560), box.w - look.unit(32)), pad = look.unit(14);
    std::vector<float> heights;
    float total = 0;
    const auto measure = [&](const std::string& text, float extra) {
        heights.push_back(look.words->draw_wrapped(nullptr, look.fonts.body, {0, 0},
                                                   width - 2 * pad - look.unit(8), c.ink, text) +
                          2 * look.unit(10) + extra);
        total += heights.back() + look.unit(8);
    };
    for (const Message& message : messages)
        measure(message.text, 0);
    if (offer) measure(offer->text, look.unit(30));
    const Box page{box.x + (box.w - width) / 2, box.bottom() - total - look.unit(8), width, total};
    begin_float("messages", page, rgb(0, 0));
    ImDrawList* list = ImGui::GetWindowDrawList();
    float y = page.y;
    const auto card = [&](const std::string& text, float height, Colour edge) {
        list->AddRectFilled({page.x, y}, {page.right(), y + height}, ink(c.float_ground), look.unit(4));
        list->AddRect({page.x, y}, {page.right(), y + height}, ink(c.float_line), look.unit(4));
        list->AddRectFilled({page.x, y}, {page.x + look.unit(6), y + height}, ink(edge), look.unit(4));
        look.words->draw_wrapped(list, look.fonts.body, {page.x + pad + look.unit(4), y + look.unit(10)},
                                 width - 2 * pad - look.unit(8), c.ink, text);
    };
    for (std::size_t i = 0; i < messages.size(); ++i) {
        card(messages[i].text, heights[i], messages[i].trouble ? c.trouble : c.soft);
        y += heights[i] + look.unit(8);
    }
    if (offer) {
        const float height = heights.back();
        card(offer->text, height, kOrange);
        float x = page.x + pad + look.unit(4);
        const struct {
            Action action;
            const char* words;
        } answers[] = {{Action::take, tr("yes")}, {Action::let_go, tr("no")}};
        for (const auto& answer : answers) {
            const std::string label = keys.label(answer.action);
            const float top = y + height - look.unit(36);
            const float w = draw_key(list, look, {x, top}, label, c.key, c.ink, c.line);
            look.words->draw(list, look.fonts.body, {x + w + look.unit(6), top}, c.ink, answer.words);
            if (hit(label.c_str(), {x, top - look.unit(4), w + look.unit(48), look.unit(28)}))
                commands.add(Do{answer.action});
            x += w + look.unit(72);
        }
    }
    ImGui::End();
}

}  // namespace plumbmark::desk
