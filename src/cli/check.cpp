// plumbmark check BOOK: reads a course book and says all that is wrong or suspicious in it.
#include "course/check.h"

#include <fmt/format.h>

#include <algorithm>
#include <nlohmann/json.hpp>

#include "cli/internal/common.h"
#include "course/read.h"

namespace plumbmark::cli {
namespace {

struct CheckOptions {
    std::string book;
    bool json = false;
};

const char* severity_word(course::Severity severity) {
    return severity == course::Severity::error ? "error" : "warning";
}

int print_problems(const CheckOptions& options, const std::vector<course::BookProblem>& problems) {
    if (!options.json) {
        for (const course::BookProblem& problem : problems)
            fmt::print("{}\n", problem.text(options.book));
        return kFound;
    }
    nlohmann::ordered_json out{{"format", "plumbmark-check/1"}, {"book", options.book}, {"reads", false}};
    out["problems"] = nlohmann::ordered_json::array();
    for (const course::BookProblem& problem : problems) {
        out["problems"].push_back({{"line", problem.place.line},
                                   {"column", problem.place.column},
                                   {"found", problem.found.english()},
                                   {"expected", problem.expected.english()},
                                   {"suggestion", problem.suggestion}});
    }
    fmt::print("{}\n", out.dump(1, ' ', false, nlohmann::ordered_json::error_handler_t::replace));
    return kFound;
}

int run(const CheckOptions& options) {
    base::Result<std::string> text = read_file(options.book);
    if (!text) return complain(text.error());
    const course::ReadBook read = course::read_book(*text);
    if (!read.book) return print_problems(options, read.problems);
    const std::vector<course::Finding> findings = course::check_book(*read.book);
    const bool errors = std::any_of(findings.begin(), findings.end(), [](const course::Finding& f) {
        return f.severity == course::Severity::error;
    });
    if (options.json) {
        nlohmann::ordered_json out{{"format", "plumbmark-check/1"}, {"book", options.book}, {"reads", true}};
        out["findings"] = nlohmann::ordered_json::array();
        for (const course::Finding& finding : findings) {
            out["findings"].push_back({{"code", finding.code},
                                       {"severity", severity_word(finding.severity)},
                                       {"line", finding.place.line},
                                       {"column", finding.place.column},
                                       {"sentence", finding.sentence.english()},
                                       {"repair", finding.repair.english()}});
        }
        fmt::print("{}\n", out.dump(1, ' ', false, nlohmann::ordered_json::error_handler_t::replace));
        return errors ? kFound : kDone;
    }
    for (const course::Finding& finding : findings) {
        fmt::print("{}:{}:{}: {} [{}]: {}\n    {}\n", options.book, finding.place.line, finding.place.column,
                   severity_word(finding.severity), finding.code, finding.sentence.english(),
                   finding.repair.english());
    }
    fmt::print(
        "{}: {} stations, {} surfaces, {} planes; {}.\n", read.book->name, read.book->stations.size(),
        read.book->surfaces.size(), read.book->planes.size(),
        findings.empty() ? std::string("nothing to mend") : fmt::format("{} to look at", findings.size()));
    return errors ? kFound : kDone;
}

}  // namespace

void add_check(CLI::App& program, Action& action) {
    auto options = std::make_shared<CheckOptions>();
    CLI::App* command = program.add_subcommand("check", "Read a course book and say what is wrong in it");
    command->add_option("BOOK", options->book, "The course book (.course)")->required();
    command->add_flag("--json", options->json, "As JSON (docs/command-line.md)");
    command->callback([options, &action] { action = [options] { return run(*options); }; });
}

}  // namespace plumbmark::cli
