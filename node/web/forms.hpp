#pragma once
// Forms with the guard's secret in them, and rows with a label, a help line and a problem line. Nobody else can write
// <form> (markup.hpp), so a POST form without the secret cannot be made.

#include <string>
#include <string_view>
#include <vector>

#include "node/web/html.hpp"
#include "node/web/request.hpp"

namespace ladderline::node::web {

// `inside` are rows and buttons. The browser sends it to `action`.
Html post_form(const Request& request, const Url& action, const Html& inside);
// The same for a form with a file_row in it.
Html file_form(const Request& request, const Url& action, const Html& inside);
// For searching and filtering only: nothing may change by it.
Html get_form(const Url& action, const Html& inside);
// A form that is one button, with hidden values: "Tick", "Undo". Where a page has several of those words, `about` tells
// them apart for whoever hears the page; it is not shown.
struct Hidden {
    std::string name;
    std::string value;
};
Html button_form(const Request& request, const Url& action, std::string_view words,
                 const std::vector<Hidden>& values = {}, std::string_view about = {});

// The main button of a form; at most one a form.
Html button(std::string_view words);
// A further button that sends a name and a value; Request::form has it when this one was pressed.
Html button(std::string_view words, std::string_view name, std::string_view value);
Html hidden(std::string_view name, std::string_view value);

// One row. `name` is the key in Request::form; letters, digits, "-" and "_".
struct Field {
    std::string name;
    std::string label;
    std::string value = {};    // shown in it; what the person typed, when the form comes back
    std::string help = {};     // one line below the label
    std::string problem = {};  // why it came back; announced with the field
    bool required = false;
    std::size_t chars_max = 200;
};

struct Choice {
    std::string value;
    std::string label;
};

Html text_row(const Field& field);
// Letters are shown in capitals, in the call-sign face.
Html call_row(const Field& field);
Html area_row(const Field& field, int rows = 4);
Html number_row(const Field& field, std::int64_t least, std::int64_t most);
// value: "2026-11-25".
Html day_row(const Field& field);
// value: "19:05"; the label must say which clock, local or UTC.
Html clock_row(const Field& field);
// A file of the person's own machine, in Request::files; `accept` is what the browser offers first (".txt,text/plain").
Html file_row(const Field& field, std::string_view accept);
// value "yes" when ticked; Request::form lacks the name when not.
Html check_row(const Field& field);
// One of a few: radio buttons in a fieldset. One of many: a list.
Html radio_rows(const Field& field, const std::vector<Choice>& choices);
Html list_row(const Field& field, const std::vector<Choice>& choices);
// Any number of them; Request::form.all(name) has the ticked values. `ticked` are those ticked when shown.
Html check_rows(const Field& field, const std::vector<Choice>& choices, const std::vector<std::string>& ticked = {});

}  // namespace ladderline::node::web
