#include "store/circles/wrap_shelf.hpp"

#include <algorithm>
#include <array>
#include <map>
#include <tuple>

#include "protocol/circle/epochs.hpp"

namespace ladderline::store {

using namespace protocol;

namespace {

// More than one if a certificate names somebody else's Noise key: nobody proves in it that the key is their own.
// Whoever is at the other end holds that key, and is not shut out by what others certify.
std::vector<DeviceCertificate> devices_with(const CircleState& state, const DhPublic& noise) {
    std::vector<DeviceCertificate> out;
    for (const auto& [id, device] : state.devices) {
        if (device.noise == noise && state.present_member(id)) out.push_back(device);
    }
    return out;
}

bool may_any_read(const CircleState& state, const std::vector<DeviceCertificate>& devices, const KeyId& key,
                  Day today) {
    return std::any_of(devices.begin(), devices.end(),
                       [&](const DeviceCertificate& device) { return may_read(state, device.device, key, today); });
}

Result<std::optional<Wrap>> kept_copy(sqlite::Database& db, const CircleId& circle, const KeyId& key,
                                      const WrapTag& tag) {
    std::optional<Wrap> copy;
    TRY(db.query(
        "SELECT copy FROM wrap WHERE circle = ?1 AND key_id = ?2 AND tag = ?3",
        [&](const sqlite::Row& row) -> Result<void> {
            TRY(copy, codec::decode<Wrap>(row.blob(0)));
            return ok();
        },
        circle, key, tag));
    return copy;
}

using KeyLists = std::vector<std::vector<KeyId>>;

// Zeros for a device that is nobody's, or was reported lost.
Result<MemberId> member_with(sqlite::Database& db, const CircleId& circle, const DeviceId& device) {
    MemberId out;
    TRY(db.query(
        "SELECT member FROM device WHERE circle = ?1 AND device = ?2",
        [&](const sqlite::Row& row) { out = row.fixed<MemberId>(0); }, circle, device));
    return out;
}

struct LogKeys {
    DeviceId device;
    std::optional<std::uint64_t> fork;  // what stands beyond it wants no key
    std::vector<KeyId> keys;
};
// Of each log of the circle, still without keys.
Result<std::map<std::int64_t, LogKeys>> logs_of(sqlite::Database& db, const CircleId& circle) {
    std::map<std::int64_t, LogKeys> out;
    TRY(db.query(
        "SELECT log_ref, device, fork_proof.seq FROM log LEFT JOIN fork_proof USING (circle, log) WHERE circle = ?1",
        [&](const sqlite::Row& row) {
            LogKeys& log = out[row.integer(0)];
            log.device = row.fixed<DeviceId>(1);
            if (!row.is_null(2)) log.fork = static_cast<std::uint64_t>(row.integer(2));
        },
        circle));
    return out;
}

// Keys that are not here, of each member log by log, the newest in front. Sorted here: SQLite takes twice the time.
Result<std::map<MemberId, KeyLists>> missing_by_member(sqlite::Database& db, const CircleId& circle) {
    struct Missing {
        std::int64_t log;
        std::uint64_t first_seq;
        std::uint64_t last_seq;
        KeyId key;
    };
    std::vector<Missing> all;
    TRY(db.query(
        "SELECT log_ref, first_seq, last_seq, key_id FROM missing_key WHERE circle = ?1",
        [&](const sqlite::Row& row) {
            all.push_back({row.integer(0), static_cast<std::uint64_t>(row.integer(1)),
                           static_cast<std::uint64_t>(row.integer(2)), row.fixed<KeyId>(3)});
        },
        circle));
    std::map<MemberId, KeyLists> out;
    if (all.empty()) return out;
    std::sort(all.begin(), all.end(), [](const Missing& a, const Missing& b) {
        return std::tuple(a.log, b.last_seq) < std::tuple(b.log, a.last_seq);
    });
    TRY(auto logs, logs_of(db, circle));
    for (const Missing& one : all) {
        LogKeys& log = logs[one.log];
        if (!log.fork || one.first_seq < *log.fork) log.keys.push_back(one.key);
    }
    for (auto& [ref, log] : logs) {
        if (log.keys.empty()) continue;
        TRY(const MemberId member, member_with(db, circle, log.device));
        out[member].push_back(std::move(log.keys));
    }
    return out;
}

// One of each list, then the second of each, and so on.
std::vector<KeyId> in_turns(KeyLists lists) {
    std::vector<KeyId> out;
    for (std::size_t turn = 0; !lists.empty(); ++turn) {
        std::erase_if(lists, [&](const auto& keys) { return keys.size() <= turn; });
        for (const auto& keys : lists) out.push_back(keys[turn]);
    }
    return out;
}

// So that none stands behind thousands each time.
void begin_anywhere(KeyLists& lists, Random& random) {
    if (lists.size() < 2) return;
    std::array<std::uint8_t, 2> drawn{};
    random.fill(drawn);
    const std::size_t first = (drawn[0] * 256U + drawn[1]) % lists.size();
    std::rotate(lists.begin(), lists.begin() + static_cast<std::ptrdiff_t>(first), lists.end());
}

}  // namespace

// Anybody's events may name keys that there are not, so members take turns: to name many hides nothing of others.
Result<std::vector<KeyId>> StoreShelf::missing_keys(const CircleId& circle) {
    TRY(auto by_member, missing_by_member(states_.db(), circle));
    KeyLists turns;
    for (auto& [member, logs] : by_member) {
        begin_anywhere(logs, random_);
        turns.push_back(in_turns(std::move(logs)));
    }
    return in_turns(std::move(turns));
}

Result<std::optional<Wrap>> StoreShelf::copy_for_peer(const CircleId& circle, const KeyId& key, const WrapTag& tag) {
    const auto state = states_.of(circle);
    if (!state) return std::optional<Wrap>();
    auto owners = devices_with(*state.value(), peer_);
    if (owners.empty()) return std::optional<Wrap>();
    std::erase_if(owners, [&](const DeviceCertificate& device) { return tag != tag_of(key, device.box); });
    const bool is_own = !owners.empty();
    if (is_own && !may_any_read(*state.value(), owners, key, today_)) return std::optional<Wrap>();
    TRY(auto kept, kept_copy(states_.db(), circle, key, tag));
    if (kept || !is_own) return kept;
    TRY(const auto held, log_.find_key(circle, key));
    if (!held) return std::optional<Wrap>();
    return std::optional<Wrap>(wrap_freshly(*held, owners.front().box, random_));
}

Result<void> StoreShelf::take_key(const CircleId& circle, const AeadKey& key) {
    return log_.add_key(circle, key);
}

Result<std::optional<AeadKey>> key_for_device(KnownStates& states, EventLog& log, const CircleId& circle,
                                              const DhPublic& noise, Day today) {
    const auto state = states.of(circle);
    if (!state) return std::optional<AeadKey>();
    const auto devices = devices_with(*state.value(), noise);
    auto key = log.current_key(circle);
    if (!key || !may_any_read(*state.value(), devices, id_of_key(key.value()), today)) {
        return std::optional<AeadKey>();
    }
    return std::optional<AeadKey>(std::move(key).value());
}

}  // namespace ladderline::store
