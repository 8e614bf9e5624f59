#include "tests/soak/fault_proxy.hpp"

#include <algorithm>
#include <array>
#include <boost/asio/as_tuple.hpp>
#include <boost/asio/co_spawn.hpp>
#include <boost/asio/executor_work_guard.hpp>
#include <boost/asio/io_context.hpp>
#include <boost/asio/ip/tcp.hpp>
#include <boost/asio/steady_timer.hpp>
#include <boost/asio/use_awaitable.hpp>
#include <boost/asio/use_future.hpp>
#include <boost/asio/write.hpp>
#include <thread>
#include <utility>
#include <vector>

#include "tests/support/protocol/seeded_random.hpp"

namespace ladderline::soak {
namespace {

namespace asio = boost::asio;
using asio::ip::tcp;

constexpr auto tuple = asio::as_tuple(asio::use_awaitable);
constexpr std::uint64_t delay_ms_max = 200;

void ignore(std::exception_ptr) {}

enum class Harm : std::uint8_t { none, refuse, delay, cut, truncate, change };

// One connection: who called, and whom the line leads to.
struct Pair {
    explicit Pair(tcp::socket socket) : near(std::move(socket)), far(near.get_executor()) {}

    void close() {
        boost::system::error_code ignored;
        near.close(ignored);
        far.close(ignored);
    }

    tcp::socket near;
    tcp::socket far;
    Harm harm = Harm::none;
    std::uint64_t delay_ms = 0;
    std::uint64_t at_byte = 0;  // of both directions together
    std::uint64_t bytes = 0;
    int ways_open = 2;
};

struct Line {
    explicit Line(asio::io_context& io) : acceptor(io, tcp::endpoint(asio::ip::address_v4::loopback(), 0)) {}

    tcp::acceptor acceptor;
    std::uint16_t target = 0;
    std::vector<std::shared_ptr<Pair>> pairs;
};

}  // namespace

// Belongs to the proxy's thread once that runs.
struct FaultProxy::State {
    explicit State(std::uint64_t seed) : dice(seed), work(io.get_executor()) {}

    // What `change` gives, from the proxy's thread.
    template <class Change>
    auto there(Change change) {
        return asio::post(io, asio::use_future(std::move(change))).get();
    }

    void draw_harm(Pair& pair) {
        static constexpr std::array<Harm, 8> kinds{Harm::none, Harm::none,     Harm::none,   Harm::delay,
                                                   Harm::cut,  Harm::truncate, Harm::change, Harm::refuse};
        pair.harm = kinds.at(dice.next() % kinds.size());
        pair.delay_ms = 1 + dice.next() % delay_ms_max;
        pair.at_byte = 1 + dice.next() % (std::uint64_t{1} << (1 + dice.next() % 14));
        if (!harmful) pair.harm = Harm::none;
        counts.refused += pair.harm == Harm::refuse ? 1 : 0;
        counts.delayed += pair.harm == Harm::delay ? 1 : 0;
    }
    void cut_all(Line& line) {
        for (const auto& pair : line.pairs) pair->close();
        line.pairs.clear();
    }

    asio::awaitable<void> accept(std::shared_ptr<Line> line);
    asio::awaitable<void> connect(std::shared_ptr<Line> line, std::shared_ptr<Pair> pair);
    asio::awaitable<void> carry(std::shared_ptr<Pair> pair, bool outward);

    asio::io_context io;
    test::SeededRandom dice;
    asio::executor_work_guard<asio::io_context::executor_type> work;
    std::vector<std::shared_ptr<Line>> lines;
    bool harmful = false;
    FaultCounts counts;
    std::thread thread;
};

asio::awaitable<void> FaultProxy::State::accept(std::shared_ptr<Line> line) {
    for (;;) {
        tcp::socket socket(io);
        const auto [error] = co_await line->acceptor.async_accept(socket, tuple);
        if (error) co_return;
        std::erase_if(line->pairs, [](const auto& pair) { return !pair->near.is_open(); });
        const auto pair = std::make_shared<Pair>(std::move(socket));
        counts.connections += 1;
        draw_harm(*pair);
        if (line->target == 0 || pair->harm == Harm::refuse) continue;  // closes it
        line->pairs.push_back(pair);
        asio::co_spawn(io, connect(line, pair), ignore);
    }
}

asio::awaitable<void> FaultProxy::State::connect(std::shared_ptr<Line> line, std::shared_ptr<Pair> pair) {
    const tcp::endpoint there(asio::ip::address_v4::loopback(), line->target);
    const auto [error] = co_await pair->far.async_connect(there, tuple);
    if (error || !pair->near.is_open()) {
        pair->close();
        co_return;
    }
    asio::co_spawn(io, carry(pair, true), ignore);
    asio::co_spawn(io, carry(pair, false), ignore);
}

asio::awaitable<void> FaultProxy::State::carry(std::shared_ptr<Pair> pair, bool outward) {
    tcp::socket& from = outward ? pair->near : pair->far;
    tcp::socket& to = outward ? pair->far : pair->near;
    std::array<std::uint8_t, 4096> piece{};
    asio::steady_timer late(io);
    for (;;) {
        const auto [ended, got] = co_await from.async_read_some(asio::buffer(piece), tuple);
        if (ended == asio::error::eof && --pair->ways_open > 0) {
            boost::system::error_code ignored;
            to.shutdown(tcp::socket::shutdown_send, ignored);
            co_return;
        }
        if (ended) break;
        if (pair->harm == Harm::delay) {
            late.expires_after(std::chrono::milliseconds(pair->delay_ms));
            co_await late.async_wait(tuple);
        }
        const bool is_there = pair->bytes < pair->at_byte && pair->at_byte <= pair->bytes + got;
        pair->bytes += got;
        counts.bytes += got;
        std::size_t passed = got;
        if (is_there && pair->harm == Harm::cut) {
            counts.cut += 1;
            break;
        }
        if (is_there && pair->harm == Harm::change) {
            counts.changed += 1;
            piece.at(got - 1) ^= 1;
        }
        const bool truncated = is_there && pair->harm == Harm::truncate;
        if (truncated) passed = got / 2;
        const auto [broken, sent] = co_await asio::async_write(to, asio::buffer(piece.data(), passed), tuple);
        if (truncated) counts.truncated += 1;
        if (broken || truncated) break;
    }
    pair->close();
}

FaultProxy::FaultProxy(std::uint64_t seed) : state_(std::make_unique<State>(seed)) {
    state_->thread = std::thread([state = state_.get()] { state->io.run(); });
}

FaultProxy::~FaultProxy() {
    state_->io.stop();
    state_->thread.join();
}

std::size_t FaultProxy::add_line() {
    return state_->there([state = state_.get()] {
        state->lines.push_back(std::make_shared<Line>(state->io));
        asio::co_spawn(state->io, state->accept(state->lines.back()), ignore);
        return state->lines.size() - 1;
    });
}

std::uint16_t FaultProxy::port(std::size_t line) const {
    return state_->there([&] { return state_->lines.at(line)->acceptor.local_endpoint().port(); });
}

void FaultProxy::lead_to(std::size_t line, std::uint16_t port) {
    state_->there([&] {
        Line& changed = *state_->lines.at(line);
        changed.target = port;
        state_->cut_all(changed);
    });
}

void FaultProxy::set_harmful(bool harmful) {
    state_->there([&] {
        state_->harmful = harmful;
        for (const auto& line : state_->lines) state_->cut_all(*line);
    });
}

FaultCounts FaultProxy::counts() const {
    return state_->there([&] { return state_->counts; });
}

}  // namespace ladderline::soak
