// The sample meet with everybody's consent, for tests of pictures that are not about faces: none is searched
// for, which takes seconds a picture.
#pragma once

#include <catch2/catch.hpp>
#include <filesystem>
#include <vector>

#include "store/meet_file.h"
#include "support/test_places.h"

namespace plumbmark::test {

/// Copies the sample clips with their meet to 'folder', which is made, and enters for every athlete whether
/// they agree to be seen. Where they do, a run of nobody gets somebody. Returns the meet file.
inline std::filesystem::path agreed_samples(const std::filesystem::path& folder,
                                            meet::Consent consent = meet::Consent::given) {
    std::filesystem::copy(source_folder() / "sample_clips", folder, std::filesystem::copy_options::recursive);
    const std::filesystem::path path = folder / "pier-nine.meet";
    auto file = store::MeetFile::open(path.string());
    REQUIRE(file.ok());
    const meet::State& state = file->loaded();
    meet::Change change{"agreed", {}, 0};
    for (const auto& [id, athlete] : state.athletes()) {
        meet::Athlete agreed = athlete;
        agreed.consent = consent;
        if (!(agreed == athlete)) change.edits.push_back({athlete, agreed});
    }
    meet::Athlete somebody;
    somebody.id = {state.next_id(meet::Kind::athlete)};
    somebody.number = "99";
    somebody.consent = meet::Consent::given;
    change.edits.push_back({std::nullopt, somebody});
    for (const auto& [id, run] : state.runs()) {
        if (run.athlete.valid() || run.entry.valid() || consent != meet::Consent::given) continue;
        meet::Run named = run;
        named.athlete = somebody.id;
        change.edits.push_back({run, named});
    }
    file->submit(change);
    REQUIRE(file->flush().ok());
    return path;
}

}  // namespace plumbmark::test
