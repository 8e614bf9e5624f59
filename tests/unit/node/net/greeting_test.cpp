#include <doctest/doctest.h>
#include <netinet/tcp.h>

#include <boost/asio/write.hpp>
#include <list>

#include "node/net/dead_line.hpp"
#include "node/net/voice_call.hpp"
#include "store/circles/voice_checks.hpp"
#include "tests/support/node/loopback.hpp"

using namespace ladderline;
using namespace ladderline::test;
using protocol::CircleKind;
using protocol::MemberRole;

namespace {

namespace asio = boost::asio;
using asio::ip::tcp;
using node::net::GreetingDoor;
using Stage = GreetingDoor::Stage;
using Joined = protocol::WelcomeMessage::Joined;

template <class T>
asio::awaitable<void> keep(asio::awaitable<Result<T>> work, std::optional<Result<T>>& outcome) {
    Result<T> done = co_await std::move(work);
    outcome.emplace(std::move(done));
}

// Olive has a club and waits for strangers; Ada and Max know nobody.
class Porch : public Loopback {
public:
    Porch() {
        begin_as(olive.member, "Olive", MemberRole::officer, false, "Example Club");
        begin_as(max.member, "Max", MemberRole::officer, false, "Another Club");
        begin_as(ada.member, "Ada", MemberRole::newcomer);
        for (NetNode* node : {&olive, &max, &ada}) node->start();
        club = olive.member.circle(CircleKind::club);
    }

    GreetingDoor& door_of(NetNode& node) { return *node.host.greeting_door(); }
    void open(NetNode& host, MemberRole role = MemberRole::newcomer) {
        node::InviteRequest request;
        request.circle = CircleKind::club;
        request.role = role;
        const auto offer =
            must(node::offer_to_stranger(host.member.context, request, protocol::limits::greeting_ms_max));
        must(door_of(host).open(offer, clock.monotonic()));
    }
    std::shared_ptr<node::net::VoiceCall> call(NetNode& guest, NetNode& host, const std::string& name,
                                               bool under_18 = false) {
        node::net::VoiceSetup setup;
        setup.address = must(node::net::parse_address(host.address()));
        setup.who = join_message(guest.member, name, under_18);
        return node::net::VoiceCall::make(io.get_executor(), guest.parts(), setup);
    }
    template <class T>
    Result<T> run(asio::awaitable<Result<T>> work) {
        std::optional<Result<T>> outcome;
        asio::co_spawn(io, keep(std::move(work), outcome), [](std::exception_ptr) {});
        if (!until([&] { return outcome.has_value(); })) throw std::runtime_error("the call came to no end");
        return *outcome;
    }
    // Ada's letters, while Olive's door shows hers.
    std::string letters(const std::shared_ptr<node::net::VoiceCall>& call) {
        const std::string out = must(run(node::net::VoiceCall::dial(call)));
        REQUIRE(until([&] { return stage() == Stage::comparing; }));
        return out;
    }
    Stage stage() { return door_of(olive).stage(clock.monotonic()); }
    std::size_t people_of_club() { return must(node::people(olive.member.db(), club)).size(); }
    Result<void> olive_hears(const std::string& last_two) { return door_of(olive).hear(last_two, clock.monotonic()); }

    NetNode olive{io, clock, 1};
    NetNode max{io, clock, 2};
    NetNode ada{io, clock, 3};
    protocol::CircleId club;
};

// A stranger who keeps to the handshake and to nothing else.
class RawStranger {
public:
    RawStranger(Porch& porch, NetNode& host) : porch_(porch), socket_(porch.io), connection_(start()) {
        socket_.connect(tcp::endpoint(asio::ip::address_v4::loopback(), host.port));
        move();
    }
    bool established() {
        return porch_.until([&] { return connection_.established() || ended; }) && connection_.established();
    }
    void send(ByteView message) {
        must(connection_.send(message));
        write();
    }
    void begin_greeting() {
        Bytes nonce(33, 5);
        nonce[0] = protocol::greeting_nonce_type;
        send(nonce);
    }
    bool hung_up_on() {
        return porch_.until([&] { return ended; });
    }
    std::uint16_t port() const { return socket_.local_endpoint().port(); }
    // As a system that knows the connection no more: a reset, and not the end of a stream.
    void reset() {
        socket_.set_option(asio::socket_base::linger(true, 0));
        socket_.close();
    }
    std::size_t bytes_back = 0;
    bool ended = false;

private:
    protocol::Connection start() {
        protocol::InitiatorSetup setup;
        setup.pattern = protocol::WirePattern::xx;
        setup.local_static = protocol::make_dh_keys(random_);
        return protocol::Connection::initiate(std::move(setup), random_, {0});
    }
    void write() {
        const Bytes out = connection_.next_output();
        boost::system::error_code ignored;
        asio::write(socket_, asio::buffer(out), ignored);
    }
    void move() {
        write();
        socket_.async_read_some(asio::buffer(piece_), [this](boost::system::error_code error, std::size_t size) {
            ended = error.failed();
            if (ended) return;
            bytes_back += size;
            ended = !connection_.on_bytes(ByteView(piece_).first(size), {0}).has_value();
            if (!ended) move();
        });
    }

    Porch& porch_;
    SeededRandom random_{77};
    tcp::socket socket_;
    protocol::Connection connection_;
    Bytes piece_ = Bytes(4096);
};

// The host's end of the stranger's connection, which is in this process too.
int socket_to(std::uint16_t port) {
    for (int file = 0; file < 1024; ++file) {
        sockaddr_in there{};
        socklen_t size = sizeof there;
        if (::getpeername(file, reinterpret_cast<sockaddr*>(&there), &size) != 0) continue;
        if (there.sin_family == AF_INET && ntohs(there.sin_port) == port) return file;
    }
    throw std::runtime_error("nobody is at the other end");
}
int option(int file, int level, int name) {
    int value = 0;
    socklen_t size = sizeof value;
    if (::getsockopt(file, level, name, &value, &size) != 0) throw std::runtime_error("no such option");
    return value;
}

Day checked(NetNode& who, NetNode& whom) {
    const auto all = must(store::voice_checks(who.member.db()));
    const auto found = all.find(whom.member.id());
    return found == all.end() ? Day{} : found->second;
}

}  // namespace

TEST_CASE("two people who hear the same letters are in one club, and both stores say that they were compared") {
    Porch p;
    p.open(p.olive);
    const auto call = p.call(p.ada, p.olive, "Ada");
    const std::string letters = p.letters(call);
    CHECK(letters == p.door_of(p.olive).letters());
    REQUIRE(p.olive_hears(letters.substr(4)).has_value());
    const Joined joined = must(p.run(node::net::VoiceCall::finish(call, true)));
    must(node::accept_welcome(p.ada.member.context, joined));
    p.ada.network->look_again();
    CHECK(p.people_of_club() == 2);
    CHECK(p.until([&] { return hold_the_same(p.olive, p.ada, p.club); }));
    CHECK(checked(p.olive, p.ada) == p.olive.member.context.today());
    CHECK(checked(p.ada, p.olive) == p.olive.member.context.today());
    CHECK(p.stage() == Stage::joined);
}

TEST_CASE("callers who flood the door do not end a comparison of words") {
    Porch p;
    p.open(p.olive);
    const auto call = p.call(p.ada, p.olive, "Ada");
    p.letters(call);
    std::list<tcp::socket> silent;
    for (std::size_t k = 0; k < 2 * node::net::half_open_max; ++k) {
        silent.emplace_back(p.io, tcp::endpoint(asio::ip::make_address("127.0.0." + std::to_string(1 + k)), 0));
        silent.back().connect(tcp::endpoint(asio::ip::address_v4::loopback(), p.olive.port));
        for (int step = 0; step < 3; ++step) p.run_step();
    }
    for (int step = 0; step < 200; ++step) p.run_step();
    CHECK(p.stage() == Stage::comparing);
}

TEST_CASE("a stranger is told nothing, not even a key, while no greeting is open") {
    Porch p;
    RawStranger stranger(p, p.olive);
    CHECK(stranger.hung_up_on());
    CHECK(stranger.bytes_back == 0);
}

TEST_CASE("a caller learns that no greeting is open there") {
    Porch p;
    const auto call = p.call(p.ada, p.olive, "Ada");
    CHECK(must_fail(p.run(node::net::VoiceCall::dial(call))).fault() == Fault::refused);
}

TEST_CASE("a greeting that is over answers as one that was never opened") {
    Porch p;
    p.open(p.olive);
    p.clock.now.ms += protocol::limits::greeting_ms_max;
    RawStranger stranger(p, p.olive);
    CHECK(stranger.hung_up_on());
    CHECK(stranger.bytes_back == 0);
}

TEST_CASE("wrong last letters end it on both sides, and nothing is stored anywhere") {
    Porch p;
    p.open(p.olive);
    const auto call = p.call(p.ada, p.olive, "Ada");
    const std::string letters = p.letters(call);
    const std::string wrong = letters.substr(4) == "QQ" ? "ZZ" : "QQ";
    CHECK(p.olive_hears(wrong).error().fault() == Fault::refused);
    CHECK(must_fail(p.run(node::net::VoiceCall::finish(call, true))).fault() == Fault::refused);
    CHECK(p.people_of_club() == 1);
    CHECK(must(store::voice_checks(p.olive.member.db())).empty());
    CHECK(must(store::voice_checks(p.ada.member.db())).empty());
    CHECK(p.ada.member.keys().size() == 2);  // desk and path
}

TEST_CASE("after three failures nobody is answered any more") {
    Porch p;
    p.open(p.olive);
    for (int i = 0; i < 3; ++i) {
        const auto call = p.call(p.ada, p.olive, "Ada");
        p.letters(call);
        CHECK(must_fail(p.run(node::net::VoiceCall::finish(call, false))).fault() == Fault::refused);
        REQUIRE(p.until([&] { return p.stage() != Stage::comparing; }));
    }
    CHECK(p.stage() == Stage::locked);
    RawStranger stranger(p, p.olive);
    CHECK(stranger.hung_up_on());
    CHECK(stranger.bytes_back == 0);
}

TEST_CASE("a comparison that the caller leaves counts, and the next caller may come") {
    Porch p;
    p.open(p.olive);
    const auto call = p.call(p.ada, p.olive, "Ada");
    p.letters(call);
    call->hang_up();
    REQUIRE(p.until([&] { return p.stage() == Stage::waiting; }));
    CHECK(p.door_of(p.olive).failures() == 1);
    CHECK_FALSE(p.letters(p.call(p.ada, p.olive, "Ada")).empty());
}

TEST_CASE("a call that breaks off without a word frees the place at once") {
    Porch p;
    p.open(p.olive);
    RawStranger stranger(p, p.olive);
    REQUIRE(stranger.established());
    stranger.begin_greeting();
    REQUIRE(p.until([&] { return p.stage() == Stage::comparing; }));
    stranger.reset();
    REQUIRE(p.until([&] { return p.stage() == Stage::waiting; }));
    CHECK_FALSE(p.letters(p.call(p.ada, p.olive, "Ada")).empty());
}

TEST_CASE("a cable that is out while a stranger is inside is noticed within ten seconds") {
    Porch p;
    p.open(p.olive);
    RawStranger stranger(p, p.olive);
    REQUIRE(stranger.established());
    REQUIRE(p.until([&] { return stranger.bytes_back > 0 && !p.door_of(p.olive).may_call(p.clock.monotonic()); }));
    const int file = socket_to(stranger.port());
    CHECK(option(file, SOL_SOCKET, SO_KEEPALIVE) == 1);
    const int silence_s = option(file, IPPROTO_TCP, TCP_KEEPIDLE) +
                          option(file, IPPROTO_TCP, TCP_KEEPINTVL) * option(file, IPPROTO_TCP, TCP_KEEPCNT);
    CHECK(silence_s <= 10);
    CHECK(option(file, IPPROTO_TCP, TCP_USER_TIMEOUT) <= 10'000);  // bytes that nobody acknowledges
    CHECK(option(file, IPPROTO_TCP, TCP_USER_TIMEOUT) > 0);
    CHECK(node::net::dead_line_ms_max <= 10'000);
}

TEST_CASE("a second stranger is turned away while one is inside, who notices nothing") {
    Porch p;
    p.open(p.olive);
    const auto first = p.call(p.ada, p.olive, "Ada");
    const std::string letters = p.letters(first);
    CHECK(must_fail(p.run(node::net::VoiceCall::dial(p.call(p.max, p.olive, "Max")))).fault() == Fault::refused);
    REQUIRE(p.olive_hears(letters.substr(4)).has_value());
    CHECK(p.run(node::net::VoiceCall::finish(first, true)).has_value());
}

TEST_CASE("somebody in between with a handshake on each side shows the two other letters") {
    Porch p;
    p.open(p.olive);
    p.open(p.max);
    const auto to_max = p.call(p.ada, p.max, "Ada");
    const std::string adas = must(p.run(node::net::VoiceCall::dial(to_max)));
    const auto to_olive = p.call(p.max, p.olive, "Ada");
    p.letters(to_olive);
    CHECK(adas != p.door_of(p.olive).letters());
    CHECK(p.olive_hears(adas.substr(4)).error().fault() == Fault::refused);
    CHECK(p.people_of_club() == 1);
}

TEST_CASE("a stranger who asks to join before both have said the same is cut off") {
    Porch p;
    p.open(p.olive);
    RawStranger stranger(p, p.olive);
    REQUIRE(stranger.established());
    stranger.begin_greeting();
    stranger.send(Bytes{protocol::greeting_verdict_type, 1});
    stranger.send(protocol::encode_message(join_message(p.ada.member, "Ada")));
    CHECK(stranger.hung_up_on());
    CHECK(p.people_of_club() == 1);
    CHECK(p.door_of(p.olive).failures() == 1);
}

TEST_CASE("the gates of an invite hold for whoever passed a greeting") {
    Porch p;
    p.open(p.olive, MemberRole::mentor);
    const auto call = p.call(p.ada, p.olive, "Ada", true);
    const std::string letters = p.letters(call);
    REQUIRE(p.olive_hears(letters.substr(4)).has_value());
    const Error refused = must_fail(p.run(node::net::VoiceCall::finish(call, true)));
    CHECK(refused.sentence().find("under 18") != std::string::npos);
    CHECK(p.people_of_club() == 1);
    CHECK(p.stage() == Stage::refused);
    CHECK(must(store::voice_checks(p.olive.member.db())).empty());
}
