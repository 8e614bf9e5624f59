#pragma once
// Proposals to people, and their answers. Both sides say yes or rather not; nobody has to say why, and a "rather not"
// is kept for this pair alone.

#include "node/commands/context.hpp"

namespace ladderline::node {

// Officers only. The newcomer is asked whether the mentor suits, or to choose among several; the mentors are asked as
// well. Gate 1 as for a pair that is agreed. All are asked, or nobody.
Result<Done> ask_pair(Context& context, std::string_view newcomer, const std::vector<std::string>& mentors);
// Officers only: nobody need answer any more.
Result<Done> withdraw_pair(Context& context, std::string_view newcomer, std::string_view mentor);
// One of the two answers a proposal; `other` is the other one. With the second yes the pairing stands.
Result<Done> answer_pair(Context& context, std::string_view other, bool yes);

}  // namespace ladderline::node
