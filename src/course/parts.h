// Body parts as a ruling knows them.
#pragma once

#include <array>
#include <cstdint>
#include <initializer_list>
#include <optional>
#include <string_view>

namespace plumbmark::course {

/// The parts a mark can name. 'other' is knee, trunk or head; 'loose' is hair, clothing or gear.
enum class Part : std::uint8_t { left_hand, right_hand, left_foot, right_foot, other, loose };

inline constexpr std::array<Part, 6> kAllParts{Part::left_hand,  Part::right_hand, Part::left_foot,
                                               Part::right_foot, Part::other,      Part::loose};

/// A set of parts.
class PartSet {
  public:
    constexpr PartSet() = default;
    constexpr PartSet(std::initializer_list<Part> parts) {
        for (Part part : parts)
            add(part);
    }
    constexpr void add(Part part) { bits_ |= bit(part); }
    constexpr void remove(Part part) { bits_ &= static_cast<std::uint8_t>(~bit(part)); }
    [[nodiscard]] constexpr bool has(Part part) const { return (bits_ & bit(part)) != 0; }
    [[nodiscard]] constexpr bool empty() const { return bits_ == 0; }
    [[nodiscard]] constexpr bool meets(PartSet other) const { return (bits_ & other.bits_) != 0; }
    [[nodiscard]] constexpr bool contains(PartSet other) const {
        return (bits_ & other.bits_) == other.bits_;
    }
    [[nodiscard]] constexpr std::uint8_t bits() const { return bits_; }
    friend constexpr bool operator==(PartSet, PartSet) = default;

  private:
    static constexpr std::uint8_t bit(Part part) {
        return static_cast<std::uint8_t>(1U << static_cast<unsigned>(part));
    }
    std::uint8_t bits_ = 0;
};

inline constexpr PartSet kHands{Part::left_hand, Part::right_hand};
inline constexpr PartSet kFeet{Part::left_foot, Part::right_foot};
inline constexpr PartSet kWholeBody{Part::left_hand, Part::right_hand, Part::left_foot, Part::right_foot,
                                    Part::other};

/// "left_hand": the word used in files.
[[nodiscard]] std::string_view part_key(Part part);
/// "left hand": the words used in sentences.
[[nodiscard]] std::string_view part_words(Part part);
/// The part a file's word names; none when there is no such part.
[[nodiscard]] std::optional<Part> part_from_key(std::string_view key);

}  // namespace plumbmark::course
