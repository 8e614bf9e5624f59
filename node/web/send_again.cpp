#include "node/web/send_again.hpp"

#include "node/web/forms.hpp"
#include "node/web/page.hpp"

namespace ladderline::node::web {
namespace {

constexpr std::string_view title = "Send it once more";
constexpr std::string_view why =
    "This form was opened before the program was last started or locked, so nothing was done yet.";

// Everything goes along; what nobody would know again by its name and value is not shown.
Html what_was_sent(const Request& request, Html& going_along) {
    Html shown;
    for (const auto& [name, value] : request.form.entries()) {
        if (name == "csrf") continue;
        going_along += hidden(name, value);
        if (name != "form" && !value.empty()) shown.add("<li>{}: <span class=\"typed\">{}</span></li>", name, value);
    }
    return shown.empty() ? Html() : html("<ul>{}</ul>", shown);
}

}  // namespace

Response send_again_page(const Request& request) {
    constexpr int not_done = 403;
    Page content;
    content.title = std::string(title);
    if (!request.files.empty()) {
        content.main = html("<p>{} Go back, load the page again, choose the file once more, and send it.</p>", why);
        return page(request, content, not_done);
    }
    Html inside;
    const Html shown = what_was_sent(request, inside);
    inside += button("Send it now");
    content.main = html("<p>{} It is all here still: look whether it is what you meant, and press.</p>{}{}", why, shown,
                        post_form(request, same_page(request.path), inside));
    return page(request, content, not_done);
}

}  // namespace ladderline::node::web
