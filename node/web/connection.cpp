#include "node/web/connection.hpp"

#include <array>
#include <boost/asio/redirect_error.hpp>
#include <boost/asio/use_awaitable.hpp>
#include <boost/asio/write.hpp>
// g++ 12 with the sanitizers on sees an unset optional inside Beast's parser that is never read (GCC bug 80635).
#pragma GCC diagnostic push
#pragma GCC diagnostic ignored "-Wmaybe-uninitialized"
#include <boost/beast/http.hpp>
#pragma GCC diagnostic pop
#include <chrono>
#include <optional>

#include "node/web/guard.hpp"
#include "node/web/multipart.hpp"
#include "node/web/page.hpp"

namespace ladderline::node::web::detail {

namespace asio = boost::asio;
namespace http = boost::beast::http;
using boost::system::error_code;

namespace {

using Parser = http::request_parser<http::string_body>;

// How a request ended: to be answered, refused with an answer, or not worth an answer.
struct Incoming {
    std::optional<RawRequest> request;
    std::optional<Response> refusal;
    bool keep_alive = false;
};

std::optional<Response> refusal_for(const error_code& ec) {
    if (ec == http::error::end_of_stream || ec == http::error::partial_message) return std::nullopt;
    if (ec == http::error::header_limit || ec == http::error::buffer_overflow) {
        return sentence_page(431, "Too long", "The browser sent more header lines than fit; nothing was changed.");
    }
    if (ec == http::error::body_limit) {
        return sentence_page(413, "Too long",
                             "The form is larger than fits; nothing was changed. Send it in smaller parts.");
    }
    if (ec.category() != http::make_error_code(http::error::bad_method).category()) return std::nullopt;
    return sentence_page(400, "Not understood", "What came was not a browser's request; nothing was changed.");
}

RawRequest raw_of(http::request<http::string_body>& message) {
    RawRequest out;
    out.method = std::string(message.method_string());
    out.target = std::string(message.target());
    for (const auto& line : message.base()) {
        out.headers.emplace_back(std::string(line.name_string()), std::string(line.value()));
    }
    out.body = std::move(message.body());
    return out;
}

// Once the head is read it is known whether the body may bring a file.
void limit_body(Parser& parser, const ServerLimits& limits, error_code& ec) {
    if (brings_files(std::string_view(parser.get()[http::field::content_type]))) return;
    parser.body_limit(limits.body_bytes_max);
    const auto length = parser.content_length();
    if (length && *length > limits.body_bytes_max) ec = http::error::body_limit;
}

http::response<http::string_body> message_of(Response response, bool head_only, bool keep_alive) {
    http::response<http::string_body> out;
    out.version(11);
    out.result(static_cast<unsigned>(response.status));
    for (const auto& [name, value] : response.headers) out.insert(name, value);
    if (!response.body.empty()) out.set(http::field::content_type, response.content_type);
    const std::size_t length = response.body.size();
    if (!head_only) out.body() = std::move(response.body);
    if (response.status != 304) out.content_length(length);
    out.keep_alive(keep_alive);
    return out;
}

template <class Wire>
asio::awaitable<Incoming> read_one(std::shared_ptr<Shared> shared, std::shared_ptr<ConnectionOver<Wire>> connection) {
    Incoming out;
    error_code ec;
    Parser parser;
    parser.header_limit(shared->limits.header_bytes_max);
    parser.body_limit(shared->limits.file_body_bytes_max);
    connection->enter(Phase::waiting, shared->now);
    co_await http::async_read_header(connection->wire, connection->buffer, parser,
                                     asio::redirect_error(asio::use_awaitable, ec));
    if (!ec) limit_body(parser, shared->limits, ec);
    if (!ec && !parser.is_done()) {
        connection->enter(Phase::reading, shared->now);
        if (boost::beast::iequals(parser.get()[http::field::expect], "100-continue")) {
            constexpr std::string_view go_on = "HTTP/1.1 100 Continue\r\n\r\n";
            co_await asio::async_write(connection->wire, asio::buffer(go_on),
                                       asio::redirect_error(asio::use_awaitable, ec));
        }
        if (!ec) {
            co_await http::async_read(connection->wire, connection->buffer, parser,
                                      asio::redirect_error(asio::use_awaitable, ec));
        }
    }
    if (shared->ended) co_return out;
    if (ec) {
        out.refusal = refusal_for(ec);
        if (out.refusal) add_safety_headers(*out.refusal);
        co_return out;
    }
    connection->enter(Phase::writing, shared->now);  // from here on a stop waits for the answer
    out.keep_alive = parser.get().keep_alive();
    out.request = raw_of(parser.get());
    co_return out;
}

// False: the answer did not get through.
template <class Wire>
asio::awaitable<bool> write_answer(std::shared_ptr<Shared> shared, std::shared_ptr<ConnectionOver<Wire>> connection,
                                   http::response<http::string_body> message) {
    connection->enter(Phase::writing, shared->now);
    error_code ec;
    co_await http::async_write(connection->wire, message, asio::redirect_error(asio::use_awaitable, ec));
    co_return !ec;
}

// A close with unread bytes makes the kernel throw away what was written, so the rest is read and dropped first, below
// TLS where there is TLS.
template <class Wire>
asio::awaitable<void> drain(std::shared_ptr<ConnectionOver<Wire>> connection) {
    constexpr std::size_t drained_bytes_max = 1024 * 1024;
    error_code ec;
    connection->socket().shutdown(asio::ip::tcp::socket::shutdown_send, ec);
    std::array<char, 4096> dropped{};
    for (std::size_t total = 0; !ec && total < drained_bytes_max;) {
        total += co_await connection->socket().async_read_some(asio::buffer(dropped),
                                                               asio::redirect_error(asio::use_awaitable, ec));
    }
}

std::string stream_head(const Response& response) {
    std::string out = "HTTP/1.1 200 OK\r\nContent-Type: text/event-stream\r\nConnection: close\r\n";
    for (const auto& [name, value] : response.headers) out += name + ": " + value + "\r\n";
    return out + "\r\n";
}

template <class Wire>
void watch_stream(std::shared_ptr<ConnectionOver<Wire>> connection) {
    const std::weak_ptr<Connection> weak = connection;
    connection->stream->on_wake([weak] {
        const std::shared_ptr<Connection> alive = weak.lock();
        if (!alive) return;
        alive->wake.cancel();
        if (alive->stream->closed()) alive->close();  // also ends a write that is not taken
    });
    // An event stream has nothing more to say to us: readable means that the browser went away.
    connection->socket().async_wait(asio::ip::tcp::socket::wait_read,
                                    [connection](const error_code&) { connection->stream->close(); });
}

template <class Wire>
asio::awaitable<void> write_events(std::shared_ptr<Shared> shared, std::shared_ptr<ConnectionOver<Wire>> connection,
                                   std::string head) {
    error_code ec;
    connection->socket().set_option(asio::socket_base::send_buffer_size(shared->limits.stream_send_bytes), ec);
    connection->enter(Phase::streaming, shared->now);
    watch_stream(connection);
    std::string chunk = std::move(head) + connection->stream->take(shared->now);
    while (!connection->stream->closed()) {
        if (chunk.empty()) {
            connection->wake.expires_at(std::chrono::steady_clock::time_point::max());
            co_await connection->wake.async_wait(asio::redirect_error(asio::use_awaitable, ec));
        } else {
            co_await asio::async_write(connection->wire, asio::buffer(chunk),
                                       asio::redirect_error(asio::use_awaitable, ec));
            connection->stream->sent();
            if (ec) break;
        }
        chunk = connection->stream->take(shared->now);
    }
    connection->stream->close();
}

// True: the connection goes on with the next request.
template <class Wire>
asio::awaitable<bool> answer_one(std::shared_ptr<Shared> shared, std::shared_ptr<ConnectionOver<Wire>> connection) {
    Incoming incoming = co_await read_one(shared, connection);
    if (incoming.refusal) {
        const bool told = co_await write_answer(shared, connection, message_of(*incoming.refusal, false, false));
        if (told) co_await drain(connection);
        co_return false;
    }
    if (!incoming.request) co_return false;

    std::variant<Request, Response> read = read_request(*incoming.request, shared->limits.form);
    Response response;
    bool head_only = incoming.request->method == "HEAD";
    if (Request* request = std::get_if<Request>(&read)) {
        request->peer = connection->peer;
        response = shared->handler(*request);
    } else {
        response = std::move(std::get<Response>(read));
        add_safety_headers(response);
    }
    if (!response.live_topics.empty() && !head_only && !shared->stopping) {
        connection->stream = shared->hub->open(response.live_topics, response.live_seen, shared->now);
        if (connection->stream) {
            co_await write_events(shared, connection, stream_head(response));
            co_return false;
        }
        Response full = plain_text(503, "Too many pages are open at once; close some.\n");
        add_safety_headers(full);
        response = std::move(full);
    }
    const bool keep_alive = incoming.keep_alive && !shared->stopping;
    const bool told = co_await write_answer(shared, connection, message_of(std::move(response), head_only, keep_alive));
    co_return told&& keep_alive && !shared->stopping;
}

// False: nobody to talk with.
asio::awaitable<bool> shake_hands(std::shared_ptr<ConnectionOver<TlsWire>> connection) {
    error_code ec;
    co_await connection->wire.async_handshake(asio::ssl::stream_base::server,
                                              asio::redirect_error(asio::use_awaitable, ec));
    co_return !ec;
}

}  // namespace

void Connection::close() {
    error_code ignored;
    socket_.shutdown(asio::ip::tcp::socket::shutdown_both, ignored);
    socket_.close(ignored);
    wake.cancel();
}

template <class Wire>
asio::awaitable<void> serve_connection(std::shared_ptr<Shared> shared,
                                       std::shared_ptr<ConnectionOver<Wire>> connection) {
    bool more = true;
    if constexpr (std::is_same_v<Wire, TlsWire>) more = co_await shake_hands(connection);
    while (more) more = co_await answer_one(shared, connection);
    connection->close();
}

template asio::awaitable<void> serve_connection(std::shared_ptr<Shared>,
                                                std::shared_ptr<ConnectionOver<asio::ip::tcp::socket>>);
template asio::awaitable<void> serve_connection(std::shared_ptr<Shared>, std::shared_ptr<ConnectionOver<TlsWire>>);

}  // namespace ladderline::node::web::detail
