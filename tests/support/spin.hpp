#pragma once
// A while of work, for a moment that no test can name. Nothing may hang on its length.

#include <atomic>
#include <cstdint>

namespace ladderline::test {

inline void spin(std::uint64_t turns) {
    for (std::atomic<std::uint64_t> left(turns); left.load() > 0;) left.fetch_sub(1);
}

}  // namespace ladderline::test
