#include "store/circles/log_ends.hpp"

#include <algorithm>

#include "protocol/limits.hpp"

namespace ladderline::store {

using namespace protocol;

Result<std::vector<Cut>> log_ends(sqlite::Database& db, const CircleId& circle, const CircleState& state,
                                  const std::function<bool(const DeviceCertificate&)>& is_meant) {
    std::vector<Cut> out;
    TRY(db.query(
        "SELECT log.log, log.device, log.next_seq, log.head, event.ctl FROM log JOIN event USING (log_ref) "
        "WHERE log.circle = ?1 AND event.seq = 0",
        [&](const sqlite::Row& row) -> Result<void> {
            const auto log = row.fixed<LogId>(0);
            const auto device = state.devices.find(row.fixed<DeviceId>(1));
            if (device == state.devices.end() || !is_meant(device->second)) return ok();
            TRY(const auto first_ctl, codec::decode<std::vector<EventId>>(row.blob(4)));
            const auto last = state.counts_until(device->first, log, first_ctl);
            const auto held = static_cast<std::uint64_t>(row.integer(2)) - 1;
            if (last && *last < held) out.push_back({log, *last, {}});
            if (last && *last >= held) out.push_back({log, held, row.fixed<EventId>(3)});
            return ok();
        },
        circle));
    std::sort(out.begin(), out.end(), [](const Cut& a, const Cut& b) { return a.seq > b.seq; });
    if (out.size() > limits::list_max) out.resize(limits::list_max);
    return out;
}

}  // namespace ladderline::store
