#pragma once
// What members of a club chose to show of their study, and what a teacher sees of it: counts over five or more people,
// who has an exam booked, and whom to ask. Nobody's answers and nobody's share of right ones leave the desk.

#include "node/commands/context.hpp"

namespace ladderline::node {

struct PublishRequest {
    std::string circle;  // name of the club; "club", or part of its name, will do
    std::optional<int> element;
};
// Shows the club which groups one is weak in, the booked exam, and the day of the last practice. Said again by itself
// once a day of practice, until it is stopped. Under 18 only on a path that a guardian agreed to.
Result<Done> publish_study(Context& context, const PublishRequest& request);
Result<Done> stop_publishing(Context& context);
// After an answer: the first of a day renews what is shown.
Result<void> renew_study_share(Context& context);

struct ClassGroup {
    std::string group;
    std::string title;  // empty where the pool is not in this store
    std::string count;  // "7"
};
struct ClassPerson {
    std::string name;
    Day day;
};
struct ClassView {
    std::string club;
    std::string edition;              // the pool that most of them study
    std::string people;               // how many show it, as it may be printed
    std::vector<ClassGroup> weak;     // most first; only groups weak for five or more
    std::string weak_note;            // why nothing is counted, or what is left out
    std::vector<ClassPerson> booked;  // soonest first
    std::vector<ClassPerson> ask;     // no practice for long, longest first; not those who rest
    std::string minors_note;          // under 18 nobody is named
    std::optional<WallTime> as_of;    // the oldest of what was counted
};
// For officers, and mentors, of the club.
Result<ClassView> class_view(Context& context);

}  // namespace ladderline::node
