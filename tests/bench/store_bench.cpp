// Time of an encrypted store relative to plain SQLite on the same work, in one run, the two sides taking turns.
//   store_bench [rows] [folder]      rows: 100000 unless given; folder: a fresh one below the system's temporary folder
// A folder on tmpfs is the worst case for encryption; on a disk the syncs weigh more. Prints a table and never fails on
// time.

#include <sodium.h>
#include <sqlite3.h>

#include <algorithm>
#include <chrono>
#include <cstdio>
#include <cstdlib>
#include <ctime>
#include <filesystem>
#include <functional>
#include <optional>
#include <string>
#include <vector>

#include "store/sqlite/transaction.hpp"
#include "store/vault/open_database.hpp"

using namespace ladderline;
using namespace ladderline::store;

namespace {

namespace fs = std::filesystem;

constexpr int rounds = 3;
constexpr std::size_t body_bytes = 200;  // about 250 with the rest of the row
constexpr std::size_t point_reads = 20'000;

class SystemRandom : public Random {
public:
    void fill(MutableByteView out) override { randombytes_buf(out.data(), out.size()); }
};

void must(const Result<void>& outcome) {
    if (outcome) return;
    std::fprintf(stderr, "store_bench: %s\n", outcome.error().sentence().c_str());
    std::exit(1);
}

template <class T>
T must(Result<T> outcome) {
    if (!outcome) must(Result<void>(outcome.error()));
    return std::move(outcome).value();
}

// One side of the comparison: a database that can be closed and opened again.
struct Side {
    fs::path file;
    bool sealed = false;
    const protocol::AeadKey* key = nullptr;
    std::optional<sqlite::Database> database;

    void open() {
        SystemRandom random;
        if (sealed) {
            database.emplace(must(vault::open_database(file, *key, {true, "", random})));
        } else {
            database.emplace(must(sqlite::Database::open_plain(file)));
            must(
                database->execute("PRAGMA locking_mode=EXCLUSIVE; PRAGMA journal_mode=WAL; PRAGMA cache_spill=OFF;"
                                  "PRAGMA temp_store=MEMORY; PRAGMA mmap_size=0; PRAGMA secure_delete=ON;"
                                  "PRAGMA cache_size=-16384; PRAGMA wal_autocheckpoint=512;"
                                  "PRAGMA journal_size_limit=4194304;"));
        }
    }
    void fresh(std::string_view synchronous) {
        database.reset();
        fs::remove(file);
        open();
        must(database->execute("PRAGMA synchronous=" + std::string(synchronous)));
        must(
            database->execute("CREATE TABLE event(id INTEGER PRIMARY KEY, log BLOB, seq INTEGER, body BLOB) STRICT;"
                              "CREATE UNIQUE INDEX by_log ON event(log, seq);"));
    }
};

// Time on the wall, and of the processor, which other programs on the machine disturb less.
struct Taken {
    double wall_s = 0;
    double cpu_s = 0;
};

Taken time_of(const std::function<void()>& work) {
    const auto start = std::chrono::steady_clock::now();
    const std::clock_t cpu_start = std::clock();
    work();
    const double cpu_s = static_cast<double>(std::clock() - cpu_start) / CLOCKS_PER_SEC;
    return {std::chrono::duration<double>(std::chrono::steady_clock::now() - start).count(), cpu_s};
}

void insert(sqlite::Database& database, std::size_t rows, std::size_t rows_per_transaction) {
    Bytes body(body_bytes);
    const Bytes log(16, 0x42);
    for (std::size_t done = 0; done < rows;) {
        sqlite::Transaction transaction = must(sqlite::Transaction::begin(database));
        for (std::size_t i = 0; i < rows_per_transaction && done < rows; ++i, ++done) {
            randombytes_buf(body.data(), 16);
            must(database.run("INSERT INTO event(log, seq, body) VALUES (?1, ?2, ?3)", log, done, body));
        }
        must(transaction.commit());
    }
}

void read_points(sqlite::Database& database, std::size_t rows) {
    std::uint64_t place = 1;
    for (std::size_t i = 0; i < point_reads; ++i) {
        place = place * 6364136223846793005ULL + 1442695040888963407ULL;
        must(database.query(
            "SELECT body FROM event WHERE id = ?1", [](const sqlite::Row& row) { static_cast<void>(row.blob(0)); },
            static_cast<std::int64_t>((place >> 33) % rows) + 1));
    }
}

void read_few_points(sqlite::Database& database) {
    read_points(database, 1000);
}

void scan(sqlite::Database& database) {
    std::size_t bytes = 0;
    must(database.query("SELECT body FROM event", [&](const sqlite::Row& row) { bytes += row.blob(0).size(); }));
}

double median(std::vector<double> values) {
    std::sort(values.begin(), values.end());
    return values[values.size() / 2];
}

// `prepare` is not timed. The order of the two sides alternates.
void compare(const char* what, Side& plain, Side& sealed, const std::function<void(Side&)>& prepare,
             const std::function<void(sqlite::Database&)>& work) {
    std::vector<double> plain_wall_s, plain_cpu_s, sealed_wall_s, sealed_cpu_s;
    for (int round = 0; round < rounds; ++round) {
        for (const bool sealed_now : {round % 2 == 0, round % 2 != 0}) {
            Side& side = sealed_now ? sealed : plain;
            prepare(side);
            const Taken taken = time_of([&] { work(*side.database); });
            (sealed_now ? sealed_wall_s : plain_wall_s).push_back(taken.wall_s);
            (sealed_now ? sealed_cpu_s : plain_cpu_s).push_back(taken.cpu_s);
        }
    }
    const double plain_wall_ms = median(plain_wall_s) * 1e3;
    const double sealed_wall_ms = median(sealed_wall_s) * 1e3;
    std::printf("%-30s %10.1f %10.1f %8.2f %8.2f\n", what, plain_wall_ms, sealed_wall_ms,
                sealed_wall_ms / plain_wall_ms, median(sealed_cpu_s) / median(plain_cpu_s));
    std::fflush(stdout);
}

void compare_writes(Side& plain, Side& sealed, std::size_t rows) {
    struct Case {
        const char* what;
        std::size_t rows;
        std::size_t rows_per_transaction;
        const char* synchronous;
    };
    const std::size_t singles = std::min<std::size_t>(rows, 2000);
    const Case cases[] = {
        {"10,000 rows a transaction", rows, 10'000, "FULL"},
        {"100 rows a transaction", rows, 100, "FULL"},
        {"1 row a transaction, FULL", singles, 1, "FULL"},
        {"1 row a transaction, NORMAL", singles * 5, 1, "NORMAL"},
    };
    for (const Case& c : cases) {
        compare(
            c.what, plain, sealed, [&](Side& side) { side.fresh(c.synchronous); },
            [&](sqlite::Database& database) { insert(database, c.rows, c.rows_per_transaction); });
    }
}

void compare_reads(Side& plain, Side& sealed, std::size_t rows) {
    for (Side* side : {&plain, &sealed}) {
        side->fresh("FULL");
        insert(*side->database, rows, 10'000);
    }
    const auto reopened = [](Side& side) {
        side.database.reset();
        side.open();
        scan(*side.database);  // the system's cache is warm, ours is not
        side.database.reset();
        side.open();
    };
    const auto warm = [](Side& side) { read_few_points(*side.database); };
    compare("point reads, cold", plain, sealed, reopened, [&](sqlite::Database& d) { read_points(d, rows); });
    compare("point reads, warm", plain, sealed, warm, read_few_points);
    compare("scan, cold", plain, sealed, reopened, scan);
    std::printf("%-30s %10.2f %10.2f %8.3f\n", "file size, MiB",
                static_cast<double>(fs::file_size(plain.file)) / 1048576,
                static_cast<double>(fs::file_size(sealed.file)) / 1048576,
                static_cast<double>(fs::file_size(sealed.file)) / static_cast<double>(fs::file_size(plain.file)));
}

// Opening alone: after a clean end, and after a crash that left a log of about 2 MiB.
void time_openings(const fs::path& folder, const protocol::AeadKey& key) {
    const fs::path crashed = folder / "crashed.db";
    {
        Side side{folder / "open.db", true, &key, {}};
        side.fresh("FULL");
        must(side.database->execute("PRAGMA wal_autocheckpoint=0"));
        insert(*side.database, 4'500, 500);
        fs::copy_file(side.file, crashed, fs::copy_options::overwrite_existing);
        fs::copy_file(side.file.string() + "-wal", crashed.string() + "-wal", fs::copy_options::overwrite_existing);
    }
    const double log_mib = static_cast<double>(fs::file_size(crashed.string() + "-wal")) / 1048576;
    Side clean{folder / "open.db", true, &key, {}};
    Side broken{crashed, true, &key, {}};
    std::printf("open after a clean end: %.2f ms\n", time_of([&] { clean.open(); }).wall_s * 1e3);
    std::printf("open after a crash, log of %.1f MiB: %.2f ms\n", log_mib,
                time_of([&] { broken.open(); }).wall_s * 1e3);
}

}  // namespace

int main(int argc, char** argv) {
    const std::size_t rows = argc > 1 ? std::strtoull(argv[1], nullptr, 10) : 100'000;
    const fs::path folder = (argc > 2 ? fs::path(argv[2]) : fs::temp_directory_path()) / "ladderline-store-bench";
    if (rows < 10'000) {
        std::fprintf(stderr, "store_bench: give at least 10000 rows.\n");
        return 2;
    }
    protocol::init_crypto();
    fs::remove_all(folder);
    fs::create_directories(folder);
    SystemRandom random;
    const auto key = protocol::AeadKey::random(random);
    Side plain{folder / "plain.db", false, nullptr, {}};
    Side sealed{folder / "sealed.db", true, &key, {}};
    std::printf("%zu rows of about 250 bytes, SQLite %s, folder %s\n", rows, sqlite3_libversion(), folder.c_str());
    std::printf("%-30s %10s %10s %8s %8s\n", "median of 3", "plain, ms", "vault, ms", "ratio", "of CPU");
    compare_writes(plain, sealed, rows);
    compare_reads(plain, sealed, rows);
    time_openings(folder, key);
    plain.database.reset();
    sealed.database.reset();
    fs::remove_all(folder);
    return 0;
}
