#include "store/upkeep/last_check.hpp"

#include "store/settings/settings.hpp"

namespace ladderline::store {
namespace {

constexpr std::string_view events_setting = "last_check";
constexpr std::string_view full_setting = "last_full_check";

Result<std::optional<CheckRecord>> stored_check(sqlite::Database& db, std::string_view name) {
    TRY(const auto stored, get_setting(db, name));
    if (!stored) return std::optional<CheckRecord>();
    TRY(CheckRecord record, protocol::codec::decode<CheckRecord>(*stored));
    return std::optional<CheckRecord>(std::move(record));
}

}  // namespace

CheckRecord record_of(const ChainReport& report, WallTime when) {
    return {when, report.logs, report.events, report.is_sound(), to_sentence(report)};
}

Result<void> put_events_check(sqlite::Database& db, const CheckRecord& record) {
    return put_setting(db, events_setting, protocol::codec::encode(record));
}

Result<void> put_full_check(sqlite::Database& db, const CheckRecord& record) {
    TRY(put_setting(db, full_setting, protocol::codec::encode(record)));
    return forget_setting(db, events_setting);
}

Result<void> forget_checks(sqlite::Database& db) {
    TRY(forget_setting(db, full_setting));
    return forget_setting(db, events_setting);
}

Result<std::optional<LastCheck>> last_check(sqlite::Database& db) {
    TRY(auto full, stored_check(db, full_setting));
    TRY(auto events, stored_check(db, events_setting));
    std::optional<LastCheck> out;
    if (!full && !events) return out;
    std::optional<WallTime> when;
    if (full) when = full->when;
    const bool is_full = !events || (full && !full->sound);
    out = LastCheck{std::move(is_full ? *full : *events), is_full, when};
    return out;
}

}  // namespace ladderline::store
