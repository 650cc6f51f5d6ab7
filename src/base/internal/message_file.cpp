#include "base/internal/message_file.h"

#include <string>

#include "base/catalogue.h"

namespace plumbmark::base {
namespace {

constexpr std::uint32_t kMagic = 0x950412de;
constexpr char kContextEnd = '\4';  ///< between a context and its text

/// Numbers of a catalogue are of the machine that wrote it; the magic number says which way round.
class Numbers {
  public:
    explicit Numbers(std::string_view bytes) : bytes_(bytes) {}
    [[nodiscard]] bool begin() {
        if (bytes_.size() < 28) return false;
        turned_ = false;
        if (at(0) == kMagic) return true;
        turned_ = true;
        return at(0) == kMagic;
    }
    /// 'place' lies within the bytes.
    [[nodiscard]] std::uint32_t at(std::size_t place) const {
        std::uint32_t value = 0;
        for (std::size_t i = 0; i < 4; ++i) {
            const auto byte = static_cast<unsigned char>(bytes_[place + (turned_ ? 3 - i : i)]);
            value |= static_cast<std::uint32_t>(byte) << (8 * i);
        }
        return value;
    }

  private:
    std::string_view bytes_;
    bool turned_ = false;
};

Error damaged(const char* what) {
    return {Category::damaged, std::string("This is no whole message catalogue: ") + what + ".", ""};
}

}  // namespace

Result<MessageFile> MessageFile::read(std::string_view bytes) {
    Numbers numbers(bytes);
    if (!numbers.begin()) return damaged("its first bytes are others");
    const std::uint64_t count = numbers.at(8), english = numbers.at(12), other = numbers.at(16);
    if (english + 8 * count > bytes.size() || other + 8 * count > bytes.size())
        return damaged("its tables reach beyond its end");
    MessageFile file;
    for (std::uint64_t i = 0; i < count; ++i) {
        std::string_view texts[2];
        for (int side = 0; side < 2; ++side) {
            const auto entry = static_cast<std::size_t>((side == 0 ? english : other) + 8 * i);
            const std::uint64_t length = numbers.at(entry), place = numbers.at(entry + 4);
            // Each text has a zero behind it, which 'length' does not count.
            if (place + length >= bytes.size() || bytes[static_cast<std::size_t>(place + length)] != '\0')
                return damaged("a text reaches beyond its end");
            texts[side] = bytes.substr(static_cast<std::size_t>(place), static_cast<std::size_t>(length));
        }
        file.add(texts[0], texts[1]);
    }
    return file;
}

void MessageFile::add(std::string_view key, std::string_view texts) {
    if (key.empty()) {  // the head: lines about the catalogue
        const auto at = texts.find("Plural-Forms:");
        if (at != std::string_view::npos) rule_ = PluralRule(texts.substr(at, texts.find('\n', at) - at));
        return;
    }
    // "context \4 one \0 many": it is found by context and the singular; either form's placeholders will do.
    const std::size_t zero = key.find('\0');
    const std::string_view one = key.substr(0, zero);
    const std::string_view many = zero == std::string_view::npos ? one : key.substr(zero + 1);
    const std::size_t context = many.find(kContextEnd);
    const std::string_view english = context == std::string_view::npos ? many : many.substr(context + 1);
    std::vector<const char*> forms;
    for (std::size_t from = 0; from <= texts.size();) {
        const std::size_t end = std::min(texts.find('\0', from), texts.size());
        const std::string_view form = texts.substr(from, end - from);
        if (!fills_alike(english, form)) {
            ++misfits_;
            return;
        }
        forms.push_back(form.data());
        from = end + 1;
    }
    if (*forms.front() != '\0') texts_.emplace(one, std::move(forms));
}

const char* MessageFile::find(const char* context, std::string_view english) const {
    if (context == nullptr) {
        const auto found = texts_.find(english);
        return found == texts_.end() ? nullptr : found->second.front();
    }
    std::string key(context);
    key += kContextEnd;
    key += english;
    const auto found = texts_.find(key);
    return found == texts_.end() ? nullptr : found->second.front();
}

const char* MessageFile::find_count(std::string_view one, std::uint64_t n) const {
    const auto found = texts_.find(one);
    if (found == texts_.end()) return nullptr;
    const std::size_t form = rule_.form(n);
    return form < found->second.size() ? found->second[form] : found->second.back();
}

}  // namespace plumbmark::base
