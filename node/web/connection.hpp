#pragma once
// One browser connection: its socket, what it is doing, and the loop that answers its requests. Used by server.cpp.

#include <boost/asio/awaitable.hpp>
#include <boost/asio/ip/tcp.hpp>
#include <boost/asio/steady_timer.hpp>
#include <boost/beast/core/flat_buffer.hpp>
#include <cstdint>
#include <memory>

#include "node/web/live.hpp"
#include "node/web/server.hpp"
#include "protocol/base/time.hpp"

namespace ladderline::node::web::detail {

// What a connection needs of its server; shared by all, and told when the server stops.
struct Shared {
    ServerLimits limits;
    Handler handler;
    LiveHub* hub = nullptr;
    MonoTime now;           // as of the last on_time()
    bool stopping = false;  // finish what is being written, then close
    bool ended = false;     // the handler and the hub may be gone
};

enum class Phase : std::uint8_t {
    waiting,    // for the next request; may be closed without loss
    reading,    // a request's body
    writing,    // an answer
    streaming,  // events; the hub looks after its time
};

struct Connection {
    explicit Connection(boost::asio::ip::tcp::socket accepted)
        : socket(std::move(accepted)), wake(socket.get_executor()), buffer(buffer_bytes_max) {}

    void enter(Phase next, MonoTime now) {
        phase = next;
        since = now;
    }
    void close();

    static constexpr std::size_t buffer_bytes_max = 128 * 1024;  // one read of a body on top of the largest header

    boost::asio::ip::tcp::socket socket;
    boost::asio::steady_timer wake;  // never runs out: cancelled when the stream has something to send
    boost::beast::flat_buffer buffer;
    std::shared_ptr<LiveStream> stream;
    Phase phase = Phase::waiting;
    MonoTime since;
};

// Answers one request after the other until either side closes. Ends only with the connection closed.
boost::asio::awaitable<void> serve_connection(std::shared_ptr<Shared> shared, std::shared_ptr<Connection> connection);

}  // namespace ladderline::node::web::detail
