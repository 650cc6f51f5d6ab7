// Languages: the catalogue's format against bytes written out by hand from GNU gettext's manual, plural rules
// against the examples published there, and the choice of a language.
#include "base/catalogue.h"

#include <catch2/catch.hpp>
#include <cstdlib>
#include <optional>
#include <string>
#include <vector>

#include "base/internal/message_file.h"
#include "base/internal/plural_rule.h"
#include "base/time.h"
#include "base/worded.h"

namespace plumbmark::base {
namespace {

std::string number(std::uint32_t value, bool turned) {
    std::string bytes;
    for (int i = 0; i < 4; ++i)
        bytes += static_cast<char>(value >> (8 * (turned ? 3 - i : i)));
    return bytes;
}

using Entries = std::vector<std::pair<std::string, std::string>>;

/// As 'The Format of GNU MO Files' (GNU gettext manual 0.21, section 10.3) describes it, without a hash
/// table.
std::string catalogue_of(const Entries& entries, bool turned = false) {
    const auto count = static_cast<std::uint32_t>(entries.size());
    std::string head = number(0x950412de, turned) + number(0, turned) + number(count, turned) +
                       number(28, turned) + number(28 + 8 * count, turned) + number(0, turned) +
                       number(28 + 16 * count, turned);
    std::string english, other, texts;
    const std::uint32_t first = 28 + 16 * count;
    const auto put = [&](std::string& table, const std::string& text) {
        table += number(static_cast<std::uint32_t>(text.size()), turned);
        table += number(first + static_cast<std::uint32_t>(texts.size()), turned);
        texts += text + '\0';
    };
    for (const auto& [key, text] : entries) {
        put(english, key);
        put(other, text);
    }
    return head + english + other + texts;
}

const std::string kZero(1, '\0');
const std::string kHead =
    "Content-Type: text/plain; charset=UTF-8\nPlural-Forms: nplurals=2; plural=(n != 1);\n";

std::vector<std::size_t> forms(const PluralRule& rule, std::initializer_list<std::uint64_t> numbers) {
    std::vector<std::size_t> found;
    for (const std::uint64_t n : numbers)
        found.push_back(rule.form(n));
    return found;
}

/// An environment variable for the time of a test; null: not set.
class Variable {
  public:
    Variable(const char* name, const char* value) : name_(name) {
        if (const char* now = std::getenv(name)) before_ = now;
        set(value);
    }
    ~Variable() { set(before_ ? before_->c_str() : nullptr); }

  private:
    void set(const char* value) { value ? ::setenv(name_, value, 1) : ::unsetenv(name_); }
    const char* name_;
    std::optional<std::string> before_;
};

struct InEnglishAgain {
    ~InEnglishAgain() { (void)choose_language("en"); }
};

}  // namespace

TEST_CASE("plural rules are read as the gettext manual gives them") {
    // GNU gettext manual 0.21, section 11.2.6: Germanic, French, Russian, Polish, Slovenian and Irish.
    CHECK(forms(PluralRule("nplurals=2; plural=n != 1;"), {0, 1, 2}) == std::vector<std::size_t>{1, 0, 1});
    CHECK(forms(PluralRule("nplurals=2; plural=n>1;"), {0, 1, 2}) == std::vector<std::size_t>{0, 0, 1});
    CHECK(forms(PluralRule("nplurals=3; plural=n%10==1 && n%100!=11 ? 0 : "
                           "n%10>=2 && n%10<=4 && (n%100<10 || n%100>=20) ? 1 : 2;"),
                {1, 21, 11, 2, 24, 12, 14, 5, 0}) == std::vector<std::size_t>{0, 0, 2, 1, 1, 2, 2, 2, 2});
    CHECK(forms(PluralRule(
                    "nplurals=3; plural=n==1 ? 0 : n%10>=2 && n%10<=4 && (n%100<10 || n%100>=20) ? 1 : 2;"),
                {1, 2, 22, 12, 21, 5}) == std::vector<std::size_t>{0, 1, 1, 2, 2, 2});
    CHECK(forms(PluralRule("nplurals=4; plural=n%100==1 ? 0 : n%100==2 ? 1 : n%100==3 || n%100==4 ? 2 : 3;"),
                {1, 101, 2, 3, 104, 5}) == std::vector<std::size_t>{0, 0, 1, 2, 2, 3});
    CHECK(forms(PluralRule("nplurals=5; plural=n==1 ? 0 : n==2 ? 1 : n<7 ? 2 : n<11 ? 3 : 4;"),
                {1, 2, 6, 10, 11}) == std::vector<std::size_t>{0, 1, 2, 3, 4});
    CHECK(forms(PluralRule("nplurals=1; plural=0;"), {0, 1, 2}) == std::vector<std::size_t>{0, 0, 0});
}

TEST_CASE("a plural rule that cannot be read is the usual one and a form is always there") {
    for (const char* line : {"", "nplurals=2; plural=(n != 1", "nplurals=2; plural=n n;",
                             "nplurals=0; plural=0;", "nplurals=2; plural=m;", "nplurals=999; plural=n;"}) {
        INFO(line);
        CHECK(forms(PluralRule(line), {0, 1, 2}) == std::vector<std::size_t>{1, 0, 1});
    }
    CHECK(forms(PluralRule("nplurals=2; plural=n;"), {0, 1, 7}) == std::vector<std::size_t>{0, 1, 0});
    CHECK(forms(PluralRule("nplurals=2; plural=n/0;"), {0, 1}) == std::vector<std::size_t>{0, 0});
    CHECK(forms(PluralRule("nplurals=2; plural=" + std::string(5000, '(') + "n"), {1, 2}) ==
          std::vector<std::size_t>{0, 1});
}

TEST_CASE("a catalogue of either byte order is read with its contexts and plurals") {
    for (const bool turned : {false, true}) {
        const std::string bytes =
            catalogue_of({{"", kHead},
                          {"all keys", "alle Tasten"},
                          {"sound\4on", "an"},
                          {"{} of {}", "{1}, davon {0}"},
                          {"{} clip" + kZero + "{} clips", "{} Clip" + kZero + "{} Clips"}},
                         turned);
        const auto file = MessageFile::read(bytes);
        REQUIRE(file);
        CHECK(file->size() == 4);
        CHECK(file->misfits() == 0);
        CHECK(std::string(file->find(nullptr, "all keys")) == "alle Tasten");
        CHECK(std::string(file->find("sound", "on")) == "an");
        CHECK(file->find(nullptr, "on") == nullptr);
        CHECK(file->find("light", "on") == nullptr);
        CHECK(std::string(file->find_count("{} clip", 1)) == "{} Clip");
        CHECK(std::string(file->find_count("{} clip", 3)) == "{} Clips");
        CHECK(file->find_count("{} run", 3) == nullptr);
    }
}

TEST_CASE("a catalogue that is cut off or no catalogue is refused") {
    const std::string whole = catalogue_of({{"", kHead}, {"all keys", "alle Tasten"}});
    REQUIRE(MessageFile::read(whole));
    for (std::size_t size = 0; size < whole.size(); ++size) {
        INFO(size);
        const std::string part = whole.substr(0, size);
        const auto read = MessageFile::read(part);
        REQUIRE_FALSE(read);
        CHECK(read.error().category == Category::damaged);
    }
    CHECK_FALSE(MessageFile::read(std::string(200, 'x')));
}

TEST_CASE("a translation with placeholders of its own is left out and English is said") {
    const std::string bytes =
        catalogue_of({{"go to {}", "nach {} und {}"},
                      {"{:.0f} px", "{} px"},
                      {"{} more", "{weitere}"},
                      {"{} clip" + kZero + "{} clips", "ein Clip" + kZero + "{1} Clips"},
                      {"{} run" + kZero + "{} runs", "ein Lauf" + kZero + "{} Läufe"}});
    const auto file = MessageFile::read(bytes);
    REQUIRE(file);
    CHECK(file->misfits() == 4);
    CHECK(file->find(nullptr, "go to {}") == nullptr);
    CHECK(file->find(nullptr, "{:.0f} px") == nullptr);
    CHECK(file->find(nullptr, "{} more") == nullptr);
    CHECK(file->find_count("{} clip", 2) == nullptr);
    CHECK(std::string(file->find_count("{} run", 1)) == "ein Lauf");
}

TEST_CASE("placeholders may change places and none may be added") {
    CHECK(fills_alike("{} of {}", "{} von {}"));
    CHECK(fills_alike("{} of {}", "{1} / {0}"));
    CHECK(fills_alike("{} of {}", "{}"));
    CHECK_FALSE(fills_the_same("{} of {}", "{}"));
    CHECK(fills_the_same("{} of {:.2f}", "{1:.2f} / {0}"));
    CHECK_FALSE(fills_alike("{} of {:.2f}", "{0:.2f} / {1}"));
    CHECK_FALSE(fills_alike("{} of {}", "{} von {2}"));
    CHECK_FALSE(fills_alike("{} of {}", "{} von {1}"));  // counted and numbered in one text
    CHECK_FALSE(fills_alike("{}", "{"));
    CHECK_FALSE(fills_alike("{}", "}"));
    CHECK(fills_alike("none {{}}", "keiner {{}}"));
}

TEST_CASE("a chosen language speaks where it has the text and English where it has not") {
    const InEnglishAgain after;
    CHECK(std::string(languages().front().code) == "en");
    const char* const english = "all keys";
    REQUIRE(choose_language("en"));
    CHECK(translate(english) == english);  // the very same pointer: nothing is looked up
    REQUIRE(choose_language("de"));
    CHECK(chosen_language() == "de");
    CHECK(std::string(translate(english)) == "alle Tasten");
    CHECK(std::string(translate_in("sound", "on")) == "an");
    CHECK(std::string(translate_count("{} clip", "{} clips", 2)) == "{} Clips");
    CHECK(std::string(translate_count("{} run", "{} runs", 1)) == "{} Lauf");
    const char* const unknown = "a text that no catalogue has";
    CHECK(translate(unknown) == unknown);
    const auto refused = choose_language("xx");
    REQUIRE_FALSE(refused);
    CHECK(refused.error().sentence.english().find("'xx'") != std::string::npos);
    CHECK(refused.error().spoken().starts_with("Es gibt keine Sprache »xx«; es gibt en, "));
    CHECK(parse_seconds("bald").error().spoken() == "»bald« ist keine Dauer in Sekunden, etwa 2 oder 0.5");
    CHECK(parse_seconds("bald").error().text() ==
          "'bald' is not a length of time in seconds, such as 2 or 0.5");
    CHECK(chosen_language() == "de");
}

TEST_CASE("what other modules say is English but where the window is speaking") {
    const InEnglishAgain after;
    REQUIRE(choose_language("de"));
    CHECK(std::string(spoken("start signal")) == "start signal");
    CHECK(std::string(spoken_in("sound", "on")) == "on");
    CHECK_FALSE(is_speaking());
    {
        const Speaking in_german;
        CHECK(is_speaking());
        CHECK(std::string(spoken_in("sound", "on")) == "an");
        CHECK(std::string(spoken("start signal")) == "Startsignal");
        {
            REQUIRE(choose_language("en"));
            const Speaking in_english;
            CHECK_FALSE(is_speaking());
            CHECK(std::string(spoken("start signal")) == "start signal");
        }
        CHECK(std::string(spoken("start signal")) == "Startsignal");
    }
    CHECK(std::string(spoken("start signal")) == "start signal");
}

TEST_CASE("the environment's language is the first that is set of three variables") {
    // POSIX.1-2017, section 8.2: LC_ALL before LC_MESSAGES before LANG; an empty one is as one that is not
    // set.
    const auto asked = [](const char* all, const char* messages, const char* lang) {
        const Variable a("LC_ALL", all), b("LC_MESSAGES", messages), c("LANG", lang);
        return language_of_environment();
    };
    CHECK(asked(nullptr, nullptr, nullptr) == "en");
    CHECK(asked(nullptr, nullptr, "de_AT.UTF-8") == "de");
    CHECK(asked("C", "de_DE", "de_DE") == "en");
    CHECK(asked("", "de_CH@euro", "en_GB") == "de");
    CHECK(asked("", "", "de") == "de");
    CHECK(asked(nullptr, nullptr, "fr_FR.UTF-8") == "en");
}

TEST_CASE("a sentence is worded in English and in the chosen language; what is compared is the English") {
    const Sentence inner = worded("and");
    REQUIRE(choose_language("en"));
    CHECK(worded("{} run", "r7").spoken() == "r7 run");
    REQUIRE(choose_language("de"));
    const Sentence both = worded("{} of {}", worded("and"), 7);
    CHECK(both.english() == "and of 7");
    CHECK(both.spoken() != both.english());
    CHECK(both == Sentence("and of 7"));
    CHECK(worded_n("{} run", "{} runs", 2).english() == "2 runs");
    CHECK(worded_n("{} run", "{} runs", 2).spoken() == "2 Läufe");
    CHECK(worded("a text that no catalogue has, {}", 3).spoken() == "a text that no catalogue has, 3");
    const Error error{Category::bad_input, worded("and"), worded_n("{} run", "{} runs", 1)};
    CHECK(error.text() == "1 run: and");
    CHECK(error.spoken() == "1 Lauf: und");
    REQUIRE(choose_language("en"));
}

}  // namespace plumbmark::base
