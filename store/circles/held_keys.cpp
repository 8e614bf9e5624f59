#include "store/circles/held_keys.hpp"

namespace ladderline::store {

using namespace protocol;

Result<std::vector<AeadKey>> held_keys(sqlite::Database& db, const CircleId& circle, std::size_t count_max) {
    std::vector<AeadKey> keys;
    const auto take = [&](const sqlite::Row& row) {
        Bytes secret = row.blob(0);
        keys.push_back(AeadKey::copy_of(secret));
        wipe(secret);
    };
    TRY(
        db.query("SELECT secret FROM standing_key CROSS JOIN epoch_key USING (circle, key_id) WHERE circle = ?1 "
                 "ORDER BY is_current DESC, since DESC, added DESC LIMIT ?2",
                 take, circle, count_max));
    if (keys.size() == count_max) return keys;
    TRY(
        db.query("SELECT secret FROM epoch_key AS held WHERE circle = ?1 AND NOT EXISTS (SELECT 1 FROM standing_key "
                 "AS s WHERE s.circle = ?1 AND s.key_id = held.key_id) ORDER BY added DESC LIMIT ?2",
                 take, circle, count_max - keys.size()));
    return keys;
}

}  // namespace ladderline::store
