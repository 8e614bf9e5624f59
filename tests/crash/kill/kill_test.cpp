// A process that writes to a store on a real disk is killed: by itself at a call of its VFS, from outside at any
// moment, or while it waits. LADDERLINE_TEST_SIZE times 300 rounds.

#include <doctest/doctest.h>
#include <fcntl.h>
#include <sys/prctl.h>
#include <sys/wait.h>
#include <unistd.h>

#include <array>
#include <csignal>
#include <fstream>
#include <sstream>

#include "tests/crash/kill/killing_vfs.hpp"
#include "tests/crash/life/life.hpp"
#include "tests/support/scratch.hpp"
#include "tests/support/spin.hpp"
#include "tests/support/test_size.hpp"

using namespace ladderline;
using namespace ladderline::test;

namespace {

constexpr int rounds_per_store = 25;
constexpr std::uint64_t calls_of_a_round = 90;

std::string note_text(int number) {
    return "MARKER-kept note " + std::to_string(number);
}

std::string passphrase_text(int number) {
    return "seven made-up words, change " + std::to_string(number);
}

// The process that is killed. It says each step before and after ("S first count", "A first count"; "W number" and "X
// number" of a passphrase) and waits for ever at the end ("I").
class Writer {
public:
    Writer(std::filesystem::path folder, const Ledger& ledger, int next_note, int next_words, std::uint64_t seed,
           int out)
        : folder_(std::move(folder)),
          passphrase_(ledger.passphrase),
          note_(next_note),
          words_(next_words),
          random_(seed),
          out_(out) {}

    // Only returns if the store does not work.
    void run(std::int64_t fatal_call, int steps) {
        kill_at_call(fatal_call);
        auto store = store::Store::open(disk_, {folder_, killing_vfs}, as_bytes(passphrase_), random_, life_models());
        if (!store) return say("E " + store.error().sentence());
        store.value()->log().act_as({cast().ada.device_id(), cast().ada.device.secret.clone()});
        for (int i = 0; i < steps; ++i) {
            const Result<void> outcome = step(*store.value());
            if (!outcome) return say("E " + outcome.error().sentence());
        }
        say("I");
        for (;;) pause();
    }

private:
    Result<void> step(store::Store& store) {
        const std::uint64_t choice = random_.next() % 20;
        if (choice == 0) return store.db().execute("PRAGMA wal_checkpoint(TRUNCATE)");
        if (choice == 1) return change_passphrase();
        const int count = choice < 5 ? 6 : 1;
        std::vector<store::NewEvent> events;
        for (int i = 0; i < count; ++i) events.push_back(note_in(cast().circle, note_text(note_ + i)));
        const std::string which = std::to_string(note_) + " " + std::to_string(count);
        say("S " + which);
        TRY(store.log().append(events, life_now));
        say("A " + which);
        note_ += count;
        return ok();
    }

    Result<void> change_passphrase() {
        TRY(auto keys, store::vault::KeyFile::open(disk_, folder_, as_bytes(passphrase_)));
        say("W " + std::to_string(words_));
        const std::string next = passphrase_text(words_);
        TRY(keys.set_slot(disk_, store::vault::SlotType::passphrase, as_bytes(next), {1, 8}, random_));
        say("X " + std::to_string(words_));
        passphrase_ = next;
        ++words_;
        return ok();
    }

    void say(const std::string& words) {
        const std::string line = words + "\n";
        if (write(out_, line.data(), line.size()) < 0) _exit(1);
    }

    std::filesystem::path folder_;
    std::string passphrase_;
    int note_;
    int words_;
    SeededRandom random_;
    int out_;
    store::RealDisk disk_;
};

class Rounds {
public:
    void play(int round) {
        if (round % rounds_per_store == 0) begin_store(round);
        const int fatal = round % 3 == 0 ? static_cast<int>(1 + chance_.next() % calls_of_a_round) : 0;
        const int steps = static_cast<int>(3 + chance_.next() % 20);
        const int kill_after = round % 3 == 1 ? static_cast<int>(chance_.next() % 20) : -1;
        const int from_child = start(fatal, steps, chance_.next());
        listen(from_child, kill_after);
        int status = 0;
        REQUIRE(waitpid(pid_, &status, 0) == pid_);
        REQUIRE(WIFSIGNALED(status));
        CHECK(WTERMSIG(status) == SIGKILL);
        close(from_child);
        look_again();
    }

    int acknowledged = 0;
    int sound = 0;
    int lost = 0;
    int in_a_step = 0;

private:
    void begin_store(int round) {
        folder_ = std::make_unique<ScratchFolder>("killed");
        ledger_ = cast().ledger;
        note_ = round * 1000;
        for (const Files* files : {&cast().start.database, &cast().start.small}) {
            for (const auto& [path, bytes] : *files) {
                const auto target = folder_->path() / std::filesystem::path(path).filename();
                std::ofstream(target, std::ios::binary)
                    .write(reinterpret_cast<const char*>(bytes.data()), static_cast<std::streamsize>(bytes.size()));
            }
        }
    }

    // Gives the end of the pipe at which the writer is heard.
    int start(int fatal, int steps, std::uint64_t seed) {
        std::array<int, 2> ends{};
        REQUIRE(pipe2(ends.data(), O_CLOEXEC) == 0);
        pid_ = fork();
        REQUIRE(pid_ >= 0);
        if (pid_ == 0) {
            prctl(PR_SET_PDEATHSIG, SIGKILL);
            close(ends[0]);
            Writer(folder_->path(), ledger_, note_, words_, seed, ends[1]).run(fatal, steps);
            _exit(0);
        }
        close(ends[1]);
        return ends[0];
    }

    void listen(int from_child, int kill_after) {
        std::string line;
        int acknowledgements = 0;
        std::array<char, 1> c{};
        while (read(from_child, c.data(), 1) == 1) {
            if (c[0] != '\n') {
                line += c[0];
                continue;
            }
            hear(line);
            acknowledgements += line[0] == 'A' || line[0] == 'X' ? 1 : 0;
            if (line[0] == 'I') kill(pid_, SIGKILL);
            if (acknowledgements == kill_after) {
                // At any moment of what it does next.
                spin(chance_.next() % 200'000);
                kill(pid_, SIGKILL);
                kill_after = -1;
            }
            line.clear();
        }
    }

    void hear(const std::string& line) {
        std::istringstream in(line);
        char what = 0;
        int first = 0;
        int count = 0;
        in >> what >> first >> count;
        if (what == 'E') FAIL(line);
        if (what == 'S') {
            for (int i = first; i < first + count; ++i) ledger_.under_way.insert(note_text(i));
        }
        if (what == 'A') {
            ledger_.notes.merge(ledger_.under_way);
            ledger_.under_way.clear();
            note_ = first + count;
            acknowledged += count;
        }
        if (what == 'W') ledger_.next_passphrase = passphrase_text(first);
        if (what == 'X') {
            ledger_.passphrase = passphrase_text(first);
            ledger_.next_passphrase.reset();
            ++acknowledged;
        }
        if (what == 'W') words_ = first + 1;
    }

    void look_again() {
        store::RealDisk disk;
        SeededRandom random(9);
        const store::StoreFolder where{folder_->path()};
        auto store = store::Store::open(disk, where, as_bytes(ledger_.passphrase), random, life_models());
        if (!store && ledger_.next_passphrase) {
            ledger_.passphrase = *ledger_.next_passphrase;
            store = store::Store::open(disk, where, as_bytes(ledger_.passphrase), random, life_models());
        }
        ledger_.next_passphrase.reset();
        if (!store) FAIL(store.error().sentence());
        in_a_step += ledger_.under_way.empty() ? 0 : 1;
        const std::size_t before = ledger_.notes.size();
        const Result<std::string> found = examine(*store.value(), ledger_);
        if (!found) FAIL(found.error().sentence());
        if (!found.value().empty()) {
            ++lost;
            FAIL_CHECK(found.value());
            return;
        }
        ++sound;
        // Stored, though nobody was told: it counts from now on. Not stored: its numbers are used again.
        note_ += static_cast<int>(ledger_.notes.size() - before);
    }

    SeededRandom chance_{4711};
    std::unique_ptr<ScratchFolder> folder_;
    Ledger ledger_;
    int note_ = 0;
    int words_ = 0;
    pid_t pid_ = -1;
};

}  // namespace

TEST_CASE("a process killed at any moment loses nothing that it acknowledged") {
    const int rounds = 300 * test_size();
    static_cast<void>(cast());
    Rounds all;
    for (int round = 0; round < rounds && all.lost == 0; ++round) {
        CAPTURE(round);
        all.play(round);
    }
    CHECK(all.acknowledged > rounds);
    CHECK(all.in_a_step > rounds / 20);
    MESSAGE("kill -9: rounds ", rounds, ", acknowledged ", all.acknowledged, ", killed within a step ", all.in_a_step,
            ", lost ", all.lost, ", integrity ok ", all.sound);
}
