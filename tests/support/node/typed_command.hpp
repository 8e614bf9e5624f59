#pragma once
// A command as it is typed, on the store of a member in memory.

#include <string>
#include <vector>

#include "node/app/execute.hpp"
#include "tests/support/node/member_fixture.hpp"

namespace ladderline::test {

inline node::ControlAnswer typed(MemberNode& member, const std::vector<std::string>& words) {
    return node::execute(must(node::cli::parse_command_line(words, ".")), member.context);
}
// What is printed.
inline std::string printed(MemberNode& member, const std::vector<std::string>& words) {
    const node::ControlAnswer answer = typed(member, words);
    if (answer.exit_code != 0) throw std::runtime_error(answer.err);
    return answer.out;
}

}  // namespace ladderline::test
