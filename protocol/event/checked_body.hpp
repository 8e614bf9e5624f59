#pragma once
// What a club's officers and mentors note of having asked somebody.

#include "protocol/event/bodies.hpp"

namespace ladderline::protocol {

// The newcomer was asked on that day, and is fine. The day and nothing else: what was said stays between the two.
struct CheckedBody {
    MemberId newcomer;
    Day day;

    template <class Archive>
    void serialize(Archive& ar) {
        ar(newcomer, day);
    }
};

namespace kind {
inline constexpr std::uint16_t checked_on = 68;
}  // namespace kind

}  // namespace ladderline::protocol
