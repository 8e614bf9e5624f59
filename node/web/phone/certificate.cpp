#include "node/web/phone/certificate.hpp"

#include <openssl/bn.h>
#include <openssl/core_names.h>
#include <openssl/ec.h>
#include <openssl/evp.h>
#include <openssl/obj_mac.h>
#include <openssl/param_build.h>
#include <openssl/ssl.h>
#include <openssl/x509v3.h>

namespace ladderline::node::web {
namespace {

template <auto free_it>
struct Freed {
    template <class T>
    void operator()(T* thing) const {
        free_it(thing);
    }
};
template <class T, auto free_it>
using Owned = std::unique_ptr<T, Freed<free_it>>;

using Number = Owned<BIGNUM, BN_clear_free>;
using Group = Owned<EC_GROUP, EC_GROUP_free>;
using Point = Owned<EC_POINT, EC_POINT_free>;
using ParamBuilder = Owned<OSSL_PARAM_BLD, OSSL_PARAM_BLD_free>;
using Params = Owned<OSSL_PARAM, OSSL_PARAM_free>;
using KeyWork = Owned<EVP_PKEY_CTX, EVP_PKEY_CTX_free>;
using Key = Owned<EVP_PKEY, EVP_PKEY_free>;
using Paper = Owned<X509, X509_free>;
using Extension = Owned<X509_EXTENSION, X509_EXTENSION_free>;

constexpr std::size_t point_bytes = 65;              // uncompressed, on P-256
constexpr std::size_t guarded_heap_bytes = 1 << 15;  // a key takes a few hundred
constexpr std::size_t guarded_piece_bytes = 32;

// Locked in memory and wiped when given back. Where the system allows no locking it is guarded all the same.
void open_guarded_heap() {
    if (CRYPTO_secure_malloc_initialized() == 0) CRYPTO_secure_malloc_init(guarded_heap_bytes, guarded_piece_bytes);
}

// Evenly drawn from 1 to order - 1 (FIPS 186-5, A.2.2). Null: no memory.
Number draw_scalar(const BIGNUM* order, Random& random) {
    Number out(BN_secure_new());
    while (out) {
        std::array<std::uint8_t, 32> bytes{};
        random.fill(bytes);
        const bool read = BN_bin2bn(bytes.data(), static_cast<int>(bytes.size()), out.get()) != nullptr;
        OPENSSL_cleanse(bytes.data(), bytes.size());
        if (!read) return nullptr;
        if (!BN_is_zero(out.get()) && BN_cmp(out.get(), order) < 0) break;
    }
    return out;
}

Key make_key(Random& random) {
    const Group group(EC_GROUP_new_by_curve_name(NID_X9_62_prime256v1));
    if (!group) return nullptr;
    const Number scalar = draw_scalar(EC_GROUP_get0_order(group.get()), random);
    const Point point(EC_POINT_new(group.get()));
    if (!scalar || !point) return nullptr;
    if (EC_POINT_mul(group.get(), point.get(), scalar.get(), nullptr, nullptr, nullptr) != 1) return nullptr;
    std::array<std::uint8_t, point_bytes> octets{};
    const std::size_t length = EC_POINT_point2oct(group.get(), point.get(), POINT_CONVERSION_UNCOMPRESSED,
                                                  octets.data(), octets.size(), nullptr);
    const ParamBuilder builder(OSSL_PARAM_BLD_new());
    if (length != octets.size() || !builder) return nullptr;
    const bool built =
        OSSL_PARAM_BLD_push_utf8_string(builder.get(), OSSL_PKEY_PARAM_GROUP_NAME, "prime256v1", 0) == 1 &&
        OSSL_PARAM_BLD_push_octet_string(builder.get(), OSSL_PKEY_PARAM_PUB_KEY, octets.data(), octets.size()) == 1 &&
        OSSL_PARAM_BLD_push_BN(builder.get(), OSSL_PKEY_PARAM_PRIV_KEY, scalar.get()) == 1;
    if (!built) return nullptr;
    const Params params(OSSL_PARAM_BLD_to_param(builder.get()));
    const KeyWork work(EVP_PKEY_CTX_new_from_name(nullptr, "EC", nullptr));
    EVP_PKEY* made = nullptr;
    if (!params || !work || EVP_PKEY_fromdata_init(work.get()) != 1) return nullptr;
    if (EVP_PKEY_fromdata(work.get(), &made, EVP_PKEY_KEYPAIR, params.get()) != 1) return nullptr;
    return Key(made);
}

bool extend(X509* paper, int what, const std::string& value) {
    X509V3_CTX work;
    X509V3_set_ctx_nodb(&work);
    X509V3_set_ctx(&work, paper, paper, nullptr, nullptr, 0);
    const Extension extension(X509V3_EXT_conf_nid(nullptr, &work, what, value.c_str()));
    return extension && X509_add_ext(paper, extension.get(), -1) == 1;
}

bool put_serial(X509* paper, Random& random) {
    std::array<std::uint8_t, 16> bytes{};
    random.fill(bytes);
    bytes[0] = static_cast<std::uint8_t>((bytes[0] & 0x7FU) | 0x40U);  // positive, and as long as it is
    const Number number(BN_bin2bn(bytes.data(), static_cast<int>(bytes.size()), nullptr));
    return number && BN_to_ASN1_INTEGER(number.get(), X509_get_serialNumber(paper)) != nullptr;
}

bool put_names(X509* paper, const std::string& name) {
    X509_NAME* subject = X509_get_subject_name(paper);
    const auto* bytes = reinterpret_cast<const unsigned char*>(name.data());
    return X509_NAME_add_entry_by_NID(subject, NID_commonName, MBSTRING_UTF8, bytes, static_cast<int>(name.size()), -1,
                                      0) == 1 &&
           X509_set_issuer_name(paper, subject) == 1;
}

bool put_times(X509* paper, const CertificateRequest& request) {
    return ASN1_TIME_set(X509_getm_notBefore(paper), request.from.ms / 1000) != nullptr &&
           ASN1_TIME_set(X509_getm_notAfter(paper), request.until.ms / 1000) != nullptr;
}

Paper make_paper(const CertificateRequest& request, EVP_PKEY* key, Random& random) {
    constexpr long version_3 = 2;
    Paper paper(X509_new());
    if (!paper || X509_set_version(paper.get(), version_3) != 1) return nullptr;
    const bool filled = put_serial(paper.get(), random) && put_names(paper.get(), request.name) &&
                        put_times(paper.get(), request) && X509_set_pubkey(paper.get(), key) == 1 &&
                        extend(paper.get(), NID_basic_constraints, "critical,CA:FALSE") &&
                        extend(paper.get(), NID_key_usage, "critical,digitalSignature") &&
                        extend(paper.get(), NID_ext_key_usage, "serverAuth") &&
                        extend(paper.get(), NID_subject_alt_name, "IP:" + request.address.to_string());
    if (!filled || X509_sign(paper.get(), key, EVP_sha256()) == 0) return nullptr;
    return paper;
}

// Nothing is kept from one connection for another, so that the keys of a share end with it.
std::shared_ptr<boost::asio::ssl::context> make_context(X509* paper, EVP_PKEY* key) {
    auto out = std::make_shared<boost::asio::ssl::context>(boost::asio::ssl::context::tls_server);
    SSL_CTX* raw = out->native_handle();
    SSL_CTX_set_session_cache_mode(raw, SSL_SESS_CACHE_OFF);
    SSL_CTX_set_options(raw, SSL_OP_NO_TICKET | SSL_OP_NO_RENEGOTIATION);
    SSL_CTX_set_mode(raw, SSL_MODE_RELEASE_BUFFERS);
    const bool set = SSL_CTX_set_min_proto_version(raw, TLS1_3_VERSION) == 1 && SSL_CTX_set_num_tickets(raw, 0) == 1 &&
                     SSL_CTX_use_certificate(raw, paper) == 1 && SSL_CTX_use_PrivateKey(raw, key) == 1 &&
                     SSL_CTX_check_private_key(raw) == 1;
    return set ? out : nullptr;
}

}  // namespace

Result<TlsKeys> make_tls_keys(const CertificateRequest& request, Random& random) {
    const Error refused(Fault::unsupported,
                        "This system's TLS library could not make a certificate, so nothing was opened.");
    open_guarded_heap();
    const Key key = make_key(random);
    if (!key) return refused;
    const Paper paper = make_paper(request, key.get(), random);
    if (!paper) return refused;
    TlsKeys out;
    out.context = make_context(paper.get(), key.get());
    unsigned length = 0;
    const int summed = X509_digest(paper.get(), EVP_sha256(), out.fingerprint.data(), &length);
    if (!out.context || summed != 1 || length != out.fingerprint.size()) return refused;
    return out;
}

std::string fingerprint_text(const std::array<std::uint8_t, 32>& fingerprint) {
    constexpr std::string_view digits = "0123456789ABCDEF";
    std::string out;
    for (const std::uint8_t byte : fingerprint) {
        if (!out.empty()) out.push_back(':');
        out.push_back(digits[byte >> 4U]);
        out.push_back(digits[byte & 15U]);
    }
    return out;
}

}  // namespace ladderline::node::web
