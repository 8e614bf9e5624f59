#pragma once
// A year of an invented club, worked out from a seed before anything runs: who is in it, and what they did on which
// day. It is played through the program's own commands (play.hpp), and it is also the plain record that the program's
// answers are held against (record.hpp). Names and call signs belong to nobody.

#include <cstdint>
#include <optional>
#include <string>
#include <vector>

#include "protocol/circle/bodies.hpp"

namespace ladderline::club_year {

enum class What : std::uint8_t {
    let_in,           // `who` comes into the club
    card,             // `who` shows place, times, room and class as in Person
    show_call,        // `who` puts their call sign on the card
    onto_path,        // `other` takes a seat on the path of `who`, `role`
    off_path,         // `who` takes `other` off the own path
    guardian_agrees,  // `other`, guardian of `who`
    share,            // `who` lets the club hold a row until `date`
    tick,             // `who`, an item with evidence `text`, dated `date`
    sign,             // `other` signs an item of `who`
    reopen,           // `who` opens an item again
    touch,            // `other` was in touch with `who`
    contact,          // `who` worked `text` on `date`; `guest_of` if not empty
    meet,             // `who` arranges a contact with their mentor for `date`
    met,              // its outcome, 1 made, 2 nobody heard, 3 moved, in `number`
    ask,              // `who` needs a hand with `text`; empty: settled
    rest,             // `number` 1: `who` rests, 0: goes on
    leave,            // `who` leaves the club
    pair,             // the first officer agrees that `who` is with `other`
    end_pair,
    book,        // `who` books an exam for `date`; none: called off
    show_study,  // `who` shows the pool `text` and the exam on `date`
    held,        // the first officer held the review
    checked,     // the first officer asked `who`, who is fine
};

struct Act {
    Day day;
    What what = What::let_in;
    int who = 0;
    int other = -1;
    std::string item;
    std::string text;
    std::string guest_of;
    std::optional<Day> date;
    int number = 0;
    protocol::MemberRole role = protocol::MemberRole::mentor;
};

struct Person {
    std::string name;
    protocol::MemberRole role = protocol::MemberRole::second_adult;
    bool minor = false;
    std::string call;  // on the card from the beginning; newcomers show it later
    std::string locator;
    std::string licence_class;
    int room = 0;
    std::vector<std::string> topics;
    bool has_times = false;  // every evening, 18:00 to 22:00 UTC
    bool outside = false;    // a guardian, who is on a path and not in the club
};

// Where persons stand in Story::people.
inline constexpr int first_officer = 0;
inline constexpr int second_officer = 1;
inline constexpr int first_mentor = 2;
inline constexpr int mentors = 12;
inline constexpr int first_newcomer = first_mentor + mentors;
inline constexpr int newcomers = 60;
inline constexpr int members = 200;
inline constexpr int vanishing_mentor = first_mentor + 2;

struct Story {
    Day first;  // the club begins
    Day last;   // of the year
    std::vector<Person> people;
    std::vector<Act> acts;  // in the order in which they happen

    bool is_newcomer(int who) const { return who >= first_newcomer && who < first_newcomer + newcomers; }
};

// With this seed each question has somebody to name on one of the days on which the tests ask it, but the one that
// nobody can answer.
inline constexpr std::uint64_t usual_seed = 184;
// The 365 days that end with `last`.
Story story_of(std::uint64_t seed, Day last);

// First and second names, "Ada Quill" and the like; each name once, none part of another. `n` < 400.
std::string invented_name(int n);
// 2x3 with an X before the last two letters, which is given to nobody. `n` < 1300.
std::string invented_call(int n);

}  // namespace ladderline::club_year
