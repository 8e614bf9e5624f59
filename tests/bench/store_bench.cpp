// Time of an encrypted store relative to plain SQLite on the same work, and of SQLCipher where it is installed, in one
// run, the sides taking turns. `store_bench -h` says how. Prints a table with a verdict on each budget, then the same
// as lines of JSON; never fails on time.

#include <sodium.h>
#include <sys/utsname.h>
#include <sys/vfs.h>

#include <algorithm>
#include <cstdio>
#include <cstdlib>
#include <cstring>
#include <fstream>
#include <string>
#include <vector>

#include "tests/bench/store/measure.hpp"

using namespace ladderline;
using namespace ladderline::bench;

namespace {

namespace fs = std::filesystem;

constexpr std::size_t body_bytes = 200;  // about 250 with the rest of the row and its index
constexpr std::size_t rows_min = 10'000;
constexpr const char* usage =
    "store_bench [--rows N] [--only TEXT] [--rounds N] [--memory FOLDER] [--disk FOLDER] [--sides LIST]\n"
    "  --rows N         event rows of about 250 bytes (default 100000, less than a minute; the budgets are for\n"
    "                   1000000, about two minutes)\n"
    "  --only TEXT      only the work whose name has TEXT in it (names as in the table)\n"
    "  --rounds N       instead of the usual number for each work\n"
    "  --memory FOLDER  a folder on tmpfs, the worst case for encryption (default /dev/shm; \"none\" leaves it out)\n"
    "  --disk FOLDER    a folder on a real disk (default: beside this program; \"none\" leaves it out)\n"
    "  --sides LIST     of plain,vault,sqlcipher (default all; sqlcipher only if it is installed)\n"
    "A ratio is that of the medians, its spread the least and greatest of the rounds. Other work on the machine\n"
    "disturbs the figures: see the ratio of CPU time beside them. Files are removed at the end.\n";

struct Options {
    std::size_t rows = 100'000;
    std::string only;
    int rounds = 0;  // 0: as each work says
    std::string memory = "/dev/shm";
    std::string disk;
    std::string sides = "plain,vault,sqlcipher";
};

struct Place {
    std::string name;
    fs::path folder;
    bool on_disk = false;
};

class Bench {
public:
    Bench(const Options& options, const std::optional<SqliteCalls>& sqlcipher, std::vector<Line>& lines)
        : options_(options), sqlcipher_(sqlcipher), lines_(lines), key_(protocol::AeadKey::random(random_)) {}

    void run(const Place& place);

private:
    class SystemRandom : public Random {
    public:
        void fill(MutableByteView out) override { randombytes_buf(out.data(), out.size()); }
    };

    void write_rows();
    void read_rows();
    void open_again();
    void open_crashed();
    void log_cap();

    bool wanted(const std::string& name) const { return name.find(options_.only) != std::string::npos; }
    int rounds(int usual) const { return options_.rounds > 0 ? options_.rounds : usual; }
    void compare(Work work, std::optional<double> budget);
    void keep(Line line);
    void keep_times(const std::string& name, const std::vector<Taken>& times, double budget_ms);
    void keep_size(const std::string& name, double mib, double budget_mib);
    Side vault_at(const char* name) { return {Kind::vault, place_.folder / name, system_calls(), key_}; }

    const Options& options_;
    const std::optional<SqliteCalls>& sqlcipher_;
    std::vector<Line>& lines_;
    SystemRandom random_;
    protocol::AeadKey key_;
    Place place_;
    std::vector<Side*> sides_;
};

// Rows whose bodies do not compress and cost next to nothing to make.
void insert(Side& side, std::size_t first, std::size_t rows, std::size_t rows_per_transaction) {
    Bytes body(body_bytes);
    const Bytes log(16, 0x42);
    std::uint64_t noise = first + 1;
    Prepared begin = side.prepare("BEGIN IMMEDIATE");
    Prepared commit = side.prepare("COMMIT");
    Prepared put = side.prepare("INSERT INTO event(log, seq, body) VALUES (?1, ?2, ?3)");
    for (std::size_t done = 0; done < rows;) {
        begin.run();
        for (std::size_t i = 0; i < rows_per_transaction && done < rows; ++i, ++done) {
            for (std::size_t at = 0; at + 8 <= body.size(); at += 8) {
                noise = noise * 6364136223846793005ULL + 1442695040888963407ULL;
                std::memcpy(body.data() + at, &noise, 8);
            }
            put.bind(1, log);
            put.bind(2, static_cast<std::int64_t>(first + done));
            put.bind(3, body);
            put.run();
        }
        commit.run();
    }
}

void read_points(Side& side, std::size_t rows, std::size_t reads) {
    std::uint64_t place = 1;
    Prepared get = side.prepare("SELECT body FROM event WHERE id = ?1");
    for (std::size_t i = 0; i < reads; ++i) {
        place = place * 6364136223846793005ULL + 1442695040888963407ULL;
        get.bind(1, static_cast<std::int64_t>((place >> 33) % rows) + 1);
        if (!get.step() || get.blob(0).size() != body_bytes) give_up("a row is missing");
        get.reset();
    }
}

void scan(Side& side, std::size_t rows) {
    Prepared all = side.prepare("SELECT body FROM event");
    std::size_t seen = 0;
    while (all.step()) seen += all.blob(0).size() == body_bytes ? 1 : 0;
    if (seen != rows) give_up("a scan missed rows");
}

void Bench::compare(Work work, std::optional<double> budget) {
    if (!wanted(work.name)) return;
    work.rounds = rounds(work.rounds);
    keep(line_of(place_.name, work, measure(work, sides_), budget));
}

void Bench::keep(Line line) {
    print(line);
    lines_.push_back(std::move(line));
}

void Bench::keep_times(const std::string& name, const std::vector<Taken>& times, double budget_ms) {
    std::vector<double> wall_ms;
    std::vector<double> cpu_ms;
    for (const Taken& taken : times) {
        wall_ms.push_back(taken.wall_ms);
        cpu_ms.push_back(taken.cpu_ms);
    }
    Line line;
    line.place = place_.name;
    line.name = name;
    line.rounds = static_cast<int>(times.size());
    line.unit = "ms";
    line.value = median(wall_ms);
    line.value_min = *std::min_element(wall_ms.begin(), wall_ms.end());
    line.value_max = *std::max_element(wall_ms.begin(), wall_ms.end());
    line.value_cpu = median(cpu_ms);
    line.budget = budget_ms;
    keep(std::move(line));
}

void Bench::keep_size(const std::string& name, double mib, double budget_mib) {
    Line line;
    line.place = place_.name;
    line.name = name;
    line.rounds = 1;
    line.unit = "MiB";
    line.value = line.value_min = line.value_max = mib;
    line.budget = budget_mib;
    keep(std::move(line));
}

// A slice is as many transactions as take some milliseconds.
void Bench::write_rows() {
    struct Case {
        const char* name;
        std::size_t rows;
        std::size_t rows_per_transaction;
        std::size_t rows_per_slice;
        const char* synchronous;
        std::optional<double> memory_budget;
        std::optional<double> disk_budget;
    };
    // On a disk small transactions wait for it: fewer rows tell as much.
    const std::size_t some =
        place_.on_disk ? std::clamp(options_.rows / 10, 2 * rows_min, 10 * rows_min) : options_.rows;
    const Case cases[] = {
        {"10,000 rows a transaction", options_.rows, 10'000, 10'000, "FULL", 1.10, std::nullopt},
        {"100 rows a transaction", some, 100, 1'000, "FULL", 1.5, 1.0},
        {"1 row, FULL", 2'000, 1, 100, "FULL", std::nullopt, 1.15},
        {"1 row, NORMAL", 10'000, 1, 100, "NORMAL", std::nullopt, 1.15},
    };
    for (const Case& c : cases) {
        Work work;
        work.name = c.name;
        work.slices = c.rows / c.rows_per_slice;
        work.prepare = [&](Side& side) { side.fresh(c.synchronous); };
        work.slice = [&](Side& side, std::size_t slice) {
            insert(side, slice * c.rows_per_slice, c.rows_per_slice, c.rows_per_transaction);
        };
        compare(work, place_.on_disk ? c.disk_budget : c.memory_budget);
    }
}

// Cold: the system's cache is warm, the connection's own is not.
void Bench::read_rows() {
    if (!wanted("points, cold") && !wanted("points, warm") && !wanted("scan, cold")) return;
    const std::size_t rows = options_.rows;
    for (Side* side : sides_) {
        side->fresh("FULL");
        insert(*side, 0, rows, 10'000);
        side->close();
    }
    const auto reopened = [&](Side& side) {
        side.open();
        scan(side, rows);
        side.open();
    };
    const auto warmed = [&](Side& side) {
        side.open();
        read_points(side, rows, 1'000);
    };
    compare({"points, cold", 9, 1, reopened, [&](Side& side, std::size_t) { read_points(side, rows, 20'000); }}, 2.7);
    compare({"points, warm", 9, 20, warmed, [&](Side& side, std::size_t) { read_points(side, rows, 1'000); }}, 1.05);
    compare({"scan, cold", 9, 1, reopened, [&](Side& side, std::size_t) { scan(side, rows); }}, 2.0);
}

void Bench::open_again() {
    if (!wanted("open")) return;
    Side side = vault_at("open.db");
    side.fresh("FULL");
    insert(side, 0, rows_min, 500);
    std::vector<Taken> times;
    for (int i = 0; i < rounds(31); ++i) {
        side.close();
        times.push_back(time_of([&] { side.open(); }));
    }
    keep_times("open", times, 1.0);
}

// A copy of both files while the store is open is what a crash leaves.
void Bench::open_crashed() {
    if (!wanted("open, log of 2 MiB")) return;
    Side side = vault_at("open.db");
    side.fresh("FULL");
    side.execute("PRAGMA wal_autocheckpoint=0");
    constexpr std::uintmax_t log_bytes = std::uintmax_t{2} * 1024 * 1024;
    for (std::size_t at = 0; fs::file_size(side.log_file()) < log_bytes; at += 100) insert(side, at, 100, 100);
    Side crashed = vault_at("crashed.db");
    std::vector<Taken> times;
    for (int i = 0; i < rounds(15); ++i) {
        crashed.close();
        fs::copy_file(side.file(), crashed.file(), fs::copy_options::overwrite_existing);
        fs::copy_file(side.log_file(), crashed.log_file(), fs::copy_options::overwrite_existing);
        times.push_back(time_of([&] { crashed.open(); }));
    }
    keep_times("open, log of 2 MiB", times, 10.0);
}

// The log while steps of everyday size are written, and what a large one leaves when the next has been taken.
void Bench::log_cap() {
    if (!wanted("log")) return;
    Side side = vault_at("log.db");
    side.fresh("FULL");
    const auto log_mib = [&] { return static_cast<double>(fs::file_size(side.log_file())) / 1048576; };
    double most = 0;
    for (std::size_t slice = 0; slice < rows_min / 100; ++slice) {
        insert(side, slice * 100, 100, 100);
        most = std::max(most, log_mib());
    }
    keep_size("log, 100 rows a transaction", most, 2.5);
    insert(side, 100'000, 40'000, 40'000);
    insert(side, 200'000, 200, 100);
    keep_size("log, after a step of 10 MiB", log_mib(), 4.0);
}

void Bench::run(const Place& place) {
    place_ = place;
    fs::remove_all(place.folder);
    fs::create_directories(place.folder);
    const auto takes_part = [&](Kind kind) { return options_.sides.find(name_of(kind)) != std::string::npos; };
    Side plain(Kind::plain, place.folder / "plain.db", system_calls(), key_);
    Side vault(Kind::vault, place.folder / "vault.db", system_calls(), key_);
    std::optional<Side> other;
    sides_.clear();
    if (takes_part(Kind::plain)) sides_.push_back(&plain);
    if (takes_part(Kind::vault)) sides_.push_back(&vault);
    if (sqlcipher_ && takes_part(Kind::sqlcipher)) {
        other.emplace(Kind::sqlcipher, place.folder / "sqlcipher.db", *sqlcipher_, key_);
        sides_.push_back(&*other);
    }
    write_rows();
    read_rows();
    open_again();
    open_crashed();
    log_cap();
    plain.close();
    vault.close();
    if (other) other->close();
    fs::remove_all(place.folder);
}

std::string cpu_name() {
    std::ifstream file("/proc/cpuinfo");
    std::string line;
    while (std::getline(file, line)) {
        if (line.rfind("model name", 0) == 0) return line.substr(line.find(':') + 2);
    }
    return "unknown processor";
}

const char* file_system_of(const fs::path& folder) {
    struct statfs about {};
    if (statfs(folder.c_str(), &about) != 0) return "unknown";
    switch (static_cast<unsigned long>(about.f_type)) {
        case 0x01021994:
            return "tmpfs";
        case 0xEF53:
            return "ext4";
        case 0x58465342:
            return "xfs";
        case 0x9123683E:
            return "btrfs";
        default:
            return "another file system";
    }
}

std::string what_sqlcipher_is(const SqliteCalls& calls, const protocol::AeadKey& key) {
    Side side(Kind::sqlcipher, fs::temp_directory_path() / "ladderline-store-bench.db", calls, key);
    side.open();
    const std::string out = side.ask("PRAGMA cipher_version") + " (SQLite " + calls.libversion() + ", pages of " +
                            side.ask("PRAGMA page_size") + " bytes)";
    side.close();
    fs::remove(side.file());
    return out;
}

[[noreturn]] void refuse(const std::string& sentence) {
    std::fprintf(stderr, "store_bench: %s\n%s", sentence.c_str(), usage);
    std::exit(2);
}

Options read_options(int argc, char** argv) {
    Options options;
    options.disk = fs::canonical("/proc/self/exe").parent_path().string();
    for (int i = 1; i < argc; ++i) {
        const std::string name = argv[i];
        if (name == "-h" || name == "--help") {
            std::printf("%s", usage);
            std::exit(0);
        }
        if (i + 1 == argc) refuse(name + " is not an option, or has no value.");
        const std::string value = argv[++i];
        if (name == "--rows") {
            options.rows = std::strtoull(value.c_str(), nullptr, 10) / rows_min * rows_min;
        } else if (name == "--only") {
            options.only = value;
        } else if (name == "--rounds") {
            options.rounds = std::atoi(value.c_str());
        } else if (name == "--memory") {
            options.memory = value;
        } else if (name == "--disk") {
            options.disk = value;
        } else if (name == "--sides") {
            options.sides = value;
        } else {
            refuse(name + " is not an option.");
        }
    }
    if (options.rows < rows_min) refuse("Give at least 10000 rows.");
    return options;
}

}  // namespace

int main(int argc, char** argv) {
    const Options options = read_options(argc, argv);
    protocol::init_crypto();
    std::string why;
    const std::optional<SqliteCalls> sqlcipher = load_sqlcipher(why);
    std::vector<Place> places;
    if (options.memory != "none") places.push_back({"memory", fs::path(options.memory) / "ladderline-store-bench"});
    if (options.disk != "none") places.push_back({"disk", fs::path(options.disk) / "ladderline-store-bench", true});

    utsname system{};
    uname(&system);
    std::printf("%zu rows of about 250 bytes; SQLite %s, libsodium %s; %s, %s %s\n", options.rows,
                system_calls().libversion(), sodium_version_string(), cpu_name().c_str(), system.sysname,
                system.release);
    const protocol::AeadKey any;
    std::printf("SQLCipher: %s\n", sqlcipher ? what_sqlcipher_is(*sqlcipher, any).c_str() : (why + ".").c_str());
    for (const Place& place : places) {
        std::printf("%s: %s, %s\n", place.name.c_str(), place.folder.c_str(),
                    file_system_of(place.folder.parent_path()));
    }
    print_heading();
    std::vector<Line> lines;
    Bench bench(options, sqlcipher, lines);
    for (const Place& place : places) bench.run(place);
    std::printf("\n");
    for (const Line& line : lines) std::printf("%s\n", json_of(line).c_str());
    const auto missed = std::count_if(lines.begin(), lines.end(), [](const Line& line) { return !holds(line); });
    std::printf("%zu figures, %td above their budget.\n", lines.size(), missed);
    return 0;
}
