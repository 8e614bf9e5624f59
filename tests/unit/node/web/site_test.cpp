#include "node/web/site.hpp"

#include <doctest/doctest.h>

#include <stdexcept>

#include "node/web/forms.hpp"
#include "node/web/page.hpp"
#include "tests/support/protocol/seeded_random.hpp"

using namespace ladderline;
using namespace ladderline::node::web;

namespace {

class StoppedClock : public Clock {
public:
    WallTime wall() override { return {}; }
    MonoTime monotonic() override { return {}; }
};

struct House {
    House() {
        router.get("/note", [this](const Request& request) {
            Page content;
            content.title = "Note";
            content.main = html("<p>{}</p>", note);
            content.main += post_form(request, url("/note"), text_row({"note", "Note", note}));
            return page(request, content);
        });
        router.post("/note", [this](const Request& request) {
            note = request.form.text("note");
            return redirect(url("/note"));
        });
        router.get("/broken", [](const Request&) -> Response { throw std::runtime_error("the inside of it"); });
    }

    std::string open() {
        const std::string address = guard.start_address();
        const std::string set = asked(address.substr(address.find("/open/"))).header_value("Set-Cookie");
        const std::size_t from = set.find('=') + 1;
        return set.substr(from, set.find(';') - from);
    }

    Request request_for(std::string path, const std::string& cookie) {
        Request request;
        request.path = std::move(path);
        request.host = "127.0.0.1:7300";
        request.cookies.add("ladderline_7300", cookie);
        return request;
    }

    Response asked(std::string path, const std::string& cookie = "") {
        return site.answer(request_for(std::move(path), cookie));
    }

    test::SeededRandom random{3};
    StoppedClock clock;
    GuardOptions options{.port = 7300};
    Guard guard{options, random};
    Router router;
    LiveHub hub;
    std::string note;
    Site site{guard, router, hub, clock};
};

}  // namespace

TEST_CASE("A form sent from its own page is taken, and script typed into it comes back inert") {
    House house;
    const std::string cookie = house.open();
    const std::string body = house.asked("/note", cookie).body;
    const std::string before = "name=\"csrf\" value=\"";
    const std::string csrf = body.substr(body.find(before) + before.size(), 64);

    Request post = house.request_for("/note", cookie);
    post.method = Method::post;
    post.origin = "http://127.0.0.1:7300";
    post.form.add("csrf", csrf);
    post.form.add("note", "\"><script>alert(1)</script>");
    CHECK(house.site.answer(post).status == 303);
    const std::string after = house.asked("/note", cookie).body;
    CHECK(after.find("&quot;&gt;&lt;script&gt;alert(1)") != std::string::npos);
    CHECK(after.find("<script>") == std::string::npos);
}

TEST_CASE("The button at the foot of a page locks the pages in every browser") {
    House house;
    const std::string other = house.open();
    house.guard.renew_token();
    const std::string cookie = house.open();
    const std::string body = house.asked("/note", cookie).body;
    const std::string before = "name=\"csrf\" value=\"";
    REQUIRE(body.find("action=\"/lock\"") != std::string::npos);
    Request post = house.request_for("/lock", cookie);
    post.method = Method::post;
    post.origin = "http://127.0.0.1:7300";
    post.form.add("csrf", body.substr(body.find(before) + before.size(), 64));
    CHECK(house.site.answer(post).status == 200);
    CHECK(house.asked("/note", cookie).status == 403);
    CHECK(house.asked("/note", other).status == 403);
}

TEST_CASE("Nobody else's page can lock these") {
    House house;
    const std::string cookie = house.open();
    Request post = house.request_for("/lock", cookie);
    post.method = Method::post;
    post.origin = "http://127.0.0.1:7300";
    CHECK(house.site.answer(post).status == 403);
    CHECK(house.asked("/note", cookie).status == 200);
}

TEST_CASE("A form without the secret changes nothing") {
    House house;
    Request post = house.request_for("/note", house.open());
    post.method = Method::post;
    post.origin = "http://127.0.0.1:7300";
    post.form.add("note", "forged");
    CHECK(house.site.answer(post).status == 403);
    CHECK(house.note.empty());
}

TEST_CASE("Every kind of answer carries the safety headers") {
    House house;
    CHECK_FALSE(house.asked("/note").header_value("Content-Security-Policy").empty());  // refused
    const std::string cookie = house.open();
    for (const char* path : {"/note", "/nobody", "/static/style.css", "/broken", "/live", "/live?topic=way"}) {
        CAPTURE(path);
        CHECK_FALSE(house.asked(path, cookie).header_value("Content-Security-Policy").empty());
    }
}

TEST_CASE("A page that fails tells the person nothing of the inside, and the log everything") {
    House house;
    std::string told;
    house.site.on_fault([&](const std::string& path, const std::string& what) { told = path + ": " + what; });
    const Response response = house.asked("/broken", house.open());
    CHECK(response.status == 500);
    CHECK(response.body.find("the inside of it") == std::string::npos);
    CHECK(told == "/broken: the inside of it");
}

TEST_CASE("Embedded files are served with their types, and only those meant for browsers") {
    struct Case {
        const char* path;
        int status;
        const char* type;
    };
    const Case cases[] = {
        {"/static/style.css", 200, "text/css; charset=utf-8"},
        {"/static/live.js", 200, "text/javascript; charset=utf-8"},
        {"/static/icon.svg", 200, "image/svg+xml"},
        {"/static/nothing.css", 404, "text/html; charset=utf-8"},
        {"/static/", 404, "text/html; charset=utf-8"},
        {"/static/web/static/style.css", 404, "text/html; charset=utf-8"},
    };
    House house;
    const std::string cookie = house.open();
    for (const Case& c : cases) {
        CAPTURE(c.path);
        const Response response = house.asked(c.path, cookie);
        CHECK(response.status == c.status);
        CHECK(response.content_type == c.type);
    }
}

TEST_CASE("A browser that has the present edition of a file is not sent it again") {
    House house;
    const std::string cookie = house.open();
    Request request = house.request_for("/static/style.css", cookie);
    request.if_none_match = house.asked("/static/style.css", cookie).header_value("ETag");
    CHECK(request.if_none_match.size() == 18);
    CHECK(house.site.answer(request).status == 304);
    CHECK(house.site.answer(request).body.empty());
    request.if_none_match = "\"0000000000000000\"";
    CHECK(house.site.answer(request).status == 200);
}

TEST_CASE("The style has nothing that the page's own policy would stop") {
    House house;
    const std::string css = house.asked("/static/style.css", house.open()).body;
    CHECK(css.find("http") == std::string::npos);
    CHECK(css.find("url(") == std::string::npos);
    CHECK(css.find("@import") == std::string::npos);
    CHECK(css.find("font-feature-settings: \"zero\"") != std::string::npos);
}

TEST_CASE("A page knows the newest news before it was made") {
    House house;
    const std::string cookie = house.open();
    house.hub.publish("way");
    house.hub.publish("way");
    CHECK(house.asked("/note", cookie).body.find("data-seen=\"2\"") != std::string::npos);
}
