// The parts of the JSON of studied runs, in the order that docs/study-json.md lists their members.
#pragma once

#include <nlohmann/json.hpp>

#include "report/laid_open.h"

namespace plumbmark::report {

[[nodiscard]] nlohmann::ordered_json json_length(const study::Length& length);
[[nodiscard]] nlohmann::ordered_json json_difference(const study::Difference& difference);
[[nodiscard]] nlohmann::ordered_json json_name(const RunName& name);
/// The run with all its figures.
[[nodiscard]] nlohmann::ordered_json json_laid_open(const LaidOpen& open);
/// Two spaces of indentation; bytes that are not UTF-8 become U+FFFD; one line feed at the end.
[[nodiscard]] std::string json_text(const nlohmann::ordered_json& whole);

}  // namespace plumbmark::report
