#include "node/web/server.hpp"

#include <doctest/doctest.h>

#include <boost/asio/io_context.hpp>
#include <list>

#include "tests/unit/node/web/raw_browser.hpp"

using namespace ladderline;
using namespace ladderline::node::web;
using ladderline::node::web::test::RawBrowser;

namespace {

const std::string host = "Host: 127.0.0.1\r\n";

struct Running {
    explicit Running(ServerLimits limits = {}, LiveLimits live = {}) : hub(live), server(io.get_executor(), limits) {
        port = server.listen(0).value();
        server.serve([this](const Request& request) { return answer(request); }, hub);
        server.on_time(MonoTime{0});
    }

    Response answer(const Request& request) {
        ++asked;
        if (request.path == "/live") return hub.answer(request);
        if (request.path == "/large") return plain_text(200, std::string(8 * 1024 * 1024, 'x'));
        if (request.path == "/stop") server.stop([this] { ++stopped; });
        if (request.method == Method::post) return plain_text(200, "got " + request.form.get("a"));
        return plain_text(200, "page " + request.path);
    }

    void poll() {
        io.restart();
        io.poll();
    }
    // True once the executor has nothing left to do.
    bool comes_to_rest() {
        for (int i = 0; i < 20'000; ++i) {
            io.restart();
            io.poll();
            if (io.stopped()) return true;
        }
        return false;
    }

    boost::asio::io_context io{1};
    LiveHub hub;
    std::uint16_t port = 0;
    int asked = 0;
    int stopped = 0;
    Server server;
};

std::string form(std::string_view body) {
    return "POST /tick HTTP/1.1\r\n" + host +
           "Content-Type: application/x-www-form-urlencoded\r\nContent-Length: " + std::to_string(body.size()) +
           "\r\n\r\n" + std::string(body);
}

}  // namespace

TEST_CASE("A page is answered, and the connection stays for the next one") {
    Running running;
    RawBrowser browser(running.io, running.port);
    browser.send("GET /way HTTP/1.1\r\n" + host + "\r\n");
    CHECK(browser.receive_text("page /way"));
    CHECK(browser.received().starts_with("HTTP/1.1 200 OK\r\n"));
    browser.send("GET /club HTTP/1.1\r\n" + host + "\r\n");
    CHECK(browser.receive_text("page /club"));
    CHECK_FALSE(browser.ended());
    CHECK(running.server.connections() == 1);
}

TEST_CASE("Requests sent in one go are answered in order") {
    Running running;
    RawBrowser browser(running.io, running.port);
    browser.send("GET /a HTTP/1.1\r\n" + host + "\r\nGET /b HTTP/1.1\r\n" + host + "Connection: close\r\n\r\n");
    CHECK(browser.receive_end());
    CHECK(browser.received().find("page /a") < browser.received().find("page /b"));
    CHECK(browser.received().find("page /b") != std::string::npos);
}

TEST_CASE("A form cut at every byte arrives the same") {
    Running running;
    const std::string message = form("a=42");
    for (std::size_t cut = 1; cut < message.size(); ++cut) {
        CAPTURE(cut);
        RawBrowser browser(running.io, running.port);
        browser.send(message.substr(0, cut));
        browser.send(message.substr(cut));
        REQUIRE(browser.receive_text("got 42"));
    }
}

TEST_CASE("A request that breaks off at any byte is not answered and not handled") {
    Running running;
    const std::string message = form("a=42");
    for (std::size_t cut = 0; cut < message.size(); ++cut) {
        RawBrowser browser(running.io, running.port);
        browser.send(message.substr(0, cut));
        browser.close();
        running.poll();
    }
    CHECK(running.asked == 0);
}

TEST_CASE("HEAD gives the length and no body") {
    Running running;
    RawBrowser browser(running.io, running.port);
    browser.send("HEAD /way HTTP/1.1\r\n" + host + "Connection: close\r\n\r\n");
    CHECK(browser.receive_end());
    CHECK(browser.received().find("Content-Length: 9\r\n") != std::string::npos);
    CHECK(browser.received().ends_with("\r\n\r\n"));
}

TEST_CASE("What is too large or malformed is refused with a sentence, and no page sees it") {
    struct Case {
        const char* what;
        std::string bytes;
        const char* status;
    };
    const Case cases[] = {
        {"long header", "GET / HTTP/1.1\r\n" + host + "X: " + std::string(17 * 1024, 'x') + "\r\n\r\n", "431"},
        {"many headers",
         "GET / HTTP/1.1\r\n" + host +
             [] {
                 std::string lines;
                 for (int i = 0; i < 2000; ++i) lines += "X: yyyyyyyy\r\n";
                 return lines;
             }() +
             "\r\n",
         "431"},
        {"announced body", "POST / HTTP/1.1\r\n" + host + "Content-Length: 262145\r\n\r\n", "413"},
        {"chunked body",
         "POST / HTTP/1.1\r\n" + host + "Transfer-Encoding: chunked\r\n\r\n" +
             [] {
                 std::string chunks;
                 for (int i = 0; i < 17; ++i) chunks += "4000\r\n" + std::string(0x4000, 'x') + "\r\n";
                 return chunks;
             }() +
             "0\r\n\r\n",
         "413"},
        {"announced file",
         "POST / HTTP/1.1\r\n" + host +
             "Content-Type: multipart/form-data; boundary=x\r\nContent-Length: 9437185\r\n\r\n",
         "413"},
        {"not HTTP", "\x16\x03\x01\x02 hello\r\n\r\n", "400"},
        {"two lengths", "POST / HTTP/1.1\r\n" + host + "Content-Length: 1\r\nContent-Length: 2\r\n\r\nab", "400"},
        {"no host", "GET / HTTP/1.1\r\n\r\n", "400"},
        {"two hosts", "GET / HTTP/1.1\r\n" + host + host + "\r\n", "400"},
        {"path trick", "GET /static/../../x HTTP/1.1\r\n" + host + "\r\n", "400"},
        {"other method", "DELETE / HTTP/1.1\r\n" + host + "\r\n", "405"},
        {"not a form", "POST / HTTP/1.1\r\n" + host + "Content-Type: text/plain\r\nContent-Length: 1\r\n\r\na", "415"},
    };
    for (const Case& c : cases) {
        CAPTURE(c.what);
        Running running;
        RawBrowser browser(running.io, running.port);
        browser.send(c.bytes);
        CHECK(browser.receive_text(std::string("HTTP/1.1 ") + c.status));
        CHECK(browser.receive_text("Content-Security-Policy"));
        CHECK(running.asked == 0);
    }
}

TEST_CASE("A form of the largest size is taken") {
    Running running;
    RawBrowser browser(running.io, running.port);
    std::string body = "a=42";
    for (int i = 0; i < 4; ++i) body += "&b=" + std::string(65'000, 'x');
    REQUIRE(body.size() < 256 * 1024);
    browser.send(form(body));
    CHECK(browser.receive_text("got 42"));
}

TEST_CASE("A browser that asks first whether it may send its form is told to go on") {
    Running running;
    RawBrowser browser(running.io, running.port);
    browser.send(
        "POST /tick HTTP/1.1\r\n" + host +
        "Content-Type: application/x-www-form-urlencoded\r\nContent-Length: 4\r\nExpect: 100-continue\r\n\r\n");
    CHECK(browser.receive_text("100 Continue\r\n\r\n"));
    browser.send("a=42");
    CHECK(browser.receive_text("got 42"));
}

TEST_CASE("A connection on which nothing comes is closed after thirty seconds, half a request or none") {
    for (const char* begun : {"", "GET / HT", "POST / HTTP/1.1\r\nHost: a\r\nContent-Length: 9\r\n\r\na"}) {
        CAPTURE(begun);
        Running running;
        RawBrowser browser(running.io, running.port);
        browser.send(begun);
        running.poll();
        running.server.on_time(MonoTime{30'000});
        running.poll();
        CHECK(running.server.connections() == 1);
        running.server.on_time(MonoTime{30'001});
        CHECK(browser.receive_end());
        CHECK(running.server.connections() == 0);
    }
}

TEST_CASE("An answer that is not taken for thirty seconds ends its connection") {
    Running running;
    RawBrowser browser(running.io, running.port, 4096);
    browser.send("GET /large HTTP/1.1\r\n" + host + "\r\n");
    running.poll();
    REQUIRE(running.asked == 1);
    running.server.on_time(MonoTime{30'001});
    running.poll();
    CHECK(running.server.connections() == 0);
}

TEST_CASE("When all places are taken the connection idle for longest makes room") {
    ServerLimits limits;
    limits.connections_max = 2;
    Running running(limits);
    RawBrowser first(running.io, running.port);
    running.poll();
    running.server.on_time(MonoTime{10});
    RawBrowser second(running.io, running.port);
    running.poll();
    running.server.on_time(MonoTime{20});
    RawBrowser third(running.io, running.port);
    third.send("GET /way HTTP/1.1\r\n" + host + "\r\n");
    CHECK(third.receive_text("page /way"));
    CHECK(first.receive_end());
    CHECK(running.server.connections() == 2);
    second.send("GET /way HTTP/1.1\r\n" + host + "\r\n");
    CHECK(second.receive_text("page /way"));
}

TEST_CASE("When all places are busy the new connection is closed") {
    ServerLimits limits;
    limits.connections_max = 1;
    Running running(limits);
    RawBrowser busy(running.io, running.port);
    busy.send("GET /live?topic=way HTTP/1.1\r\n" + host + "\r\n");
    REQUIRE(busy.receive_text("retry:"));
    RawBrowser late(running.io, running.port);
    CHECK(late.receive_end());
    CHECK_FALSE(busy.ended());
}

TEST_CASE("Published news arrives at an open page") {
    Running running;
    RawBrowser browser(running.io, running.port);
    browser.send("GET /live?topic=way HTTP/1.1\r\n" + host + "\r\n");
    REQUIRE(browser.receive_text("Content-Type: text/event-stream\r\n"));
    REQUIRE(browser.receive_text("retry: 3000\n\n"));
    running.hub.publish("way");
    CHECK(browser.receive_text("id: 1\nevent: news\ndata: {\"topic\":\"way\",\"number\":1}\n\n"));
    running.hub.publish("club");
    running.hub.publish("way");
    CHECK(browser.receive_text("\"number\":3}\n\n"));
    CHECK(browser.received().find("club") == std::string::npos);
}

TEST_CASE("An open page gets a heartbeat, and outlives the limit for idle connections") {
    Running running;
    RawBrowser browser(running.io, running.port);
    browser.send("GET /live?topic=way HTTP/1.1\r\n" + host + "\r\n");
    REQUIRE(browser.receive_text("retry:"));
    running.server.on_time(MonoTime{20'000});
    CHECK(browser.receive_text(": still here\n\n"));
    running.server.on_time(MonoTime{60'000});
    running.poll();
    CHECK_FALSE(browser.ended());
    CHECK(running.hub.streams() == 1);
}

TEST_CASE("A page that goes away gives its stream back at once") {
    Running running;
    RawBrowser browser(running.io, running.port);
    browser.send("GET /live?topic=way HTTP/1.1\r\n" + host + "\r\n");
    REQUIRE(browser.receive_text("retry:"));
    browser.close();
    for (int i = 0; i < 1000 && running.server.connections() > 0; ++i) running.poll();
    CHECK(running.hub.streams() == 0);
    CHECK(running.server.connections() == 0);
}

TEST_CASE("A page that does not read is dropped, while another gets all its news") {
    ServerLimits limits;
    limits.stream_send_bytes = 2048;
    Running running(limits);
    RawBrowser slow(running.io, running.port, 2048);
    slow.send("GET /live?topic=way HTTP/1.1\r\n" + host + "\r\n");
    RawBrowser quick(running.io, running.port);
    quick.send("GET /live?topic=way HTTP/1.1\r\n" + host + "\r\n");
    REQUIRE(quick.receive_text("retry:"));
    REQUIRE(running.hub.streams() == 2);
    int published = 0;
    while (running.hub.streams() == 2 && published < 5000) {
        running.hub.publish("way");
        ++published;
        REQUIRE(quick.receive_text("\"number\":" + std::to_string(published) + "}"));
        quick.forget();
    }
    CHECK(running.hub.streams() == 1);
    CHECK_FALSE(quick.ended());
    running.poll();
    CHECK(running.server.connections() == 1);
}

TEST_CASE("One stream more than fit is told so") {
    LiveLimits live;
    live.streams_max = 1;
    Running running({}, live);
    RawBrowser first(running.io, running.port);
    first.send("GET /live?topic=way HTTP/1.1\r\n" + host + "\r\n");
    REQUIRE(first.receive_text("retry:"));
    RawBrowser second(running.io, running.port);
    second.send("GET /live?topic=way HTTP/1.1\r\n" + host + "\r\n");
    CHECK(second.receive_text("HTTP/1.1 503"));
}

TEST_CASE("A stop closes idle connections and streams, says so once, and leaves no work behind") {
    Running running;
    RawBrowser idle(running.io, running.port);
    RawBrowser stream(running.io, running.port);
    stream.send("GET /live?topic=way HTTP/1.1\r\n" + host + "\r\n");
    REQUIRE(stream.receive_text("retry:"));
    running.server.stop([&] { ++running.stopped; });
    CHECK(running.comes_to_rest());
    CHECK(running.stopped == 1);
    CHECK(idle.receive_end());
    CHECK(stream.receive_end());
}

TEST_CASE("A stop asked for by a page still lets that page be read") {
    Running running;
    RawBrowser browser(running.io, running.port);
    browser.send("GET /stop HTTP/1.1\r\n" + host + "\r\n");
    CHECK(browser.receive_end());
    CHECK(browser.received().ends_with("page /stop"));
    CHECK(running.comes_to_rest());
    CHECK(running.stopped == 1);
}

TEST_CASE("A stop waits for an answer that is being taken; a second stop does not") {
    Running running;
    RawBrowser browser(running.io, running.port, 4096);
    browser.send("GET /large HTTP/1.1\r\n" + host + "\r\n");
    running.poll();
    running.server.stop([&] { ++running.stopped; });
    running.poll();
    CHECK(running.stopped == 0);
    running.server.stop();
    CHECK(running.comes_to_rest());
    CHECK(running.stopped == 1);
}

TEST_CASE("A server that is destroyed without a stop leaves nothing running") {
    boost::asio::io_context io{1};
    LiveHub hub;
    auto server = std::make_unique<Server>(io.get_executor());
    const std::uint16_t port = server->listen(0).value();
    server->serve([&](const Request& request) { return hub.answer(request); }, hub);
    RawBrowser browser(io, port);
    browser.send("GET /live?topic=way HTTP/1.1\r\nHost: a\r\n\r\n");
    REQUIRE(browser.receive_text("retry:"));
    server.reset();
    CHECK(browser.receive_end());
    io.restart();
    io.poll();
    CHECK(io.stopped());
}

TEST_CASE("The ticking hands the caller's time to the connections, and a stop ends it without waiting for a tick") {
    class SetClock : public Clock {
    public:
        WallTime wall() override { return {}; }
        MonoTime monotonic() override { return {30'001}; }
    };
    Running running;
    SetClock clock;
    RawBrowser idle(running.io, running.port);
    running.poll();
    REQUIRE(running.server.connections() == 1);
    running.server.start_ticking(clock);
    CHECK(idle.receive_end());
    running.server.stop([&] { ++running.stopped; });
    CHECK(running.comes_to_rest());
    CHECK(running.stopped == 1);
}

TEST_CASE("A port that somebody else has is said to be taken") {
    Running running;
    Server second(running.io.get_executor());
    const Result<std::uint16_t> port = second.listen(running.port);
    REQUIRE(port.has_error());
    CHECK(port.error().fault() == Fault::busy);
}
