#pragma once
// Bodies of events about study that are not a single answer.

#include "protocol/event/bodies.hpp"

namespace ladderline::protocol {

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
