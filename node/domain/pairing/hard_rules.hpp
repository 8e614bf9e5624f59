#pragma once
// Which pairs may not be, and why. Every rule that fails is kept as a reason, so that people can change what they can.

#include <cstdint>
#include <string_view>
#include <vector>

#include "node/domain/pairing/person.hpp"

namespace ladderline::domain {

enum class WhyNot : std::uint8_t {
    // 1
    blocked_by_officer,
    not_taken_up,
    // 2
    no_common_language,
    // 3: newcomers under age
    no_guardian_consent,
    guardian_consent_passed,
    no_second_adult,
    no_mentor_clearance,
    mentor_clearance_ends,
    // 4
    too_little_common_time,
    // 5
    too_far,
    distance_unknown,
};

// A set of them: a big club has a hundred thousand pairs.
class WhyNots {
public:
    WhyNots() = default;
    explicit WhyNots(WhyNot reason) { add(reason); }

    void add(WhyNot reason) { bits_ |= std::uint32_t{1} << static_cast<std::uint32_t>(reason); }
    bool empty() const { return bits_ == 0; }
    // In the order above.
    std::vector<WhyNot> listed() const;

private:
    std::uint32_t bits_ = 0;
};

struct HardRules {
    Day today;
    Day pairing_ends;  // a clearance must hold through this day
    double weekly_common_minutes_min = 30;
};

// All reasons against the pair; empty if it is a candidate.
//
// Rule 3, for a newcomer under age: a guardian's consent is on file and its date has not passed; and a second adult is
// named who is cleared through the pairing and is not the mentor; and the mentor's own clearance holds through the
// pairing. Whatever fails, there is no pair.
WhyNots why_nots(const PairingNewcomer& newcomer, const PairingMentor& mentor, const PairFacts& facts,
                 const HardRules& rules);
// The same, in the order above.
std::vector<WhyNot> reasons_against(const PairingNewcomer& newcomer, const PairingMentor& mentor,
                                    const PairFacts& facts, const HardRules& rules);

// One sentence for a person.
std::string_view to_sentence(WhyNot reason);

}  // namespace ladderline::domain
