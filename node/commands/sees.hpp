#pragma once
// Who can read what: members, their devices, and the key of every circle of this node.

#include <span>

#include "node/commands/context.hpp"

namespace ladderline::node {

struct PersonSight {
    std::string name;
    std::string seat;
    std::string key;                   // the person's, in hexadecimal
    bool reads = true;                 // gets the key of now
    std::vector<std::string> devices;  // label and the first digits of the key
    // Check words were compared by voice with them, from this node, on that day.
    std::optional<Day> voice_checked = {};
};

struct CircleSight {
    std::string kind;  // "Club", "Path", "Desk"
    std::string name;
    std::string key;  // first digits of the key's id
    WallTime key_since;
    bool key_due = false;
    std::vector<PersonSight> people;
    std::vector<std::string> gone;   // removed or left: they keep what they had
    std::vector<std::string> notes;  // what is here and does not count, a sentence each
};

Result<CircleSight> sight_of(Context& context, const CircleView& circle);
// The same of some of its people, but for `key_due`: of a club from the tables, where sight_of folds all that was ever
// decided in it (200 ms at 5,000 members).
Result<CircleSight> sight_of_some(Context& context, const CircleView& circle, std::span<const PersonView> some);
Result<std::vector<CircleSight>> who_sees(Context& context);
// The owner's machines in any circle, each once, as in PersonSight: one that was lost stands in others' circles alone
// after a recovery, since the desk begins anew.
Result<std::vector<std::string>> own_devices(Context& context);

}  // namespace ladderline::node
