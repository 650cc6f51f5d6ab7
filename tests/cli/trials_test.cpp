// plumbmark trials, by the built program: rates, questions, releases, and what is entered.
#include <catch2/catch.hpp>
#include <fstream>
#include <nlohmann/json.hpp>

#include "cli/program.h"
#include "report/schema.h"
#include "support/file_bytes.h"
#include "support/temporary_folder.h"

namespace {

using nlohmann::json;
using plumbmark::test::good;
using plumbmark::test::has;
using plumbmark::test::run;
using plumbmark::test::TemporaryFolder;

std::string quoted(const std::filesystem::path& path) {
    return "'" + path.string() + "'";
}

/// A meet with a station of two starts and two landings.
class Meet {
  public:
    Meet() {
        write_book("deck_b", "1");
        good("new " + meet() + " --name 'Pier Nine Youth Open' --date 2026-05-02 --book " +
             quoted(folder_ / "two.course"));
        good("trials add-tester " + meet() + " --name Tern --stature 162 --level 'club, two seasons'");
        add_rig("2.25");
    }
    [[nodiscard]] std::string meet() const { return quoted(folder_ / "open.meet"); }
    [[nodiscard]] std::filesystem::path file(const char* name) const { return folder_ / name; }
    void write_book(const std::string& second_landing, const std::string& revision) const {
        std::ofstream(folder_ / "two.course")
            << "course = \"Two by two\"\nrevision = \"" << revision
            << "\"\n[surfaces]\npier_a = \"first pier\"\npier_b = \"second pier\"\ndeck_a = \"first deck\"\n"
               "deck_b = \"second deck\"\nnet = \"net\"\n[[station]]\nkey = \"crossing\"\nname = "
               "\"crossing\"\nexit = \"free\"\nstart = [\"pier_a\", \"pier_b\"]\n[station.landing]\nsurface "
               "= "
               "[\"deck_a\", \""
            << second_landing
            << "\"]\n[plan]\ntolerance = 0.01\n[plan.surfaces]\npier_a = { outline = [[0, 0], [1, 0], [1, "
               "1], "
               "[0, 1]], top = 0.6 }\ndeck_a = { outline = [[2.5, 0], [3.5, 0], [3.5, 1], [2.5, 1]], top = "
               "0.6 "
               "}\n";
    }
    void take_in_book() const { good("course " + meet() + " " + quoted(folder_ / "two.course")); }
    void add_rig(const std::string& height) const {
        good("trials add-rig " + meet() + " --station crossing --item 'rope;hook 3;" + height + "'");
    }
    void add_trial(const std::string& more) const {
        good("trials add-trial " + meet() + " --station crossing --tester Tern " + more);
    }
    [[nodiscard]] json told(const std::string& more = "") const {
        const json printed = json::parse(good("trials " + meet() + " --json " + more));
        CHECK(plumbmark::test::misfits(plumbmark::test::schema_of_docs("trials.schema.json"), printed) ==
              std::vector<std::string>{});
        return printed;
    }
    [[nodiscard]] json station(const std::string& more = "") const { return told(more)["stations"][0]; }
    [[nodiscard]] std::vector<std::string> open() const {
        std::vector<std::string> keys;
        const json now = station();
        for (const json& question : now["questions"]) {
            if (question["closed"].is_null()) keys.push_back(question["key"]);
        }
        return keys;
    }
    void close_all() const {
        for (const std::string& key : open())
            good("trials close " + meet() + " --station crossing --question " + key +
                 " --reason 'looked at'");
    }

  private:
    TemporaryFolder folder_;
};

}  // namespace

TEST_CASE("eighteen of twenty has the published intervals on the command line") {
    const Meet meet;
    for (int i = 0; i < 20; ++i)
        meet.add_trial("--start pier_a --landing deck_a " + std::string(i < 18 ? "--cleared" : "--failed"));
    const json rate = meet.station()["rate"];
    CHECK(rate["cleared"] == 18);
    CHECK(rate["of"] == 20);
    // R's binom package.
    CHECK(rate["wilson"][0].get<double>() == Approx(0.6989663548).margin(1e-9));
    CHECK(rate["wilson"][1].get<double>() == Approx(0.9721335188).margin(1e-9));
    CHECK(rate["clopper_pearson"][0].get<double>() == Approx(0.6830172860).margin(1e-9));
    CHECK(rate["clopper_pearson"][1].get<double>() == Approx(0.9876514728).margin(1e-9));
    const std::string text = good("trials " + meet.meet());
    CHECK(has(text, "18 of 20 cleared, 0.900, 95 % within 0.699 to 0.972 (Wilson)"));
    CHECK(has(text, "1.60 m to under 1.80 m tall: 18 of 20"));
    CHECK(has(text, "club, two seasons: 18 of 20"));
    CHECK(
        has(good("trials " + meet.meet() + " --clopper-pearson"), "within 0.683 to 0.988 (Clopper-Pearson)"));
    const json outlook = meet.station("--bound 0.8");
    CHECK(outlook["if_all_clear"]["found"] == "yes");
    CHECK(outlook["if_all_clear"]["interval"][0].get<double>() >= 0.8);
    CHECK(has(good("trials " + meet.meet() + " --bound 0.8"), "at least 0.8: "));
}

TEST_CASE("a station is proven way by way, released, and reopened by its definition and its rig") {
    const Meet meet;
    for (const char* way : {"--start pier_a --landing deck_a", "--start pier_a --landing deck_b",
                            "--start pier_b --landing deck_a"})
        meet.add_trial(std::string(way) + " --cleared");
    const json lines = meet.station()["ways"]["lines"];
    REQUIRE(lines.size() == 4);
    CHECK_FALSE(lines[2]["unproven"].get<bool>());
    CHECK(lines[3]["unproven"].get<bool>());
    const std::string release = "trials release " + meet.meet() + " --station crossing --sign Tern";
    const auto refused = run(release);
    CHECK(refused.code == 3);
    CHECK(has(refused.words, "4 questions of the station 'crossing' are open"));
    const std::vector<std::string> questions = meet.open();
    CHECK(questions.back() == "way:pier_b:deck_b");
    CHECK(meet.station()["release"]["state"] == "never_released");
    meet.close_all();
    const std::string released = good(release);
    CHECK(released.rfind("A release proves that a station can be cleared as it is defined.", 0) == 0);
    CHECK(has(released, "does not certify its structure, padding, fall height or rigging"));
    CHECK(meet.station()["release"]["state"] == "proven");
    CHECK(has(good("trials " + meet.meet()), "crossing (crossing): PROVEN"));

    SECTION("another landing") {
        meet.write_book("net", "2");
        meet.take_in_book();
        const json station = meet.station();
        CHECK(station["release"]["state"] == "changed");
        CHECK(station["release"]["definition_changed"] == true);
        CHECK_FALSE(meet.open().empty());
        CHECK(has(good("trials " + meet.meet()), "CHANGED SINCE PROVEN"));
    }
    SECTION("another rig") {
        meet.add_rig("2.30");
        const json station = meet.station();
        CHECK(station["release"]["state"] == "changed");
        CHECK(station["release"]["rig_changed"] == true);
        CHECK(station["set_aside"]["tried"] == 3);
    }
    SECTION("a landing that nobody declared") {
        meet.add_trial("--start pier_a --landing net --cleared");
        CHECK(meet.station()["release"]["state"] == "open");
        CHECK(meet.open() == std::vector<std::string>{"landing:net"});
        meet.close_all();
        CHECK(meet.station()["release"]["state"] == "proven");
    }
}

TEST_CASE("what is asked of people is told with its source, and an age without a table is flagged") {
    const Meet meet;
    const json told = meet.told("--age 12 --age 7 --sex male");
    CHECK(told["guide"].get<std::string>().find("no promise") != std::string::npos);
    const json steps = told["stations"][0]["steps"];
    REQUIRE(steps.size() == 4);
    REQUIRE(steps[0]["figures"].size() == 2);
    CHECK(steps[0]["gap_m"][1].get<double>() == Approx(1.52));
    CHECK(steps[0]["figures"][0]["reached"] == "half_or_more");
    CHECK(steps[0]["figures"][0]["source"]["spread"] == "no spread published");
    CHECK(steps[0]["figures"][1]["no_table"] == true);
    CHECK(steps[1]["gap_m"].is_null());
    const std::string text = good("trials " + meet.meet() + " --age 7");
    CHECK(has(text, "no table: No table serves girls and women of 7 years."));
    CHECK(has(text, "centre of mass"));
    CHECK(has(good("trials " + meet.meet()), "An age is told with --age"));
}

TEST_CASE("what the tester enters is refused in words where it makes no sense") {
    const Meet meet;
    const auto refused = [&](const std::string& arguments, int code, const std::string& words) {
        const auto answer = run("trials " + arguments);
        CHECK(answer.code == code);
        CHECK(has(answer.words, words));
    };
    const std::string trial = "add-trial " + meet.meet() + " --station crossing ";
    refused("", 2, "Name the meet file");
    refused(meet.meet() + " --station net", 4, "it has 'crossing'");
    refused(meet.meet() + " --division u12", 4, "no divisions");
    refused(meet.meet() + " --bound 1", 3, "between 0 and 1");
    refused(trial + "--tester Wigeon --cleared", 4, "There is no tester 'Wigeon'");
    refused(trial + "--tester Tern", 3, "--cleared or --failed");
    refused(trial + "--tester Tern --cleared", 4, "several starts");
    refused(trial + "--tester Tern --start pier_a --cleared", 4, "one landing alone");
    refused(trial + "--tester Tern --start pier_a --rig 7 --failed", 4, "has no rig 7");
    refused("add-rig " + meet.meet() + " --station crossing --item 'rope;hook;high'", 3, "no item of a rig");
    refused("add-rig " + meet.meet() + " --station crossing --photo gone.jpg", 4, "gone.jpg");
    refused("close " + meet.meet() + " --station crossing --question net --reason none", 4,
            "no question 'net'");
    CHECK(run("verify " + meet.meet()).code == 0);
}

TEST_CASE("the sheet of releases is printed as a PDF and is the same each time") {
    const Meet meet;
    meet.add_trial("--start pier_a --landing deck_a --cleared");
    meet.close_all();
    good("trials release " + meet.meet() + " --station crossing --sign Tern --note 'looked at twice'");
    const auto sheet = meet.file("releases.pdf"), again = meet.file("again.pdf"),
               letter = meet.file("letter.pdf");
    const std::string printed = good("trials " + meet.meet() + " --bound 0.8 --sheet " + quoted(sheet));
    CHECK(printed == sheet.string() + "\n");
    good("trials " + meet.meet() + " --bound 0.8 --sheet " + quoted(again));
    const std::string bytes = plumbmark::test::bytes_of(sheet);
    CHECK(bytes.starts_with("%PDF-"));
    CHECK(bytes == plumbmark::test::bytes_of(again));
    good("trials " + meet.meet() + " --paper letter --sheet " + quoted(letter));
    CHECK(plumbmark::test::bytes_of(letter) != bytes);
    const auto refused = [&](const std::string& arguments, int code, const std::string& words) {
        const auto answer = run("trials " + meet.meet() + " " + arguments);
        CHECK(answer.code == code);
        CHECK(has(answer.words, words));
    };
    refused("--sheet releases.txt", 3, "name a file that ends in .pdf");
    refused("--json --sheet " + quoted(sheet), 2, "excludes");
    refused("--sheet " + quoted(meet.file("no_such/releases.pdf")), 5, "releases.pdf");
    CHECK(run("verify " + meet.meet()).code == 0);
}
