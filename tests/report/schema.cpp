#include "schema.h"

#include <algorithm>
#include <catch2/catch.hpp>
#include <fstream>
#include <functional>
#include <map>

#include "support/test_places.h"

namespace plumbmark::test {
namespace {

using nlohmann::json;

class Checker {
  public:
    explicit Checker(const json& root) : root_(root) {}

    void check(const json& schema, const json& value, const std::string& at) {
        for (const auto& [keyword, rule] : schema.items())
            apply(keyword, rule, schema, value, at);
    }

    [[nodiscard]] std::vector<std::string> take() { return std::move(found_); }

  private:
    void report(const std::string& at, const std::string& what) { found_.push_back(at + ": " + what); }

    void apply(const std::string& keyword, const json& rule, const json& schema, const json& value,
               const std::string& at) {
        if (keyword == "type")
            type(rule, value, at);
        else if (keyword == "const")
            require(value == rule, at, "is not " + rule.dump());
        else if (keyword == "enum")
            require(std::find(rule.begin(), rule.end(), value) != rule.end(), at,
                    value.dump() + " is not in the list");
        else if (keyword == "minimum")
            require(!value.is_number() || value >= rule, at, "is below " + rule.dump());
        else if (keyword == "minItems")
            require(!value.is_array() || value.size() >= rule.get<std::size_t>(), at, "has too few entries");
        else if (keyword == "maxItems")
            require(!value.is_array() || value.size() <= rule.get<std::size_t>(), at, "has too many entries");
        else if (keyword == "required")
            required(rule, value, at);
        else if (keyword == "properties")
            properties(rule, value, at);
        else if (keyword == "additionalProperties")
            no_others(schema, value, at);
        else if (keyword == "items")
            items(rule, value, at);
        else if (keyword == "oneOf")
            one_of(rule, value, at);
        else if (keyword == "$ref")
            check(root_.at(json::json_pointer(rule.get<std::string>().substr(1))), value, at);
        else if (keyword != "$schema" && keyword != "title" && keyword != "description" && keyword != "$defs")
            report(at, "the schema uses '" + keyword + "', which this checker does not know");
    }

    void require(bool holds, const std::string& at, const std::string& what) {
        if (!holds) report(at, what);
    }

    void type(const json& rule, const json& value, const std::string& at) {
        static const std::map<std::string, std::function<bool(const json&)>> kTypes = {
            {"object", [](const json& v) { return v.is_object(); }},
            {"array", [](const json& v) { return v.is_array(); }},
            {"string", [](const json& v) { return v.is_string(); }},
            {"number", [](const json& v) { return v.is_number(); }},
            {"boolean", [](const json& v) { return v.is_boolean(); }},
            {"integer", [](const json& v) { return v.is_number_integer(); }},
            {"null", [](const json& v) { return v.is_null(); }}};
        const json names = rule.is_array() ? rule : json::array({rule});
        const bool fits = std::any_of(names.begin(), names.end(), [&value](const json& name) {
            return kTypes.at(name.get<std::string>())(value);
        });
        require(fits, at, "is " + value.dump() + ", not of type " + rule.dump());
    }

    void required(const json& rule, const json& value, const std::string& at) {
        for (const json& name : rule)
            require(!value.is_object() || value.contains(name), at, "lacks " + name.dump());
    }

    void properties(const json& rule, const json& value, const std::string& at) {
        for (const auto& [name, schema] : rule.items())
            if (value.is_object() && value.contains(name)) check(schema, value.at(name), at + "/" + name);
    }

    void no_others(const json& schema, const json& value, const std::string& at) {
        require(schema.at("additionalProperties") == false, at,
                "only 'additionalProperties: false' is known");
        if (!value.is_object()) return;
        for (const auto& [name, ignored] : value.items())
            require(schema.at("properties").contains(name), at, "has an unknown member '" + name + "'");
    }

    void items(const json& rule, const json& value, const std::string& at) {
        if (!value.is_array()) return;
        for (std::size_t i = 0; i < value.size(); ++i)
            check(rule, value[i], at + "/" + std::to_string(i));
    }

    void one_of(const json& rule, const json& value, const std::string& at) {
        int fitting = 0;
        for (const json& choice : rule) {
            Checker alone(root_);
            alone.check(choice, value, at);
            fitting += alone.take().empty() ? 1 : 0;
        }
        require(fitting == 1, at,
                "fits " + std::to_string(fitting) + " of the choices, not one: " + value.dump());
    }

    const json& root_;
    std::vector<std::string> found_;
};

}  // namespace

json schema_of_docs(const std::string& name) {
    std::ifstream file((test::source_folder() / "docs/").string() + name);
    REQUIRE(file);
    return json::parse(file);
}

std::vector<std::string> misfits(const nlohmann::json& schema, const nlohmann::json& value) {
    Checker checker(schema);
    checker.check(schema, value, "");
    return checker.take();
}

}  // namespace plumbmark::test
