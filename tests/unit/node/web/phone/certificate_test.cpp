#include "node/web/phone/certificate.hpp"

#include <doctest/doctest.h>
#include <openssl/ssl.h>
#include <openssl/x509v3.h>

#include "node/web/phone/fingerprint.hpp"
#include "tests/support/protocol/seeded_random.hpp"

using namespace ladderline;
using namespace ladderline::node::web;

namespace {

const CertificateRequest request{boost::asio::ip::make_address("192.168.7.20"),
                                 "Ladderline Golf Kilo Tango",
                                 {1'790'000'000'000},
                                 {1'790'001'800'000}};

TlsKeys made(std::uint64_t seed, const CertificateRequest& of = request) {
    test::SeededRandom random{seed};
    auto keys = make_tls_keys(of, random);
    REQUIRE(keys.has_value());
    return std::move(keys).value();
}

X509* paper_of(const TlsKeys& keys) {
    return SSL_CTX_get0_certificate(keys.context->native_handle());
}

bool key_of_one_fits_the_other(const TlsKeys& a, const TlsKeys& b) {
    return X509_check_private_key(paper_of(a), SSL_CTX_get0_privatekey(b.context->native_handle())) == 1;
}

std::int64_t seconds_of(const ASN1_TIME* time) {
    std::tm parts{};
    REQUIRE(ASN1_TIME_to_tm(time, &parts) == 1);
    return timegm(&parts);
}

}  // namespace

TEST_CASE("A share's certificate is for its address, its name and its time alone") {
    const TlsKeys keys = made(1);
    X509* paper = paper_of(keys);
    CHECK(X509_check_ip_asc(paper, "192.168.7.20", 0) == 1);
    CHECK(X509_check_ip_asc(paper, "192.168.7.21", 0) == 0);
    char name[80] = {};
    X509_NAME_get_text_by_NID(X509_get_subject_name(paper), NID_commonName, name, sizeof name);
    CHECK(std::string(name) == "Ladderline Golf Kilo Tango");
    CHECK(seconds_of(X509_get0_notBefore(paper)) == 1'790'000'000);
    CHECK(seconds_of(X509_get0_notAfter(paper)) == 1'790'001'800);
    CHECK((X509_get_extension_flags(paper) & EXFLAG_CA) == 0);
    CHECK(X509_get_extended_key_usage(paper) == XKU_SSL_SERVER);
}

TEST_CASE("A share's certificate carries an IPv6 address as well") {
    CertificateRequest v6 = request;
    v6.address = boost::asio::ip::make_address("fd12::1");
    CHECK(X509_check_ip_asc(paper_of(made(2, v6)), "fd12::1", 0) == 1);
}

TEST_CASE("A share's key is drawn from what it is given and is another one each time") {
    const TlsKeys first = made(1);
    CHECK(key_of_one_fits_the_other(first, made(1)));
    CHECK_FALSE(key_of_one_fits_the_other(first, made(2)));
}

TEST_CASE("The fingerprint is the SHA-256 of the certificate as it is sent") {
    const TlsKeys keys = made(3);
    unsigned char* der = nullptr;
    const int length = i2d_X509(paper_of(keys), &der);
    REQUIRE(length > 0);
    std::array<std::uint8_t, 32> digest{};
    EVP_Digest(der, static_cast<std::size_t>(length), digest.data(), nullptr, EVP_sha256(), nullptr);
    OPENSSL_free(der);
    CHECK(digest == keys.fingerprint);
}

TEST_CASE("A fingerprint is shown as pairs in rows of eight") {
    std::array<std::uint8_t, 32> bytes{};
    bytes[0] = 0x3F;
    bytes[31] = 0x0A;
    const std::string text = fingerprint_text(bytes);
    CHECK(text.starts_with("3F:00:"));
    CHECK(text.ends_with(":00:0A"));
    const auto rows = fingerprint_rows(text);
    REQUIRE(rows.size() == 4);
    CHECK(rows.front() == "3F 00 00 00 00 00 00 00");
    CHECK(rows.back() == "00 00 00 00 00 00 00 0A");
}

TEST_CASE("The private key is in guarded memory while it is used, and not at all afterwards") {
    made(3);
    const std::size_t without = CRYPTO_secure_used();  // the library's own random generators stay
    {
        const TlsKeys keys = made(4);
        CHECK(CRYPTO_secure_used() > without);
    }
    CHECK(CRYPTO_secure_used() == without);
}
