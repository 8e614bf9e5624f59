#pragma once
// What pairing may know about a newcomer, a mentor, and the two together. No names, no ages, no addresses.

#include <cstdint>
#include <optional>
#include <string>
#include <vector>

#include "node/domain/radio/path.hpp"
#include "protocol/base/time.hpp"

namespace ladderline::domain {

// Operator classes by what they may do; `none` has no licence yet.
enum class ClassRank : std::uint8_t { none, novice, technician, general, advanced, extra };

// An adult beside the mentor, named for one newcomer under age.
struct SecondAdult {
    std::string id;
    std::optional<Day> cleared_until;  // none: no clearance on file
};

struct Safeguards {
    std::optional<Day> guardian_consent_until;  // none: no consent on file; the day itself still counts
    bool guardian_will_be_present = false;
    std::vector<SecondAdult> second_adults;
};

struct PairingNewcomer {
    std::string id;
    std::int32_t days_waiting = 0;  // >= 0
    bool comes_first = false;       // lost a mentor who cannot be reached: before all others, as if waiting longest
    ClassRank class_held = ClassRank::none;
    ClassRank class_needed = ClassRank::none;  // what a mentor must hold for this newcomer's goal
    // For help on the air: the least class whose privileges cover the bands wanted; none if that is not wanted.
    std::optional<ClassRank> control_class_needed;
    std::vector<std::string> languages;        // spoken well enough, the preferred one first
    std::vector<std::string> bands_and_modes;  // no value twice, as in all sets below
    std::vector<std::string> goals;
    bool accepts_written_only = false;
    bool accepts_remote = false;
    std::optional<double> distance_km_max;
    bool is_minor = false;
    Safeguards safeguards;  // looked at only for minors
};

struct PairingMentor {
    std::string id;
    std::int32_t places = 0;  // free ones, >= 0; 0 while pausing
    ClassRank class_held = ClassRank::none;
    // Of the station's licensee or control operator, for help on the air: often the mentor's own.
    ClassRank control_class = ClassRank::none;
    std::vector<std::string> languages;
    std::vector<std::string> bands_and_modes;
    std::vector<std::string> goals;
    bool accepts_written_only = false;
    bool accepts_remote = false;
    std::optional<double> distance_km_max;
    std::optional<Day> cleared_until;  // own clearance for work with minors; none: none on file
    std::int32_t pairings_begun = 0;
    std::int32_t pairings_finished = 0;  // 0 to pairings_begun
};

struct PairFacts {
    bool blocked_by_newcomer = false;
    bool blocked_by_mentor = false;
    bool blocked_by_officer = false;
    bool same_household = false;       // or own family
    bool not_taken_up = false;         // proposed to the two not long ago, and one of them would rather not
    double weekly_common_minutes = 0;  // mean over the next four weeks
    std::optional<Apart> apart;        // none: a locator is missing
};

}  // namespace ladderline::domain
