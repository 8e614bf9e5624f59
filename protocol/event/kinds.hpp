#pragma once
// Numbers of event kinds. A number is never reused; a kind unknown to this program is kept and has no effect.
// 1-31 decide who belongs to a circle (control events), 32 and up are what its members say.

#include <cstdint>

namespace ladderline::protocol::kind {

inline constexpr std::uint16_t found = 1;  // circle/bodies.hpp
inline constexpr std::uint16_t admit = 2;
inline constexpr std::uint16_t certify = 3;
inline constexpr std::uint16_t set_role = 4;
inline constexpr std::uint16_t remove = 5;
inline constexpr std::uint16_t extend_cut = 6;
inline constexpr std::uint16_t rotate_key = 7;
inline constexpr std::uint16_t leave = 8;
inline constexpr std::uint16_t revoke = 9;
inline constexpr std::uint16_t consent = 10;
inline constexpr std::uint16_t paper_box = 11;
inline constexpr std::uint16_t take_back = 12;

inline constexpr std::uint16_t card = 32;  // event/bodies.hpp
inline constexpr std::uint16_t club_row = 33;
inline constexpr std::uint16_t pairing = 34;
inline constexpr std::uint16_t edition = 35;
inline constexpr std::uint16_t courier = 36;  // courier/bodies.hpp
inline constexpr std::uint16_t assign = 40;
inline constexpr std::uint16_t tick = 41;
inline constexpr std::uint16_t sign = 42;
inline constexpr std::uint16_t withdraw = 43;
inline constexpr std::uint16_t set_aside = 44;
inline constexpr std::uint16_t meet = 50;
inline constexpr std::uint16_t meet_outcome = 51;
inline constexpr std::uint16_t contact = 52;
inline constexpr std::uint16_t note = 53;
inline constexpr std::uint16_t ask = 54;
inline constexpr std::uint16_t touch = 55;
inline constexpr std::uint16_t known_date = 56;
inline constexpr std::uint16_t amend_contact = 57;
inline constexpr std::uint16_t strike_contact = 58;
inline constexpr std::uint16_t practice_answer = 60;
inline constexpr std::uint16_t mock_result = 61;  // event/study_bodies.hpp
inline constexpr std::uint16_t explanation = 62;
inline constexpr std::uint16_t study_share = 63;
inline constexpr std::uint16_t exam_try = 64;
inline constexpr std::uint16_t station = 65;       // event/station_bodies.hpp
inline constexpr std::uint16_t pairing_wish = 66;  // event/pairing_bodies.hpp
inline constexpr std::uint16_t pairing_review = 67;
inline constexpr std::uint16_t checked_on = 68;  // event/checked_body.hpp

constexpr bool is_control(std::uint16_t k) {
    return k >= 1 && k <= 31;
}

}  // namespace ladderline::protocol::kind
