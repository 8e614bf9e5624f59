// Who is let in by telephone: one browser, by a link that works once.

#include "node/web/guard.hpp"

#include <doctest/doctest.h>

#include "tests/support/protocol/seeded_random.hpp"

using namespace ladderline;
using namespace ladderline::node::web;

namespace {

constexpr MonoTime start{1000};
const std::string origin = "https://192.168.7.20:7301";

GuardOptions for_phone() {
    GuardOptions out;
    out.port = 7301;
    out.host = "192.168.7.20";
    out.for_phone = true;
    out.sessions_max = 1;
    return out;
}

struct Door {
    Door() {
        guard.on_opened([this](Opened what, const std::string& peer) {
            told.push_back(what);
            last_peer = peer;
        });
    }

    std::string link_path() const { return guard.start_address().substr(origin.size()); }

    static Request look(std::string path, const std::string& cookie = "") {
        Request request;
        request.path = std::move(path);
        request.host = "192.168.7.20:7301";
        request.peer = "192.168.7.33";
        if (!cookie.empty()) request.cookies.add("__Host-ladderline_7301", cookie);
        return request;
    }

    std::optional<Response> ask(Request request) { return guard.admit(request, start); }

    std::string let_in() {
        const auto answer = ask(look(link_path()));
        REQUIRE(answer.has_value());
        const std::string set = answer->header_value("Set-Cookie");
        const std::size_t from = set.find('=') + 1;
        return set.substr(from, set.find(';') - from);
    }

    test::SeededRandom random{9};
    Guard guard{for_phone(), random};
    std::vector<Opened> told;
    std::string last_peer;
};

int status_of_answer(const std::optional<Response>& response) {
    return response ? response->status : 0;
}

}  // namespace

TEST_CASE("A telephone's link is short enough to type, over TLS, and another one each time") {
    Door door;
    CHECK(door.guard.start_address().starts_with(origin + "/open/"));
    const std::string first = door.link_path();
    CHECK(first.size() == std::string("/open/abcd-efgh-jkmn-pqrs").size());
    door.guard.renew_token();
    CHECK(door.link_path() != first);
}

TEST_CASE("The link lets a browser in with a cookie for TLS, this host and no script alone") {
    Door door;
    const auto answer = door.ask(Door::look(door.link_path()));
    REQUIRE(status_of_answer(answer) == 200);
    const std::string set = answer->header_value("Set-Cookie");
    CHECK(set.starts_with("__Host-ladderline_7301="));
    CHECK(set.ends_with("; Path=/; HttpOnly; SameSite=Strict; Secure"));
    CHECK(door.told == std::vector<Opened>{Opened::let_in});
    CHECK(door.last_peer == "192.168.7.33");
}

TEST_CASE("What a browser that was let in asks for is marked as a telephone's") {
    Door door;
    Request request = Door::look("/way", door.let_in());
    CHECK_FALSE(door.guard.admit(request, start).has_value());
    CHECK(request.on_phone);
}

TEST_CASE("A second browser with the same link is refused and told of") {
    Door door;
    door.let_in();
    const auto answer = door.ask(Door::look(door.link_path()));
    CHECK(status_of_answer(answer) == 403);
    CHECK(answer->header_value("Set-Cookie").empty());
    CHECK(door.told == std::vector<Opened>{Opened::let_in, Opened::used_already});
}

TEST_CASE("A wrong link is refused and told of, and does not use up the right one") {
    Door door;
    CHECK(status_of_answer(door.ask(Door::look("/open/abcd-efgh-jkmn-pqrs"))) == 403);
    CHECK(door.told == std::vector<Opened>{Opened::wrong});
    CHECK_FALSE(door.let_in().empty());
}

TEST_CASE("A telephone's pages answer under their own address alone") {
    Door door;
    const std::string cookie = door.let_in();
    for (const char* host : {"127.0.0.1:7301", "localhost:7301", "192.168.7.20", "192.168.7.20:7300", "a.example:7301",
                             "192.168.7.21:7301"}) {
        CAPTURE(host);
        Request request = Door::look("/way", cookie);
        request.host = host;
        CHECK(status_of_answer(door.ask(request)) == 403);
    }
}

TEST_CASE("A form from the telephone needs its secret and this very origin") {
    Door door;
    const std::string cookie = door.let_in();
    Request looked = Door::look("/way", cookie);
    REQUIRE_FALSE(door.guard.admit(looked, start).has_value());
    Request form = Door::look("/rest", cookie);
    form.method = Method::post;
    form.origin = origin;
    form.form.add("csrf", looked.csrf);
    CHECK(status_of_answer(door.ask(form)) == 0);
    form.origin = "http://192.168.7.20:7301";
    CHECK(status_of_answer(door.ask(form)) == 403);
    form.origin = origin;
    form.form = {};
    CHECK(status_of_answer(door.ask(form)) == 403);
}

TEST_CASE("No calendar is read by way of the telephone's door") {
    Door door;
    CHECK(status_of_answer(door.ask(Door::look("/feed/", door.let_in()))) == 403);
}
