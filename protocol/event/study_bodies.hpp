#pragma once
// What is said about studying beyond single answers (bodies.hpp): a marked mock paper, an explanation of a question,
// what a member shows their club of it, an exam that was not passed.

#include "protocol/event/bodies.hpp"

namespace ladderline::protocol {

// One question of a mock paper, as in PracticeAnswerBody.
struct MockAnswer {
    std::string question;
    Answer answer = Answer::right;
    std::string shown;
    std::uint8_t place = 0;  // chosen place 0..3; 0 where nothing was chosen

    template <class Archive>
    void serialize(Archive& ar) {
        ar(bounded<limits::call_bytes_max>(question), answer, bounded<limits::call_bytes_max>(shown), place);
    }
};

// What was to be expected of a paper just before it was marked, as the program worked it out then.
struct Foretold {
    std::uint32_t pass_ppm = 0;           // chance to pass, millionths
    std::uint32_t points_hundredths = 0;  // expected right answers
    std::uint16_t points_low = 0;         // least number whose cumulated chance reaches 5 %
    std::uint16_t points_high = 0;        // and 95 %

    template <class Archive>
    void serialize(Archive& ar) {
        ar(pass_ppm, points_hundredths, points_low, points_high);
    }
};

// Stays on the desk. Its answers count as practice answers of that time.
struct MockResultBody {
    std::string pool;
    std::string paper;  // its number, from which it can be made again
    WallTime when;
    std::optional<std::uint16_t> minutes;  // that it took, if somebody looked
    std::uint16_t mark = 0;                // right answers that pass
    Foretold foretold;
    std::vector<MockAnswer> answers;  // in the order of the paper

    template <class Archive>
    void serialize(Archive& ar) {
        ar(bounded<limits::name_bytes_max>(pool), bounded<limits::call_bytes_max>(paper), when, minutes, mark, foretold,
           bounded<limits::items_max>(answers));
    }
};

// Why the right answer of a question is right, in somebody's own words. The author's latest one stands; an empty text
// takes it away.
struct ExplanationBody {
    std::string pool;  // the pool's edition: "2 2026-2030"; "0" where it prints no years
    std::string question;
    std::string text;

    template <class Archive>
    void serialize(Archive& ar) {
        ar(bounded<limits::name_bytes_max>(pool), bounded<limits::call_bytes_max>(question),
           bounded<limits::text_bytes_max>(text));
    }
};

// What a member chose to show a club of their own study. A register in the club circle: the newest one of a member
// stands, and an empty one (no pool) takes back what stood before.
struct StudyShareBody {
    std::string pool;                 // element of the pool, "2"; empty: nothing is shown any more
    std::string edition;              // its title
    std::vector<std::string> groups;  // looked at: at least one question of it was answered
    std::vector<std::string> weak;    // of those, the ones that will be remembered too little
    std::optional<Day> exam_booked;
    std::optional<Day> last_practice;

    template <class Archive>
    void serialize(Archive& ar) {
        ar(bounded<limits::name_bytes_max>(pool), bounded<limits::name_bytes_max>(edition),
           bounded<limits::list_max>(groups), bounded<limits::list_max>(weak), exam_booked, last_practice);
    }
};

// An exam that was sat and not passed. Stays on the desk.
struct ExamTryBody {
    std::string element;
    Day day;
    bool undone = false;  // it was written down by mistake

    template <class Archive>
    void serialize(Archive& ar) {
        ar(bounded<limits::call_bytes_max>(element), day, undone);
    }
};

}  // namespace ladderline::protocol
