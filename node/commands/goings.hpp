#pragma once
// Leaving, taking somebody out, a lost device, a guardian's consent. Whoever does one of these and may bring a new key
// brings it in the same step; otherwise the next who may does.

#include "node/commands/context.hpp"

namespace ladderline::node {

// The club, or the path of the person named; the own path for an empty name. With "club" the name is that of a club.
// bad_input for another word.
Result<CircleView> circle_meant(Context& context, std::string_view word, std::string_view who);
// The same for what cannot be undone: whoever is in several clubs has to say which.
Result<CircleView> circle_to_quit(Context& context, std::string_view word, std::string_view who);

// The owner leaves by themself; no reason is asked. refused on the own path or desk, and for a club's only officer.
Result<Done> leave_circle(Context& context, const CircleView& circle);

// Asks everybody in the circle to stop showing what the owner said there so far. It is a wish that programs like this
// one carry out; what somebody read, printed or copied stays theirs, and signatures for others stand.
Result<Done> take_back(Context& context, const CircleView& circle);

// `because`: one line, shown to the circle; may be empty.
Result<Done> remove_person(Context& context, const CircleView& circle, std::string_view who,
                           const std::string& because);

// A device of the owner's in every circle that knows it, or of `whose` in the circles where the owner may decide.
// `device`: its label, or the first digits of its key; several matches are named in the error.
Result<Done> report_lost(Context& context, std::string_view device, std::string_view whose);

// The owner is guardian on that newcomer's path. `until`: the last day; none: the consent is taken back.
Result<Done> give_consent(Context& context, std::string_view newcomer, std::optional<Day> until);

}  // namespace ladderline::node
