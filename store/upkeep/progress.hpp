#pragma once
// How a long piece of work tells how far it is, and learns that it is to stop.

#include <cstdint>
#include <functional>

namespace ladderline::store {

// `done` of `total` pieces, whatever they are; false: stop, which is Fault::cancelled and leaves everything as it was.
// Empty: nobody asks.
using Progress = std::function<bool(std::uint64_t done, std::uint64_t total)>;

inline bool goes_on(const Progress& progress, std::uint64_t done, std::uint64_t total) {
    return !progress || progress(done, total);
}

}  // namespace ladderline::store
