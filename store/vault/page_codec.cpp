#include "store/vault/page_codec.hpp"

#include <algorithm>

#include "protocol/crypto/hash.hpp"

namespace ladderline::store::vault {
namespace {

constexpr std::array<std::uint8_t, 3> magic{'L', 'L', 'V'};
constexpr std::size_t format_at = 3;
constexpr std::uint8_t format_number = 1;
constexpr std::size_t salt_at = 4;
constexpr std::size_t salt_bytes = 12;
constexpr std::size_t check_at = 16;
constexpr std::size_t check_bytes = 8;
constexpr std::size_t nonce_at = body_bytes;
constexpr std::size_t tag_at = body_bytes + protocol::XNonce::size;

ByteView salt_of(ByteView header) {
    return header.subspan(salt_at, salt_bytes);
}

void derive(MutableByteView out, std::string_view domain, ByteView header, const protocol::AeadKey& data_key) {
    protocol::blake2b(out, {as_bytes(domain), salt_of(header)}, data_key.view());
}

std::array<std::uint8_t, check_bytes> check_of(ByteView header, const protocol::AeadKey& data_key) {
    std::array<std::uint8_t, 16> full;
    derive(full, "ladderline vault check", header, data_key);
    std::array<std::uint8_t, check_bytes> out;
    std::copy_n(full.begin(), check_bytes, out.begin());
    return out;
}

using Associated = std::array<std::uint8_t, salt_bytes + 4>;

Associated associated_data(ByteView header, std::uint32_t page_number) {
    Associated out;
    std::copy_n(salt_of(header).begin(), salt_bytes, out.begin());
    for (std::size_t i = 0; i < 4; ++i) out[salt_bytes + i] = static_cast<std::uint8_t>(page_number >> (8 * i));
    return out;
}

protocol::AeadKey derive_page_key(ByteView header, const protocol::AeadKey& data_key) {
    ENSURE(header.size() == header_bytes);
    protocol::AeadKey out;
    derive(out.mutable_view(), "ladderline vault pages", header, data_key);
    return out;
}

protocol::XNonce nonce_of(ByteView sealed) {
    return protocol::XNonce::from(sealed.subspan(nonce_at, protocol::XNonce::size));
}

// Where the sealed part of a page begins.
std::size_t clear_bytes(std::uint32_t page_number) {
    return page_number == 1 ? header_bytes : 0;
}

}  // namespace

FileHeader make_file_header(const protocol::AeadKey& data_key, Random& random) {
    FileHeader header{};
    std::copy(magic.begin(), magic.end(), header.begin());
    header[format_at] = format_number;
    random.fill(MutableByteView(header).subspan(salt_at, salt_bytes));
    const auto check = check_of(header, data_key);
    std::copy(check.begin(), check.end(), header.begin() + check_at);
    return header;
}

Result<void> check_file_header(ByteView header, const protocol::AeadKey& data_key) {
    ENSURE(header.size() == header_bytes);
    if (!std::equal(magic.begin(), magic.end(), header.begin())) {
        return Error{Fault::damaged,
                     "This file is not a Ladderline store, or its beginning is damaged; nothing was changed."};
    }
    if (header[format_at] != format_number) {
        return Error{
            Fault::unsupported,
            "This store was made by a newer Ladderline; nothing was changed. Update this one, then try again."};
    }
    if (!protocol::equal_secret(header.subspan(check_at, check_bytes), check_of(header, data_key))) {
        return Error{Fault::wrong_key,
                     "This key does not open this store; nothing was changed. Check that the key file belongs to it."};
    }
    return ok();
}

LogKey derive_log_key(ByteView header, const protocol::AeadKey& data_key) {
    LogKey out;
    derive(out.mutable_view(), "ladderline vault log", header, data_key);
    return out;
}

PageCodec::PageCodec(ByteView header, const protocol::AeadKey& data_key) : cipher_(derive_page_key(header, data_key)) {
    std::copy(header.begin(), header.end(), header_.begin());
}

void PageCodec::seal(std::uint32_t page_number, ByteView plain, NonceSource& nonces, MutableByteView sealed) const {
    ENSURE(may_be_sealed(page_number, plain) && sealed.size() == page_bytes);
    const std::size_t from = clear_bytes(page_number);
    if (from != 0) std::copy(header_.begin(), header_.end(), sealed.begin());
    const protocol::XNonce nonce = nonces.next();
    cipher_.seal(nonce, associated_data(header_, page_number), body_bytes - from, plain.subspan(from),
                 sealed.subspan(from), sealed.subspan(tag_at));
    std::copy(nonce.data.begin(), nonce.data.end(), sealed.begin() + nonce_at);
}

bool PageCodec::open(std::uint32_t page_number, ByteView sealed, MutableByteView plain) const {
    ENSURE(sealed.size() == page_bytes && plain.size() == page_bytes);
    const std::size_t from = clear_bytes(page_number);
    if (from != 0 && !std::equal(header_.begin(), header_.end(), sealed.begin())) return false;
    if (!cipher_.open(nonce_of(sealed), associated_data(header_, page_number), body_bytes - from, sealed.subspan(from),
                      sealed.subspan(tag_at), plain.subspan(from))) {
        return false;
    }
    if (from != 0) std::copy(sqlite_header.begin(), sqlite_header.end(), plain.begin());
    std::fill(plain.begin() + body_bytes, plain.end(), std::uint8_t{0});
    return true;
}

bool PageCodec::is_genuine(std::uint32_t page_number, ByteView sealed) const {
    ENSURE(sealed.size() == page_bytes);
    const std::size_t from = clear_bytes(page_number);
    if (from != 0 && !std::equal(header_.begin(), header_.end(), sealed.begin())) return false;
    return cipher_.is_genuine(nonce_of(sealed), associated_data(header_, page_number),
                              sealed.subspan(from, body_bytes - from), sealed.subspan(tag_at));
}

}  // namespace ladderline::store::vault
