// A room whose sound is computed: claps, whistles, calls and beeps at known places and times, as two
// microphones with clocks, distances, echoes, noise and faults of their own record them. Fixed seeds, so the
// same every time.
#pragma once

#include <cstdint>
#include <filesystem>
#include <string>
#include <vector>

namespace plumbmark::bench {

/// Small and the same everywhere: splitmix64 (Steele, Lea, Flood 2014).
class Dice {
  public:
    explicit Dice(std::uint64_t seed) : state_(seed) {}
    std::uint64_t next();
    double between(double low, double high);
    int below(int count);
    double normal();  ///< mean 0, deviation 1: the sum of twelve

  private:
    std::uint64_t state_;
};

/// What is to be heard.
enum class Sounds : std::uint8_t { claps, whistles, calls, mixed };
inline constexpr Sounds kAllSounds[] = {Sounds::claps, Sounds::whistles, Sounds::calls, Sounds::mixed};
const char* words_for(Sounds sounds);

/// One microphone's own part in it.
struct Microphone {
    double begins = 0;  ///< s, on the room's clock
    double seconds = 30;
    double distance = 8;   ///< m, from the middle of where sound is made
    double clock_ppm = 0;  ///< its clock runs fast by so much
    int rate = 48'000;
    double gain = 0.5;
    double noise_db =
        -10;  ///< of its own noise, to what it hears of the room, in power over the whole recording
    double lowpass = 20'000, highpass = 20;  ///< Hz, first order
    double hum = 0;                          ///< amplitude of 50 Hz and its overtones
    bool clips = false;                      ///< it is overdriven by 12 dB
    bool inverted = false;
};

inline constexpr double kSpeedOfSound = 343;  // m/s, dry air at 20 degrees (CRC Handbook, from memory)

/// What the microphone records, 1 is full scale. 'scene': which claps and calls; 'own': its noise and echoes.
std::vector<float> record(std::uint64_t scene, Sounds sounds, const Microphone& microphone,
                          std::uint64_t own);

/// What has a beat: the same few notes and drum over and over, from a place of its own on; or beeps.
enum class Periodic : std::uint8_t { beeps, music };
std::vector<float> record_periodic(Periodic what, double period, double phase, const Microphone& microphone,
                                   std::uint64_t own);
/// Noise alone, with its hum.
std::vector<float> record_nothing(const Microphone& microphone, std::uint64_t own);

/// RIFF WAVE, 16 bits, one channel.
void write_wave(const std::filesystem::path& path, const std::vector<float>& samples, int rate);

/// Two recordings, and what is true of them.
struct Pair {
    std::string kind;
    std::vector<float> first, second;
    int first_rate = 48'000, second_rate = 48'000;
    bool common = false;
    double clocks = 0;    ///< what is later on the second clock, of what happens at one instant, s
    double arrival = 0;   ///< the same of what reaches both from the middle of the place
    double distance = 0;  ///< m, by how much the cameras' ways to a source differ at most
};

/// A pair with something in common at this ratio of what is heard to each microphone's own noise.
Pair common_pair(Sounds sounds, double snr_db, std::uint64_t seed);
/// A pair with nothing that ties it; 'which' goes round the kinds.
Pair foreign_pair(std::uint64_t which);
inline constexpr int kForeignKinds = 7;

}  // namespace plumbmark::bench
