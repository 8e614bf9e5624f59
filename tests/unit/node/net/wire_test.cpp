#include "node/net/wire.hpp"

#include <doctest/doctest.h>

#include <boost/asio/co_spawn.hpp>
#include <boost/asio/io_context.hpp>
#include <boost/asio/post.hpp>

#include "node/net/duplex.hpp"
#include "tests/support/protocol/handshake_pair.hpp"

using namespace ladderline;
using namespace ladderline::test;
using node::net::Duplex;
using node::net::Talk;
namespace asio = boost::asio;

namespace {

constexpr int messages = 200;

// Says it all in one breath: small messages share frames, and a read brings many of them.
class Speaker : public Talk {
public:
    Result<void> on_established(Connection&) override { return ok(); }
    Result<void> on_message(ByteView) override { return ok(); }
    std::optional<Bytes> next_output() override {
        if (said_ == messages) return std::nullopt;
        said_ += 1;
        return Bytes{1};
    }
    bool is_over() const override { return said_ == messages; }

private:
    int said_ = 0;
};

// With the first message something else is put on the strand, as a page that somebody opens would be.
class Listener : public Talk {
public:
    explicit Listener(asio::io_context& io) : io_(io) {}

    Result<void> on_established(Connection&) override { return ok(); }
    Result<void> on_message(ByteView) override {
        heard += 1;
        if (heard == 1) asio::post(io_, [this] { heard_at_turn = heard; });
        return ok();
    }
    std::optional<Bytes> next_output() override { return std::nullopt; }
    bool is_over() const override { return heard == messages; }

    int heard = 0;
    int heard_at_turn = 0;

private:
    asio::io_context& io_;
};

asio::awaitable<void> to_its_end(std::shared_ptr<Duplex> end) {
    static_cast<void>(co_await end->run());
}

struct TwoEnds {
    TwoEnds() {
        asio::ip::tcp::acceptor acceptor(io, {asio::ip::address_v4::loopback(), 0});
        asio::ip::tcp::socket calling(io);
        calling.connect(acceptor.local_endpoint());
        InitiatorSetup setup;
        setup.local_static = dh_keys(1);
        setup.remote_static = dh_keys(2).pub;
        caller = std::make_shared<Duplex>(std::move(calling), Connection::initiate(std::move(setup), random, {}), clock,
                                          std::make_unique<Speaker>());
        ResponderSetup answer;
        answer.local_static = dh_keys(2);
        auto talk = std::make_unique<Listener>(io);
        listener = talk.get();
        called = std::make_shared<Duplex>(acceptor.accept(), Connection::respond(std::move(answer), random, {}), clock,
                                          std::move(talk));
    }
    void run() {
        for (const auto& end : {caller, called}) asio::co_spawn(io, to_its_end(end), [](std::exception_ptr) {});
        for (int step = 0; step < 50'000 && listener->heard < messages; ++step) io.run_one();
    }

    asio::io_context io;
    struct : Clock {
        WallTime wall() override { return {}; }
        MonoTime monotonic() override { return {}; }
    } clock;
    SeededRandom random{5};
    std::shared_ptr<Duplex> caller;
    std::shared_ptr<Duplex> called;
    Listener* listener = nullptr;
};

}  // namespace

TEST_CASE("of what a peer says in one breath every message is taken in") {
    TwoEnds ends;
    ends.run();
    CHECK(ends.listener->heard == messages);
}

TEST_CASE("whatever waits gets its turn between two messages of one breath") {
    TwoEnds ends;
    ends.run();
    CHECK(ends.listener->heard_at_turn == 1);
}
