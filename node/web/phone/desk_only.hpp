#pragma once
// What a telephone on the local network may do, and what stays on the machine itself.

#include <string>
#include <string_view>

namespace ladderline::node::web {

struct PhoneRule {
    bool may = false;
    std::string_view why = {};  // it may not: half a sentence
    bool decided = false;       // somebody has thought about this form
};

// For a form sent to `path`. A form that nobody has decided about stays on the machine.
PhoneRule phone_rule(std::string_view path);
// What stands in the place of such a form.
std::string on_machine_sentence(const PhoneRule& rule);

}  // namespace ladderline::node::web
