// The goals of a sync, measured with two processes, each with its encrypted store, over a local socket: bytes, trips,
// time, memory.
//   bench_sync_bench [EVENTS [LOGS [FOLDER]]]     20,000, 100, and a new temporary folder, unless given
// The sizes that the goals are for: 1000000 5000. A folder that is given is kept, and its sender is used again.
// Prints a table and never fails on time.

#include <sys/socket.h>
#include <sys/wait.h>
#include <unistd.h>

#include <chrono>
#include <csignal>
#include <cstdio>
#include <cstdlib>
#include <fstream>

#include "tests/bench/sync/peer.hpp"
#include "tests/support/scratch.hpp"

using namespace ladderline;
using namespace ladderline::bench;

namespace {

namespace fs = std::filesystem;
using Clock = std::chrono::steady_clock;
constexpr std::uint64_t no_bound = UINT64_MAX;
constexpr int interruptions = 20;

double seconds_since(Clock::time_point begun) {
    return std::chrono::duration<double>(Clock::now() - begun).count();
}

// Runs `work` in a process of its own, whose memory is its own to measure. An exception if it failed there.
template <class Work>
pid_t fork_off(Work work) {
    std::fflush(nullptr);
    const pid_t child = fork();
    if (child != 0) return child;
    try {
        work();
    } catch (const std::exception& fault) {
        std::fprintf(stderr, "sync_bench: %s\n", fault.what());
        _exit(1);
    }
    _exit(0);
}

void wait_for(pid_t child) {
    int status = 0;
    waitpid(child, &status, 0);
    if (status != 0) throw std::runtime_error("a process of the bench failed");
}

// What `work` gives, from a process of its own.
template <class Out, class Work>
Out apart(Work work) {
    int ends[2];
    if (pipe(ends) != 0) throw std::runtime_error("no pipe");
    const pid_t child = fork_off([&] {
        const Out out = work();
        if (write(ends[1], &out, sizeof out) != sizeof out) throw std::runtime_error("no pipe");
    });
    close(ends[1]);
    Out out{};
    const bool whole = read(ends[0], &out, sizeof out) == sizeof out;
    close(ends[0]);
    wait_for(child);
    if (!whole) throw std::runtime_error("a process of the bench said nothing");
    return out;
}

class Bench {
public:
    Bench(WorldSize size, fs::path folder) : world_(size), size_(size), folder_(std::move(folder)) {}

    void run();

private:
    struct Total {
        std::uint64_t events = 0;
        std::uint64_t bytes = 0;
    };
    Total build(const fs::path& at);
    Measured sync(const fs::path& caller, std::uint64_t bytes_in_max = no_bound);
    std::uint64_t more(std::size_t logs);
    void forget_cursors(const fs::path& at);
    double plain_insert(const fs::path& from);
    Measured interrupted(std::uint64_t bytes);

    void first_load();
    void later();

    fs::path sender() const { return folder_ / "sender"; }
    fs::path receiver() const { return folder_ / "receiver"; }

    World world_;
    WorldSize size_;
    fs::path folder_;
    Total total_;
};

void row(const char* goal, const std::string& what, double allowed, double measured, const char* unit) {
    std::printf("%-4s %-58s %12.4g %12.4g %-8s %6.2f\n", goal, what.c_str(), allowed, measured, unit,
                measured / allowed);
}

Bench::Total Bench::build(const fs::path& at) {
    Node node(at);
    must(node.log().add_key(world_.circle(), world_.key()));
    Total total;
    std::vector<protocol::Run> runs;
    std::size_t bytes = 0;
    for (std::size_t i = 0; i < world_.log_count(); ++i) {
        World::Written log = world_.write(i);
        total.events += log.events;
        total.bytes += log.bytes;
        bytes += log.bytes;
        std::move(log.runs.begin(), log.runs.end(), std::back_inserter(runs));
        if (bytes < 4'000'000 && i + 1 < world_.log_count()) continue;
        must(node.log().append_runs(world_.circle(), runs));
        runs.clear();
        bytes = 0;
    }
    return total;
}

Measured Bench::sync(const fs::path& caller, std::uint64_t bytes_in_max) {
    int ends[2];
    if (socketpair(AF_UNIX, SOCK_STREAM | SOCK_NONBLOCK, 0, ends) != 0) throw std::runtime_error("no socket");
    const pid_t called = fork_off([&] {
        close(ends[0]);
        Node node(sender());
        answer(node, world_, ends[1]);
    });
    close(ends[1]);
    const Measured out = apart<Measured>([&] {
        Node node(caller);
        must(node.log().add_key(world_.circle(), world_.key()));
        return call(node, world_, ends[0], bytes_in_max);
    });
    close(ends[0]);
    wait_for(called);
    return out;
}

// One more event in each of so many logs of the sender. Gives their 91 + plain bodies.
std::uint64_t Bench::more(std::size_t logs) {
    return apart<std::uint64_t>([&] {
        Node node(sender());
        std::uint64_t bytes = 0;
        for (std::size_t i = 0; i < logs; ++i)
            bytes += must(world_.write_more(node.log(), 1 + i % (world_.log_count() - 1)));
        return bytes;
    });
}

void Bench::forget_cursors(const fs::path& at) {
    wait_for(fork_off([&] { must(Node(at).db().execute("DELETE FROM sync_cursor")); }));
}

// The rows of table `event` into the same table of a plain SQLite file beside it, with the same settings.
double Bench::plain_insert(const fs::path& from) {
    return apart<double>([&] {
        Node node(from);
        const fs::path file = folder_ / "plain.db";
        auto plain = must(store::sqlite::Database::open_plain(file.string()));
        must(
            plain.execute("PRAGMA locking_mode=EXCLUSIVE; PRAGMA journal_mode=WAL; PRAGMA synchronous=FULL;"
                          "PRAGMA cache_size=-16384; PRAGMA wal_autocheckpoint=512;"
                          "CREATE TABLE event (log_ref INTEGER NOT NULL, seq INTEGER NOT NULL, id BLOB NOT NULL, "
                          "key_id BLOB NOT NULL, ctl BLOB NOT NULL, salt BLOB NOT NULL, signature BLOB NOT NULL, "
                          "sealed BLOB NOT NULL, arrival INTEGER NOT NULL, PRIMARY KEY (log_ref, seq)) "
                          "STRICT, WITHOUT ROWID;"));
        struct Row {
            std::int64_t log_ref, seq, arrival;
            Bytes id, key, ctl, salt, signature, sealed;
        };
        std::vector<Row> rows;
        double spent = 0;
        const auto insert = [&] {
            const auto begun = Clock::now();
            auto tx = must(store::sqlite::Transaction::begin(plain));
            for (const Row& r : rows) {
                must(plain.run("INSERT INTO event VALUES (?1,?2,?3,?4,?5,?6,?7,?8,?9)", r.log_ref, r.seq, r.id, r.key,
                               r.ctl, r.salt, r.signature, r.sealed, r.arrival));
            }
            must(tx.commit());
            spent += seconds_since(begun);
            rows.clear();
        };
        must(node.db().query(
            "SELECT log_ref, seq, arrival, id, key_id, ctl, salt, signature, sealed FROM event ORDER BY log_ref, seq",
            [&](const store::sqlite::Row& r) {
                rows.push_back({r.integer(0), r.integer(1), r.integer(2), r.blob(3), r.blob(4), r.blob(5), r.blob(6),
                                r.blob(7), r.blob(8)});
                if (rows.size() == 1000) insert();
            }));
        insert();
        return spent;
    });
}

// A first load that is cut twenty times; bytes of all calls.
Measured Bench::interrupted(std::uint64_t bytes) {
    Measured sum;
    const fs::path at = folder_ / "interrupted";
    fs::remove_all(at);
    for (int i = 0; i <= interruptions; ++i) {
        const Measured part = sync(at, i < interruptions ? bytes / (interruptions + 1) : no_bound);
        sum.bytes_in += part.bytes_in;
        sum.bytes_out += part.bytes_out;
        sum.in_step_s = part.in_step_s;
    }
    fs::remove_all(at);
    return sum;
}

void Bench::first_load() {
    fs::remove_all(receiver());
    const Measured load = sync(receiver());
    const double plain_s = plain_insert(receiver());
    const double e = static_cast<double>(total_.bytes);
    const double n = static_cast<double>(total_.events) / 1e6;
    row("G6", "first load, bytes (1.052 E)", 1.052 * e, static_cast<double>(load.bytes_in + load.bytes_out), "B");
    row("G6", "  until every member is shown (60 s a million)", 60 * n, load.people_s, "s");
    row("G6", "  until half of the logs count", 60 * n, load.half_s, "s");
    row("G6", "  until all is verified and shown (150 s a million)", 150 * n, load.in_step_s, "s");
    row("", "  the same beside a plain insert of its event rows", plain_s, load.in_step_s, "s");
    row("", "  CPU of the receiver, microseconds an event", 60, load.cpu_s / n, "us");
    row("G7", "memory above idle", 64, static_cast<double>(load.peak_kib - load.idle_kib) / 1024, "MiB");
    const Measured cut = interrupted(load.bytes_in);
    const double again = static_cast<double>(cut.bytes_in) - static_cast<double>(load.bytes_in);
    row("G6", "cut 20 times: received again, % of the load", 1, 100 * again / static_cast<double>(load.bytes_in), "%");
}

void Bench::later() {
    const Measured equal = sync(receiver());
    row("G1", "equal, with handshake and goodbye", 304, static_cast<double>(equal.bytes_in + equal.bytes_out), "B");
    row("G8", "CPU of an equal sync", 5, 1e3 * equal.cpu_s, "ms");
    const std::size_t hundred = std::min<std::size_t>(100, world_.log_count() - 1);
    const double start = static_cast<double>(equal.bytes_in + equal.bytes_out);
    const auto bytes = [](const Measured& m) { return static_cast<double>(m.bytes_in + m.bytes_out); };
    double e = static_cast<double>(more(hundred));
    const double d = static_cast<double>(hundred);
    const Measured warm = sync(receiver());
    row("G2", "one event in each of 100 logs, cursor: beyond equal", 1.05 * e + 128 + 24 * d, bytes(warm) - start, "B");
    row("G5", "  all of it", 25'000, bytes(warm), "B");
    forget_cursors(receiver());
    forget_cursors(sender());
    e = static_cast<double>(more(hundred));
    const Measured cold = sync(receiver());
    row("G3", "one event in each of 100 logs, no cursor", 1.05 * e + 500 + std::min(260 * d, 8400.0) + 110 * d + 10 * d,
        bytes(cold) - 172, "B");
    row("G5", "  all of it", 44'000, bytes(cold), "B");
    forget_cursors(receiver());
    forget_cursors(sender());
    more(1);
    row("G4", "one event, no cursor", 1110, bytes(sync(receiver())) - 172, "B");
}

void Bench::run() {
    const fs::path note = folder_ / "size";
    if (!fs::exists(note)) {
        const auto begun = Clock::now();
        total_ = apart<Total>([&] { return build(sender()); });
        std::printf("%zu logs and %llu events built in %.1f s\n", size_.logs,
                    static_cast<unsigned long long>(total_.events), seconds_since(begun));
        std::ofstream(note) << total_.events << " " << total_.bytes;
    } else {
        std::ifstream(note) >> total_.events >> total_.bytes;
    }
    std::printf("%-4s %-58s %12s %12s %-8s %6s\n", "goal", "", "allowed", "measured", "", "ratio");
    first_load();
    later();
}

}  // namespace

int main(int count, char** words) {
    std::signal(SIGPIPE, SIG_IGN);
    WorldSize size;
    size.events = count > 1 ? std::strtoull(words[1], nullptr, 10) : 20'000;
    size.logs = count > 2 ? std::strtoull(words[2], nullptr, 10) : 100;
    try {
        std::optional<test::ScratchFolder> scratch;
        if (count <= 3) scratch.emplace("sync");
        const fs::path folder = scratch ? scratch->path() : fs::path(words[3]);
        fs::create_directories(folder);
        Bench(size, folder).run();
    } catch (const std::exception& fault) {
        std::fprintf(stderr, "sync_bench: %s\n", fault.what());
        return 1;
    }
    return 0;
}
