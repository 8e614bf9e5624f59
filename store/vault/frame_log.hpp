#pragma once
// What is known of the frames of a write-ahead log, and the seals of their headers.
//
// On the disk the log is laid out as SQLite lays it out (sqlite.org/fileformat2.html, section 4.1): a header of 32
// bytes, then frames of a 24-byte header and a page. Two things differ: the page is sealed (page_codec.hpp), and the
// last 8 bytes of each header hold no checksum of SQLite's, which would be a linear function of the clear page, but a
// keyed hash:
//
//   log header    0  24  as SQLite writes it
//                24   8  H(24 bytes)
//   frame header  0  16  as SQLite writes it: page number, database size after a commit or 0, two salts
//                16   8  H(last 8 bytes of the header before | 16 bytes | nonce (24) | tag (16) of the page)
//   H = first 8 of 16 bytes of BLAKE2b keyed with the log key.
//
// The chain runs over the 8 stored bytes, so that a frame behind a torn one can still be told from noise.

#include <array>
#include <vector>

#include "store/vault/page_codec.hpp"

namespace ladderline::store::vault {

using LogHeader = std::array<std::uint8_t, log_header_bytes>;
using FrameHeader = std::array<std::uint8_t, frame_header_bytes>;

// Frames are numbered from 0. No input or output; `sealed` is always a sealed page of 4096 bytes.
class FrameLog {
public:
    // `key` outlives this.
    explicit FrameLog(const LogKey& key) : key_(key) {}

    // A new log: SQLite's header in, the disk's header out. Forgets all frames.
    LogHeader begin(ByteView header);
    // A log found on the disk. False, and nothing kept, if its header is not one of ours. Keeps the frames when the
    // header is the one already known.
    bool resume(ByteView disk_header);
    void forget();
    bool started() const { return started_; }

    // True if the frame header fits this sealed page and is chained to `before`, the last 8 bytes of the header before
    // it.
    bool chained(ByteView before, ByteView disk_header, ByteView sealed) const;
    // As chained, and of this log by its salts.
    bool follows(ByteView before, ByteView disk_header, ByteView sealed) const;
    // The next append_written then takes no memory. std::bad_alloc, with nothing changed.
    void make_room();
    // Adds the frame behind the last known one. `header` as SQLite writes it; gives back the disk's.
    FrameHeader append_written(ByteView header, ByteView sealed);
    // Adds a frame that `follows`, with the clear page, from which SQLite's checksum is worked out.
    void append_found(ByteView disk_header, ByteView sealed, ByteView plain);
    // Forgets frame `count` and all behind it.
    void rewind(std::size_t count);

    std::size_t count() const { return frames_.size(); }
    std::uint32_t page_number(std::size_t frame) const;
    // True if these are the sealed bytes that this frame had when it became known.
    bool same_page(std::size_t frame, ByteView sealed) const;
    // The stored 8 bytes that frame `frame` follows.
    ByteView before(std::size_t frame) const;

    // As SQLite wrote them, checksums included.
    const LogHeader& header() const { return header_; }
    FrameHeader frame_header(std::size_t frame) const;
    // True if a frame header as SQLite writes it carries the salts of this log.
    bool has_our_salts(ByteView frame_header) const;

private:
    using Mac = std::array<std::uint8_t, 8>;
    struct Checksum {
        std::uint32_t first = 0;
        std::uint32_t second = 0;
    };
    struct Frame {
        std::array<std::uint8_t, frame_header_bytes> header;  // SQLite's
        Mac mac;
        std::array<std::uint8_t, reserved_bytes> nonce_and_tag;
    };

    Mac header_mac(ByteView header) const;
    Mac frame_mac(ByteView before, ByteView header, ByteView sealed) const;
    Checksum continue_checksum(Checksum from, ByteView bytes) const;
    void push(const FrameHeader& header, const Mac& mac, ByteView sealed);

    const LogKey& key_;
    bool started_ = false;
    LogHeader header_{};
    Mac mac_{};
    std::vector<Frame> frames_;
};

// Of a frame header as SQLite or the disk has it.
std::uint32_t frame_page_number(ByteView header);
bool is_commit(ByteView header);

}  // namespace ladderline::store::vault
