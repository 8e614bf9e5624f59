#include "store/vault/frame_log.hpp"

#include <algorithm>

#include "protocol/crypto/hash.hpp"

namespace ladderline::store::vault {
namespace {

constexpr std::size_t room_min = 64;
constexpr std::size_t mac_at_log = 24;
constexpr std::size_t salts_at_log = 16;
constexpr std::size_t salts_at_frame = 8;
constexpr std::size_t mac_at_frame = 16;

// The compiler makes one load of each.
constexpr auto big_endian = [](ByteView bytes, std::size_t at) {
    const std::uint8_t* b = bytes.subspan(at, 4).data();
    return std::uint32_t{b[0]} << 24 | std::uint32_t{b[1]} << 16 | std::uint32_t{b[2]} << 8 | std::uint32_t{b[3]};
};
constexpr auto little_endian = [](ByteView bytes, std::size_t at) {
    const std::uint8_t* b = bytes.subspan(at, 4).data();
    return std::uint32_t{b[3]} << 24 | std::uint32_t{b[2]} << 16 | std::uint32_t{b[1]} << 8 | std::uint32_t{b[0]};
};

template <class Sum, class Word>
Sum add_words(Sum sum, ByteView bytes, Word word) {
    for (std::size_t at = 0; at < bytes.size(); at += 8) {
        sum.first += word(bytes, at) + sum.second;
        sum.second += word(bytes, at + 4) + sum.first;
    }
    return sum;
}

void put_big_endian(MutableByteView bytes, std::size_t at, std::uint32_t value) {
    for (std::size_t i = 0; i < 4; ++i) bytes[at + i] = static_cast<std::uint8_t>(value >> (8 * (3 - i)));
}

}  // namespace

std::uint32_t frame_page_number(ByteView header) {
    return big_endian(header, 0);
}

bool is_commit(ByteView header) {
    return big_endian(header, 4) != 0;
}

FrameLog::Mac FrameLog::header_mac(ByteView header) const {
    std::array<std::uint8_t, 16> full;
    protocol::blake2b(full, {header.first(mac_at_log)}, key_.view());
    Mac out;
    std::copy_n(full.begin(), out.size(), out.begin());
    return out;
}

FrameLog::Mac FrameLog::frame_mac(ByteView before, ByteView header, ByteView sealed) const {
    std::array<std::uint8_t, 16> full;
    protocol::blake2b(full, {before, header.first(mac_at_frame), sealed.subspan(body_bytes)}, key_.view());
    Mac out;
    std::copy_n(full.begin(), out.size(), out.begin());
    return out;
}

// sqlite.org/fileformat2.html, section 4.2: the lowest bit of the magic number says the byte order of the words.
FrameLog::Checksum FrameLog::continue_checksum(Checksum sum, ByteView bytes) const {
    return (header_[3] & 1) != 0 ? add_words(sum, bytes, big_endian) : add_words(sum, bytes, little_endian);
}

LogHeader FrameLog::begin(ByteView header) {
    forget();
    std::copy(header.begin(), header.end(), header_.begin());
    mac_ = header_mac(header);
    started_ = true;
    LogHeader out = header_;
    std::copy(mac_.begin(), mac_.end(), out.begin() + mac_at_log);
    return out;
}

bool FrameLog::resume(ByteView disk_header) {
    const bool known = started_ && std::equal(header_.begin(), header_.begin() + mac_at_log, disk_header.begin()) &&
                       std::equal(mac_.begin(), mac_.end(), disk_header.begin() + mac_at_log);
    if (known) return true;
    forget();
    const Mac mac = header_mac(disk_header);
    if (!protocol::equal_secret(mac, disk_header.subspan(mac_at_log, mac.size()))) return false;
    mac_ = mac;
    std::copy(disk_header.begin(), disk_header.end(), header_.begin());
    const Checksum sum = continue_checksum({}, disk_header.first(mac_at_log));
    put_big_endian(header_, mac_at_log, sum.first);
    put_big_endian(header_, mac_at_log + 4, sum.second);
    started_ = true;
    return true;
}

void FrameLog::forget() {
    started_ = false;
    frames_.clear();
}

bool FrameLog::has_our_salts(ByteView frame_header) const {
    return std::equal(header_.begin() + salts_at_log, header_.begin() + mac_at_log,
                      frame_header.begin() + salts_at_frame);
}

bool FrameLog::chained(ByteView before, ByteView disk_header, ByteView sealed) const {
    return protocol::equal_secret(disk_header.subspan(mac_at_frame, sizeof(Mac)),
                                  frame_mac(before, disk_header, sealed));
}

bool FrameLog::follows(ByteView before, ByteView disk_header, ByteView sealed) const {
    return has_our_salts(disk_header) && chained(before, disk_header, sealed);
}

void FrameLog::push(const FrameHeader& header, const Mac& mac, ByteView sealed) {
    Frame frame{header, mac, {}};
    std::copy_n(sealed.begin() + body_bytes, reserved_bytes, frame.nonce_and_tag.begin());
    frames_.push_back(frame);
}

void FrameLog::make_room() {
    if (frames_.size() == frames_.capacity()) frames_.reserve(std::max(room_min, 2 * frames_.size()));
}

FrameHeader FrameLog::append_written(ByteView header, ByteView sealed) {
    ENSURE(started_ && has_our_salts(header));
    FrameHeader shown;
    std::copy(header.begin(), header.end(), shown.begin());
    const Mac mac = frame_mac(before(count()), header, sealed);
    push(shown, mac, sealed);
    FrameHeader stored = shown;
    std::copy(mac.begin(), mac.end(), stored.begin() + mac_at_frame);
    return stored;
}

void FrameLog::append_found(ByteView disk_header, ByteView sealed, ByteView plain) {
    ENSURE(started_);
    const bool first = frames_.empty();
    const ByteView last = first ? ByteView(header_) : ByteView(frames_.back().header);
    const std::size_t sum_at = first ? mac_at_log : mac_at_frame;
    Checksum sum{big_endian(last, sum_at), big_endian(last, sum_at + 4)};
    sum = continue_checksum(continue_checksum(sum, disk_header.first(8)), plain);
    FrameHeader shown;
    std::copy(disk_header.begin(), disk_header.end(), shown.begin());
    put_big_endian(shown, mac_at_frame, sum.first);
    put_big_endian(shown, mac_at_frame + 4, sum.second);
    Mac mac;
    std::copy_n(disk_header.begin() + mac_at_frame, mac.size(), mac.begin());
    push(shown, mac, sealed);
}

void FrameLog::rewind(std::size_t count) {
    ENSURE(count <= frames_.size());
    frames_.resize(count);
}

std::uint32_t FrameLog::page_number(std::size_t frame) const {
    return frame_page_number(frames_.at(frame).header);
}

bool FrameLog::same_page(std::size_t frame, ByteView sealed) const {
    const auto& known = frames_.at(frame).nonce_and_tag;
    return std::equal(known.begin(), known.end(), sealed.begin() + body_bytes);
}

ByteView FrameLog::before(std::size_t frame) const {
    return frame == 0 ? ByteView(mac_) : ByteView(frames_.at(frame - 1).mac);
}

FrameHeader FrameLog::frame_header(std::size_t frame) const {
    return frames_.at(frame).header;
}

}  // namespace ladderline::store::vault
