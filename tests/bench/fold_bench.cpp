// What the fold takes of control events that one officer wrote in order to be a burden: CPU time and memory, by kind of
// act, each in a process of its own.
//   bench_fold_bench [EVENTS [KIND]]      2,000 of every kind, unless given
// Prints a table with half as many beside it, so that the growth can be seen, and never fails on it.

#include <sys/wait.h>
#include <unistd.h>

#include <cstdio>
#include <cstdlib>
#include <string>

#include "tests/bench/cpu_time.hpp"
#include "tests/bench/own_memory.hpp"
#include "tests/support/protocol/control_floods.hpp"

using namespace ladderline;
using namespace ladderline::protocol;

namespace {

double peak_mib() {
    return static_cast<double>(bench::status_kib("VmHWM:")) / 1024;
}

struct Taken {
    double cpu_s = 0;
    double mib = 0;
};

// In a process of its own, for the memory's sake.
Taken measure(const test::ControlFlood& flood, std::size_t count) {
    int ends[2];
    if (pipe(ends) != 0) std::abort();
    const pid_t child = fork();
    if (child == 0) {
        test::FloodedClub club;
        flood.write(club, count);
        const double before_mib = peak_mib();
        const double before = bench::cpu_s();
        if (!club.story.state().is_founded()) std::abort();
        const Taken taken{bench::cpu_s() - before, peak_mib() - before_mib};
        const bool is_said = write(ends[1], &taken, sizeof taken) == static_cast<ssize_t>(sizeof taken);
        _exit(is_said ? 0 : 1);
    }
    close(ends[1]);
    Taken taken;
    const bool is_heard = read(ends[0], &taken, sizeof taken) == static_cast<ssize_t>(sizeof taken);
    close(ends[0]);
    waitpid(child, nullptr, 0);
    if (!is_heard) std::printf("  (ended before it was done)\n");
    return taken;
}

}  // namespace

int main(int argc, char** argv) {
    init_crypto();
    const std::size_t count = argc > 1 ? std::strtoull(argv[1], nullptr, 10) : 2000;
    const std::string only = argc > 2 ? argv[2] : "";
    std::printf("%-26s %10s %12s %12s %12s\n", "what is written", "events", "CPU s", "half's CPU", "MiB");
    for (const test::ControlFlood& flood : test::control_floods()) {
        if (!only.empty() && only != flood.name) continue;
        const Taken half = measure(flood, count / 2);
        const Taken whole = measure(flood, count);
        std::printf("%-26s %10zu %12.3f %12.3f %12.1f\n", flood.name, count, whole.cpu_s, half.cpu_s, whole.mib);
        std::fflush(stdout);
    }
    return 0;
}
