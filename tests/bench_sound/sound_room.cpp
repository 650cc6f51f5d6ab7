#include "bench_sound/sound_room.h"

#include <algorithm>
#include <cmath>
#include <fstream>
#include <numbers>

namespace plumbmark::bench {
namespace {

constexpr int kRate = 48'000;  // of the room
constexpr double kTurn = 2 * std::numbers::pi;
// Sound is made within so many metres of the middle of the place.
constexpr double kPlace = 2;

std::size_t samples(double seconds) {
    return static_cast<std::size_t>(std::max(0.0, seconds) * kRate);
}

struct Made {
    double at = 0;      ///< s, on the room's clock
    double nearer = 0;  ///< m, to either microphone: -kPlace to kPlace
    std::vector<float> wave;
};

// --- what is made ---

std::vector<float> clap(Dice& dice) {
    std::vector<float> wave(samples(0.06));
    const double fall = dice.between(150, 500);
    for (std::size_t i = 0; i < wave.size(); ++i)
        wave[i] = static_cast<float>(dice.normal() * std::exp(-fall * static_cast<double>(i) / kRate));
    return wave;
}

std::vector<float> whistle(Dice& dice) {
    std::vector<float> wave(samples(dice.between(0.3, 1.0)));
    const double pitch = dice.between(1800, 3200), slide = dice.between(-600, 600);
    const double trill = dice.between(15, 30), depth = dice.between(40, 200);
    double turn = 0;
    for (std::size_t i = 0; i < wave.size(); ++i) {
        const double t = static_cast<double>(i) / kRate,
                     share = static_cast<double>(i) / static_cast<double>(wave.size());
        turn += kTurn * (pitch + slide * share + depth * std::sin(kTurn * trill * t)) / kRate;
        const double swell = std::sin(std::numbers::pi * share);
        wave[i] = static_cast<float>(
            swell * (0.4 * std::sin(turn) + 0.1 * std::sin(2 * turn) + 0.05 * dice.normal()));
    }
    return wave;
}

/// Syllables: pulses of a changing pitch through three resonances.
std::vector<float> call(Dice& dice) {
    std::vector<float> wave;
    const int syllables = 2 + dice.below(4);
    for (int s = 0; s < syllables; ++s) {
        std::vector<float> syllable(samples(dice.between(0.12, 0.3)));
        const double pitch = dice.between(110, 320), slide = dice.between(-40, 60);
        double state[3][2] = {};
        double poles[3][2];
        const double lows[3] = {300, 900, 2200}, highs[3] = {800, 2000, 3400};
        for (int f = 0; f < 3; ++f) {
            const double hertz = dice.between(lows[f], highs[f]), wide = 80 + 60 * f;
            const double radius = std::exp(-std::numbers::pi * wide / kRate);
            poles[f][0] = 2 * radius * std::cos(kTurn * hertz / kRate);
            poles[f][1] = -radius * radius;
        }
        double turn = 0;
        for (std::size_t i = 0; i < syllable.size(); ++i) {
            const double share = static_cast<double>(i) / static_cast<double>(syllable.size());
            turn += (pitch + slide * share) / kRate;
            double drive = 0.02 * dice.normal();
            if (turn >= 1) {
                turn -= 1;
                drive += 1;
            }
            double sum = 0;
            for (int f = 0; f < 3; ++f) {
                const double next = drive + poles[f][0] * state[f][0] + poles[f][1] * state[f][1];
                state[f][1] = state[f][0];
                state[f][0] = next;
                sum += next / (1 + f);
            }
            syllable[i] = static_cast<float>(0.1 * sum * std::sin(std::numbers::pi * share));
        }
        wave.insert(wave.end(), syllable.begin(), syllable.end());
        wave.insert(wave.end(), samples(dice.between(0.02, 0.1)), 0.0F);
    }
    return wave;
}

/// All that is made between two times, some twenty times a minute.
std::vector<Made> scene_of(std::uint64_t scene, Sounds sounds, double from, double to) {
    Dice dice(scene * 977 + 5);
    std::vector<Made> all;
    // The scene begins long before either recording, so that each finds the same one.
    for (double at = -60; at < 200; at += dice.between(0.5, 3.5)) {
        Sounds now = sounds;
        if (sounds == Sounds::mixed) now = kAllSounds[dice.below(3)];
        Made made{at, dice.between(-kPlace, kPlace), {}};
        made.wave = now == Sounds::claps ? clap(dice) : now == Sounds::whistles ? whistle(dice) : call(dice);
        const double loud = dice.between(0.3, 1.0);
        for (float& sample : made.wave)
            sample *= static_cast<float>(loud);
        if (at > from - 3 && at < to) all.push_back(std::move(made));
    }
    return all;
}

// --- how it is recorded ---

/// Straight and by forty echoes that fade within a third of a second.
void hear(const Made& made, const Microphone& microphone, Dice& echoes, std::vector<float>& room) {
    const double way = std::max(1.0, microphone.distance + made.nearer) / kSpeedOfSound;
    constexpr int kEchoes = 40;
    for (int e = 0; e <= kEchoes; ++e) {
        const double later = e == 0 ? 0 : echoes.between(0.004, 0.25);
        const double part = e == 0 ? 1 : 0.35 * std::exp(-12 * later) * (echoes.below(2) == 0 ? 1 : -1);
        const auto at = std::llround((made.at + way + later - microphone.begins) * kRate);
        for (std::size_t i = 0; i < made.wave.size(); ++i) {
            const std::int64_t to = at + static_cast<std::int64_t>(i);
            if (to < 0 || to >= static_cast<std::int64_t>(room.size())) continue;
            room[static_cast<std::size_t>(to)] += static_cast<float>(part) * made.wave[i];
        }
    }
}

double power(const std::vector<float>& wave) {
    double sum = 0;
    for (const float sample : wave)
        sum += static_cast<double>(sample) * static_cast<double>(sample);
    return wave.empty() ? 0 : sum / static_cast<double>(wave.size());
}

/// First order, both at once.
void filter(std::vector<float>& wave, double lowpass, double highpass) {
    const double low = 1 - std::exp(-kTurn * lowpass / kRate), high = 1 - std::exp(-kTurn * highpass / kRate);
    double smooth = 0, slow = 0;
    for (float& sample : wave) {
        smooth += low * (static_cast<double>(sample) - smooth);
        slow += high * (smooth - slow);
        sample = static_cast<float>(smooth - slow);
    }
}

/// Air, clothes, far traffic: more of it below than above, and swelling.
std::vector<float> noise(std::size_t count, Dice& dice) {
    std::vector<float> wave(count);
    double slow = 0, swell = 0;
    for (std::size_t i = 0; i < count; ++i) {
        const double white = dice.normal();
        slow += 0.12 * (white - slow);
        if (i % 4'800 == 0) swell = 0.8 * swell + 0.2 * dice.between(-1, 1);
        wave[i] = static_cast<float>((slow + 0.15 * white) * (1 + swell));
    }
    return wave;
}

/// The samples as a clock of another rate counts them: by a cubic through four (Catmull-Rom).
std::vector<float> at_rate(const std::vector<float>& wave, double step) {
    std::vector<float> made;
    for (double at = 1; at + 3 < static_cast<double>(wave.size()); at += step) {
        const auto i = static_cast<std::size_t>(at);
        const auto t = static_cast<float>(at - static_cast<double>(i));
        const float a = wave[i - 1], b = wave[i], c = wave[i + 1], d = wave[i + 2];
        made.push_back(b + 0.5F * t * (c - a + t * (2 * a - 5 * b + 4 * c - d + t * (3 * (b - c) + d - a))));
    }
    return made;
}

/// The microphone's own part; 'loudness': of what it hears, where the noise is counted from that.
std::vector<float> recorded(std::vector<float> room, const Microphone& microphone, double heard, Dice& dice) {
    std::vector<float> own = noise(room.size(), dice);
    filter(own, 7'500, 300);  // the ratio is of the band that is compared
    const double share =
        std::sqrt(heard * std::pow(10, microphone.noise_db / 10) / std::max(power(own), 1e-12));
    for (std::size_t i = 0; i < room.size(); ++i) {
        const double t = static_cast<double>(i) / kRate;
        double hum = 0;
        for (int n = 1; n <= 12; ++n)
            hum += std::sin(kTurn * 50 * n * t + n) / n;
        room[i] += static_cast<float>(share) * own[i] + static_cast<float>(microphone.hum * hum);
    }
    filter(room, microphone.lowpass, microphone.highpass);
    float loudest = 1e-6F;
    for (const float sample : room)
        loudest = std::max(loudest, std::abs(sample));
    const double level = microphone.gain * (microphone.clips ? 4 : 1) * (microphone.inverted ? -1 : 1);
    for (float& sample : room)
        sample = std::clamp(sample / loudest * static_cast<float>(level), -1.0F, 1.0F);
    const double step = static_cast<double>(kRate) / microphone.rate / (1 + microphone.clock_ppm * 1e-6);
    return at_rate(room, step);
}

Microphone some_microphone(Dice& dice) {
    Microphone made;
    made.begins = dice.between(0, 12);
    made.seconds = dice.between(22, 45);
    made.distance = dice.between(4, 20);
    made.rate = dice.below(2) == 0 ? 48'000 : 44'100;
    made.gain = dice.between(0.05, 0.9);
    made.lowpass = dice.between(3'000, 16'000);
    made.highpass = dice.between(40, 400);
    made.hum = dice.below(2) == 0 ? 0.01 : 0;
    made.clips = dice.below(4) == 0;
    made.inverted = dice.below(4) == 0;
    return made;
}

}  // namespace

// --- dice ---

std::uint64_t Dice::next() {
    std::uint64_t z = state_ += 0x9e3779b97f4a7c15ULL;
    z = (z ^ (z >> 30U)) * 0xbf58476d1ce4e5b9ULL;
    z = (z ^ (z >> 27U)) * 0x94d049bb133111ebULL;
    return z ^ (z >> 31U);
}
double Dice::between(double low, double high) {
    return low + (high - low) * static_cast<double>(next() >> 11U) * 0x1p-53;
}
int Dice::below(int count) {
    return static_cast<int>(next() % static_cast<std::uint64_t>(count));
}
double Dice::normal() {
    double sum = -6;
    for (int i = 0; i < 3; ++i) {
        const std::uint64_t bits = next();
        for (unsigned part = 0; part < 4; ++part)
            sum += static_cast<double>((bits >> (16 * part)) & 0xFFFFU) / 65'536.0;
    }
    return sum;
}

const char* words_for(Sounds sounds) {
    switch (sounds) {
        case Sounds::claps:
            return "claps";
        case Sounds::whistles:
            return "whistles";
        case Sounds::calls:
            return "calls";
        case Sounds::mixed:
            break;
    }
    return "all of them";
}

// --- recordings ---

std::vector<float> record(std::uint64_t scene, Sounds sounds, const Microphone& microphone,
                          std::uint64_t own) {
    std::vector<float> room(samples(microphone.seconds));
    Dice dice(own * 31 + 7);
    for (const Made& made :
         scene_of(scene, sounds, microphone.begins, microphone.begins + microphone.seconds))
        hear(made, microphone, dice, room);
    std::vector<float> band = room;
    filter(band, 7'500, 300);
    return recorded(std::move(room), microphone, power(band), dice);
}

std::vector<float> record_periodic(Periodic what, double period, double phase, const Microphone& microphone,
                                   std::uint64_t own) {
    std::vector<float> room(samples(microphone.seconds));
    Dice dice(own * 31 + 7);
    Dice tune(99);
    std::vector<float> bar(samples(period));
    for (int note = 0; what == Periodic::music && note < 8; ++note) {
        const double pitch = 220 * std::exp2(tune.below(24) / 12.0), from = period * note / 8;
        for (std::size_t i = samples(from); i < samples(from + period / 8); ++i) {
            const double t = static_cast<double>(i) / kRate - from;
            double sum = 0;
            for (int n = 1; n <= 8; ++n)
                sum += std::sin(kTurn * pitch * n * t) / n;
            bar[i] += static_cast<float>(0.2 * std::exp(-6 * t) * sum);
        }
        const std::vector<float> drum = clap(tune);
        for (std::size_t i = 0; i < drum.size() && samples(from) + i < bar.size(); ++i)
            bar[samples(from) + i] += 0.3F * drum[i];
    }
    for (std::size_t i = 0; what == Periodic::beeps && i < samples(0.3); ++i)
        bar[i] = static_cast<float>(0.4 * std::sin(kTurn * 1'000 * static_cast<double>(i) / kRate));
    for (std::size_t i = 0; i < room.size(); ++i)
        room[i] = bar[(i + samples(phase)) % bar.size()];
    const double heard = power(room);
    return recorded(std::move(room), microphone, heard, dice);
}

std::vector<float> record_nothing(const Microphone& microphone, std::uint64_t own) {
    Dice dice(own * 31 + 7);
    return recorded(std::vector<float>(samples(microphone.seconds)), microphone, 0.01, dice);
}

void write_wave(const std::filesystem::path& path, const std::vector<float>& wave, int rate) {
    std::ofstream out(path, std::ios::binary);
    const auto number = [&](std::uint32_t value, int bytes) {
        for (int i = 0; i < bytes; ++i)
            out.put(static_cast<char>(value >> (8 * i)));
    };
    const auto bytes = static_cast<std::uint32_t>(2 * wave.size());
    out << "RIFF";
    number(36 + bytes, 4);
    out << "WAVEfmt ";
    number(16, 4);
    number(1, 2);
    number(1, 2);
    number(static_cast<std::uint32_t>(rate), 4);
    number(static_cast<std::uint32_t>(2 * rate), 4);
    number(2, 2);
    number(16, 2);
    out << "data";
    number(bytes, 4);
    for (const float sample : wave)
        number(static_cast<std::uint32_t>(std::lround(sample * 32'767)) & 0xFFFFU, 2);
}

// --- pairs ---

Pair common_pair(Sounds sounds, double snr_db, std::uint64_t seed) {
    Dice dice(seed * 7'919 + 3);
    Microphone a = some_microphone(dice), b = some_microphone(dice);
    a.noise_db = b.noise_db = -snr_db;
    if (dice.below(3) == 0) b.clock_ppm = dice.between(-50, 50);
    if (dice.below(3) == 0) b.seconds = 12;  // one clip shorter, within the other
    if (b.seconds == 12) b.begins = a.begins + dice.between(0, a.seconds - 12);
    Pair made{words_for(sounds), {}, {}, a.rate, b.rate, true, 0, 0, 0};
    made.first = record(seed, sounds, a, 2 * seed);
    made.second = record(seed, sounds, b, 2 * seed + 1);
    // The samples of a recording begin with the room's second one (at_rate).
    made.clocks = a.begins - b.begins;
    made.arrival = made.clocks + (b.distance - a.distance) / kSpeedOfSound;
    made.distance = std::abs(b.distance - a.distance);
    return made;
}

Pair foreign_pair(std::uint64_t which) {
    Dice dice(which * 104'729 + 11);
    Microphone a = some_microphone(dice), b = some_microphone(dice);
    a.noise_db = b.noise_db = -dice.between(0, 20);
    Pair made{"", {}, {}, a.rate, b.rate, false, 0, 0, 0};
    const std::uint64_t one = 2 * which + 500'000, two = one + 1;
    const double period = dice.between(0.4, 2.5);
    const auto periodic = [&](Periodic what) {
        made.first = record_periodic(what, period, dice.between(0, period), a, one);
        made.second = record_periodic(what, period, dice.between(0, period), b, two);
    };
    switch (which % kForeignKinds) {
        case 0:
            made.kind = "noise";
            made.first = record_nothing(a, one);
            made.second = record_nothing(b, two);
            break;
        case 1:
            made.kind = "the same hum";
            a.hum = b.hum = 0.3;
            made.first = record_nothing(a, one);
            made.second = record_nothing(b, two);
            break;
        case 2:
            made.kind = "the same beeps";
            periodic(Periodic::beeps);
            break;
        case 3:
            made.kind = "the same music over and over";
            periodic(Periodic::music);
            break;
        case 4:
        case 5:
        default: {
            const Sounds sounds = kAllSounds[dice.below(4)];
            made.kind = std::string("other ") + words_for(sounds);
            made.first = record(one, sounds, a, one);
            made.second = record(two, sounds, b, two);
            if (which % kForeignKinds != 6) break;
            // The same start signal in both: three beeps and a long one.
            made.kind = "other sounds and the same start signal";
            const auto signal = [](std::vector<float>& wave, int rate, double from) {
                for (int n = 0; n < 4; ++n) {
                    const auto at = static_cast<std::size_t>((from + n) * rate);
                    const auto end = static_cast<std::size_t>((from + n + (n == 3 ? 0.8 : 0.15)) * rate);
                    for (std::size_t i = at; i < std::min(end, wave.size()); ++i) {
                        const double t = static_cast<double>(i - at) / rate;
                        wave[i] = 0.5F * wave[i] +
                                  static_cast<float>(0.4 * std::sin(kTurn * (n == 3 ? 1'760 : 880) * t));
                    }
                }
            };
            signal(made.first, a.rate, dice.between(1, 8));
            signal(made.second, b.rate, dice.between(1, 8));
        }
    }
    return made;
}

}  // namespace plumbmark::bench
