#pragma once
// CPU time of this process, for measurements that no test hangs on.

#include <ctime>

namespace ladderline::bench {

inline double cpu_s() {
    return static_cast<double>(std::clock()) / CLOCKS_PER_SEC;
}

}  // namespace ladderline::bench
