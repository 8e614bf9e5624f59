#pragma once
// Fields that more than one kind of request holds, as people type them: bad_input with a sentence, or nothing to say.

#include <string>

#include "protocol/base/result.hpp"

namespace ladderline::node {

// Empty, or megahertz.
Result<void> check_frequency(const std::string& text);
// `what` stands in "The ... is too long".
Result<void> check_length(const std::string& text, std::size_t bytes_max, std::string_view what);

}  // namespace ladderline::node
