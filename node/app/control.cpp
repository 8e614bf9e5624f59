#include "node/app/control.hpp"

#include <sys/stat.h>

#include <boost/asio/as_tuple.hpp>
#include <boost/asio/co_spawn.hpp>
#include <boost/asio/io_context.hpp>
#include <boost/asio/local/stream_protocol.hpp>
#include <boost/asio/read.hpp>
#include <boost/asio/use_awaitable.hpp>
#include <boost/asio/write.hpp>

#include "protocol/codec/archive.hpp"

namespace ladderline::node {
namespace {

namespace asio = boost::asio;
using Local = asio::local::stream_protocol;

constexpr auto tuple = asio::as_tuple(asio::use_awaitable);
constexpr std::uint32_t message_bytes_max = 16 * 1024 * 1024;
constexpr std::size_t socket_path_bytes_max = 100;  // the kernel's limit is 108

void ignore(std::exception_ptr) {}

std::string socket_path(const std::filesystem::path& folder) {
    return (folder / "node.sock").string();
}

Bytes framed(const Bytes& message) {
    Bytes out;
    for (int i = 0; i < 4; ++i) out.push_back(static_cast<std::uint8_t>(message.size() >> (8 * i)));
    out.insert(out.end(), message.begin(), message.end());
    return out;
}

std::uint32_t length_of(const std::array<std::uint8_t, 4>& head) {
    std::uint32_t length = 0;
    for (std::size_t i = 0; i < 4; ++i) length |= static_cast<std::uint32_t>(head[i]) << (8 * i);
    return length;
}

}  // namespace

struct ControlServer::State {
    explicit State(asio::any_io_executor strand_) : strand(std::move(strand_)), acceptor(strand) {}
    asio::any_io_executor strand;
    Local::acceptor acceptor;
    Handler handler;
    std::string path;
    bool stopping = false;

    static asio::awaitable<void> accept_loop(std::shared_ptr<State> self);
    static asio::awaitable<void> serve(std::shared_ptr<State> self, std::shared_ptr<Local::socket> socket);
};

asio::awaitable<void> ControlServer::State::accept_loop(std::shared_ptr<State> self) {
    while (!self->stopping) {
        const auto socket = std::make_shared<Local::socket>(self->strand);
        const auto [error] = co_await self->acceptor.async_accept(*socket, tuple);
        if (error) break;
        asio::co_spawn(self->strand, serve(self, socket), ignore);
    }
}

asio::awaitable<void> ControlServer::State::serve(std::shared_ptr<State> self, std::shared_ptr<Local::socket> socket) {
    std::array<std::uint8_t, 4> head{};
    const auto head_buffer = asio::buffer(head);
    const auto [no_head, head_size] = co_await asio::async_read(*socket, head_buffer, tuple);
    if (no_head || length_of(head) > message_bytes_max) co_return;
    Bytes body(length_of(head));
    const auto body_buffer = asio::buffer(body);
    const auto [no_body, body_size] = co_await asio::async_read(*socket, body_buffer, tuple);
    if (no_body) co_return;
    Result<ControlRequest> request = protocol::codec::decode<ControlRequest>(body);
    if (!request) co_return;
    ControlRequest asked = std::move(request).value();
    const ControlAnswer answer = co_await self->handler(asked);
    const Bytes out = framed(protocol::codec::encode(answer));
    const auto out_buffer = asio::buffer(out);
    co_await asio::async_write(*socket, out_buffer, tuple);
}

ControlServer::ControlServer(asio::any_io_executor strand) : state_(std::make_shared<State>(std::move(strand))) {}

ControlServer::~ControlServer() {
    stop();
}

Result<void> ControlServer::listen(const std::filesystem::path& folder, Handler handler) {
    State& s = *state_;
    s.path = socket_path(folder);
    s.handler = std::move(handler);
    if (s.path.size() > socket_path_bytes_max) {
        return Error{Fault::bad_input,
                     "The folder's path is too long for the node's socket; use a shorter one with --home."};
    }
    std::error_code ignored;
    std::filesystem::remove(s.path, ignored);
    boost::system::error_code error;
    const mode_t before = umask(0177);  // the socket is made readable by its owner alone
    s.acceptor.open(Local(), error);
    if (!error) s.acceptor.bind(Local::endpoint(s.path), error);
    umask(before);
    if (!error) s.acceptor.listen(asio::socket_base::max_listen_connections, error);
    if (error)
        return Error{Fault::disk,
                     "The node's socket in " + folder.string() + " cannot be made: " + error.message() + "."};
    asio::co_spawn(s.strand, State::accept_loop(state_), ignore);
    return ok();
}

void ControlServer::stop() {
    if (state_->stopping) return;
    state_->stopping = true;
    boost::system::error_code ignored;
    const bool was_open = state_->acceptor.is_open();
    state_->acceptor.close(ignored);
    std::error_code gone;
    if (was_open) std::filesystem::remove(state_->path, gone);
}

Result<std::optional<ControlAnswer>> ask_running_node(const std::filesystem::path& folder,
                                                      const ControlRequest& request) {
    const std::string path = socket_path(folder);
    std::error_code unknown;  // whoever looks into the folder next says what is wrong with it
    if (path.size() > socket_path_bytes_max || !std::filesystem::exists(path, unknown)) {
        return std::optional<ControlAnswer>();
    }
    if (request.words.size() > control_words_max) {
        return Error{Fault::bad_input, "The command has more than " + std::to_string(control_words_max) +
                                           " words; nothing was done. Give it fewer at once."};
    }
    asio::io_context io;
    Local::socket socket(io);
    boost::system::error_code error;
    socket.connect(Local::endpoint(path), error);
    if (error) return std::optional<ControlAnswer>();
    const Bytes out = framed(protocol::codec::encode(request));
    asio::write(socket, asio::buffer(out), error);
    std::array<std::uint8_t, 4> head{};
    if (!error) asio::read(socket, asio::buffer(head), error);
    Bytes body;
    if (!error && length_of(head) <= message_bytes_max) {
        body.resize(length_of(head));
        asio::read(socket, asio::buffer(body), error);
    }
    if (error)
        return Error{Fault::network, "The running node did not answer; see whether it still runs, and try again."};
    TRY(ControlAnswer answer, protocol::codec::decode<ControlAnswer>(body));
    return std::optional(std::move(answer));
}

}  // namespace ladderline::node
