#pragma once
// Forms whose deed cannot be undone: nobody is chosen before a person does, and a box is ticked first.

#include "node/web/pages/frame.hpp"

namespace ladderline::node::web {

// A list in which nothing is chosen yet.
Html choice_row(const Field& field, std::vector<Choice> choices);
// `box` says what is ticked first, `words` stand on the button.
Html final_form(const FormOn& form, const Url& action, const Html& rows, std::string box, std::string_view words);
// Of a form that was sent; bad_input without the tick.
Result<void> sure(const FormOn& form);

}  // namespace ladderline::node::web
