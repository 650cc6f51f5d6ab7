#include "review/faces.h"

#include <algorithm>
#include <cmath>

#include "base/worded.h"
#include "meet/who_ran.h"
#include "review/internal/sentences.h"

namespace plumbmark::review {
namespace {

sight::Pixels pixels_of(media::RgbaImage& picture) {
    return {picture.pixels.data(), picture.width, picture.height};
}

/// Rounded outward: what was covered is covered whole.
sight::Box place_of(const meet::Cover& cover, const media::RgbaImage& picture) {
    const auto& [x, y, width, height] = cover.box;
    const int left = static_cast<int>(std::floor(x * picture.width));
    const int top = static_cast<int>(std::floor(y * picture.height));
    const int right = static_cast<int>(std::ceil((x + width) * picture.width));
    const int bottom = static_cast<int>(std::ceil((y + height) * picture.height));
    return {left, top, right - left, bottom - top};
}

void note(std::vector<meet::ClipId>& clips, meet::ClipId clip) {
    if (std::find(clips.begin(), clips.end(), clip) == clips.end()) clips.push_back(clip);
}

base::Sentence clip_names(const meet::State& state, const std::vector<meet::ClipId>& clips) {
    std::vector<base::Sentence> names;
    for (const meet::ClipId clip : clips)
        names.emplace_back(state.clips().at(clip).name);
    return base::listed_words(names);
}

}  // namespace

bool may_show_faces(const meet::State& state, meet::ClipId clip) {
    bool seen = false;
    for (const auto& [id, run] : state.runs()) {
        if (std::find(run.clips.begin(), run.clips.end(), clip) == run.clips.end()) continue;
        const meet::Athlete* athlete = meet::athlete_of(state, run);
        if (athlete == nullptr || athlete->consent != meet::Consent::given) return false;
        seen = true;
    }
    return seen;
}

void FaceHider::cover_by_hand(meet::ClipId clip, const ClipPicture& one) {
    for (const auto& [id, cover] : state_.covers()) {
        if (cover.clip != clip || one.frame < cover.first.number || one.frame > cover.last.number) continue;
        sight::hide(pixels_of(*one.picture), place_of(cover, *one.picture));
        covered_ = true;
    }
}

void FaceHider::hide_found(const ClipPicture& one, const std::vector<sight::Box>& faces) {
    const sight::Pixels pixels = pixels_of(*one.picture);
    if (one.pointed) {
        if (sight::hide_around(pixels, faces, one.pointed->at, one.pointed->side)) ++left_open_;
        return;
    }
    for (const sight::Box& face : faces)
        sight::hide(pixels, face);
}

base::Result<void> FaceHider::hide(meet::ClipId clip, const std::vector<ClipPicture>& pictures,
                                   bool neighbours) {
    std::vector<sight::Box> all;
    std::vector<std::vector<sight::Box>> each(pictures.size());
    if (base::Result<void> found = find(clip, pictures, each); !found) return found;
    for (const auto& faces : each)
        all.insert(all.end(), faces.begin(), faces.end());
    for (std::size_t i = 0; i < pictures.size(); ++i) {
        hide_found(pictures[i], neighbours ? all : each[i]);
        cover_by_hand(clip, pictures[i]);
    }
    return {};
}

base::Result<void> FaceHider::find(meet::ClipId clip, const std::vector<ClipPicture>& pictures,
                                   std::vector<std::vector<sight::Box>>& faces) {
    if (may_show_faces(state_, clip)) {
        note(shown_, clip);
        return {};
    }
    if (!finder_) {
        auto opened = sight::FaceFinder::open();
        if (!opened) return opened.error();
        finder_.emplace(std::move(*opened));
    }
    note(searched_, clip);
    for (std::size_t i = 0; i < pictures.size(); ++i) {
        const sight::Pixels pixels = pixels_of(*pictures[i].picture);
        const sight::Box whole{0, 0, pixels.width, pixels.height};
        auto found = finder_->find(pixels, pictures[i].shown.value_or(whole), stop_,
                                   sight::kSmallestFace / pictures[i].given_out);
        if (!found) return found.error();
        faces[i] = std::move(*found);
    }
    return {};
}

base::Result<std::vector<sight::Box>> FaceHider::look_for(meet::ClipId clip, const ClipPicture& one) {
    std::vector<std::vector<sight::Box>> faces(1);
    if (base::Result<void> found = find(clip, {one}, faces); !found) return found.error();
    return std::move(faces.front());
}

void FaceHider::hide_places(meet::ClipId clip, const ClipPicture& one,
                            const std::vector<sight::Box>& places) {
    for (const sight::Box& place : places)
        sight::hide(pixels_of(*one.picture), place);
    cover_by_hand(clip, one);
}

base::Sentence FaceHider::sentence() const {
    std::vector<base::Sentence> sentences;
    if (!searched_.empty())
        sentences.push_back(base::worded(
            "Faces in these pictures were searched for by program, and what it found was made "
            "unrecognisable. A program misses some faces: look at the pictures before giving them out."));
    if (left_open_ > 0)
        sentences.push_back(
            base::worded("In {} of them the program found a face at the very place that was pointed at. It "
                         "mostly mistakes something else for one there, so a small square around that "
                         "place was left open: see that nobody can be told by it, else cover it by hand.",
                         left_open_));
    if (!shown_.empty())
        sentences.push_back(base::worded("Faces are shown on {}, where every athlete has agreed to it.",
                                         clip_names(state_, shown_)));
    if (covered_) sentences.push_back(base::worded("Places that somebody covered by hand are hidden, too."));
    return in_a_row(sentences);
}

}  // namespace plumbmark::review
