#pragma once
// All that a club holds about a consenting newcomer: twelve fields, never more.

#include <optional>
#include <string>

#include "node/domain/ladder/progress.hpp"

namespace ladderline::domain {

struct ClubRow {
    PersonId person;
    std::string chosen_name;
    std::optional<std::string> call_sign;  // if shared
    std::optional<std::uint8_t> stage;     // empty: nothing left to do
    std::optional<Day> last_milestone;
    std::optional<Day> last_contact;  // a date, never with whom
    std::optional<Day> last_mentor_touch;
    std::optional<PersonId> mentor;
    std::optional<std::string> help_wanted;  // the topic; may be empty text: help wanted, topic not said
    bool resting = false;
    bool under_18 = false;
    std::optional<Day> consent_until;

    bool operator==(const ClubRow&) const = default;
};

// What the row needs beside the way.
struct RowFacts {
    std::string chosen_name;
    std::optional<std::string> call_sign;
    bool call_sign_shared = false;
    std::optional<Day> last_contact;
    std::optional<Day> last_mentor_touch;
    std::optional<PersonId> mentor;
    std::optional<std::string> help_wanted;
    std::optional<Day> consent_until;
};

ClubRow club_row(const WayFacts& way, const Progress& progress, const RowFacts& facts);

// How a count of people is printed where others may read it: a group below five gives people away.
// Below five, none at all included ("none of six" tells of all six): "fewer than five"; else the number.
// Precondition: n >= 0.
std::string fewer_than_five(int n);

}  // namespace ladderline::domain
