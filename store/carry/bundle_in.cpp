#include "store/carry/bundle_in.hpp"

#include <algorithm>
#include <set>

#include "protocol/sync/room.hpp"
#include "store/circles/peers.hpp"

namespace ladderline::store {
namespace {

using namespace protocol;

class StoredKeys : public BundleKeys {
public:
    explicit StoredKeys(const CarryStore& store) : store_(store) {}

    std::optional<AeadKey> circle_key(const KeyId& key) override {
        std::optional<AeadKey> out;
        const Result<void> read = store_.db.query(
            "SELECT secret FROM epoch_key WHERE key_id = ?1 LIMIT 1",
            [&](const sqlite::Row& row) {
                Bytes secret = row.blob(0);
                if (secret.size() == AeadKey::size) out = AeadKey::copy_of(secret);
                wipe(secret);
            },
            key);
        if (!read) failed = read.error();
        used = key;
        return out;
    }
    std::optional<AeadKey> open_box(const KeyId& key, const BundleBox& box) override {
        if (key != name_of_box_key(store_.me.box.pub)) return std::nullopt;
        const auto secret = protocol::open_box(box.view(), store_.me.box);
        if (!secret) return std::nullopt;
        return AeadKey::copy_of(secret.value().view());
    }

    std::optional<Error> failed;  // the store itself could not be read
    std::optional<KeyId> used;    // the epoch key that was asked for

private:
    CarryStore store_;
};

// The device's own key for connections, if it belongs to a present member of a circle that this node's owner is in.
Result<std::optional<DhPublic>> noise_of_known(const CarryStore& store, const DeviceId& device) {
    std::optional<DhPublic> out;
    TRY(store.db.query(
        "SELECT device.noise FROM device "
        "JOIN member AS theirs ON theirs.circle = device.circle AND theirs.member = device.member "
        "JOIN member AS mine ON mine.circle = device.circle AND mine.member = ?2 "
        "WHERE device.device = ?1 AND theirs.removed = 0 AND mine.removed = 0 LIMIT 1",
        [&](const sqlite::Row& row) { out = row.fixed<DhPublic>(0); }, device, store.me.id()));
    return out;
}

class Taker {
public:
    Taker(const CarryStore& store, const StoredKeys& keys) : store_(store), keys_(keys) {}

    Result<void> take(BundleFrame frame) {
        return std::visit([&](auto& content) { return take_frame(content); }, frame);
    }
    bool has_head() const { return has_head_; }
    const CircleId& circle() const { return out_.head.circle; }
    // What came whole in one step is stored as one. Also after an error of the reading: it came before that.
    Result<void> end_step() {
        is_counted_ = false;
        return store_runs();
    }
    // A later key of a circle that is known here proves itself: stored events name it.
    Result<void> take_later_key() {
        if (!later_key_) return ok();
        TRY(const auto missing, store_.log.missing_keys(out_.head.circle));
        if (std::find(missing.begin(), missing.end(), id_of_key(*later_key_)) == missing.end()) return ok();
        out_.new_key = true;
        return store_.log.add_key(out_.head.circle, *later_key_);
    }
    TakenIn result() && { return std::move(out_); }
    // The store itself failed, or somebody without the right spoke: not the fault of the file's journey.
    bool is_final() const { return is_final_; }

private:
    Result<void> take_frame(BundleHead& head) {
        if (keys_.used) {
            bool fits = false;
            TRY(final_if_failed(store_.db.query(
                "SELECT 1 FROM epoch_key WHERE circle = ?1 AND key_id = ?2", [&](const sqlite::Row&) { fits = true; },
                head.circle, *keys_.used)));
            if (!fits)
                return Error{Fault::peer, "This bundle is sealed with another circle's key; nothing was taken in."};
        }
        out_.head = head;
        has_head_ = true;
        return ok();
    }

    Result<void> take_frame(BundleGrant& grant) {
        const Result<void> taken = final_if_failed(take_key(grant));
        wipe(grant.key);
        return taken;
    }

    Result<void> take_key(const BundleGrant& grant) {
        if (store_.log.current_key(out_.head.circle)) {
            later_key_.emplace(AeadKey::copy_of(grant.key));
            return ok();
        }
        TRY(const auto noise, noise_of_known(store_, out_.head.writer));
        const Bytes said = grant_message(out_.head, grant.key, store_.me.box.pub);
        if (!noise || !verify(said, grant.signature, signing_key(out_.head.writer))) {
            return Error{Fault::refused,
                         "This bundle brings the key of a circle from somebody you share no circle with; nothing was "
                         "taken in."};
        }
        TRY(remember_welcome(store_.db, out_.head.circle, {}, *noise));
        TRY(store_.log.add_key(out_.head.circle, AeadKey::copy_of(grant.key)));
        return ok();
    }

    Result<void> take_frame(BundleHolds& holds) {
        out_.holds = std::move(holds.heads);
        return ok();
    }

    Result<void> take_frame(ForkProof& proof) {
        TRY(verify_fork(out_.head.circle, proof));
        TRY(const bool fits, final_if_failed(has_room(log_of(out_.head.circle, proof))));
        if (!fits) return ok();
        const auto fresh = store_.log.append_fork_proof(out_.head.circle, proof);
        if (!fresh) return final_error(fresh.error());
        if (fresh.value()) ++out_.new_forks;
        return ok();
    }

    Result<void> take_frame(BundleRun& run) {
        const LogId log = run.run.log;
        const bool builds_on_these =
            std::any_of(runs_.begin(), runs_.end(), [&](const Run& other) { return other.log == log; });
        if (builds_on_these) {
            TRY(store_runs());
        }
        TRY(const std::uint64_t held, final_if_failed(store_.log.next_seq(circle(), log)));
        TRY(const bool fits, final_if_failed(has_room(log)));
        if (!fits) {
            note_carried(run.run);
            return ok();
        }
        if (run.before && run.run.first_seq <= held) {
            TRY(const auto id, final_if_failed(store_.log.event_id(circle(), log, run.run.first_seq - 1)));
            if (id != run.before) {
                ++out_.runs_forked;
                note_carried(run.run);
                return ok();
            }
        }
        runs_.push_back(std::move(run.run));
        return ok();
    }

    // A bad one among them is the error; those before it are kept.
    Result<void> store_runs() {
        const std::vector<Run> runs = std::exchange(runs_, {});
        if (runs.empty()) return ok();
        const Result<void> stored = store_as_one(runs);
        if (stored || stored.error().fault() != Fault::peer) return stored;
        for (const Run& run : runs) {
            TRY(store_as_one({run}));
        }
        return ok();
    }

    // No two of one log. Of bad ones none is stored.
    Result<void> store_as_one(const std::vector<Run>& runs) {
        std::vector<std::uint64_t> before;
        for (const Run& run : runs) {
            TRY(const std::uint64_t next_seq, final_if_failed(store_.log.next_seq(circle(), run.log)));
            before.push_back(next_seq);
        }
        const auto appended = store_.log.append_burst(circle(), runs);
        if (!appended)
            return appended.error().fault() == Fault::peer ? appended.error() : final_error(appended.error());
        for (std::size_t i = 0; i < runs.size(); ++i) {
            note_carried(runs[i]);
            TRY(const std::uint64_t after, final_if_failed(store_.log.next_seq(circle(), runs[i].log)));
            if (after > before[i]) out_.events += after - before[i];
            if (appended.value()[i] == Appended::gap) ++out_.runs_waiting;
            if (appended.value()[i] == Appended::forked) ++out_.runs_forked;
        }
        return ok();
    }

    void note_carried(const Run& run) {
        out_.runs.push_back({run.log, run.first_seq, run.first_seq + run.events.size()});
    }

    // As in a session: once a circle has as many logs as can be named, new ones are left, so that those here go on.
    // Others begin logs too between two steps, so they are counted anew in each, until there is no room.
    Result<bool> has_room(const LogId& log) {
        TRY(const std::uint64_t next_seq, store_.log.next_seq(circle(), log));
        if (next_seq > 0 || begun_.contains(log)) return true;
        TRY(const auto proof, store_.log.fork_proof(circle(), log));
        if (proof) return true;
        if (logs_here_ < logs_taken_max && !std::exchange(is_counted_, true)) {
            TRY(const auto heads, store_.log.heads(circle()));
            logs_here_ = std::max(logs_here_, heads.size());
        }
        if (logs_here_ >= logs_taken_max) {
            ++out_.logs_left;
            return false;
        }
        logs_here_ += 1;
        begun_.insert(log);
        return true;
    }

    Result<void> take_frame(const BundleEnd& /*the part was whole*/) { return ok(); }

    Error final_error(const Error& error) {
        is_final_ = true;
        return error;
    }
    template <class T>
    Result<T> final_if_failed(Result<T> outcome) {
        if (!outcome) is_final_ = true;
        return outcome;
    }

    CarryStore store_;
    const StoredKeys& keys_;
    TakenIn out_;
    std::optional<AeadKey> later_key_;
    std::vector<Run> runs_;      // not stored yet; no two of one log
    std::size_t logs_here_ = 0;  // in the circle, as far as they were counted
    bool is_counted_ = false;    // in this step
    std::set<LogId> begun_;      // new logs that were let in
    bool has_head_ = false;
    bool is_final_ = false;
};

Result<void> note_part(const CarryStore& store, TakenIn& part) {
    const BundleHead& head = part.head;
    if (part.runs.empty()) return ok();
    if (part.runs_waiting == 0 && !part.spoiled) {
        TRY(store.db.run("INSERT OR IGNORE INTO carried_part (bundle, part) VALUES (?1, ?2)", head.bundle, head.part));
    }
    std::vector<std::uint16_t> read;
    TRY(store.db.query(
        "SELECT part FROM carried_part WHERE bundle = ?1 AND part < ?2 ORDER BY part",
        [&](const sqlite::Row& row) { read.push_back(static_cast<std::uint16_t>(row.integer(0))); }, head.bundle,
        head.part));
    constexpr std::size_t named_max = 8;
    if (part.runs_waiting == 0) return ok();
    for (std::uint16_t number = 1; number < head.part && part.missing.size() < named_max; ++number) {
        if (!std::binary_search(read.begin(), read.end(), number)) part.missing.push_back(number);
    }
    return ok();
}

}  // namespace

struct TakingIn::State {
    State(const CarryStore& store_, Bytes part_)
        : store(store_), part(std::move(part_)), keys(store), taker(store, keys), steps(part, keys) {}

    CarryStore store;
    Bytes part;
    StoredKeys keys;
    Taker taker;
    BundleSteps steps;
    std::optional<TakenIn> out;

    // `why`: none if the part came to its end.
    Result<void> end(const std::optional<Error>& why) {
        Result<void> worked_out = ok();
        if (taker.has_head()) worked_out = store.log.end_burst(taker.circle());
        if (why && (taker.is_final() || !taker.has_head())) return *why;
        if (!worked_out) return worked_out;
        TRY(taker.take_later_key());
        out = std::move(taker).result();
        out->spoiled = why;
        TRY(note_part(store, *out));
        TRY(const auto heads, store.log.heads(out->head.circle));
        out->in_step = root_of(out->head.circle, heads) == out->head.root;
        return ok();
    }
};

TakingIn::TakingIn(const CarryStore& store, Bytes part) : state_(std::make_unique<State>(store, std::move(part))) {}
TakingIn::TakingIn(TakingIn&&) noexcept = default;
TakingIn::~TakingIn() = default;

Result<bool> TakingIn::step() {
    State& s = *state_;
    const Result<bool> read = s.steps.step([&](BundleFrame frame) { return s.taker.take(std::move(frame)); });
    const Result<void> stored = s.taker.end_step();
    if (s.keys.failed) return *s.keys.failed;
    if (stored && read && read.value()) return true;
    std::optional<Error> why;
    if (!read) why = read.error();
    if (!stored) why = stored.error();
    TRY(s.end(why));
    return false;
}

TakenIn TakingIn::result() && {
    ENSURE(state_->out.has_value());
    return std::move(*state_->out);
}

Result<TakenIn> take_in(const CarryStore& store, ByteView part) {
    TakingIn taking(store, to_bytes(part));
    for (;;) {
        TRY(const bool more, taking.step());
        if (!more) return std::move(taking).result();
    }
}

std::string part_name(const BundleHead& head) {
    return "part " + std::to_string(head.part) + " of bundle " + to_hex(head.bundle.view()).substr(0, 8);
}

std::string what_is_missing(const TakenIn& part) {
    if (part.runs_waiting == 0) return "";
    const std::string bundle = to_hex(part.head.bundle.view()).substr(0, 8);
    if (part.missing.empty()) {
        return "Some of " + part_name(part.head) +
               " builds on an earlier bundle that was not read here; read that one first and then this one again, or "
               "ask for one written with --all.";
    }
    std::string numbers;
    for (const std::uint16_t number : part.missing) numbers += (numbers.empty() ? "" : ", ") + std::to_string(number);
    return "Some of " + part_name(part.head) + " builds on part " + numbers +
           ", which was not read here; read it, and then this one again.";
}

}  // namespace ladderline::store
