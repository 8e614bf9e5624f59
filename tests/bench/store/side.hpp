#pragma once
// One side of the comparison: the same tables and settings over plain SQLite, over the vault, or over SQLCipher.

#include <cstdint>
#include <filesystem>
#include <memory>
#include <optional>
#include <string>

#include "store/vault/open_database.hpp"
#include "tests/bench/store/calls.hpp"

namespace ladderline::bench {

// Says what went wrong and ends the program.
[[noreturn]] void give_up(const std::string& sentence);

// A prepared statement; ends the program at any error.
class Prepared {
public:
    Prepared(const SqliteCalls& calls, sqlite3* connection, const char* sql);
    Prepared(Prepared&& other) noexcept;
    Prepared& operator=(Prepared&&) = delete;
    ~Prepared();

    // Parameters and columns: from 1 and from 0, as SQLite counts.
    void bind(int parameter, std::int64_t value);
    // The bytes must stay until run().
    void bind(int parameter, ByteView bytes);
    bool step();
    void reset();
    void run();
    ByteView blob(int column);
    std::string text(int column);

private:
    const SqliteCalls& calls_;
    sqlite3* connection_;
    sqlite3_stmt* statement_ = nullptr;
};

enum class Kind { plain, vault, sqlcipher };
const char* name_of(Kind kind);

class Side {
public:
    // A raw 32-byte key for both encrypting sides: no passphrase is stretched anywhere. `calls` outlives this.
    Side(Kind kind, std::filesystem::path file, const SqliteCalls& calls, const protocol::AeadKey& key);
    ~Side() { close(); }
    Side(const Side&) = delete;
    Side& operator=(const Side&) = delete;

    Kind kind() const { return kind_; }
    const std::filesystem::path& file() const { return file_; }
    std::filesystem::path log_file() const { return file_.string() + "-wal"; }

    // Opens, and makes the file if it is not there.
    void open();
    void close();
    // Files of an earlier round away, tables made.
    void fresh(const char* synchronous);
    void execute(const std::string& sql);
    Prepared prepare(const char* sql);
    std::string ask(const char* sql);

private:
    void open_foreign();

    Kind kind_;
    std::filesystem::path file_;
    const SqliteCalls& calls_;
    const protocol::AeadKey& key_;
    std::optional<store::sqlite::Database> vault_;
    sqlite3* connection_ = nullptr;
};

}  // namespace ladderline::bench
