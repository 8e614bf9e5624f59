#pragma once
// One browser connection: what it goes over, what it is doing, and the loop that answers its requests. The same code
// for a plain socket and for TLS. Used by server.cpp.

#include <boost/asio/awaitable.hpp>
#include <boost/asio/ip/tcp.hpp>
#include <boost/asio/ssl/context.hpp>
#include <boost/asio/ssl/stream.hpp>
#include <boost/asio/steady_timer.hpp>
#include <boost/beast/core/flat_buffer.hpp>
#include <cstdint>
#include <memory>
#include <string>

#include "node/web/live.hpp"
#include "node/web/server.hpp"
#include "protocol/base/time.hpp"

namespace ladderline::node::web::detail {

// What a connection needs of its server; shared by all, and told when the server stops.
struct Shared {
    ServerLimits limits;
    Handler handler;
    LiveHub* hub = nullptr;
    std::shared_ptr<boost::asio::ssl::context> keys;  // null: no TLS
    MonoTime now;                                     // as of the last on_time()
    bool stopping = false;                            // finish what is being written, then close
    bool ended = false;                               // the handler and the hub may be gone
};

enum class Phase : std::uint8_t {
    waiting,    // for the next request; may be closed without loss
    reading,    // a request's body
    writing,    // an answer
    streaming,  // events; the hub looks after its time
};

// What the server knows of a connection, whatever it goes over.
class Connection {
public:
    explicit Connection(boost::asio::ip::tcp::socket& socket)
        : wake(socket.get_executor()), buffer(buffer_bytes_max), socket_(socket) {}
    virtual ~Connection() = default;
    Connection(const Connection&) = delete;
    Connection& operator=(const Connection&) = delete;

    boost::asio::ip::tcp::socket& socket() { return socket_; }
    void enter(Phase next, MonoTime now) {
        phase = next;
        since = now;
    }
    void close();

    static constexpr std::size_t buffer_bytes_max = 128 * 1024;  // one read of a body on top of the largest header

    boost::asio::steady_timer wake;  // never runs out: cancelled when the stream has something to send
    boost::beast::flat_buffer buffer;
    std::shared_ptr<LiveStream> stream;
    Phase phase = Phase::waiting;
    MonoTime since;
    std::string peer;  // the other end's address, without its port

private:
    boost::asio::ip::tcp::socket& socket_;
};

using TlsWire = boost::asio::ssl::stream<boost::asio::ip::tcp::socket>;

template <class Wire>
struct WireOf {
    template <class... Args>
    explicit WireOf(boost::asio::ip::tcp::socket accepted, Args&... args) : wire(std::move(accepted), args...) {}
    boost::asio::ip::tcp::socket& lowest() {
        if constexpr (std::is_same_v<Wire, TlsWire>) {
            return wire.next_layer();
        } else {
            return wire;
        }
    }
    Wire wire;
};

// Args: what the wire is made of beside the socket; the keys of TLS.
template <class Wire>
class ConnectionOver final : private WireOf<Wire>, public Connection {
public:
    template <class... Args>
    explicit ConnectionOver(boost::asio::ip::tcp::socket accepted, Args&... args)
        : WireOf<Wire>(std::move(accepted), args...), Connection(this->lowest()) {}
    using WireOf<Wire>::wire;
};

// Answers one request after the other until either side closes; over TLS after the handshake, which is a wait like that
// for a request. Ends only with the connection closed.
template <class Wire>
boost::asio::awaitable<void> serve_connection(std::shared_ptr<Shared> shared,
                                              std::shared_ptr<ConnectionOver<Wire>> connection);

}  // namespace ladderline::node::web::detail
