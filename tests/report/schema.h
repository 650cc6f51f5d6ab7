// A small checker for the part of JSON Schema (draft 2020-12) that docs/ruling.schema.json uses.
#pragma once

#include <nlohmann/json.hpp>
#include <string>
#include <vector>

namespace plumbmark::test {

/// A schema of docs/: "ruling.schema.json".
[[nodiscard]] nlohmann::json schema_of_docs(const std::string& name);

/// Everything in which the value does not fit the schema, as "/stations/0/verdict: what is wrong"; empty when
/// it fits. A keyword that the checker does not know is itself reported, so that no rule can be passed over
/// in silence.
[[nodiscard]] std::vector<std::string> misfits(const nlohmann::json& schema, const nlohmann::json& value);

}  // namespace plumbmark::test
