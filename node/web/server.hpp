#pragma once
// HTTP/1.1 on loopback, or over TLS on one address of the local network: reads requests under limits, calls the
// handler, writes answers, drives event streams.
//
// One strand: every call below, the handler, and LiveHub::publish run on the executor given. The handler is called
// without waiting in between; the pages' own data are reached on the same strand.
// No clock inside but the caller's: on_time() is the only thing that ends idle connections; start_ticking() calls it.

#include <boost/asio/any_io_executor.hpp>
#include <boost/asio/ip/address.hpp>
#include <cstdint>
#include <functional>
#include <memory>

#include "node/web/live.hpp"
#include "node/web/request.hpp"
#include "protocol/base/result.hpp"
#include "protocol/base/time.hpp"

namespace boost::asio::ssl {
class context;
}

namespace ladderline::node::web {

struct ServerLimits {
    std::uint32_t header_bytes_max = 16 * 1024;
    std::uint64_t body_bytes_max = 256 * 1024;
    std::uint64_t file_body_bytes_max = 9U << 20;  // of a form that brings a file
    std::size_t connections_max = 64;   // beyond: the one idle for longest goes; if none is idle, the new one
    std::int64_t idle_ms_max = 30'000;  // for each of: the next request to come, its body, an answer to be taken
    int stream_send_bytes = 16 * 1024;  // kernel buffer of an event stream; small, so that a slow reader shows
    FormLimits form;
};

class Server {
public:
    // `keys`: every connection begins with a TLS handshake, in which they are shown.
    explicit Server(boost::asio::any_io_executor strand, ServerLimits limits = {},
                    std::shared_ptr<boost::asio::ssl::context> keys = {});
    // Stops at once what still runs. The io_context must not be running on another thread.
    ~Server();
    Server(const Server&) = delete;
    Server& operator=(const Server&) = delete;

    // Binds 127.0.0.1; port 0 takes a free one. Gives the port. busy: somebody else has it; network: anything else.
    Result<std::uint16_t> listen(std::uint16_t port);
    // The same at that address of this machine. Whoever calls from an address that `welcome` does not take gets
    // nothing.
    Result<std::uint16_t> listen(const boost::asio::ip::address& address, std::uint16_t port,
                                 std::function<bool(const boost::asio::ip::address&)> welcome);
    // Begins to accept. `hub` must outlive the server's stop. Once, after listen().
    void serve(Handler handler, LiveHub& hub);
    // Calls on_time(clock.monotonic()) every second until stopped. `clock` must outlive that.
    void start_ticking(Clock& clock);
    void on_time(MonoTime now);

    // Accepts no more, closes idle connections and streams, lets answers that are being written finish; then calls
    // `stopped` once, and no work is left on the executor. A second call closes everything now.
    void stop(std::function<void()> stopped = {});

    std::size_t connections() const;

private:
    struct State;
    std::shared_ptr<State> state_;
};

}  // namespace ladderline::node::web
