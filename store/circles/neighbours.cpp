#include "store/circles/neighbours.hpp"

#include "store/circles/held_keys.hpp"

namespace ladderline::store {

using namespace protocol;

Result<std::vector<Neighbourhood>> neighbourhoods(sqlite::Database& db, const MemberId& me, const DeviceId& own) {
    std::vector<Neighbourhood> out;
    TRY(db.query(
        "SELECT device.circle, device.device, device.noise FROM device "
        "JOIN member AS theirs ON theirs.circle = device.circle AND theirs.member = device.member "
        "JOIN member AS mine ON mine.circle = device.circle AND mine.member = ?1 "
        "WHERE theirs.removed = 0 AND mine.removed = 0 AND device.device <> ?2 "
        "AND EXISTS (SELECT 1 FROM epoch_key WHERE epoch_key.circle = device.circle) ORDER BY 1, 2",
        [&](const sqlite::Row& row) {
            const auto circle = row.fixed<CircleId>(0);
            if (out.empty() || out.back().circle != circle) out.push_back({circle, {}, {}});
            out.back().devices.push_back({row.fixed<DeviceId>(1), row.fixed<DhPublic>(2)});
        },
        me, own));
    for (Neighbourhood& around : out) {
        TRY(around.keys, held_keys(db, around.circle, neighbour_keys_max));
    }
    return out;
}

}  // namespace ladderline::store
