#include "node/web/guard.hpp"

#include <doctest/doctest.h>

#include <functional>

#include "tests/support/node/page_forms.hpp"
#include "tests/support/protocol/seeded_random.hpp"

using namespace ladderline;
using namespace ladderline::node::web;

namespace {

constexpr MonoTime start{1000};

struct Door {
    explicit Door(GuardOptions options = {}) : guard(with_port(options), random) {}

    static GuardOptions with_port(GuardOptions options) {
        options.port = 7300;
        return options;
    }

    std::string token() const {
        return guard.start_address().substr(std::string("http://127.0.0.1:7300/open/").size());
    }

    // Opens with the start address; gives the cookie's value, or nothing.
    std::string open(MonoTime now = start) {
        Request request = look("/open/" + token());
        const std::optional<Response> response = guard.admit(request, now);
        REQUIRE(response.has_value());
        const std::string set = response->header_value("Set-Cookie");
        const std::size_t from = set.find('=') + 1;
        return set.empty() ? "" : set.substr(from, set.find(';') - from);
    }

    // A further browser, by a start address of its own.
    std::string open_another(MonoTime now = start) {
        guard.renew_token();
        return open(now);
    }

    static Request look(std::string path, const std::string& cookie = "") {
        Request request;
        request.path = std::move(path);
        request.host = "127.0.0.1:7300";
        if (!cookie.empty()) request.cookies.add("ladderline_7300", cookie);
        return request;
    }

    std::string csrf_of(const std::string& cookie) {
        Request request = look("/way", cookie);
        REQUIRE_FALSE(guard.admit(request, start).has_value());
        return request.csrf;
    }

    test::SeededRandom random{7};
    Guard guard;
};

// What a browser sends with a form of our own page.
Request own_form(const std::string& cookie, const std::string& csrf) {
    Request request = Door::look("/tick", cookie);
    request.method = Method::post;
    request.origin = "http://127.0.0.1:7300";
    request.fetch_site = "same-origin";
    request.fetch_mode = "navigate";
    request.form.add("csrf", csrf);
    return request;
}

int status_of_answer(const std::optional<Response>& response) {
    return response ? response->status : 0;
}

}  // namespace

TEST_CASE("The start address opens the pages with a cookie that scripts and other sites do not get") {
    Door door;
    CHECK(door.guard.start_address().starts_with("http://127.0.0.1:7300/open/"));
    Request request = Door::look("/open/" + door.token());
    const std::optional<Response> response = door.guard.admit(request, start);
    REQUIRE(response.has_value());
    CHECK(response->status == 303);
    CHECK(response->header_value("Location") == "/");
    const std::string cookie = response->header_value("Set-Cookie");
    CHECK(cookie.starts_with("ladderline_7300="));
    CHECK(cookie.ends_with("; Path=/; HttpOnly; SameSite=Strict"));
    CHECK(cookie.find(door.token()) == std::string::npos);
}

TEST_CASE("With the cookie every page answers, and knows the secret for its forms") {
    Door door;
    const std::string cookie = door.open();
    REQUIRE(cookie.size() == 64);
    Request request = Door::look("/way", cookie);
    CHECK_FALSE(door.guard.admit(request, start).has_value());
    CHECK(request.csrf.size() == 64);
    CHECK(request.csrf != cookie);
}

TEST_CASE("Without the cookie every address is closed and says how to get in") {
    Door door;
    door.open();
    for (const char* path : {"/", "/way", "/static/style.css", "/live", "/open", "/nobody"}) {
        CAPTURE(path);
        Request request = Door::look(path);
        const std::optional<Response> response = door.guard.admit(request, start);
        REQUIRE(response.has_value());
        CHECK(response->status == 403);
        CHECK(response->body.find("the address that the program printed when it started") != std::string::npos);
    }
}

TEST_CASE("A cookie that is not ours opens nothing") {
    Door door;
    const std::string cookie = door.open();
    for (const std::string& wrong :
         {std::string("0"), std::string(64, '0'), cookie.substr(1), cookie + "0", door.token(), std::string()}) {
        CAPTURE(wrong);
        Request request = Door::look("/way");
        request.cookies.add("ladderline_7300", wrong);
        CHECK(status_of_answer(door.guard.admit(request, start)) == 403);
    }
    Request other_port = Door::look("/way");
    other_port.cookies.add("ladderline_7301", cookie);
    CHECK(status_of_answer(door.guard.admit(other_port, start)) == 403);
}

TEST_CASE("The start address works once") {
    Door door;
    CHECK_FALSE(door.open().empty());
    CHECK(door.open().empty());
    CHECK(door.guard.sessions() == 1);
}

TEST_CASE("The browser that is in already is led on by the used start address") {
    Door door;
    const std::string cookie = door.open();
    Request request = Door::look("/open/" + door.token(), cookie);
    CHECK(status_of_answer(door.guard.admit(request, start)) == 303);
}

TEST_CASE("A wrong start address opens nothing and does not use up the right one") {
    Door door;
    for (const std::string& wrong : {std::string(), std::string("0"), std::string(64, '0'), door.token() + "0"}) {
        CAPTURE(wrong);
        Request request = Door::look("/open/" + wrong);
        CHECK(status_of_answer(door.guard.admit(request, start)) == 403);
    }
    CHECK_FALSE(door.open().empty());
}

TEST_CASE("Asking for the head of the start address, or posting to it, does not use it up") {
    Door door;
    Request head = Door::look("/open/" + door.token());
    head.head_only = true;
    CHECK(status_of_answer(door.guard.admit(head, start)) == 403);
    Request post = Door::look("/open/" + door.token());
    post.method = Method::post;
    CHECK(status_of_answer(door.guard.admit(post, start)) == 403);
    CHECK_FALSE(door.open().empty());
}

TEST_CASE("A name that leads to this machine is not ours (DNS rebinding)") {
    struct Case {
        const char* host;
        int status;
    };
    const Case cases[] = {
        {"127.0.0.1:7300", 0},        {"localhost:7300", 0},     {"[::1]:7300", 0},
        {"evil.example:7300", 403},   {"evil.example", 403},     {"127.0.0.1", 403},
        {"127.0.0.1:7301", 403},      {"127.0.0.1:73000", 403},  {"localhost.evil.example:7300", 403},
        {"127.0.0.1.evil:7300", 403}, {"localhost", 403},        {"", 403},
        {"0.0.0.0:7300", 403},        {"192.168.1.5:7300", 403}, {"127.0.0.1:7300@evil.example", 403},
    };
    Door door;
    const std::string cookie = door.open();
    for (const Case& c : cases) {
        CAPTURE(c.host);
        Request request = Door::look("/way", cookie);
        request.host = c.host;
        CHECK(status_of_answer(door.guard.admit(request, start)) == c.status);
    }
}

TEST_CASE("The start address under a foreign name is refused and not used up") {
    Door door;
    Request request = Door::look("/open/" + door.token());
    request.host = "evil.example:7300";
    CHECK(status_of_answer(door.guard.admit(request, start)) == 403);
    CHECK_FALSE(door.open().empty());
}

TEST_CASE("A form is taken from our own pages with its secret, and from nowhere else") {
    struct Case {
        const char* what;
        std::function<void(Request&)> change;
        int status;
    };
    const Case cases[] = {
        {"our own form", [](Request&) {}, 0},
        {"a browser without fetch metadata", [](Request& r) { r.fetch_site.clear(); }, 0},
        {"a browser that names no origin", [](Request& r) { r.origin.clear(); }, 0},
        {"neither origin nor fetch metadata", [](Request& r) { r.origin.clear(), r.fetch_site.clear(); }, 403},
        {"another site", [](Request& r) { r.origin = "https://evil.example", r.fetch_site = "cross-site"; }, 403},
        {"another port here", [](Request& r) { r.origin = "http://127.0.0.1:8000", r.fetch_site = "same-site"; }, 403},
        {"another port, old browser", [](Request& r) { r.origin = "http://127.0.0.1:8000", r.fetch_site.clear(); },
         403},
        {"another name of this machine", [](Request& r) { r.origin = "http://localhost:7300"; }, 403},
        {"a sandboxed frame", [](Request& r) { r.origin = "null", r.fetch_site = "cross-site"; }, 403},
        {"an opaque origin", [](Request& r) { r.origin = "null"; }, 403},
        {"the wrong scheme", [](Request& r) { r.origin = "https://127.0.0.1:7300"; }, 403},
        {"no cookie", [](Request& r) { r.cookies = {}; }, 403},
        {"no secret", [](Request& r) { r.form = {}; }, 403},
        {"an empty secret", [](Request& r) { r.form = {}, r.form.add("csrf", ""); }, 403},
        {"a wrong secret", [](Request& r) { r.form = {}, r.form.add("csrf", std::string(64, 'a')); }, 403},
        {"two secrets", [](Request& r) { r.form.add("csrf", r.form.get("csrf")); }, 403},
        {"the secret in the address only", [](Request& r) { r.query.add("csrf", r.form.get("csrf")), r.form = {}; },
         403},
    };
    Door door;
    const std::string cookie = door.open();
    const std::string csrf = door.csrf_of(cookie);
    for (const Case& c : cases) {
        CAPTURE(c.what);
        Request request = own_form(cookie, csrf);
        c.change(request);
        CHECK(status_of_answer(door.guard.admit(request, start)) == c.status);
    }
}

TEST_CASE("The secret of one browser does not fit another") {
    Door door;
    const std::string mine = door.open();
    const std::string other = door.open_another();
    Request request = own_form(mine, door.csrf_of(other));
    CHECK(status_of_answer(door.guard.admit(request, start)) == 403);
}

TEST_CASE("Another site may lead here by a link but not pull our answers into itself") {
    struct Case {
        const char* site;
        const char* mode;
        int status;
    };
    const Case cases[] = {
        {"none", "navigate", 0},       {"same-origin", "cors", 0},      {"same-origin", "no-cors", 0},
        {"cross-site", "navigate", 0}, {"cross-site", "no-cors", 403},  {"cross-site", "cors", 403},
        {"same-site", "no-cors", 403}, {"same-site", "websocket", 403}, {"cross-site", "", 403},
    };
    Door door;
    const std::string cookie = door.open();
    for (const Case& c : cases) {
        CAPTURE(c.site);
        CAPTURE(c.mode);
        Request request = Door::look("/way", cookie);
        request.fetch_site = c.site;
        request.fetch_mode = c.mode;
        CHECK(status_of_answer(door.guard.admit(request, start)) == c.status);
    }
}

TEST_CASE("A browser that asks for nothing for too long must open anew, when that was chosen") {
    GuardOptions options;
    options.idle_ms_max = 60'000;
    Door door(options);
    const std::string cookie = door.open(MonoTime{0});
    Request in_time = Door::look("/way", cookie);
    CHECK(status_of_answer(door.guard.admit(in_time, MonoTime{60'000})) == 0);
    Request again_in_time = Door::look("/way", cookie);
    CHECK(status_of_answer(door.guard.admit(again_in_time, MonoTime{120'000})) == 0);
    Request late = Door::look("/way", cookie);
    CHECK(status_of_answer(door.guard.admit(late, MonoTime{180'001})) == 403);
}

TEST_CASE("A page that looks again by itself keeps nothing open") {
    GuardOptions options;
    options.idle_ms_max = 60'000;
    for (const char* path : {"/live", "/static/style.css", "/way"}) {
        CAPTURE(path);
        Door door(options);
        const std::string cookie = door.open(MonoTime{0});
        Request by_itself = Door::look(path, cookie);
        by_itself.live_refresh = by_itself.path == "/way";
        CHECK(status_of_answer(door.guard.admit(by_itself, MonoTime{60'000})) == 0);
        Request late = Door::look("/way", cookie);
        CHECK(status_of_answer(door.guard.admit(late, MonoTime{60'001})) == 403);
    }
}

TEST_CASE("Locking shuts every browser out and gives a new start address") {
    Door door;
    const std::string cookie = door.open();
    const std::string old_token = door.token();
    door.guard.lock();
    Request request = Door::look("/way", cookie);
    CHECK(status_of_answer(door.guard.admit(request, start)) == 403);
    CHECK(door.token() != old_token);
    CHECK_FALSE(door.open().empty());
}

TEST_CASE("When more browsers open than fit, the one quiet for longest goes") {
    GuardOptions options;
    options.sessions_max = 2;
    Door door(options);
    const std::string first = door.open(MonoTime{1});
    const std::string second = door.open_another(MonoTime{2});
    Request request = Door::look("/way", first);
    CHECK(status_of_answer(door.guard.admit(request, MonoTime{3})) == 0);
    door.open_another(MonoTime{4});
    Request of_second = Door::look("/way", second);
    CHECK(status_of_answer(door.guard.admit(of_second, MonoTime{5})) == 403);
    CHECK(door.guard.sessions() == 2);
}

TEST_CASE("Texts are equal only when every byte and the length are") {
    CHECK(equal_in_constant_time("", ""));
    CHECK(equal_in_constant_time("abc", "abc"));
    CHECK_FALSE(equal_in_constant_time("abc", "abd"));
    CHECK_FALSE(equal_in_constant_time("bbc", "abc"));
    CHECK_FALSE(equal_in_constant_time("abc", "abcd"));
}

TEST_CASE("Every answer forbids inline code, framing, sniffing and keeping") {
    Response response;
    add_safety_headers(response);
    CHECK(response.header_value("Content-Security-Policy") ==
          "default-src 'none'; style-src 'self'; script-src 'self'; img-src 'self' data:; connect-src 'self'; "
          "form-action 'self'; base-uri 'none'; frame-ancestors 'none'");
    CHECK(response.header_value("X-Content-Type-Options") == "nosniff");
    CHECK(response.header_value("Cache-Control") == "no-store");
    CHECK(response.header_value("Referrer-Policy") == "same-origin");
}

TEST_CASE("A form of before a lock is shown once more with what was typed, and is done with another press") {
    Door door;
    Request sent = own_form(door.open(), std::string(64, 'a'));
    sent.form.add("lines", "KD0XBB 59\nKD0XCC \"57\"");
    const std::optional<Response> answer = door.guard.admit(sent, start);
    REQUIRE(answer.has_value());
    CHECK(answer->status == 403);
    const auto forms = test::forms_of(answer->body);
    REQUIRE(forms.size() == 1);
    CHECK(forms[0].is_post);
    CHECK(forms[0].action == "/tick");
    CHECK(forms[0].get("lines") == "KD0XBB 59\nKD0XCC \"57\"");
    Request again = own_form(sent.cookies.get("ladderline_7300"), forms[0].get("csrf"));
    CHECK_FALSE(door.guard.admit(again, start).has_value());
}

TEST_CASE("What was sent is shown once more to our own pages alone") {
    Door door;
    Request sent = own_form(door.open(), std::string(64, 'a'));
    sent.form.add("lines", "KD0XBB 59");
    sent.origin = "http://evil.example";
    const std::optional<Response> answer = door.guard.admit(sent, start);
    REQUIRE(answer.has_value());
    CHECK(answer->body.find("KD0XBB") == std::string::npos);
    CHECK(answer->body.find("csrf") == std::string::npos);
}

TEST_CASE("A file does not come along, so a form with one is sent anew from its page") {
    Door door;
    Request sent = own_form(door.open(), std::string(64, 'a'));
    sent.files.push_back({"log", "log.adi", "<eor>"});
    const std::optional<Response> answer = door.guard.admit(sent, start);
    REQUIRE(answer.has_value());
    CHECK(test::forms_of(answer->body).empty());
    CHECK(answer->body.find("choose the file") != std::string::npos);
}

TEST_CASE("A form from a browser that has to open anew waits in that tab, and is shown after a reload") {
    Door door;
    const std::string before = door.open();
    Request sent = own_form(before, door.csrf_of(before));
    sent.form.add("lines", "KD0XBB 59");
    door.guard.lock();
    const std::optional<Response> locked = door.guard.admit(sent, start);
    REQUIRE(locked.has_value());
    CHECK(locked->body.find("leave this page open") != std::string::npos);
    CHECK(locked->body.find("KD0XBB") == std::string::npos);
    Request reloaded = own_form(door.open(), sent.form.get("csrf"));
    reloaded.form.add("lines", "KD0XBB 59");
    const std::optional<Response> shown = door.guard.admit(reloaded, start);
    REQUIRE(shown.has_value());
    CHECK(shown->body.find("KD0XBB 59") != std::string::npos);
}
