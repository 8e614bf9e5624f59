#pragma once
// A client that sends the bytes it is told and keeps the bytes it gets, over a loopback socket driven by the same
// io_context as the server. Nothing waits: the context is polled a bounded number of times.

#include <boost/asio/io_context.hpp>
#include <boost/asio/ip/tcp.hpp>
#include <functional>
#include <string>
#include <string_view>

namespace ladderline::node::web::test {

class RawBrowser {
public:
    // receive_bytes: the kernel's buffer on this side; 0 leaves it as it is.
    RawBrowser(boost::asio::io_context& io, std::uint16_t port, int receive_bytes = 0) : io_(io), socket_(io) {
        using boost::asio::ip::tcp;
        socket_.open(tcp::v4());
        if (receive_bytes > 0) socket_.set_option(boost::asio::socket_base::receive_buffer_size(receive_bytes));
        socket_.connect({boost::asio::ip::address_v4::loopback(), port});
        socket_.non_blocking(true);
    }

    // Sends as much as the other side takes while it runs.
    void send(std::string_view bytes) {
        for (int i = 0; i < polls_max && !bytes.empty(); ++i) {
            boost::system::error_code ec;
            bytes.remove_prefix(socket_.write_some(boost::asio::buffer(bytes), ec));
            if (ec && ec != boost::asio::error::would_block) return;
            poll();
        }
    }

    // True once `enough` holds for what was received; false when it never does.
    bool receive_until(const std::function<bool(const RawBrowser&)>& enough) {
        for (int i = 0; i < polls_max; ++i) {
            if (enough(*this)) return true;
            poll();
            receive();
        }
        return false;
    }
    bool receive_text(std::string_view wanted) {
        return receive_until([&](const RawBrowser& b) { return b.received().find(wanted) != std::string::npos; });
    }
    bool receive_end() {
        return receive_until([](const RawBrowser& b) { return b.ended(); });
    }

    const std::string& received() const { return received_; }
    bool ended() const { return ended_; }
    void forget() { received_.clear(); }
    void close() { socket_.close(); }

private:
    static constexpr int polls_max = 20'000;

    void poll() {
        io_.restart();
        io_.poll();
    }
    void receive() {
        char room[4096];
        boost::system::error_code ec;
        const std::size_t count = socket_.read_some(boost::asio::buffer(room), ec);
        received_.append(room, count);
        if (ec && ec != boost::asio::error::would_block) ended_ = true;
    }

    boost::asio::io_context& io_;
    boost::asio::ip::tcp::socket socket_;
    std::string received_;
    bool ended_ = false;
};

}  // namespace ladderline::node::web::test
