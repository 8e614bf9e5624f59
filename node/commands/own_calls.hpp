#pragma once
// The call signs of a path's owner: each that was ticked as visible in the register (04.06), and not the latest alone.

#include <string>
#include <vector>

#include "node/commands/way.hpp"

namespace ladderline::node {

class OwnCalls {
public:
    // Of statements that stand, about any items.
    explicit OwnCalls(const std::vector<domain::Statement>& said);

    // The one that `call` is, as it was ticked; empty if it is none of them.
    std::string named(const std::string& call) const;
    bool has(const std::string& call) const { return !named(call).empty(); }
    // The days of the ticks, the earliest first.
    std::vector<Day> days() const;
    // What a contact under `station` is judged by: 04.06 with the earliest tick that names it, else with the earliest
    // of all. Without a tick where none stands.
    domain::ItemState grant_of(const std::string& station) const;

private:
    std::vector<domain::Mark> ticks_;  // by day
};

Result<OwnCalls> own_calls(Context& context, const WayView& way);
// Whoever owns this store and writes down that they worked `worked` writes down their own side of a contact with the
// way's owner: it is one of the owner's call signs, by the rule by which the log is read.
Result<bool> is_own_side(Context& context, const WayView& way, const std::string& worked);

}  // namespace ladderline::node
