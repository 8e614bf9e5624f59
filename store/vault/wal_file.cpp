#include "store/vault/wal_file.hpp"

#include <algorithm>

namespace ladderline::store::vault {
namespace {

std::int64_t frame_offset(std::size_t frame) {
    return static_cast<std::int64_t>(log_header_bytes + frame * frame_bytes);
}

}  // namespace

WalFile::~WalFile() {
    keys_.checkpoint.end();
    static_cast<void>(gather_.flush());
}

int WalFile::read(std::int64_t offset, MutableByteView out) {
    if (const int code = gather_.flush(); code != SQLITE_OK) return code;
    if (offset >= 0 && static_cast<std::size_t>(offset) + out.size() <= log_header_bytes) {
        LogHeader header{};
        const int code = read_header(header);
        std::copy_n(header.begin() + offset, out.size(), out.begin());
        return code;
    }
    if (offset < static_cast<std::int64_t>(log_header_bytes) || !log_.started()) return refuse(SQLITE_IOERR_READ);
    const std::size_t at = static_cast<std::size_t>(offset) - log_header_bytes;
    const std::size_t within = at % frame_bytes;
    if (within + out.size() > frame_bytes) return refuse(SQLITE_IOERR_READ);
    return read_in_frame(at / frame_bytes, within, out);
}

int WalFile::read_header(MutableByteView out) {
    LogHeader disk{};
    const int code = file_.read(0, disk);
    if (code != SQLITE_OK) return code;
    if (all_zero(disk)) return SQLITE_OK;
    const bool is_ours = log_.resume(disk);
    kept_.rewind(log_.count());
    if (!is_ours) return judge_foreign_header(disk);
    std::copy(log_.header().begin(), log_.header().end(), out.begin());
    return SQLITE_OK;
}

// A header that is not genuine. The file is synced behind each new header, so a frame that belongs to this one (same
// salts, or chained to its last 8 bytes) shows that the header was changed later; without one, the log never held
// anything.
int WalFile::judge_foreign_header(ByteView header) {
    RawFrame raw;
    const int code = read_raw(0, raw);
    if (code == SQLITE_IOERR_SHORT_READ) return SQLITE_OK;
    if (code != SQLITE_OK) return code;
    const ByteView frame(raw);
    const bool same_salts = std::equal(header.begin() + 16, header.begin() + 24, frame.begin() + 8);
    const bool chained =
        log_.chained(header.last(8), frame.first(frame_header_bytes), frame.subspan(frame_header_bytes));
    return same_salts || chained ? SQLITE_IOERR_DATA : SQLITE_OK;
}

int WalFile::read_in_frame(std::size_t frame, std::size_t within, MutableByteView out) {
    // A whole frame, as SQLite reads them after a crash, is put together where it is wanted.
    const bool whole = within == 0 && out.size() == frame_bytes;
    PlainPage own;
    const MutableByteView plain = whole ? out.subspan(frame_header_bytes) : MutableByteView(own);
    bool found_now = false;
    while (log_.count() <= frame) {
        const int code = find_frame(plain, found_now);
        if (code != SQLITE_OK || !found_now) {
            std::fill(out.begin(), out.end(), std::uint8_t{0});
            return code;
        }
    }
    if (!found_now && within == frame_header_bytes && out.size() == page_bytes) {
        return keys_.checkpoint.running() ? hand_out(frame, out) : read_page(frame, out);
    }
    int code = SQLITE_OK;
    if (!found_now && within + out.size() > frame_header_bytes) code = read_page(frame, plain);
    const FrameHeader header = log_.frame_header(frame);
    if (whole) {
        std::copy(header.begin(), header.end(), out.begin());
        return code;
    }
    RawFrame image;
    std::copy(header.begin(), header.end(), image.begin());
    std::copy(plain.begin(), plain.end(), image.begin() + frame_header_bytes);
    std::copy_n(image.begin() + static_cast<std::ptrdiff_t>(within), out.size(), out.begin());
    protocol::wipe(image);
    protocol::wipe(own);
    return code;
}

int WalFile::read_page(std::size_t frame, MutableByteView plain) {
    PlainPage sealed;
    int code = read_sealed(frame, sealed);
    if (code == SQLITE_OK && !keys_.codec.open(log_.page_number(frame), sealed, plain)) code = SQLITE_IOERR_DATA;
    if (code != SQLITE_OK) std::fill(plain.begin(), plain.end(), std::uint8_t{0});
    return code;
}

int WalFile::hand_out(std::size_t frame, MutableByteView shown) {
    const std::uint32_t page_number = log_.page_number(frame);
    ByteView sealed = kept_.find(frame);
    if (sealed.empty()) {
        if (handed_out_ == nullptr) handed_out_ = std::make_unique_for_overwrite<PlainPage>();
        int code = read_sealed(frame, *handed_out_);
        if (code == SQLITE_OK && !keys_.codec.is_genuine(page_number, *handed_out_)) code = SQLITE_IOERR_DATA;
        if (code != SQLITE_OK) {
            keys_.checkpoint.end();
            return code;
        }
        sealed = *handed_out_;
    }
    keys_.checkpoint.hand_out(page_number, sealed, shown);
    return SQLITE_OK;
}

int WalFile::read_sealed(std::size_t frame, MutableByteView sealed) {
    const int code = file_.read(frame_offset(frame) + static_cast<std::int64_t>(frame_header_bytes), sealed);
    // Known frames are within the file: a short one was cut off behind our back.
    if (code == SQLITE_IOERR_SHORT_READ) return SQLITE_IOERR_DATA;
    if (code != SQLITE_OK) return code;
    return log_.same_page(frame, sealed) ? SQLITE_OK : SQLITE_IOERR_DATA;
}

int WalFile::read_raw(std::size_t frame, RawFrame& out) {
    return file_.read(frame_offset(frame), out);
}

int WalFile::find_frame(MutableByteView plain, bool& genuine) {
    genuine = false;
    const std::size_t frame = log_.count();
    RawFrame raw;
    const int code = read_raw(frame, raw);
    if (code == SQLITE_IOERR_SHORT_READ) return SQLITE_OK;
    if (code != SQLITE_OK) return code;
    const ByteView header = ByteView(raw).first(frame_header_bytes);
    const ByteView sealed = ByteView(raw).subspan(frame_header_bytes);
    if (log_.follows(log_.before(frame), header, sealed) &&
        keys_.codec.open(frame_page_number(header), sealed, plain)) {
        kept_.keep(frame, sealed);
        log_.append_found(header, sealed, plain);
        if (is_commit(header)) durable_frames_ = log_.count();
        genuine = true;
        return SQLITE_OK;
    }
    bool damaged = false;
    const int failed = judge_tail(frame, damaged);
    if (failed != SQLITE_OK) return failed;
    return damaged ? SQLITE_IOERR_DATA : SQLITE_OK;
}

// `frame` is not genuine: a step cut off, or damage to what had been acknowledged?
int WalFile::judge_tail(std::size_t frame, bool& damaged) {
    int commits = 0;
    Bytes before = to_bytes(log_.before(frame));
    for (std::size_t at = frame; commits < 2; ++at) {
        RawFrame raw;
        const int code = read_raw(at, raw);
        if (code == SQLITE_IOERR_SHORT_READ) break;
        if (code != SQLITE_OK) return code;
        const ByteView header = ByteView(raw).first(frame_header_bytes);
        if (is_commit(header) && log_.follows(before, header, ByteView(raw).subspan(frame_header_bytes))) ++commits;
        before = to_bytes(header.last(8));
    }
    damaged = commits >= 2;
    return SQLITE_OK;
}

int WalFile::write(std::int64_t offset, ByteView bytes) {
    keys_.checkpoint.end();
    if (keys_.sync_failed) return SQLITE_IOERR_FSYNC;
    if (offset == 0 && bytes.size() == log_header_bytes) return write_log_header(bytes);
    if (offset < static_cast<std::int64_t>(log_header_bytes) || !log_.started()) return refuse(SQLITE_IOERR_WRITE);
    const std::size_t at = static_cast<std::size_t>(offset) - log_header_bytes;
    const std::size_t frame = at / frame_bytes;
    if (at % frame_bytes == 0 && bytes.size() == frame_header_bytes) return accept_frame_header(frame, bytes);
    if (at % frame_bytes == frame_header_bytes && bytes.size() == page_bytes) return write_page(frame, bytes);
    return refuse(SQLITE_IOERR_WRITE);
}

int WalFile::write_log_header(ByteView bytes) {
    pending_.reset();
    durable_frames_ = 0;
    tail_is_old_ = true;
    kept_.rewind(0);
    if (const int code = gather_.flush(); code != SQLITE_OK) return code;
    return file_.write(0, log_.begin(bytes));
}

int WalFile::accept_frame_header(std::size_t frame, ByteView bytes) {
    // A header whose page never came counts for nothing: only frames with their page are in the log.
    if (frame > log_.count() || frame < durable_frames_ || !log_.has_our_salts(bytes)) {
        return refuse(SQLITE_IOERR_WRITE);
    }
    if (const int code = go_back_to(frame); code != SQLITE_OK) return code;
    pending_.emplace(Pending{frame, {}});
    std::copy(bytes.begin(), bytes.end(), pending_->header.begin());
    return SQLITE_OK;
}

// Frames of a step that failed, in this run or in the one that a power cut ended, are cut off for good before they are
// written over: left behind the new ones, they would look like later commits.
int WalFile::go_back_to(std::size_t frame) {
    if (frame < log_.count()) {
        tail_is_old_ = false;
        log_.rewind(frame);
        kept_.rewind(frame);
    }
    if (tail_is_old_) return SQLITE_OK;
    if (const int code = gather_.flush(); code != SQLITE_OK) return code;
    std::int64_t size = 0;
    if (const int code = file_.size(size); code != SQLITE_OK) return code;
    if (size > frame_offset(frame)) {
        if (const int code = file_.truncate(frame_offset(frame)); code != SQLITE_OK) return code;
        if (const int code = sync_or_stop(SQLITE_SYNC_NORMAL); code != SQLITE_OK) return code;
    }
    tail_is_old_ = true;
    return SQLITE_OK;
}

int WalFile::write_page(std::size_t frame, ByteView plain) {
    if (!pending_ || pending_->frame != frame) return refuse(SQLITE_IOERR_WRITE);
    const Pending pending = *pending_;
    pending_.reset();
    const std::uint32_t page_number = frame_page_number(pending.header);
    if (!may_be_sealed(page_number, plain)) return refuse(SQLITE_IOERR_WRITE);
    log_.make_room();  // what follows must not fail half-way for want of memory
    int code = SQLITE_OK;
    const MutableByteView raw = gather_.take(frame_offset(frame), frame_bytes, code);
    if (code != SQLITE_OK) return code;
    const MutableByteView sealed = raw.subspan(frame_header_bytes);
    keys_.codec.seal(page_number, plain, keys_.nonces, sealed);
    const FrameHeader stored = log_.append_written(pending.header, sealed);
    std::copy(stored.begin(), stored.end(), raw.begin());
    kept_.rewind(frame);
    kept_.keep(frame, sealed);
    return is_commit(stored) ? gather_.flush() : SQLITE_OK;
}

int WalFile::truncate(std::int64_t size) {
    keys_.checkpoint.end();
    if (keys_.sync_failed) return SQLITE_IOERR_FSYNC;
    if (const int code = gather_.flush(); code != SQLITE_OK) return code;
    pending_.reset();
    durable_frames_ = 0;
    if (size < static_cast<std::int64_t>(log_header_bytes)) {
        log_.forget();
    } else {
        const std::size_t kept = (static_cast<std::size_t>(size) - log_header_bytes) / frame_bytes;
        log_.rewind(std::min(kept, log_.count()));
    }
    kept_.rewind(log_.count());
    return file_.truncate(size);
}

int WalFile::sync(int flags) {
    if (keys_.sync_failed) return SQLITE_IOERR_FSYNC;
    if (const int code = gather_.flush(); code != SQLITE_OK) return code;
    if (const int code = sync_or_stop(flags); code != SQLITE_OK) return code;
    if (log_.count() > 0 && is_commit(log_.frame_header(log_.count() - 1))) durable_frames_ = log_.count();
    return SQLITE_OK;
}

// The frames that the failed sync was about are cut off, if the disk lets them: whoever opens the store next must not
// take for stored what only the system's memory holds.
int WalFile::sync_or_stop(int flags) {
    const int code = file_.sync(flags);
    if (code == SQLITE_OK) return code;
    keys_.sync_failed = true;
    static_cast<void>(file_.truncate(frame_offset(durable_frames_)));
    return code;
}

int WalFile::size(std::int64_t& out) {
    if (const int code = gather_.flush(); code != SQLITE_OK) return code;
    return file_.size(out);
}

}  // namespace ladderline::store::vault
