#include "store/carry/bundle_out.hpp"

#include <algorithm>
#include <limits>
#include <map>

#include "protocol/crypto/hash.hpp"
#include "store/sqlite/transaction.hpp"

namespace ladderline::store {
namespace {

using namespace protocol;

constexpr std::int64_t repeat_every = 10;
constexpr std::int64_t repeated_ms = std::int64_t{30} * 24 * 60 * 60 * 1000;

using Known = std::map<LogId, std::uint64_t>;

// What was put in for that reader, up to that time.
Result<Known> put_in_before(sqlite::Database& db, const BundleOrder& order, WallTime until) {
    Known out;
    if (order.everything) return out;
    TRY(db.query(
        "SELECT log, max(next_seq) FROM carried WHERE circle = ?1 AND reader = ?2 AND written <= ?3 GROUP BY log",
        [&](const sqlite::Row& row) { out[row.fixed<LogId>(0)] = static_cast<std::uint64_t>(row.integer(1)); },
        order.circle, order.for_whom, until));
    return out;
}

Result<std::int64_t> bundles_so_far(sqlite::Database& db, const BundleOrder& order) {
    std::int64_t count = 0;
    TRY(db.query(
        "SELECT count FROM carried_bundles WHERE circle = ?1 AND reader = ?2",
        [&](const sqlite::Row& row) { count = row.integer(0); }, order.circle, order.for_whom));
    return count;
}

// The parts of one bundle, one after another.
class Parts {
public:
    Parts(const CarryStore& store, const BundleOrder& order, const AeadKey& key, Random& random, const PutPart& put)
        : store_(store), order_(order), key_(key), random_(random), put_(put), bundle_(random.draw<BundleId>()) {}

    // `root`: of all that is held.
    void know(const Root& root) { root_ = root; }

    // All proofs go before the first run.
    Result<void> add(const ForkProof& proof) {
        TRY(make_room(codec::encode(proof).size()));
        writer_->add(proof);
        return ok();
    }
    // False if no part can hold the run.
    Result<bool> add(const std::optional<EventId>& before, const Run& run) {
        const Bytes encoded = encode_run(run);
        if (!BundleWriter::can_ever_hold(encoded.size())) return false;
        TRY(make_room(encoded.size()));
        writer_->add_run(before, encoded);
        return true;
    }
    bool is_empty() const { return count_ == 0; }
    Result<void> finish(bool last) {
        Bytes part = std::move(*writer_).finish(last);
        writer_.reset();
        return put_(std::move(part));
    }
    std::size_t count() const { return count_; }

private:
    Result<void> make_room(std::size_t bytes) {
        if (writer_ && !writer_->has_room_for(bytes)) {
            TRY(finish(false));
        }
        if (!writer_) begin();
        return ok();
    }
    void begin() {
        BundleHead head{order_.circle,         bundle_,       static_cast<std::uint16_t>(++count_),
                        store_.me.device_id(), order_.reader, root_};
        if (!order_.device) {
            writer_.emplace(BundleLock::under(key_, random_), head);
            return;
        }
        writer_.emplace(BundleLock::to_device(*order_.device, random_), head);
        const Bytes key = to_bytes(key_.view());
        writer_->add(BundleGrant{key, sign(grant_message(head, key, *order_.device), store_.me.device.secret)});
    }

    CarryStore store_;
    BundleOrder order_;
    const AeadKey& key_;
    Random& random_;
    const PutPart& put_;
    BundleId bundle_;
    Root root_;
    std::size_t count_ = 0;
    std::optional<BundleWriter> writer_;
};

struct LogPutIn {
    std::uint64_t upto = 0;     // the number of the first event that is not in
    bool is_too_large = false;  // a stretch which no part can hold begins there
};

// The runs of one log from `from` on. What follows a stretch that is not in cannot be checked without it.
Result<LogPutIn> add_log(const CarryStore& store, const CircleId& circle, const LogHead& head, std::uint64_t from,
                         Parts& parts) {
    while (from < head.next_seq) {
        auto read = store.log.read_run(circle, head.log, from);
        // Nobody could take in what has no signature over it here.
        if (!read && read.error().fault() == Fault::not_found) return LogPutIn{from};
        TRY(const Run run, std::move(read));
        std::optional<EventId> before;
        if (from > 0) {
            TRY(before, store.log.event_id(circle, head.log, from - 1));
        }
        TRY(const bool is_in, parts.add(before, run));
        if (!is_in) return LogPutIn{from, true};
        from += run.events.size();
    }
    return LogPutIn{head.next_seq};  // a run may end beyond a fork
}

// A proof is put in once for each reader. It is remembered as if it were a log of its own.
LogId mark_of(const ForkProof& proof) {
    return hash_as<LogId>("ladderline carried proof 1", {codec::encode(proof)});
}

Result<std::vector<ForkProof>> proofs_to_send(const CarryStore& store, const BundleOrder& order,
                                              const std::vector<LogHead>& heads) {
    std::vector<ForkProof> out;
    for (const LogHead& head : heads) {
        if (!head.fork) continue;
        TRY(auto proof, store.log.fork_proof(order.circle, head.log));
        if (!proof) continue;
        TRY(const std::uint64_t known, carried_until(store.db, order.circle, order.for_whom, mark_of(*proof)));
        if (known == 0 || order.everything) out.push_back(std::move(*proof));
    }
    return out;
}

// Of what is older than the repeated stretch, only the furthest is of use.
Result<void> forget_old(sqlite::Database& db, const BundleOrder& order, WallTime now) {
    const WallTime until{now.ms - repeated_ms};
    return db.run(
        "DELETE FROM carried WHERE circle = ?1 AND reader = ?2 AND written <= ?3 AND next_seq < "
        "(SELECT max(next_seq) FROM carried AS later WHERE later.circle = carried.circle AND "
        "later.reader = carried.reader AND later.log = carried.log AND later.written <= ?3)",
        order.circle, order.for_whom, until);
}

Result<void> remember(const CarryStore& store, const BundleOrder& order, const std::vector<LogHead>& sent,
                      WallTime now) {
    TRY(sqlite::Transaction tx, sqlite::Transaction::begin(store.db));
    for (const LogHead& head : sent) {
        TRY(remember_carried(store.db, order.circle, order.for_whom, head.log, head.next_seq, now));
    }
    TRY(
        store.db.run("INSERT INTO carried_bundles (circle, reader, count) VALUES (?1, ?2, 1) "
                     "ON CONFLICT (circle, reader) DO UPDATE SET count = count + 1",
                     order.circle, order.for_whom));
    TRY(forget_old(store.db, order, now));
    return tx.commit();
}

}  // namespace

Result<void> remember_carried(sqlite::Database& db, const CircleId& circle, const CarryReader& for_whom,
                              const LogId& log, std::uint64_t next_seq, WallTime now) {
    return db.run("INSERT OR IGNORE INTO carried (circle, reader, log, next_seq, written) VALUES (?1, ?2, ?3, ?4, ?5)",
                  circle, for_whom, log, next_seq, now);
}

Result<std::uint64_t> carried_until(sqlite::Database& db, const CircleId& circle, const CarryReader& for_whom,
                                    const LogId& log) {
    std::int64_t next_seq = 0;
    TRY(db.query(
        "SELECT max(next_seq) FROM carried WHERE circle = ?1 AND reader = ?2 AND log = ?3",
        [&](const sqlite::Row& row) { next_seq = row.integer(0); }, circle, for_whom, log));
    return static_cast<std::uint64_t>(next_seq);
}

std::string in_words_left(std::size_t logs_left) {
    if (logs_left == 0) return "";
    return "What " + std::string(logs_left == 1 ? "one device" : std::to_string(logs_left) + " devices") +
           " wrote could not all be put in: a stretch of it is too large for a bundle. It comes by a connection alone.";
}

Result<PutIn> write_bundle(const CarryStore& store, const BundleOrder& order, WallTime now, Random& random,
                           const PutPart& put) {
    TRY(const AeadKey key, store.log.current_key(order.circle));
    TRY(const auto heads, store.log.heads(order.circle));
    TRY(const std::int64_t before, bundles_so_far(store.db, order));
    TRY(Known known, put_in_before(store.db, order, {std::numeric_limits<std::int64_t>::max()}));
    const auto lacks = [&](const LogHead& head) { return known[head.log] < head.next_seq; };
    PutIn out;
    TRY(const auto proofs, proofs_to_send(store, order, heads));
    if (proofs.empty() && std::none_of(heads.begin(), heads.end(), lacks)) return out;
    out.repeats = (before + 1) % repeat_every == 0;
    if (out.repeats) {
        TRY(known, put_in_before(store.db, order, {now.ms - repeated_ms}));
    }
    Parts parts(store, order, key, random, put);
    parts.know(root_of(order.circle, heads));
    std::vector<LogHead> sent;
    for (const ForkProof& proof : proofs) {
        TRY(parts.add(proof));
        sent.push_back({mark_of(proof), 1, {}});
    }
    for (const LogHead& head : heads) {
        if (!lacks(head)) continue;
        const std::uint64_t from = known[head.log];
        TRY(const LogPutIn put_in, add_log(store, order.circle, head, from, parts));
        if (put_in.is_too_large) ++out.logs_left;
        if (put_in.upto == from) continue;
        out.events += put_in.upto - from;
        sent.push_back({head.log, put_in.upto, {}});
    }
    if (parts.is_empty()) return out;
    TRY(parts.finish(true));
    TRY(remember(store, order, sent, now));
    out.parts = parts.count();
    return out;
}

Result<Bytes> write_holds(const CarryStore& store, const CircleId& circle, Random& random) {
    TRY(const AeadKey key, store.log.current_key(circle));
    TRY(const auto heads, store.log.heads(circle));
    const BundleHead head{circle,       random.draw<BundleId>(), 1, store.me.device_id(),
                          std::nullopt, root_of(circle, heads)};
    BundleWriter writer(BundleLock::under(key, random), head);
    const bool fits = heads.size() <= limits::heads_max && codec::encode(heads).size() < limits::message_bytes_max;
    if (fits) writer.add(BundleHolds{heads});
    return std::move(writer).finish(true);
}

}  // namespace ladderline::store
