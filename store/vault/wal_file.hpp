#pragma once
// The write-ahead log: SQLite sees its own format, the disk has the one of frame_log.hpp.

#include <optional>

#include "store/vault/frame_log.hpp"
#include "store/vault/kept_pages.hpp"
#include "store/vault/sealed_file.hpp"
#include "store/vault/write_gather.hpp"

namespace ladderline::store::vault {

// Taken from SQLite: the 32-byte header; a 24-byte frame header at the end of the log or at an earlier frame that no
// sync has made durable (a step that failed is written over); then its page. Everything else is refused, above all a
// page without its frame header, which only a cache spill writes. Frames are gathered and leave at the frame that
// commits, because at synchronous=NORMAL nothing else would push them.
//
// Reading a log found on the disk: a frame that is not genuine reads as zeros, which SQLite takes for the end of the
// log (a step cut off by a power failure). But each commit is synced before the next begins, so two commits at or
// behind such a frame mean that acknowledged bytes were changed: SQLITE_IOERR_DATA.
class WalFile : public SealedFile {
public:
    // `keys` outlives this.
    WalFile(BaseFile file, VaultKeys& keys) : file_(std::move(file)), gather_(file_), keys_(keys), log_(keys.log_key) {}
    ~WalFile() override;

    int read(std::int64_t offset, MutableByteView out) override;
    int write(std::int64_t offset, ByteView bytes) override;
    int truncate(std::int64_t size) override;
    int sync(int flags) override;
    int size(std::int64_t& out) override;
    BaseFile& base() override { return file_; }

private:
    struct Pending {
        std::size_t frame;
        FrameHeader header;
    };
    using RawFrame = std::array<std::uint8_t, frame_bytes>;

    int read_header(MutableByteView out);
    int judge_foreign_header(ByteView header);
    int read_in_frame(std::size_t frame, std::size_t within, MutableByteView out);
    int read_page(std::size_t frame, MutableByteView plain);
    // For a checkpoint.
    int hand_out(std::size_t frame, MutableByteView shown);
    // The page of a known frame from the disk, with the nonce and tag that it had when it became known.
    int read_sealed(std::size_t frame, MutableByteView sealed);
    // Learns the frame behind the last known one from the disk, and its page, if it is genuine.
    int find_frame(MutableByteView plain, bool& genuine);
    int judge_tail(std::size_t frame, bool& damaged);
    int read_raw(std::size_t frame, RawFrame& out);

    int write_log_header(ByteView bytes);
    int accept_frame_header(std::size_t frame, ByteView bytes);
    int write_page(std::size_t frame, ByteView plain);
    int go_back_to(std::size_t frame);

    BaseFile file_;
    WriteGather gather_;
    VaultKeys& keys_;
    FrameLog log_;
    // Of the frames of log_, in step with it.
    KeptPages kept_;
    // The page that a checkpoint copies and that is not kept.
    std::unique_ptr<PlainPage> handed_out_;
    // The frame header that waits for its page.
    std::optional<Pending> pending_;
    // Frames below this number were synced together with a commit behind them, in this run.
    std::size_t durable_frames_ = 0;
    // Whatever the file holds behind the known frames carries the salts of an earlier log. Not so in a log found on the
    // disk.
    bool tail_is_old_ = false;
};

}  // namespace ladderline::store::vault
