#pragma once
// Memory of this process as the system counts it, for measurements that no test hangs on.

#include <cstdint>
#include <fstream>
#include <string>

namespace ladderline::bench {

// "VmRSS:" for what it has now, "VmHWM:" for the most it ever had; 0 if the system says nothing of it.
inline std::uint64_t status_kib(const std::string& name) {
    std::ifstream status("/proc/self/status");
    for (std::string line; std::getline(status, line);) {
        if (line.starts_with(name)) return std::stoull(line.substr(name.size() + 1));
    }
    return 0;
}

}  // namespace ladderline::bench
