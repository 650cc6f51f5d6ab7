// A set-up put to src/sight, and its answers held against the truth.
#pragma once

#include <cstdint>
#include <string>
#include <vector>

#include "trials/setup.h"

namespace plumbmark::trials {

enum class Question { contact, in_air, by_two, deck_crossing, air_crossing, two_crossing, followed_crossing };
inline constexpr std::size_t kQuestions = 7;
[[nodiscard]] std::string name_of(Question question);
[[nodiscard]] inline bool is_crossing(Question question) {
    return question >= Question::deck_crossing;
}

/// What became of one question.
struct Outcome {
    Question question = Question::contact;
    Part part = Part::within;
    bool rendered = false;
    double angle = 0;        ///< degrees, in truth
    std::string refusal;     ///< empty: there is an answer
    bool at_camera = false;  ///< the refusal is of the calibration
    bool likely_holds = false, sure_holds = false;
    bool by_draws = false;
    double half_width = 0;  ///< of the 95 % interval: metres, or frames of a crossing
    sight::Side said = sight::Side::cannot_tell;
    bool word_is_wrong = false;
    double error = 0;         ///< best less truth: metres past the plane, or frames
    double standard = 0;      ///< as stated, in the same unit
    bool suspicious = false;  ///< the points do not meet, or no smooth movement passes them
};

/// Of all questions that were made; of those that 'only' holds where it is not empty.
[[nodiscard]] std::vector<Outcome> judged(const Setup& setup, const std::vector<Question>& only = {});

}  // namespace plumbmark::trials
