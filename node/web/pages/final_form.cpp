#include "node/web/pages/final_form.hpp"

namespace ladderline::node::web {

Html choice_row(const Field& field, std::vector<Choice> choices) {
    choices.insert(choices.begin(), {"", "Choose"});
    return list_row(field, choices);
}

Html final_form(const FormOn& form, const Url& action, const Html& rows, std::string box, std::string_view words) {
    Html inside = rows;
    inside += check_row(form.required("sure", std::move(box)));
    inside += button(words);
    return form.form(action, inside);
}

Result<void> sure(const FormOn& form) {
    if (form.text("sure") == "yes") return ok();
    return Error{Fault::bad_input, "Tick the box first; nothing was done."};
}

}  // namespace ladderline::node::web
