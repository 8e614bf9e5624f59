#pragma once
// Practice as a dialogue on this terminal: a question, an answer, the next.

#include <functional>

#include "node/app/control.hpp"

namespace ladderline::node {

// `ask` runs one command line, here or in a running node. Ends at "q", or at the end of input.
int practise_on_terminal(const std::vector<std::string>& words,
                         const std::function<ControlAnswer(ControlRequest)>& ask);

}  // namespace ladderline::node
