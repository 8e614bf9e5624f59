#pragma once
// The certificate of one share: made fresh, signed by itself, in memory alone. Its private key is in OpenSSL's guarded
// heap, is never written anywhere, and is wiped when the last connection that uses it is gone.

#include <array>
#include <boost/asio/ip/address.hpp>
#include <boost/asio/ssl/context.hpp>
#include <cstdint>
#include <memory>
#include <string>

#include "protocol/base/random.hpp"
#include "protocol/base/result.hpp"
#include "protocol/base/time.hpp"

namespace ladderline::node::web {

struct CertificateRequest {
    boost::asio::ip::address address;  // the only one that it is for
    std::string name;                  // as browsers show it; at most 64 bytes
    WallTime from;
    WallTime until;
};

struct TlsKeys {
    std::shared_ptr<boost::asio::ssl::context> context;  // a server's: TLS 1.3, no tickets, nothing kept between visits
    std::array<std::uint8_t, 32> fingerprint{};          // SHA-256 of the certificate, as browsers show it
};

// ECDSA on P-256; the key and the serial number are drawn from `random`. unsupported: the TLS library refuses.
Result<TlsKeys> make_tls_keys(const CertificateRequest& request, Random& random);

// "3F:0A:...", 32 pairs.
std::string fingerprint_text(const std::array<std::uint8_t, 32>& fingerprint);

}  // namespace ladderline::node::web
