#include "node/web/forms.hpp"

#include <algorithm>

#include "node/web/phone/desk_only.hpp"

namespace ladderline::node::web {

namespace {

// What every kind of row says in the same way: label, help and problem, and the ids that tie them to the field.
struct RowParts {
    std::string id;
    std::string described_by;
    Html help;
    Html problem;
};

RowParts parts_of(const Field& field) {
    RowParts out;
    out.id = "f-" + field.name;
    if (!field.help.empty()) {
        out.help = html("<p class=\"help\" id=\"{}-help\">{}</p>", out.id, field.help);
        out.described_by += out.id + "-help";
    }
    if (!field.problem.empty()) {
        out.problem =
            html("<p class=\"problem\" id=\"{}-problem\"><strong>Please look:</strong> {}</p>", out.id, field.problem);
        if (!out.described_by.empty()) out.described_by += " ";
        out.described_by += out.id + "-problem";
    }
    return out;
}

std::string_view invalid_words(const Field& field) {
    return field.problem.empty() ? "false" : "true";
}

Html row_around(const Field& field, const RowParts& parts, const Html& control) {
    return html("<div class=\"row\"><label for=\"{}\">{}{}</label>{}{}{}</div>", parts.id, field.label,
                field.required ? html("") : html(" <span class=\"optional\">(may stay empty)</span>"), parts.help,
                parts.problem, control);
}

Html input_row(const Field& field, std::string_view type, std::string_view look, std::string_view complete = "off") {
    const RowParts parts = parts_of(field);
    return row_around(
        field, parts,
        html("<input id=\"{}\" name=\"{}\" type=\"{}\" class=\"{}\" value=\"{}\" maxlength=\"{}\" autocomplete=\"{}\" "
             "aria-describedby=\"{}\" aria-invalid=\"{}\" {}>",
             parts.id, field.name, type, look, field.value, field.chars_max, complete, parts.described_by,
             invalid_words(field), flag("required", field.required)));
}

Html choice_set(const Field& field, const RowParts& parts, const Html& choices) {
    return html(
        "<fieldset class=\"row choices\" id=\"{}\" aria-describedby=\"{}\"><legend>{}</legend>{}{}{}</fieldset>",
        parts.id, parts.described_by, field.label, parts.help, parts.problem, choices);
}

// On a telephone some forms are only named; the site refuses them as well (site.cpp). Empty: it may be shown.
Html instead_on_phone(const Request& request, const Url& action) {
    if (!request.on_phone) return Html();
    const std::string_view path = std::string_view(action.text()).substr(0, action.text().find('?'));
    const PhoneRule rule = phone_rule(path);
    return rule.may ? Html() : html("<p class=\"help\">{}</p>", on_machine_sentence(rule));
}

}  // namespace

Html post_form(const Request& request, const Url& action, const Html& inside) {
    if (Html instead = instead_on_phone(request, action); !instead.empty()) return instead;
    return detail::form_html(
        "<form method=\"post\" action=\"{}\" accept-charset=\"utf-8\"><input type=\"hidden\" name=\"csrf\" "
        "value=\"{}\">{}</form>",
        action, request.csrf, inside);
}

Html file_form(const Request& request, const Url& action, const Html& inside) {
    if (Html instead = instead_on_phone(request, action); !instead.empty()) return instead;
    return detail::form_html(
        "<form method=\"post\" action=\"{}\" accept-charset=\"utf-8\" enctype=\"multipart/form-data\"><input "
        "type=\"hidden\" name=\"csrf\" value=\"{}\">{}</form>",
        action, request.csrf, inside);
}

Html get_form(const Url& action, const Html& inside) {
    return detail::form_html("<form method=\"get\" action=\"{}\" accept-charset=\"utf-8\">{}</form>", action, inside);
}

Html button_form(const Request& request, const Url& action, std::string_view words, const std::vector<Hidden>& values,
                 std::string_view about) {
    Html inside = each(values, [](const Hidden& h) { return hidden(h.name, h.value); });
    const Html whose = about.empty() ? Html() : html("<span class=\"unseen\">: {}</span>", about);
    inside.add("<button type=\"submit\">{}{}</button>", words, whose);
    return post_form(request, action, inside);
}

Html button(std::string_view words) {
    return html("<button type=\"submit\" class=\"main\">{}</button>", words);
}

Html button(std::string_view words, std::string_view name, std::string_view value) {
    return html("<button type=\"submit\" name=\"{}\" value=\"{}\">{}</button>", name, value, words);
}

Html hidden(std::string_view name, std::string_view value) {
    return html("<input type=\"hidden\" name=\"{}\" value=\"{}\">", name, value);
}

Html text_row(const Field& field) {
    return input_row(field, "text", "wide");
}
Html call_row(const Field& field) {
    return input_row(field, "text", "call");
}
Html day_row(const Field& field) {
    return input_row(field, "date", "short");
}
Html clock_row(const Field& field) {
    return input_row(field, "time", "short");
}

Html area_row(const Field& field, int rows) {
    const RowParts parts = parts_of(field);
    // HTML drops one newline right after <textarea>, so one stands there for it to drop.
    return row_around(field, parts,
                      html("<textarea id=\"{}\" name=\"{}\" rows=\"{}\" maxlength=\"{}\" aria-describedby=\"{}\" "
                           "aria-invalid=\"{}\" {}>\n{}</textarea>",
                           parts.id, field.name, rows, field.chars_max, parts.described_by, invalid_words(field),
                           flag("required", field.required), field.value));
}

Html number_row(const Field& field, std::int64_t least, std::int64_t most) {
    const RowParts parts = parts_of(field);
    return row_around(
        field, parts,
        html("<input id=\"{}\" name=\"{}\" type=\"number\" class=\"short\" value=\"{}\" min=\"{}\" max=\"{}\" "
             "autocomplete=\"off\" aria-describedby=\"{}\" aria-invalid=\"{}\" {}>",
             parts.id, field.name, field.value, least, most, parts.described_by, invalid_words(field),
             flag("required", field.required)));
}

Html file_row(const Field& field, std::string_view accept) {
    const RowParts parts = parts_of(field);
    return row_around(
        field, parts,
        html("<input id=\"{}\" name=\"{}\" type=\"file\" accept=\"{}\" aria-describedby=\"{}\" "
             "aria-invalid=\"{}\" {}>",
             parts.id, field.name, accept, parts.described_by, invalid_words(field), flag("required", field.required)));
}

Html check_row(const Field& field) {
    const RowParts parts = parts_of(field);
    return html(
        "<div class=\"row\"><label class=\"tickable\" for=\"{}\"><input id=\"{}\" name=\"{}\" type=\"checkbox\" "
        "value=\"yes\" aria-describedby=\"{}\" {} {}> <span>{}</span></label>{}{}</div>",
        parts.id, parts.id, field.name, parts.described_by, flag("checked", field.value == "yes"),
        flag("required", field.required), field.label, parts.help, parts.problem);
}

Html radio_rows(const Field& field, const std::vector<Choice>& choices) {
    return choice_set(field, parts_of(field), each(choices, [&](const Choice& c) {
                          return html(
                              "<label class=\"tickable\"><input type=\"radio\" name=\"{}\" value=\"{}\" {} {}> "
                              "<span>{}</span></label>",
                              field.name, c.value, flag("checked", c.value == field.value),
                              flag("required", field.required), c.label);
                      }));
}

Html check_rows(const Field& field, const std::vector<Choice>& choices, const std::vector<std::string>& ticked) {
    return choice_set(field, parts_of(field), each(choices, [&](const Choice& c) {
                          const bool on = std::find(ticked.begin(), ticked.end(), c.value) != ticked.end();
                          return html(
                              "<label class=\"tickable\"><input type=\"checkbox\" name=\"{}\" value=\"{}\" {}> "
                              "<span>{}</span></label>",
                              field.name, c.value, flag("checked", on), c.label);
                      }));
}

Html list_row(const Field& field, const std::vector<Choice>& choices) {
    const RowParts parts = parts_of(field);
    return row_around(field, parts,
                      html("<select id=\"{}\" name=\"{}\" aria-describedby=\"{}\" aria-invalid=\"{}\" {}>{}</select>",
                           parts.id, field.name, parts.described_by, invalid_words(field),
                           flag("required", field.required), each(choices, [&](const Choice& c) {
                               return html("<option value=\"{}\" {}>{}</option>", c.value,
                                           flag("selected", c.value == field.value), c.label);
                           })));
}

}  // namespace ladderline::node::web
