#pragma once
// A client over TLS that sends the bytes it is told, keeps the bytes it gets, and knows the certificate it was shown;
// driven by the same io_context as the server. Nothing waits: the context is polled a bounded number of times.

#include <openssl/ssl.h>

#include <array>
#include <boost/asio/io_context.hpp>
#include <boost/asio/ip/tcp.hpp>
#include <boost/asio/ssl/context.hpp>
#include <boost/asio/ssl/stream.hpp>
#include <boost/asio/write.hpp>
#include <string>
#include <string_view>

#include "node/web/phone/certificate.hpp"

namespace ladderline::node::web::test {

class TlsBrowser {
public:
    TlsBrowser(boost::asio::io_context& io, const boost::asio::ip::address& address, std::uint16_t port,
               int version_max = 0)
        : io_(io), context_(limited(version_max)), wire_(io, context_) {
        boost::system::error_code ec;
        wire_.next_layer().connect({address, port}, ec);
        reached_ = !ec;
        over_ = !reached_;
        if (!reached_) return;
        wire_.next_layer().set_option(
            boost::asio::ip::tcp::no_delay(true));  // else what comes next waits for an answer
        wire_.async_handshake(boost::asio::ssl::stream_base::client, [this](const boost::system::error_code& error) {
            shook_hands_ = !error;
            over_ = true;
        });
        poll_until([this] { return over_; });
        if (shook_hands_) read_on();
    }
    ~TlsBrowser() {
        boost::system::error_code ignored;
        wire_.next_layer().close(ignored);
        poll_until([this] { return !reading_ && over_; });
    }
    TlsBrowser(const TlsBrowser&) = delete;
    TlsBrowser& operator=(const TlsBrowser&) = delete;

    bool reached() const { return reached_; }
    bool shook_hands() const { return shook_hands_; }
    // SHA-256 of the certificate that was shown, as fingerprint_text().
    std::string fingerprint() {
        std::array<std::uint8_t, 32> out{};
        X509* paper = SSL_get0_peer_certificate(wire_.native_handle());
        if (paper == nullptr || X509_digest(paper, EVP_sha256(), out.data(), nullptr) != 1) return {};
        return fingerprint_text(out);
    }

    void send(const std::string& bytes) {
        over_ = false;
        sent_ = bytes;
        boost::asio::async_write(wire_, boost::asio::buffer(sent_),
                                 [this](const boost::system::error_code&, std::size_t) { over_ = true; });
        poll_until([this] { return over_; });
    }
    bool receive_text(std::string_view wanted) {
        return poll_until([&] { return received_.find(wanted) != std::string::npos; });
    }
    bool receive_end() {
        return poll_until([&] { return ended_; });
    }
    const std::string& received() const { return received_; }
    void forget() { received_.clear(); }

private:
    static constexpr int polls_max = 20'000;

    static boost::asio::ssl::context limited(int version_max) {
        boost::asio::ssl::context out(boost::asio::ssl::context::tls_client);
        if (version_max != 0) SSL_CTX_set_max_proto_version(out.native_handle(), version_max);
        return out;
    }
    template <class Enough>
    bool poll_until(Enough enough) {
        for (int i = 0; i < polls_max; ++i) {
            if (enough()) return true;
            io_.restart();
            io_.poll();
        }
        return enough();
    }
    void read_on() {
        reading_ = true;
        wire_.async_read_some(boost::asio::buffer(room_),
                              [this](const boost::system::error_code& error, std::size_t count) {
                                  received_.append(room_.data(), count);
                                  reading_ = false;
                                  ended_ = static_cast<bool>(error);
                                  if (!error) read_on();
                              });
    }

    boost::asio::io_context& io_;
    boost::asio::ssl::context context_;
    boost::asio::ssl::stream<boost::asio::ip::tcp::socket> wire_;
    std::array<char, 4096> room_{};
    std::string received_;
    std::string sent_;
    bool over_ = false;
    bool reached_ = false;
    bool shook_hands_ = false;
    bool reading_ = false;
    bool ended_ = false;
};

}  // namespace ladderline::node::web::test
