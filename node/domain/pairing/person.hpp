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
    std::vector<SecondAdult> second_adults;
};

struct PairingNewcomer {
    std::string id;
    std::int32_t days_waiting = 0;  // >= 0
    bool comes_first = false;       // lost a mentor who cannot be reached: before all others, as if waiting longest
    ClassRank class_held = ClassRank::none;
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
    std::vector<std::string> languages;
    std::vector<std::string> bands_and_modes;
    std::vector<std::string> goals;
    bool accepts_written_only = false;
    bool accepts_remote = false;
    std::optional<double> distance_km_max;
    std::optional<Day> cleared_until;  // own clearance for work with minors; none: none on file
};

struct PairFacts {
    bool blocked_by_officer = false;
    bool not_taken_up = false;         // proposed to the two not long ago, and one of them would rather not
    double weekly_common_minutes = 0;  // mean over the next four weeks
    std::optional<Apart> apart;        // none: a locator is missing
};

}  // namespace ladderline::domain
