// The door to one's own telephone, over real TLS on the loopback, with the test's own clock and randomness.

#include <doctest/doctest.h>

#include <list>

#include "node/web/forms.hpp"
#include "node/web/page.hpp"
#include "node/web/phone/phone_door.hpp"
#include "node/web/server.hpp"
#include "tests/support/node/member_fixture.hpp"
#include "tests/unit/node/web/raw_browser.hpp"
#include "tests/unit/node/web/tls_browser.hpp"

using namespace ladderline;
using namespace ladderline::node::web;
using boost::asio::ip::make_address;
using ladderline::node::web::test::RawBrowser;
using ladderline::node::web::test::TlsBrowser;

namespace {

constexpr std::int64_t minute_ms = 60'000;

struct House {
    House() {
        router.get("/way", [this](const Request& request) {
            ++asked;
            Page content;
            content.title = "Way";
            content.main = html("<p>the way of {}</p>", request.peer);
            content.main += button_form(request, url("/rest"), "Rest");
            content.main += button_form(request, url("/goings/leave"), "Leave");
            return page(request, content);
        });
        router.post("/rest", [](const Request&) { return plain_text(200, "rested"); });
        router.post("/goings/leave", [this](const Request&) {
            ++left;
            return plain_text(200, "left");
        });
        router.get("/end", [this](const Request&) {
            door.shut(PhoneEnd::by_word);
            return plain_text(200, "ended by itself");
        });
    }

    Result<void> open(std::int32_t minutes = 30, const std::string& address = "127.0.0.1") {
        return door.open({address, 0, minutes});
    }
    void poll() {
        io.restart();
        io.poll();
    }
    const PhoneState& state() const { return door.state(); }
    std::string host() const { return "Host: 127.0.0.1:" + std::to_string(state().port) + "\r\n"; }
    std::string get(const std::string& path, const std::string& more = "") const {
        return "GET " + path + " HTTP/1.1\r\n" + host() + more + "\r\n";
    }
    std::string link_path() const { return state().link.substr(state().link.find("/open/")); }

    ladderline::test::SetClock clock;
    ladderline::test::SeededRandom random{5};
    node::Env env{clock, random};
    boost::asio::io_context io{1};
    LiveHub hub;
    Router router;
    int asked = 0;
    int left = 0;
    std::vector<OwnAddress> own{{"wlan0", make_address("192.168.7.20")}, {"ppp0", make_address("203.0.113.9")}};
    PhoneDoor door{io.get_executor(), router, hub, env, {[this] { return own; }, 0}};
};

// A browser on the telephone, and the cookie that it was given.
struct Phone {
    explicit Phone(House& of, const std::string& link_path)
        : house(of), wire(of.io, make_address("127.0.0.1"), port_of(of)) {
        if (!wire.shook_hands()) return;
        wire.send(house.get(link_path));
        wire.receive_text("</html>");
        const std::string& said = wire.received();
        const std::size_t at = said.find("Set-Cookie: ");
        if (at != std::string::npos) cookie = said.substr(at + 12, said.find(';', at) - at - 12);
    }
    static std::uint16_t port_of(const House& house) { return house.state().port; }

    bool sees(const std::string& path, std::string_view words) {
        wire.forget();
        wire.send(house.get(path, "Cookie: " + cookie + "\r\n"));
        return wire.receive_text(words);
    }
    bool posts(const std::string& path, std::string_view words) {
        sees("/way", "</html>");
        const std::string before = "name=\"csrf\" value=\"";
        const std::string csrf = wire.received().substr(wire.received().find(before) + before.size(), 64);
        const std::string origin = "https://127.0.0.1:" + std::to_string(port_of(house));
        wire.forget();
        wire.send("POST " + path + " HTTP/1.1\r\n" + house.host() + "Cookie: " + cookie + "\r\nOrigin: " + origin +
                  "\r\nContent-Type: application/x-www-form-urlencoded\r\nContent-Length: " +
                  std::to_string(csrf.size() + 5) + "\r\n\r\ncsrf=" + csrf);
        return wire.receive_text(words);
    }

    House& house;
    TlsBrowser wire;
    std::string cookie;
};

}  // namespace

TEST_CASE("A telephone that compares the fingerprint gets the pages by the link") {
    House house;
    REQUIRE(house.open().has_value());
    Phone phone(house, house.link_path());
    CHECK(phone.wire.fingerprint() == house.state().fingerprint);
    CHECK(phone.sees("/way", "the way of 127.0.0.1"));
    REQUIRE(house.state().browser.has_value());
    CHECK(house.state().browser->address == "127.0.0.1");
    CHECK(house.state().link.empty());
}

TEST_CASE("Another share has another certificate and another link") {
    House house;
    REQUIRE(house.open().has_value());
    const PhoneState first = house.state();
    house.door.shut(PhoneEnd::by_word);
    house.poll();
    REQUIRE(house.open().has_value());
    CHECK(house.state().fingerprint != first.fingerprint);
    CHECK(house.state().link != first.link);
    TlsBrowser browser(house.io, make_address("127.0.0.1"), house.state().port);
    CHECK(browser.fingerprint() != first.fingerprint);
    CHECK(browser.fingerprint() == house.state().fingerprint);
}

TEST_CASE("A share can be opened on IPv6 as well") {
    House house;
    REQUIRE(house.open(30, "::1").has_value());
    CHECK(house.state().link.starts_with("https://[::1]:"));
    TlsBrowser browser(house.io, make_address("::1"), house.state().port);
    CHECK(browser.fingerprint() == house.state().fingerprint);
}

TEST_CASE("A second telephone with the same link is refused, and the machine is told from where") {
    House house;
    REQUIRE(house.open().has_value());
    const std::string link = house.link_path();
    Phone first(house, link);
    Phone second(house, link);
    CHECK(second.cookie.empty());
    CHECK(second.wire.received().starts_with("HTTP/1.1 403"));
    REQUIRE(house.state().second.has_value());
    CHECK(house.state().second->address == "127.0.0.1");
    CHECK(first.sees("/way", "the way of"));
}

TEST_CASE("A share ends by itself when its time is up, by either clock") {
    for (const bool asleep : {false, true}) {
        CAPTURE(asleep);
        House house;
        REQUIRE(house.open(30).has_value());
        Phone phone(house, house.link_path());
        const std::uint16_t port = house.state().port;
        house.clock.pass_minutes(29);
        house.door.on_time();
        REQUIRE(house.state().is_open);
        house.clock.now.ms += asleep ? 10 * minute_ms : minute_ms;
        house.door.on_time();
        CHECK_FALSE(house.state().is_open);
        CHECK(house.state().ended == PhoneEnd::time_up);
        CHECK(phone.wire.receive_end());
        CHECK_FALSE(TlsBrowser(house.io, make_address("127.0.0.1"), port).shook_hands());
    }
}

TEST_CASE("Ten wrong links end a share, and nine do not") {
    House house;
    REQUIRE(house.open().has_value());
    const std::string link = house.link_path();
    for (int i = 0; i < 9; ++i) Phone(house, "/open/abcd-efgh-jkmn-pqr" + std::to_string(i));
    CHECK(house.state().is_open);
    CHECK(house.state().wrong == 9);
    Phone last(house, "/open/aaaa-aaaa-aaaa-aaaa");
    CHECK(house.state().ended == PhoneEnd::wrong_links);
    CHECK(last.wire.receive_end());
}

TEST_CASE("A wrong host, a forged origin and a browser without the cookie get nothing by telephone") {
    House house;
    REQUIRE(house.open().has_value());
    Phone phone(house, house.link_path());
    for (const std::string& head :
         {std::string("Host: a.example:1\r\nCookie: ") + phone.cookie + "\r\n", house.host()}) {
        CAPTURE(head);
        TlsBrowser browser(house.io, make_address("127.0.0.1"), house.state().port);
        browser.send("GET /way HTTP/1.1\r\n" + head + "\r\n");
        CHECK(browser.receive_text("HTTP/1.1 403"));
    }
    CHECK(house.asked == 0);
}

TEST_CASE("Plain HTTP on the port of a share gets no answer") {
    House house;
    REQUIRE(house.open().has_value());
    RawBrowser browser(house.io, house.state().port);
    browser.send(house.get(house.link_path()));
    CHECK(browser.receive_end());
    CHECK(browser.received().find("HTTP/1.1") == std::string::npos);
    CHECK_FALSE(house.state().browser.has_value());
}

TEST_CASE("A telephone that speaks only TLS 1.2 is not let in") {
    House house;
    REQUIRE(house.open().has_value());
    CHECK_FALSE(TlsBrowser(house.io, make_address("127.0.0.1"), house.state().port, TLS1_2_VERSION).shook_hands());
}

TEST_CASE("What cannot be undone is neither shown to a telephone nor taken from it") {
    House house;
    REQUIRE(house.open().has_value());
    Phone phone(house, house.link_path());
    CHECK(phone.sees("/way", "not from a telephone"));
    CHECK(phone.wire.received().find("action=\"/goings/leave\"") == std::string::npos);
    CHECK(phone.wire.received().find("action=\"/rest\"") != std::string::npos);
    CHECK(phone.posts("/rest", "rested"));
    CHECK(phone.posts("/goings/leave", "Not from a telephone"));
    CHECK(house.left == 0);
}

TEST_CASE("Locking the pages on a telephone ends the share and locks the machine's own pages") {
    House house;
    int locked = 0;
    house.door.on_lock([&] { ++locked; });
    REQUIRE(house.open().has_value());
    Phone phone(house, house.link_path());
    CHECK(phone.posts("/lock", "Locked"));
    CHECK(locked == 1);
    CHECK(house.state().ended == PhoneEnd::locked);
}

TEST_CASE("A page that ends the share is still answered, and all of the share is gone afterwards") {
    House house;
    REQUIRE(house.open().has_value());
    const std::size_t with_key = CRYPTO_secure_used();
    {
        Phone phone(house, house.link_path());
        CHECK(phone.sees("/end", "ended by itself"));
        CHECK(phone.wire.receive_end());
    }
    for (int i = 0; i < 100; ++i) house.poll();
    CHECK(CRYPTO_secure_used() < with_key);
}

TEST_CASE("A caller who does not finish the handshake, or the request, is closed after thirty seconds") {
    House house;
    REQUIRE(house.open().has_value());
    for (const char* begun : {"", "\x16\x03\x01"}) {
        CAPTURE(begun);
        RawBrowser browser(house.io, house.state().port);
        browser.send(begun);
        house.poll();
        house.clock.now.ms += 30'000;
        house.door.on_time();
        house.poll();
        CHECK_FALSE(browser.ended());
        house.clock.now.ms += 1;
        house.door.on_time();
        CHECK(browser.receive_end());
    }
    TlsBrowser slow(house.io, make_address("127.0.0.1"), house.state().port);
    slow.send("GET /way HT");
    house.clock.now.ms += 30'001;
    house.door.on_time();
    CHECK(slow.receive_end());
}

TEST_CASE("Forty callers who say nothing do not keep the telephone out") {
    House house;
    REQUIRE(house.open().has_value());
    std::list<RawBrowser> silent;
    for (int i = 0; i < 40; ++i) {
        silent.emplace_back(house.io, house.state().port);
        house.poll();
        house.clock.now.ms += 1;
        house.door.on_time();
    }
    int closed = 0;
    for (RawBrowser& browser : silent) {
        browser.receive_text("nothing comes");
        closed += browser.ended() ? 1 : 0;
    }
    CHECK(closed == 40 - 16);
    Phone phone(house, house.link_path());
    CHECK(phone.sees("/way", "the way of"));
}

TEST_CASE("Before it is let in, a browser can bring no more than a small form") {
    House house;
    REQUIRE(house.open().has_value());
    TlsBrowser browser(house.io, make_address("127.0.0.1"), house.state().port);
    browser.send("POST /way HTTP/1.1\r\n" + house.host() +
                 "Content-Type: multipart/form-data; boundary=x\r\nContent-Length: 262145\r\n\r\n");
    CHECK(browser.receive_text("HTTP/1.1 413"));
}

TEST_CASE("Addresses that are not this machine's own, everybody's or all are refused, with those that are") {
    House house;
    for (const char* odd : {"0.0.0.0", "::", "203.0.113.9", "192.168.7.21", "home", ""}) {
        CAPTURE(odd);
        const auto refused = house.open(30, odd);
        REQUIRE_FALSE(refused.has_value());
        CHECK(refused.error().sentence().find("192.168.7.20") != std::string::npos);
    }
    CHECK_FALSE(house.open(0).has_value());
    CHECK_FALSE(house.open(481).has_value());
    CHECK_FALSE(house.door.open({"127.0.0.1", 80, 30}).has_value());
    CHECK_FALSE(house.state().is_open);
}

TEST_CASE("One share at a time") {
    House house;
    REQUIRE(house.open().has_value());
    const std::string link = house.state().link;
    CHECK_FALSE(house.open().has_value());
    CHECK(house.state().link == link);
}

TEST_CASE("The machine's own listener never answers a telephone's link") {
    House house;
    REQUIRE(house.open().has_value());
    Guard own({.port = 7300}, house.random);
    Request request;
    request.path = house.link_path();
    request.host = "127.0.0.1:7300";
    const auto answer = own.admit(request, MonoTime{0});
    REQUIRE(answer.has_value());
    CHECK(answer->status == 403);
    CHECK(house.state().link.size() > 0);
}
