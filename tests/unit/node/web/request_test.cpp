#include "node/web/request.hpp"

#include <doctest/doctest.h>

#include <vector>

using namespace ladderline;
using namespace ladderline::node::web;

namespace {

RawRequest looked_at(std::string target) {
    return {"GET", std::move(target), {{"Host", "127.0.0.1:7300"}}, ""};
}

RawRequest posted(std::string body, std::string type = "application/x-www-form-urlencoded") {
    return {"POST", "/tick", {{"Host", "127.0.0.1:7300"}, {"Content-Type", std::move(type)}}, std::move(body)};
}

// 0 when the request was understood.
int refused_with(const RawRequest& raw, const FormLimits& limits = {}) {
    const auto read = read_request(raw, limits);
    const Response* refused = std::get_if<Response>(&read);
    return refused == nullptr ? 0 : refused->status;
}

Request understood(const RawRequest& raw) {
    const auto read = read_request(raw);
    REQUIRE(std::holds_alternative<Request>(read));
    return std::get<Request>(read);
}

}  // namespace

TEST_CASE("A form is read with blanks, escapes, repeated and empty values") {
    const Fields form = parse_urlencoded("name=Zo%C3%AB+K&item=a&item=b&note=&bare&&x=1%3D2").value();
    CHECK(form.get("name") == "Zo\xC3\xAB K");
    CHECK(form.all("item") == std::vector<std::string>{"a", "b"});
    CHECK(form.has("note"));
    CHECK(form.has("bare"));
    CHECK(form.get("x") == "1=2");
    CHECK_FALSE(form.has("missing"));
}

TEST_CASE("A typed text loses its outer blanks and its carriage returns") {
    Fields form;
    form.add("note", " \r\nfirst\r\nsecond \t");
    CHECK(form.text("note") == "first\nsecond");
}

TEST_CASE("A typed number is a whole number and nothing else") {
    Fields form;
    form.add("good", " -12 ");
    form.add("rest", "12 W");
    form.add("large", "99999999999999999999");
    form.add("empty", " ");
    CHECK(form.number("good") == -12);
    CHECK_FALSE(form.number("rest").has_value());
    CHECK_FALSE(form.number("large").has_value());
    CHECK_FALSE(form.number("empty").has_value());
    CHECK_FALSE(form.number("missing").has_value());
}

TEST_CASE("Damaged forms are refused") {
    const std::vector<std::string> bodies{"a=%",   "a=%4",  "a=%G1",    "a=%1G",      "%zz=1",
                                          "a=%00", "a=%FF", "a=%C0%AF", "a=%ED%A0%80"};
    for (const std::string& body : bodies) {
        CAPTURE(body);
        CHECK(parse_urlencoded(body).has_error());
        CHECK(refused_with(posted(body)) == 400);
    }
}

TEST_CASE("A form within its limits is read, one over any of them is refused") {
    FormLimits limits;
    limits.fields_max = 2;
    limits.name_bytes_max = 3;
    limits.value_bytes_max = 4;
    CHECK(parse_urlencoded("abc=1234&b=2", limits).has_value());
    CHECK(parse_urlencoded("a=1&b=2&c=3", limits).has_error());
    CHECK(parse_urlencoded("abcd=1", limits).has_error());
    CHECK(parse_urlencoded("a=12345", limits).has_error());
    CHECK(parse_urlencoded("a=%31%32%33%34", limits).has_value());
}

TEST_CASE("Only forms are taken, and only by POST") {
    CHECK(refused_with(posted("a=1")) == 0);
    CHECK(refused_with(posted("a=1", "Application/X-WWW-Form-URLencoded; charset=utf-8")) == 0);
    CHECK(refused_with(posted("{}", "application/json")) == 415);
    CHECK(refused_with(posted("a=1", "text/plain")) == 415);
    CHECK(refused_with(posted("a=1", "")) == 415);
    RawRequest other = looked_at("/");
    other.method = "PUT";
    CHECK(refused_with(other) == 405);
}

TEST_CASE("A request says exactly one host") {
    RawRequest none{"GET", "/", {}, ""};
    CHECK(refused_with(none) == 400);
    RawRequest two{"GET", "/", {{"Host", "127.0.0.1:7300"}, {"host", "evil.example"}}, ""};
    CHECK(refused_with(two) == 400);
}

TEST_CASE("Paths with tricks are refused before any page sees them") {
    const std::vector<std::string> targets{
        "",
        "way",
        "http://127.0.0.1:7300/",
        "*",
        "//evil.example/",
        "/a//b",
        "/../etc/passwd",
        "/a/./b",
        "/static/%2e%2e/x",
        "/static/..%2fx",
        "/a%00",
        "/a%0d%0aX:y",
        "/a%5cb",
        "/%",
        "/a%ff",
        "/?q=%",
    };
    for (const std::string& target : targets) {
        CAPTURE(target);
        CHECK(refused_with(looked_at(target)) == 400);
    }
    CHECK(refused_with(looked_at("/" + std::string(9000, 'a'))) == 414);
}

TEST_CASE("A path and its question are decoded; a slash at the end means the same page") {
    CHECK(understood(looked_at("/person/Zo%C3%AB%20K?q=a+b")).path == "/person/Zo\xC3\xAB K");
    CHECK(understood(looked_at("/person/Zo%C3%AB%20K?q=a+b")).query.get("q") == "a b");
    CHECK(understood(looked_at("/way/")).path == "/way");
    CHECK(understood(looked_at("/")).path == "/");
    CHECK(understood(looked_at("/a+b")).path == "/a+b");
}

TEST_CASE("HEAD is looking without the body") {
    RawRequest raw = looked_at("/");
    raw.method = "HEAD";
    CHECK(understood(raw).head_only);
    CHECK(understood(raw).method == Method::get);
}

TEST_CASE("Cookies are read from every cookie line, odd ones skipped") {
    RawRequest raw = looked_at("/");
    raw.headers.emplace_back("Cookie", "a=1; b=2;odd; =3");
    raw.headers.emplace_back("cookie", "a=4");
    const Request request = understood(raw);
    CHECK(request.cookies.all("a") == std::vector<std::string>{"1", "4"});
    CHECK(request.cookies.get("b") == "2");
    CHECK(request.cookies.entries().size() == 3);
}

TEST_CASE("A header value cannot become a second header") {
    Response response;
    response.header("X-Note", "a\r\nSet-Cookie: b=c");
    CHECK(response.header_value("x-note") == "aSet-Cookie: b=c");
}

TEST_CASE("The name of a file to keep has only plain characters") {
    const Response response = download("../KD0XAA \"log\"\r\n.adi", "text/plain", "x");
    CHECK(response.header_value("Content-Disposition") == "attachment; filename=\"-.-KD0XAA--log---.adi\"");
}
