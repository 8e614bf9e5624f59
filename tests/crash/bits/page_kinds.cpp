#include "tests/crash/bits/page_kinds.hpp"

#include <set>

namespace ladderline::test {

using namespace ladderline::store;

namespace {

using vault::page_bytes;

constexpr std::uint8_t index_interior = 2;
constexpr std::uint8_t table_interior = 5;
constexpr std::uint8_t index_leaf = 10;
constexpr std::uint8_t table_leaf = 13;

std::uint32_t number_at(ByteView bytes, std::size_t at) {
    return std::uint32_t{bytes[at]} << 24 | std::uint32_t{bytes[at + 1]} << 16 | std::uint32_t{bytes[at + 2]} << 8 |
           std::uint32_t{bytes[at + 3]};
}

}  // namespace

Files store_with_all_kinds(std::uint64_t seed) {
    VaultBox box({}, seed);
    {
        sqlite::Database database = box.must_open(true);
        must(database.execute(
            "CREATE TABLE t(id INTEGER PRIMARY KEY, k TEXT, v BLOB) STRICT; CREATE INDEX by_k ON t(k);"
            "CREATE TABLE away(id INTEGER PRIMARY KEY, v BLOB) STRICT;"
            "WITH RECURSIVE n(i) AS (SELECT 1 UNION ALL SELECT i + 1 FROM n WHERE i < 400)"
            " INSERT INTO t SELECT i, printf('key %080d', i), CAST(printf('value %0200d', i) AS BLOB) FROM n;"
            "INSERT INTO t VALUES (1000, 'long', CAST(printf('%030000d', 7) AS BLOB));"
            "WITH RECURSIVE n(i) AS (SELECT 1 UNION ALL SELECT i + 1 FROM n WHERE i < 20)"
            " INSERT INTO away SELECT i, zeroblob(3000) FROM n;"
            "DROP TABLE away;"));
    }
    return box.memory.files();
}

std::map<std::string, std::uint32_t> page_kinds(const Files& files) {
    const Bytes& raw = files.at(store_file);
    const ByteView header = ByteView(raw).first(vault::header_bytes);
    const protocol::AeadKey key = VaultBox::key();
    const vault::PageCodec codec(header, key);
    const auto plain_of = [&](std::uint32_t page) {
        vault::PlainPage plain;
        REQUIRE(codec.open(page, ByteView(raw).subspan((page - 1) * page_bytes, page_bytes), plain));
        return plain;
    };
    std::map<std::string, std::uint32_t> out{{"first page", 1}};
    std::set<std::uint32_t> free;
    const std::uint32_t trunk = number_at(plain_of(1), 32);
    if (trunk != 0) {
        out["freelist trunk"] = trunk;
        free.insert(trunk);
        const vault::PlainPage plain = plain_of(trunk);
        const std::uint32_t leaves = number_at(plain, 4);
        for (std::uint32_t i = 0; i < leaves; ++i) free.insert(number_at(plain, 8 + 4 * i));
        if (leaves > 0) out["freelist leaf"] = number_at(plain, 8);
    }
    const std::map<std::uint8_t, std::string> trees{{index_interior, "index interior"},
                                                    {table_interior, "table interior"},
                                                    {index_leaf, "index leaf"},
                                                    {table_leaf, "table leaf"}};
    for (std::uint32_t page = 2; page <= raw.size() / page_bytes; ++page) {
        if (free.contains(page)) continue;
        const auto kind = trees.find(plain_of(page)[0]);
        // What is neither a tree's nor free holds the rest of the long value.
        out.emplace(kind == trees.end() ? "overflow" : kind->second, page);
    }
    return out;
}

Result<std::string> everything_in(sqlite3* connection) {
    std::string out;
    for (const char* sql :
         {"SELECT group_concat(id || k || hex(v)) FROM t", "SELECT count(*), max(k) FROM t INDEXED BY by_k",
          "PRAGMA integrity_check", "PRAGMA freelist_count"}) {
        sqlite3_stmt* statement = nullptr;
        int code = sqlite3_prepare_v2(connection, sql, -1, &statement, nullptr);
        while (code == SQLITE_OK || code == SQLITE_ROW) {
            code = sqlite3_step(statement);
            if (code != SQLITE_ROW) break;
            const auto* text = reinterpret_cast<const char*>(sqlite3_column_text(statement, 0));
            const std::string found = text == nullptr ? "" : text;
            // The check says in rows what it could not read.
            const bool sound = std::string_view(sql) != "PRAGMA integrity_check" || found == "ok";
            out += found;
            if (!sound) code = SQLITE_CORRUPT;
        }
        sqlite3_finalize(statement);
        if (code != SQLITE_DONE) return Error{Fault::damaged, sqlite3_errstr(code)};
    }
    return out;
}

}  // namespace ladderline::test
