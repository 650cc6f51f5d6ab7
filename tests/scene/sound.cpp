#include "sound.h"

#include <algorithm>

namespace plumbmark::scene {
namespace {

// Adds tone(seconds since the sound began) to the samples from 'begin' on.
template <class Tone>
void add_tone(std::vector<float>& out, double begin, double lasts, double loud, const Tone& tone) {
    const auto first = static_cast<std::int64_t>(begin * kSampleRate) + 1;
    const auto count = static_cast<std::int64_t>(lasts * kSampleRate);
    for (std::int64_t i = 0; i < count; ++i) {
        const std::int64_t at = first + i;
        if (at < 0 || at >= static_cast<std::int64_t>(out.size())) continue;
        const double s = static_cast<double>(at) / kSampleRate - begin;
        out[static_cast<std::size_t>(at)] += static_cast<float>(loud * tone(s));
    }
}

double hiss(double s, std::uint64_t key) {
    return 2 * hash_unit(key * 1000003 + static_cast<std::uint64_t>(s * kSampleRate)) - 1;
}

double beep(double s) {
    const double edge = smooth(0, 0.002, s) * smooth(0.40, 0.396, s);
    return edge * (sine(2 * kPi * 1000 * s) + 0.25 * sine(2 * kPi * 3000 * s));
}

double bell(double s) {
    double sum = 0;
    const double partials[][3] = {
        {622, 1.0, 2.2}, {1304, 0.8, 3.1}, {1987, 0.55, 4.6}, {3361, 0.45, 7.0}, {5012, 0.3, 12}};
    for (const auto& p : partials)
        sum += p[1] * exponential(-p[2] * s) * sine(2 * kPi * p[0] * s);
    return sum * smooth(0, 0.0004, s);
}

double thud(double s, std::uint64_t key) {
    const double low = exponential(-26 * s) * sine(2 * kPi * (88 - 60 * s) * s);
    return smooth(0, 0.0015, s) * (low + 0.35 * exponential(-90 * s) * hiss(s, key));
}

double clank(double s, std::uint64_t key) {
    return smooth(0, 0.0006, s) * (0.5 * exponential(-38 * s) * sine(2 * kPi * 740 * s) +
                                   0.3 * exponential(-60 * s) * sine(2 * kPi * 2210 * s) +
                                   0.4 * exponential(-120 * s) * hiss(s, key));
}

void add_room(std::vector<float>& out, std::uint64_t key) {
    float low = 0;
    for (std::size_t i = 0; i < out.size(); ++i) {
        const auto white = static_cast<float>(2 * hash_unit(key + i) - 1);
        low += 0.03F * (white - low);
        out[i] += 0.020F * low + 0.0012F * white;
    }
    add_tone(out, 0, static_cast<double>(out.size()) / kSampleRate, 0.0025,
             [](double s) { return sine(2 * kPi * 100 * s) + 0.5 * sine(2 * kPi * 199.2 * s); });
}

}  // namespace

double sound_delay(const View& view, Vec3 from) {
    return length(view.camera.at - from) / kSpeedOfSound;
}

std::vector<std::int16_t> sound_of(const Run& run, const View& view, const Contacts& contacts) {
    const auto ticks = view.ticks();
    const double start = static_cast<double>(view.run_time(ticks.front()).ns) * 1e-9;
    const double end = static_cast<double>(view.run_time(ticks.back()).ns) * 1e-9;
    std::vector<float> sum(static_cast<std::size_t>((end - start) * kSampleRate));
    std::uint64_t key = 1;
    for (const char c : view.clip)
        key = mixed(key + static_cast<unsigned char>(c));
    add_room(sum, key);
    const auto heard = [&](double t, Vec3 at) { return t - start + sound_delay(view, at); };
    const auto loud = [&](double at_one_metre, Vec3 at) {
        return at_one_metre / length(view.camera.at - at);
    };
    const Vec3 horn = layout().start_lamp;
    add_tone(sum, heard(run.beep, horn), 0.40, loud(2.2, horn), beep);
    const Vec3 plate{layout().bell_x, 0, layout().bell_z};
    for (const double t : run.bells)
        add_tone(sum, heard(t, plate), 2.0, loud(2.0, plate), bell);
    for (const Contact& contact : contacts.events) {
        if (!contact.touch) continue;
        const std::uint64_t own = mixed(static_cast<std::uint64_t>(contact.t * 1e6));
        const bool foot = contact.part == Part::left_foot || contact.part == Part::right_foot;
        const double begin = heard(contact.t, contact.at);
        if (foot) {
            add_tone(sum, begin, 0.30, loud(1.4, contact.at), [&](double s) { return thud(s, own); });
        } else {
            add_tone(sum, begin, 0.16, loud(0.5, contact.at), [&](double s) { return clank(s, own); });
        }
    }
    std::vector<std::int16_t> out;
    out.reserve(sum.size());
    for (const float v : sum)
        out.push_back(static_cast<std::int16_t>(std::min(std::max(v, -0.99F), 0.99F) * 32767.0F));
    return out;
}

}  // namespace plumbmark::scene
