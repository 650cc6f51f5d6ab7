#include "store/lens_shelf.h"

#include "base/worded.h"
#include "meet/changes.h"
#include "store/internal/camera_json.h"
#include "store/internal/json_text.h"
#include "store/internal/strict_reader.h"

namespace plumbmark::store {
namespace {

constexpr const char* kFormat = "plumbmark-lenses/1";

}  // namespace

base::Result<std::vector<meet::CameraLens>> read_lenses(std::string_view text) {
    std::vector<meet::CameraLens> lenses;
    if (text.find_first_not_of(" \t\r\n") == std::string_view::npos) return lenses;
    try {
        const auto whole = parse_json(text);
        if (!whole) return whole.error();
        const Members members(*whole, "", {"format", "lenses"});
        if (members.text("format") != kFormat)
            fail_at("format", base::worded("'{}' is expected here; this text has another format", kFormat));
        const Json& list = members.list("lenses");
        for (std::size_t i = 0; i < list.size(); ++i) {
            // An id is needed to be looked at as a thing of a meet; it is none here.
            meet::CameraLens lens = read_plain_lens(1, list[i], item_path("lenses", i));
            if (const auto good = meet::check_values(lens); !good) return good.error();
            lens.id = {};
            lenses.push_back(std::move(lens));
        }
    } catch (const ReadProblem& problem) {
        return problem.error;
    }
    return lenses;
}

std::string write_lenses(const std::vector<meet::CameraLens>& lenses) {
    Json list = Json::array();
    for (const meet::CameraLens& lens : lenses)
        list.push_back(plain_lens_json(lens));
    return Json{{"format", kFormat}, {"lenses", list}}.dump(2) + "\n";
}

}  // namespace plumbmark::store
