#pragma once
// Check words on this terminal: the one who waits, and the one who calls.

#include <functional>

#include "node/app/control.hpp"

namespace ladderline::node {

// `ask` runs one command line in the running node. `words` open the greeting; ends when it has ended.
int greet_on_terminal(const std::vector<std::string>& words, const std::function<ControlAnswer(ControlRequest)>& ask);
// `words` make the call.
int call_on_terminal(const std::vector<std::string>& words, const std::function<ControlAnswer(ControlRequest)>& ask);

// Shows six letters and asks whether the other side has the same; no answer means no.
bool ask_whether_same(const std::string& letters);

}  // namespace ladderline::node
