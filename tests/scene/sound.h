// What a camera's microphone hears: start beep, bell plate, footfalls, hands on steel, room and fan. Sound
// takes its time: 343 m/s from where it is made to the camera.
#pragma once

#include <cstdint>
#include <vector>

#include "contacts.h"
#include "runs.h"

namespace plumbmark::scene {

inline constexpr int kSampleRate = 48000;
inline constexpr double kSpeedOfSound = 343.0;  // m/s, air at 20 degrees C

/// Mono samples of 16 bits; the first is heard at the time of the view's first frame.
[[nodiscard]] std::vector<std::int16_t> sound_of(const Run& run, const View& view, const Contacts& contacts);

/// How much later the camera hears what happens at a place.
[[nodiscard]] double sound_delay(const View& view, Vec3 from);

}  // namespace plumbmark::scene
