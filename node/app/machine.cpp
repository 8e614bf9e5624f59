#include "node/app/machine.hpp"

#include <sys/prctl.h>
#include <sys/resource.h>
#include <unistd.h>

#include <cstdio>
#include <fstream>
#include <string>

namespace ladderline::node {

std::uint64_t memory_of_machine() {
    const long pages = sysconf(_SC_PHYS_PAGES);
    const long page_bytes = sysconf(_SC_PAGESIZE);
    if (pages <= 0 || page_bytes <= 0) return 0;
    return static_cast<std::uint64_t>(pages) * static_cast<std::uint64_t>(page_bytes);
}

protocol::PassphraseCost passphrase_cost_for(std::uint64_t memory_bytes) {
    constexpr std::uint64_t small_below = std::uint64_t{2} << 30;
    if (memory_bytes < small_below) return {3, 64 * 1024};
    return {3, 256 * 1024};
}

void guard_process() {
    prctl(PR_SET_DUMPABLE, 0);
    const rlimit none{0, 0};
    setrlimit(RLIMIT_CORE, &none);
}

void unbuffer_typing() {
    std::setvbuf(stdin, nullptr, _IONBF, 0);  // std::cin has no buffer of its own beside that of stdin
}

ProcessGuard process_guard() {
    ProcessGuard out;
    out.dumpable = prctl(PR_GET_DUMPABLE) != 0;
    rlimit core{};
    if (getrlimit(RLIMIT_CORE, &core) == 0) out.core_bytes_max = core.rlim_cur;
    std::ifstream status("/proc/self/status");
    for (std::string word; status >> word;) {
        if (word == "VmLck:") status >> out.locked_kib;
    }
    return out;
}

}  // namespace ladderline::node
