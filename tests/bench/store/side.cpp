#include "tests/bench/store/side.hpp"

#include <sodium.h>

#include <cstdio>
#include <cstdlib>
#include <utility>

namespace ladderline::bench {
namespace {

class SystemRandom : public Random {
public:
    void fill(MutableByteView out) override { randombytes_buf(out.data(), out.size()); }
};

std::string hex(ByteView bytes) {
    std::string out(bytes.size() * 2 + 1, '\0');
    sodium_bin2hex(out.data(), out.size(), bytes.data(), bytes.size());
    out.pop_back();
    return out;
}

// As vault::open_database sets them. The checkpoint comes at 2 MiB of log whatever the size of a page, which SQLCipher
// 3 has at 1024 bytes.
std::string profile(std::size_t page_bytes) {
    return "PRAGMA locking_mode=EXCLUSIVE; PRAGMA journal_mode=WAL; PRAGMA cache_spill=OFF; PRAGMA temp_store=MEMORY;"
           "PRAGMA mmap_size=0; PRAGMA synchronous=FULL; PRAGMA secure_delete=ON; PRAGMA foreign_keys=ON;"
           "PRAGMA cache_size=-16384; PRAGMA journal_size_limit=4194304; PRAGMA wal_autocheckpoint=" +
           std::to_string(std::size_t{2} * 1024 * 1024 / page_bytes) + ";";
}

}  // namespace

void give_up(const std::string& sentence) {
    std::fprintf(stderr, "store_bench: %s\n", sentence.c_str());
    std::exit(1);
}

Prepared::Prepared(const SqliteCalls& calls, sqlite3* connection, const char* sql)
    : calls_(calls), connection_(connection) {
    if (calls_.prepare_v2(connection, sql, -1, &statement_, nullptr) != SQLITE_OK) give_up(calls_.errmsg(connection));
}

Prepared::Prepared(Prepared&& other) noexcept
    : calls_(other.calls_), connection_(other.connection_), statement_(std::exchange(other.statement_, nullptr)) {}

Prepared::~Prepared() {
    calls_.finalize(statement_);
}

void Prepared::bind(int parameter, std::int64_t value) {
    calls_.bind_int64(statement_, parameter, value);
}

void Prepared::bind(int parameter, ByteView bytes) {
    calls_.bind_blob(statement_, parameter, bytes.data(), static_cast<int>(bytes.size()), SQLITE_STATIC);
}

bool Prepared::step() {
    const int code = calls_.step(statement_);
    if (code != SQLITE_ROW && code != SQLITE_DONE) give_up(calls_.errmsg(connection_));
    return code == SQLITE_ROW;
}

void Prepared::reset() {
    calls_.reset(statement_);
}

void Prepared::run() {
    while (step()) {
    }
    reset();
}

ByteView Prepared::blob(int column) {
    const auto* data = static_cast<const std::uint8_t*>(calls_.column_blob(statement_, column));
    return {data, static_cast<std::size_t>(calls_.column_bytes(statement_, column))};
}

std::string Prepared::text(int column) {
    const auto* text = reinterpret_cast<const char*>(calls_.column_text(statement_, column));
    return text == nullptr ? "" : text;
}

const char* name_of(Kind kind) {
    switch (kind) {
        case Kind::plain:
            return "plain";
        case Kind::vault:
            return "vault";
        case Kind::sqlcipher:
            return "sqlcipher";
    }
    return "";
}

Side::Side(Kind kind, std::filesystem::path file, const SqliteCalls& calls, const protocol::AeadKey& key)
    : kind_(kind), file_(std::move(file)), calls_(calls), key_(key) {}

void Side::open() {
    close();
    if (kind_ != Kind::vault) return open_foreign();
    SystemRandom random;
    auto opened = store::vault::open_database(file_, key_, {true, "", random});
    if (!opened) give_up(opened.error().sentence());
    vault_.emplace(std::move(opened).value());
    connection_ = vault_->handle();
}

void Side::open_foreign() {
    const int flags = SQLITE_OPEN_READWRITE | SQLITE_OPEN_CREATE | SQLITE_OPEN_NOMUTEX;
    if (calls_.open_v2(file_.c_str(), &connection_, flags, nullptr) != SQLITE_OK) give_up(calls_.errmsg(connection_));
    if (kind_ == Kind::sqlcipher) execute("PRAGMA key = \"x'" + hex(key_.view()) + "'\"");
    execute(profile(std::stoul(ask("PRAGMA page_size"))));
    // The first read takes the lock and recovers the log, as the vault's opening does.
    ask("SELECT count(*) FROM sqlite_master");
}

void Side::close() {
    if (vault_) {
        vault_.reset();
    } else if (connection_ != nullptr && calls_.close(connection_) != SQLITE_OK) {
        give_up(calls_.errmsg(connection_));
    }
    connection_ = nullptr;
}

void Side::fresh(const char* synchronous) {
    close();
    std::filesystem::remove(file_);
    std::filesystem::remove(log_file());
    open();
    execute("PRAGMA synchronous=" + std::string(synchronous));
    // No STRICT: SQLCipher 3.4 has SQLite 3.15.
    execute(
        "CREATE TABLE event(id INTEGER PRIMARY KEY, log BLOB, seq INTEGER, body BLOB);"
        "CREATE UNIQUE INDEX by_log ON event(log, seq);");
}

void Side::execute(const std::string& sql) {
    if (calls_.exec(connection_, sql.c_str(), nullptr, nullptr, nullptr) != SQLITE_OK) {
        give_up(calls_.errmsg(connection_));
    }
}

Prepared Side::prepare(const char* sql) {
    return {calls_, connection_, sql};
}

std::string Side::ask(const char* sql) {
    Prepared statement = prepare(sql);
    return statement.step() ? statement.text(0) : "";
}

}  // namespace ladderline::bench
