#include "node/web/page.hpp"

#include <algorithm>

#include "node/web/forms.hpp"
#include "protocol/base/ensure.hpp"

namespace ladderline::node::web {

const Url lock_address = url("/lock");

namespace {

bool leads_to(const Url& link, const std::string& path) {
    const std::string here = same_page(path).text();
    return here == link.text() || (link.text() != "/" && here.starts_with(link.text() + "/"));
}

Html navigation(const Request& request, const Page& content) {
    if (content.nav.empty()) return Html();
    return html("<nav aria-label=\"Pages\"><ul>{}</ul></nav>", each(content.nav, [&](const NavLink& link) {
                    const std::string key(1, link.key);
                    if (!leads_to(link.address, request.path)) {
                        return html("<li><a href=\"{}\" accesskey=\"{}\">{}</a></li>", link.address, key, link.words);
                    }
                    return html("<li><a href=\"{}\" accesskey=\"{}\" aria-current=\"page\">{}</a></li>", link.address,
                                key, link.words);
                }));
}

Html search_field(const Page& content) {
    if (!content.search) return Html();
    return html(
        "<div class=\"search\" role=\"search\">{}</div>",
        get_form(*content.search, html("<label for=\"f-q\">Find</label><input id=\"f-q\" name=\"q\" type=\"search\" "
                                       "value=\"{}\" maxlength=\"100\" autocomplete=\"off\" accesskey=\"s\">"
                                       "<button type=\"submit\">Find</button>",
                                       content.sought)));
}

Html foot_links(const Page& content) {
    if (content.foot.empty()) return Html();
    return html("<p>{}</p>", each(content.foot, [](const NavLink& link) {
                    return html("<a href=\"{}\" accesskey=\"{}\">{}</a> ", link.address, std::string(1, link.key),
                                link.words);
                }));
}

Html main_part(const Request& request, const Page& content) {
    std::string topics;
    if (request.method == Method::get) {
        for (const std::string& topic : content.live_topics) {
            if (!topics.empty()) topics.push_back(' ');
            topics += topic;
        }
    }
    const Html side = content.side.empty() ? Html() : html("<div class=\"side\">{}</div>", content.side);
    return html(
        "<main id=\"main\" tabindex=\"-1\" data-live=\"{}\" data-seen=\"{}\"><h1>{}</h1><div class=\"columns\"><div "
        "class=\"middle\">{}</div>{}</div><p class=\"as-of\">{}{}</p></main>",
        topics, request.live_seen, content.title, content.main, side,
        content.as_of.empty() ? Html() : html("As of {}. ", content.as_of),
        request.method == Method::get ? html("<a class=\"again\" href=\"\">Look again</a>") : Html());
}

Html whole_page(const Request& request, const Page& content) {
    return html(
        "<!doctype html><html lang=\"{}\"><head><meta charset=\"utf-8\"><meta name=\"viewport\" "
        "content=\"width=device-width, initial-scale=1\"><meta name=\"color-scheme\" content=\"light dark\">"
        "<title>{} - Ladderline</title><link rel=\"stylesheet\" href=\"/static/style.css\"><link rel=\"icon\" "
        "href=\"/static/icon.svg\" type=\"image/svg+xml\"><script src=\"/static/live.js\" defer></script></head><body>"
        "<a class=\"skip\" href=\"#main\">Skip to the page</a><header><p class=\"mark-of-house\">Ladderline</p>{}{}"
        "</header><p id=\"live-news\" role=\"status\" aria-live=\"polite\"></p>{}<footer><p>This page comes from the "
        "program on {} machine. Nothing is fetched from anywhere else.</p>{}{}</footer></body></html>",
        content.lang, content.title, navigation(request, content), search_field(content), main_part(request, content),
        request.on_phone ? "your own" : "this", foot_links(content),
        request.csrf.empty() ? Html() : button_form(request, lock_address, "Lock these pages"));
}

// Drawn with lines of the text's colour, so it shows in the dark, in print and in high contrast alike.
Html drawing_of(Mark mark) {
    switch (mark) {
        case Mark::open:
            return html("<circle cx=\"8\" cy=\"8\" r=\"6\" class=\"line\"/>");
        case Mark::ticked:
            return html(
                "<circle cx=\"8\" cy=\"8\" r=\"6\" class=\"line\"/><path d=\"M8 2a6 6 0 0 1 0 12z\" class=\"full\"/>");
        case Mark::signed_off:
            return html(
                "<circle cx=\"8\" cy=\"8\" r=\"7\" class=\"line\"/><circle cx=\"8\" cy=\"8\" r=\"4.5\" "
                "class=\"full\"/>");
        case Mark::waiting:
            return html("<path d=\"M3 2h10L8 8l5 6H3l5-6z\" class=\"line\"/>");
        case Mark::held:
            return html(
                "<rect x=\"2\" y=\"2\" width=\"12\" height=\"12\" class=\"line\"/><path d=\"M2 8h12\" "
                "class=\"line\"/>");
        case Mark::skipped:
            return html("<path d=\"M2 8h4M10 8h4\" class=\"line\"/>");
        case Mark::resting:
            return html("<path d=\"M5 3v10M11 3v10\" class=\"line\"/>");
        case Mark::caution:
            return html("<path d=\"M8 2l7 12H1zM8 6v4M8 11.5v1\" class=\"line\"/>");
    }
    return Html();
}

std::string_view class_of(Tone tone) {
    switch (tone) {
        case Tone::plain:
            return "notice";
        case Tone::caution:
            return "notice caution";
        case Tone::problem:
            return "notice problem";
        case Tone::done:
            return "notice done";
    }
    return "notice";
}

Html table_row(const Table& content, const std::vector<Html>& cells) {
    ENSURE(cells.size() == content.columns.size());
    Html out;
    for (std::size_t i = 0; i < cells.size(); ++i) {
        if (i == 0) {
            out.add("<th scope=\"row\" role=\"rowheader\" data-label=\"{}\">{}</th>", content.columns[i], cells[i]);
        } else {
            out.add("<td role=\"cell\" data-label=\"{}\">{}</td>", content.columns[i], cells[i]);
        }
    }
    return html("<tr role=\"row\">{}</tr>", out);
}

}  // namespace

Response page(const Request& request, const Page& content, int status) {
    Response out;
    out.status = status;
    const Html body = request.live_refresh ? main_part(request, content) : whole_page(request, content);
    out.body = body.markup();
    return out;
}

Response sentence_page(int status, std::string_view title, std::string_view sentence) {
    Request nobody;
    nobody.method = Method::post;  // no "look again", no live news
    nobody.path.push_back('/');
    Page content;
    content.title = std::string(title);
    content.main = html("<p>{}</p>", sentence);
    return page(nobody, content, status);
}

int status_of(Fault fault) {
    switch (fault) {
        case Fault::bad_input:
            return 400;
        case Fault::refused:
            return 403;
        case Fault::wrong_key:
            return 403;
        case Fault::not_found:
            return 404;
        case Fault::busy:
            return 409;
        case Fault::not_yet:
            return 409;
        case Fault::cancelled:
            return 409;
        case Fault::unsupported:
            return 501;
        case Fault::network:
            return 502;
        case Fault::peer:
            return 502;
        case Fault::damaged:
            return 500;
        case Fault::disk:
            return 500;
    }
    return 500;
}

Html notice(Tone tone, std::string_view title, const Html& body) {
    return html("<section class=\"{}\"><h2>{}{}</h2>{}</section>", class_of(tone),
                tone == Tone::caution || tone == Tone::problem ? state_mark(Mark::caution, "") : Html(), title, body);
}

Html next_step_card(std::string_view what, const Html& why, const Html& action) {
    return html(
        "<section class=\"next-step\" aria-labelledby=\"next-step\"><p class=\"above\">Your next step</p><h2 "
        "id=\"next-step\">{}</h2>{}<div class=\"action\">{}</div></section>",
        what, why, action);
}

std::string days_left_words(std::int32_t days) {
    if (days == 0) return "today";
    const std::int64_t count = days < 0 ? -std::int64_t{days} : std::int64_t{days};
    std::string out = std::to_string(count);
    out.append(count == 1 ? " day " : " days ").append(days < 0 ? "over" : "left");
    return out;
}

Html waiting_list(const std::vector<Waiting>& waiting, std::string_view empty_sentence) {
    if (waiting.empty()) return html("<p class=\"empty\">{}</p>", empty_sentence);
    return html("<ul class=\"waiting\">{}</ul>", each(waiting, [](const Waiting& w) {
                    const bool over = w.days_left && *w.days_left < 0;
                    const Html days = !w.days_left ? Html()
                                      : over
                                          ? html("<span class=\"days over\">{}</span>", days_left_words(*w.days_left))
                                          : html("<span class=\"days\">{}</span>", days_left_words(*w.days_left));
                    return html("<li><span class=\"what\">{}</span>{}{}</li>", w.what,
                                w.on_whom.empty() ? Html() : html(" <span class=\"whom\">{}</span>", w.on_whom), days);
                }));
}

Html state_mark(Mark mark, std::string_view words) {
    return html("<span class=\"state\"><svg viewBox=\"0 0 16 16\" aria-hidden=\"true\">{}</svg> {}</span>",
                drawing_of(mark), words);
}

Html table(const Table& content) {
    if (content.rows.empty()) return html("<p class=\"empty\">{}</p>", content.empty_sentence);
    return html(
        "<table class=\"stacks\" role=\"table\"><caption>{}</caption><thead role=\"rowgroup\"><tr role=\"row\">{}</tr>"
        "</thead><tbody role=\"rowgroup\">{}</tbody></table>",
        content.caption,
        each(content.columns,
             [](const std::string& c) { return html("<th scope=\"col\" role=\"columnheader\">{}</th>", c); }),
        each(content.rows, [&](const std::vector<Html>& cells) { return table_row(content, cells); }));
}

Html progress(std::string_view label, std::int64_t done, std::int64_t of) {
    const std::int64_t least = of < 1 ? 1 : of;
    return html(
        "<div class=\"progress\"><span>{}: {} of {}</span><progress aria-label=\"{}\" value=\"{}\" "
        "max=\"{}\"></progress>"
        "</div>",
        label, done, of, label, std::clamp<std::int64_t>(done, 0, least), least);
}

}  // namespace ladderline::node::web
