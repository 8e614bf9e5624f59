#pragma once
// An encrypted database in memory, for tests that open, break and open it again.

#include <doctest/doctest.h>

#include <string>

#include "store/vault/open_database.hpp"
#include "tests/support/store/memory_vfs.hpp"

namespace ladderline::test {

inline const std::string store_file = "/mem/store.db";
inline const std::string log_file = store_file + "-wal";

class VaultBox {
public:
    explicit VaultBox(Files files = {}, std::uint64_t seed = 1) : memory(std::move(files)), random(seed) {}

    Result<store::sqlite::Database> open(bool create = false) {
        return store::vault::open_database(store_file, key(), {create, memory.name(), random});
    }
    // For a test that goes on only if this works.
    store::sqlite::Database must_open(bool create = false) {
        Result<store::sqlite::Database> opened = open(create);
        if (!opened) FAIL(opened.error().sentence());
        return std::move(opened).value();
    }

    // The same in every box, so that the files of one can be opened in another.
    static protocol::AeadKey key() {
        SeededRandom fixed(20261125);
        return protocol::AeadKey::random(fixed);
    }

    MemoryVfs memory;
    SeededRandom random;
};

inline std::int64_t number(store::sqlite::Database& database, std::string_view sql) {
    std::int64_t out = -1;
    const Result<void> outcome = database.query(sql, [&](const store::sqlite::Row& row) { out = row.integer(0); });
    if (!outcome) FAIL(outcome.error().sentence());
    return out;
}

inline std::string text(store::sqlite::Database& database, std::string_view sql) {
    std::string out;
    const Result<void> outcome = database.query(sql, [&](const store::sqlite::Row& row) { out = row.text(0); });
    if (!outcome) FAIL(outcome.error().sentence());
    return out;
}

// Ends the test with the sentence of the error if there is one.
inline void must(const Result<void>& outcome) {
    if (!outcome) FAIL(outcome.error().sentence());
}

}  // namespace ladderline::test
