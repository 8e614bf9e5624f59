#pragma once
// An evening on the air for several newcomers at once: one start, one frequency, one arranged contact on each path.
// What goes onto a path is what stands in any arranged contact; nobody's name goes onto somebody else's.

#include "node/commands/meetings.hpp"
#include "node/domain/rules/both_may.hpp"

namespace ladderline::node {

inline constexpr std::size_t evening_people_min = 2;

struct EveningRequest {
    std::vector<std::string> who;  // newcomers whose paths this node's owner shares; two or more
    WallTime start;
    std::string frequency;         // of the net, MHz
    std::string second_frequency;  // may be empty
    std::string mode = "FM";
    std::string fallback;
    std::string words;
};
struct EveningDone {
    std::string sentence;
    std::vector<std::string> remarks;  // about single people: frequency, guardian, guest
};
// All of them or nobody: who cannot be asked is named with the reason, and nothing is arranged. Somebody under 18 needs
// a guardian on their path. A fallback or words that name another of them are refused, unless the two share a club.
Result<EveningDone> arrange_evening(Context& context, const EveningRequest& request);

struct EveningStart {
    domain::LocalClock local;  // on this owner's clock
    WallTime start;
    std::vector<std::string> missing;  // names of those whom it does not suit
};
struct EveningProposal {
    std::vector<EveningStart> starts;     // those that suit most first
    std::vector<std::string> times_lack;  // names of those without weekly times on their cards
};
// Places to begin with that this node's owner and all of them may use by the rule book; none where a class is not
// known.
Result<std::vector<domain::MeetingPlace>> evening_places(Context& context, const std::vector<std::string>& who);
// Over the next two weeks. refused or not_found as arrange_evening; not_found as well without weekly times on the own
// card.
Result<EveningProposal> propose_evening(Context& context, const std::vector<std::string>& who, std::size_t count);

// One evening that this node's owner arranged for two or more, newest first.
struct EveningView {
    WallTime start;
    std::string frequency;
    std::string mode;
    struct Person {
        std::string name;
        std::string key;  // of the newcomer, hex
        MeetingView meeting;
    };
    std::vector<Person> people;  // by name
};
Result<std::vector<EveningView>> evenings(Context& context);

}  // namespace ladderline::node
