// The languages that are shipped: the English catalogue is what the sources say now, and every other one has
// all of it, filled in alike.
#include <catch2/catch.hpp>
#include <cstdlib>
#include <filesystem>
#include <fstream>
#include <iostream>
#include <iterator>
#include <map>
#include <string>
#include <vector>

#include "base/catalogue.h"
#include "support/temporary_folder.h"
#include "support/test_places.h"

namespace plumbmark::base {
namespace {

namespace fs = std::filesystem;

const fs::path kLanguages = test::source_folder() / "src/base/languages";

std::string whole(const fs::path& file) {
    std::ifstream in(file, std::ios::binary);
    return {std::istreambuf_iterator<char>(in), {}};
}

bool has_gettext() {
    if (std::system("command -v xgettext msgfmt >/dev/null 2>&1") == 0) return true;
    std::cout << "skipped: xgettext and msgfmt are not here (package gettext)\n";
    return false;
}

struct Entry {
    std::string english, plural;     ///< plural: empty where there is none
    std::vector<std::string> forms;  ///< the other language's
    bool fuzzy = false;
};

/// The text between the quotes of one line of a catalogue.
std::string unquoted(const std::string& line) {
    std::string text;
    const std::size_t from = line.find('"');
    for (std::size_t i = from + 1; i < line.size() && line[i] != '"'; ++i) {
        if (line[i] != '\\') {
            text += line[i];
            continue;
        }
        ++i;
        text += line[i] == 'n' ? '\n' : line[i] == 't' ? '\t' : line[i];
    }
    return text;
}

/// By context and English. 'The Format of PO Files', GNU gettext manual 0.21, section 3.
std::map<std::string, Entry> entries_of(const fs::path& file) {
    std::map<std::string, Entry> all;
    std::ifstream in(file);
    Entry now;
    std::string context;
    std::string* field = nullptr;
    const auto finish = [&] {
        if (field != nullptr && !now.english.empty()) all[context + "\4" + now.english] = now;
        now = {};
        context.clear();
        field = nullptr;
    };
    for (std::string line; std::getline(in, line);) {
        if (line.empty()) {
            finish();
        } else if (line.starts_with("#,")) {
            now.fuzzy = line.find("fuzzy") != std::string::npos;
        } else if (line.front() == '#') {
            continue;
        } else if (line.front() == '"') {
            REQUIRE(field != nullptr);
            *field += unquoted(line);
        } else {
            if (line.starts_with("msgctxt "))
                field = &context;
            else if (line.starts_with("msgid "))
                field = &now.english;
            else if (line.starts_with("msgid_plural "))
                field = &now.plural;
            else
                field = &now.forms.emplace_back();
            *field = unquoted(line);
        }
    }
    finish();
    return all;
}

std::vector<fs::path> other_languages() {
    std::vector<fs::path> files;
    for (const auto& entry : fs::directory_iterator(kLanguages))
        if (entry.path().extension() == ".po") files.push_back(entry.path());
    REQUIRE_FALSE(files.empty());
    return files;
}

bool blank_ends_alike(const std::string& a, const std::string& b) {
    return a.starts_with(' ') == b.starts_with(' ') && a.ends_with(' ') == b.ends_with(' ');
}

}  // namespace

TEST_CASE("the English catalogue is what the sources say now") {
    if (!has_gettext()) return;
    const test::TemporaryFolder folder;
    const fs::path made = folder / "now.pot";
    const std::string command =
        (kLanguages / "update-catalogue").string() + " --only-english '" + made.string() + "'";
    REQUIRE(std::system(command.c_str()) == 0);
    const auto now = entries_of(made), kept = entries_of(kLanguages / "plumbmark.pot");
    REQUIRE(now.size() > 500);
    for (const auto& [key, entry] : now)
        if (!kept.contains(key)) UNSCOPED_INFO("not in the catalogue yet: " << entry.english);
    for (const auto& [key, entry] : kept)
        if (!now.contains(key)) UNSCOPED_INFO("nobody says it any more: " << entry.english);
    INFO("the target update-catalogue writes it anew");
    CHECK(whole(made) == whole(kLanguages / "plumbmark.pot"));
}

TEST_CASE("every other language has all texts and fills them in alike") {
    const auto english = entries_of(kLanguages / "plumbmark.pot");
    for (const fs::path& file : other_languages()) {
        INFO(file.filename().string());
        const auto other = entries_of(file);
        CHECK(other.size() == english.size());
        for (const auto& [key, wanted] : english) {
            INFO(wanted.english);
            const auto found = other.find(key);
            REQUIRE(found != other.end());
            const Entry& entry = found->second;
            CHECK_FALSE(entry.fuzzy);
            CHECK(entry.plural == wanted.plural);
            CHECK(entry.forms.size() >= (wanted.plural.empty() ? 1U : 2U));
            for (const std::string& form : entry.forms) {
                INFO(form);
                CHECK_FALSE(form.empty());
                CHECK(blank_ends_alike(wanted.english, form));
                // A form for one thing alone may leave its number out.
                const std::string& many = wanted.plural.empty() ? wanted.english : wanted.plural;
                const bool of_one = !wanted.plural.empty() && &form == &entry.forms.front();
                CHECK((of_one ? fills_alike(many, form) : fills_the_same(many, form)));
            }
        }
    }
}

TEST_CASE("gettext's own check finds nothing wrong with a language") {
    if (!has_gettext()) return;
    for (const fs::path& file : other_languages()) {
        INFO(file.string());
        CHECK(std::system(("msgfmt --check -o /dev/null '" + file.string() + "' 2>/dev/null").c_str()) == 0);
    }
}

TEST_CASE("the catalogue reader of this test sees what it should") {
    const test::TemporaryFolder folder;
    std::ofstream(folder / "probe.po")
        << "msgid \"\"\nmsgstr \"head\\n\"\n\n#, fuzzy\nmsgctxt \"c\"\nmsgid \"a \"\n\"b\"\n"
           "msgid_plural \"bs\"\nmsgstr[0] \"x\"\nmsgstr[1] \"\\\"y\\\"\"\n";
    const auto all = entries_of(folder / "probe.po");
    REQUIRE(all.size() == 1);
    const Entry& one = all.at(
        "c\4"
        "a b");
    CHECK(one.fuzzy);
    CHECK(one.plural == "bs");
    CHECK(one.forms == std::vector<std::string>{"x", "\"y\""});
}

}  // namespace plumbmark::base
