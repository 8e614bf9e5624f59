#pragma once
// The paper key on this terminal: the sheet, then two groups asked back.

#include <functional>

#include "node/app/control.hpp"
#include "protocol/base/random.hpp"

namespace ladderline::node {

// `ask` runs one command line, here or in a running node. Whoever does not want to answer now presses Enter; nothing is
// noted then.
int show_paper_on_terminal(const std::vector<std::string>& words,
                           const std::function<ControlAnswer(ControlRequest)>& ask, Random& random);

}  // namespace ladderline::node
