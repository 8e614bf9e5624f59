#include "store/settings/settings.hpp"

namespace ladderline::store {

Result<std::optional<Bytes>> get_setting(sqlite::Database& db, std::string_view name) {
    std::optional<Bytes> out;
    TRY(db.query(
        "SELECT value FROM setting WHERE name = ?1", [&](const sqlite::Row& row) { out = row.blob(0); }, name));
    return out;
}

Result<void> put_setting(sqlite::Database& db, std::string_view name, ByteView value) {
    return db.run("INSERT INTO setting (name, value) VALUES (?1, ?2) ON CONFLICT (name) DO UPDATE SET value = ?2", name,
                  value);
}

Result<std::optional<std::string>> get_text_setting(sqlite::Database& db, std::string_view name) {
    TRY(const auto value, get_setting(db, name));
    if (!value) return std::optional<std::string>();
    return std::optional<std::string>(as_text(*value));
}

Result<void> put_text_setting(sqlite::Database& db, std::string_view name, std::string_view value) {
    return put_setting(db, name, as_bytes(value));
}

Result<std::vector<std::string>> setting_names(sqlite::Database& db, std::string_view prefix) {
    std::vector<std::string> out;
    TRY(db.query(
        "SELECT name FROM setting WHERE substr(name, 1, length(?1)) = ?1 ORDER BY name",
        [&](const sqlite::Row& row) { out.emplace_back(row.text(0)); }, prefix));
    return out;
}

Result<void> forget_setting(sqlite::Database& db, std::string_view name) {
    return db.run("DELETE FROM setting WHERE name = ?1", name);
}

}  // namespace ladderline::store
