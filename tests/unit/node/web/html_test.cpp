#include "node/web/html.hpp"

#include <doctest/doctest.h>

#include <limits>
#include <vector>

#include "node/web/forms.hpp"
#include "node/web/page.hpp"

using namespace ladderline;
using namespace ladderline::node::web;

namespace {

// Everything that is neither text nor the inside of an attribute value: tags, attribute names, the quotes themselves.
std::string skeleton(const std::string& markup) {
    std::string out;
    bool in_tag = false;
    bool in_value = false;
    for (const char c : markup) {
        if (!in_tag && c == '<') in_tag = true;
        if (in_tag && c == '"') in_value = !in_value;
        if (in_tag && (!in_value || c == '"')) out.push_back(c);
        if (in_tag && !in_value && c == '>') in_tag = false;
    }
    return out;
}

const std::vector<std::string> hostile_texts{
    "<script>alert(1)</script>",
    "\"><script>alert(1)</script>",
    "' onfocus='alert(1)' autofocus='",
    "\" onfocus=\"alert(1)\" autofocus=\"",
    "</textarea><script>alert(1)</script>",
    "</title><img src=x onerror=alert(1)>",
    "<!-- ",
    "&lt;script&gt;",
    "javascript:alert(1)",
    "\xF0\x80\x80\xBC",  // an overlong "<"
    "{}",
};

Field filled_with(const std::string& t) {
    Field field;
    field.name = t;
    field.label = t;
    field.value = t;
    field.help = t;
    field.problem = t;
    return field;
}

std::string everything_with(const std::string& t) {
    Request request;
    request.csrf = t;
    request.path = "/way";
    const Field field = filled_with(t);
    const std::vector<Choice> choices{{t, t}, {"b", t}};
    Html inside = text_row(field);
    inside += call_row(field);
    inside += area_row(field);
    inside += number_row(field, 0, 9);
    inside += day_row(field);
    inside += clock_row(field);
    inside += check_row(field);
    inside += radio_rows(field, choices);
    inside += check_rows(field, choices, {});
    inside += list_row(field, choices);
    inside += hidden(t, t);
    inside += button(t);
    inside += button(t, t, t);
    inside += call_sign(t);
    inside += person_name(t);
    inside += notice(Tone::caution, t, t);
    inside += next_step_card(t, text(t), text(t));
    inside += waiting_list({{t, t, 3}}, t);
    inside += state_mark(Mark::ticked, t);
    inside += table({t, {t, t}, {{text(t), text(t)}}, t});
    inside += progress(t, 1, 2);
    Page content;
    content.title = t;
    content.lang = t;
    content.as_of = t;
    content.nav = {{url("/find?q={}", t), t, 'a'}};
    content.side = text(t);
    content.search = url("/search");
    content.main = post_form(request, url("/person/{}", t), inside);
    content.main += button_form(request, url("/tick"), t, {{t, t}});
    return page(request, content).body;
}

}  // namespace

TEST_CASE("Text is escaped so that it cannot begin a tag or end an attribute value") {
    CHECK(html("<p>{}</p>", "a < b & c > d").markup() == "<p>a &lt; b &amp; c &gt; d</p>");
    CHECK(html("<p title=\"{}\">x</p>", "say \"hi\" or 'hi'").markup() ==
          "<p title=\"say &quot;hi&quot; or &#39;hi&#39;\">x</p>");
}

TEST_CASE("A text that looks like a place for an argument is only text") {
    CHECK(html("<p>{}{}</p>", "{}", "b").markup() == "<p>{}b</p>");
}

TEST_CASE("Control characters and broken UTF-8 in a text become the replacement character") {
    const auto shown = [](std::string_view text) { return html("{}", text).markup(); };
    CHECK(shown(std::string_view("a\0b\x1B\nc", 6)) ==
          "a\xEF\xBF\xBD"
          "b\xEF\xBF\xBD\nc");
    CHECK(shown("\xC0\xBC") == "\xEF\xBF\xBD\xEF\xBF\xBD");
    CHECK(shown("Zo\xC3\xAB") == "Zo\xC3\xAB");
}

TEST_CASE("Hostile text in any field of any piece leaves the tags of the page as they are") {
    const std::string harmless = skeleton(everything_with("x"));
    REQUIRE(harmless.size() > 2000);
    for (const std::string& t : hostile_texts) {
        CAPTURE(t);
        CHECK(skeleton(everything_with(t)) == harmless);
    }
}

TEST_CASE("The alarm for hostile text works: raw markup would change the tags") {
    CHECK(skeleton("<p>x</p>") != skeleton("<p><script>alert(1)</script></p>"));
    CHECK(skeleton("<p title=\"x\">") != skeleton("<p title=\"\" onfocus=\"alert(1)\">"));
}

TEST_CASE("A part of an address is percent-encoded, in a link as in a redirect") {
    CHECK(html("<a href=\"/person/{}\">x</a>", "../a?b#c\"<").markup() ==
          "<a href=\"/person/..%2Fa%3Fb%23c%22%3C\">x</a>");
    CHECK(url("/person/{}?day={}", "a/b c", 7).text() == "/person/a%2Fb%20c?day=7");
    const Response moved = redirect(url("/x/{}", "/evil.example\r\nX: y"));
    CHECK(moved.header_value("Location") == "/x/%2Fevil.example%0D%0AX%3A%20y");
}

TEST_CASE("The address of the present page stays on this program whatever its path holds") {
    CHECK(same_page("//evil.example/<a>").text() == "/evil.example/%3Ca%3E");
    CHECK(same_page("/").text() == "/");
}

TEST_CASE("An attribute without a value is there only when it is meant") {
    CHECK(html("<option {}>x</option>", flag("selected", true)).markup() == "<option selected>x</option>");
    CHECK(html("<option {}>x</option>", flag("selected", false)).markup() == "<option >x</option>");
}

TEST_CASE("Decimal numbers have a point and as many places as asked") {
    CHECK(html("<p>{}</p>", Decimal{2.345, 1}).markup() == "<p>2.3</p>");
    CHECK(html("<p>{}</p>", Decimal{-7.0, 0}).markup() == "<p>-7</p>");
    CHECK(html("<p>{}</p>", Decimal{std::numeric_limits<double>::quiet_NaN(), 2}).markup() == "<p>\xE2\x80\x93</p>");
}

TEST_CASE("Every POST form carries the secret of the browser that asked") {
    Request request;
    request.csrf = "5ec7e7";
    const std::string markup = post_form(request, url("/tick"), button("Tick")).markup();
    CHECK(markup.find("<input type=\"hidden\" name=\"csrf\" value=\"5ec7e7\">") != std::string::npos);
    CHECK(get_form(url("/search"), button("Look")).markup().find("5ec7e7") == std::string::npos);
}

TEST_CASE("A field that came back names its problem to a screen reader and keeps what was typed") {
    const std::string markup =
        text_row({"call", "Call sign", "KD0XAA?", "As on the licence", "No question mark"}).markup();
    CHECK(markup.find("value=\"KD0XAA?\"") != std::string::npos);
    CHECK(markup.find("aria-describedby=\"f-call-help f-call-problem\" aria-invalid=\"true\"") != std::string::npos);
}

TEST_CASE("Days left are said in words") {
    CHECK(days_left_words(3) == "3 days left");
    CHECK(days_left_words(1) == "1 day left");
    CHECK(days_left_words(0) == "today");
    CHECK(days_left_words(-1) == "1 day over");
}

TEST_CASE("A refresh by live news gets the main part only, a person gets the whole page") {
    Request request;
    request.path = "/way";
    Page content;
    content.title = "My way";
    content.live_topics = {"way", "club"};
    CHECK(page(request, content).body.starts_with("<!doctype html><html lang=\"en\">"));
    CHECK(page(request, content).body.find("data-live=\"way club\"") != std::string::npos);
    request.live_refresh = true;
    CHECK(page(request, content).body.starts_with("<main id=\"main\""));
}

TEST_CASE("A page that answers a form does not refresh itself, for its address is no page") {
    Request request;
    request.method = Method::post;
    request.path = "/tick";
    Page content;
    content.live_topics = {"way"};
    CHECK(page(request, content).body.find("data-live=\"\"") != std::string::npos);
    CHECK(page(request, content).body.find("Look again") == std::string::npos);
}

TEST_CASE("The link to the present page, or to the page above it, is marked") {
    Request request;
    request.path = "/person/ab";
    Page content;
    content.nav = {{url("/"), "Start", 'a'}, {url("/person"), "People", 'b'}, {url("/per"), "Other", 'c'}};
    const std::string body = page(request, content).body;
    CHECK(body.find("<a href=\"/person\" accesskey=\"b\" aria-current=\"page\">People</a>") != std::string::npos);
    CHECK(body.find("<a href=\"/\" accesskey=\"a\">Start</a>") != std::string::npos);
    CHECK(body.find("<a href=\"/per\" accesskey=\"c\">Other</a>") != std::string::npos);
}
