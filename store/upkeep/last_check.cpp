#include "store/upkeep/last_check.hpp"

#include "store/settings/settings.hpp"

namespace ladderline::store {

CheckRecord record_of(const ChainReport& report, WallTime when) {
    return {when, report.logs, report.events, report.is_sound(), to_sentence(report)};
}

Result<void> put_last_check(sqlite::Database& db, const CheckRecord& record) {
    return put_setting(db, "last_check", protocol::codec::encode(record));
}

Result<std::optional<CheckRecord>> last_check(sqlite::Database& db) {
    TRY(const auto stored, get_setting(db, "last_check"));
    if (!stored) return std::optional<CheckRecord>();
    TRY(CheckRecord record, protocol::codec::decode<CheckRecord>(*stored));
    return std::optional<CheckRecord>(std::move(record));
}

}  // namespace ladderline::store
