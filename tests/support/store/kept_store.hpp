#pragma once
// A whole store with an owner and a club, in a folder of the system or in memory, opened and closed as a node does.

#include <doctest/doctest.h>

#include <cstdlib>
#include <filesystem>
#include <fstream>
#include <iterator>
#include <stdexcept>

#include "protocol/event/kinds.hpp"
#include "store/identity/identity.hpp"
#include "store/store.hpp"
#include "tests/support/scratch.hpp"
#include "tests/support/store/event_log_node.hpp"
#include "tests/support/store/memory_disk.hpp"
#include "tests/support/store/memory_vfs.hpp"

namespace ladderline::test {

inline const std::string kept_passphrase = "seven made-up words that only tests use";

// The value, or the end of the test with the sentence.
template <class T>
T good(Result<T> result) {
    if (!result) throw std::runtime_error(result.error().sentence());
    if constexpr (!std::is_void_v<T>) return std::move(result).value();
}

inline Bytes bytes_of_file(const std::filesystem::path& file) {
    std::ifstream in(file, std::ios::binary);
    return Bytes(std::istreambuf_iterator<char>(in), {});
}
inline void write_file(const std::filesystem::path& file, ByteView bytes) {
    std::ofstream(file, std::ios::binary) << as_text(bytes);
}
// Every file below a folder with its bytes.
inline std::map<std::string, Bytes> all_files(const std::filesystem::path& folder) {
    std::map<std::string, Bytes> out;
    if (!std::filesystem::exists(folder)) return out;
    for (const auto& entry : std::filesystem::directory_iterator(folder)) {
        if (entry.is_directory()) continue;
        out[entry.path().filename().string()] = bytes_of_file(entry.path());
    }
    return out;
}

inline protocol::PassphraseCost cheap_passphrase() {
    protocol::PassphraseCost cost;
    cost.memory_kib = 8 * 1024;
    return cost;
}

// Made with an owner if there is none. Never moved.
class KeptStore {
public:
    KeptStore(store::Disk& disk, const store::StoreFolder& where, std::uint64_t seed = 1) : random(seed) {
        if (good(store::vault::has_key_file(disk, where.folder))) {
            store_ = good(store::Store::open(disk, where, as_bytes(kept_passphrase), random, {}));
        } else {
            store_ = good(store::Store::create(disk, where, as_bytes(kept_passphrase), cheap_passphrase(), random, {}));
            auto tx = good(store::sqlite::Transaction::begin(store_->db()));
            good(store::create_identity(store_->db(), "test device", random));
            good(tx.commit());
        }
        me_.emplace(good(store::load_identity(store_->db())));
        log().act_as(me_->own_device());
    }

    store::Store& store() { return *store_; }
    store::EventLog& log() { return store_->log(); }
    store::sqlite::Database& db() { return store_->db(); }

    protocol::CircleId found(const std::string& name) {
        const protocol::FoundBody body{
            protocol::CircleKind::club, name, protocol::MemberRole::officer, 4, "Ada", false, me_->certificate};
        auto tx = good(store::sqlite::Transaction::begin(db()));
        const protocol::CircleId circle = good(log().found_within(protocol::codec::encode(body), now));
        good(tx.commit());
        return circle;
    }
    void write(const protocol::CircleId& circle, const std::string& text) {
        good(log().append({circle, protocol::kind::note, to_bytes(as_bytes(text)), {}}, now));
    }

    SeededRandom random;
    WallTime now{1'700'000'000'000};

private:
    std::unique_ptr<store::Store> store_;
    std::optional<store::Identity> me_;
};

// An invite that nobody has used, one that somebody has, and the code of a place at a courier.
inline void give_out_codes(store::sqlite::Database& db) {
    for (const char* row : {"(randomblob(16), randomblob(32), randomblob(32), 1, 0, 1, NULL)",
                            "(randomblob(16), randomblob(32), randomblob(32), 1, 0, 1, randomblob(32))"}) {
        good(db.execute("INSERT INTO invite (invite, secret, circle, role, level, expires, used_by) VALUES " +
                        std::string(row)));
    }
    good(db.execute("INSERT INTO courier_code (code, secret, quota, days, expires) VALUES (randomblob(16), "
                    "randomblob(32), 1, 1, 1)"));
}

// Everything of the circle that `to` lacks; false if the two contradict one another.
inline bool carry_log(store::EventLog& from, store::EventLog& to, const protocol::CircleId& circle) {
    for (const protocol::LogHead& head : good(from.heads(circle))) {
        for (std::uint64_t next = good(to.next_seq(circle, head.log)); next < head.next_seq;) {
            const protocol::Run run = good(from.read_run(circle, head.log, next));
            if (good(to.append_run(circle, run)) != protocol::Appended::stored) return false;
            next = good(to.next_seq(circle, head.log));
        }
        // Its last event is the same on both sides, or `to` knows more.
        if (good(to.event_id(circle, head.log, head.next_seq - 1)) != head.head) return false;
    }
    return true;
}

inline bool sync_logs(store::EventLog& a, store::EventLog& b, const protocol::CircleId& circle) {
    return carry_log(a, b, circle) && carry_log(b, a, circle);
}

inline protocol::Root root_at(store::EventLog& log, const protocol::CircleId& circle) {
    return protocol::root_of(circle, good(log.heads(circle)));
}

}  // namespace ladderline::test
