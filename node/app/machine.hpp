#pragma once
// What this machine can bear, and what this process has promised about its memory.

#include <cstdint>

#include "protocol/crypto/passphrase.hpp"

namespace ladderline::node {

// Bytes of working memory; 0 if the system does not say.
std::uint64_t memory_of_machine();

// Argon2id for a slot made on a machine with that much memory: 3 passes over 256 MiB, over 64 MiB below 2 GiB or where
// the memory is not known. Slots made elsewhere keep the cost they were made with.
protocol::PassphraseCost passphrase_cost_for(std::uint64_t memory_bytes);

// No core dump and no look from outside while keys are in memory. First thing in main.
void guard_process();
// A passphrase that was typed stays in no buffer of the standard input. In main, before anything is read from it.
void unbuffer_typing();

struct ProcessGuard {
    bool dumpable = true;
    std::uint64_t core_bytes_max = 0;  // of the largest core file that the limits allow
    std::uint64_t locked_kib = 0;      // memory that is never written to swap
};
ProcessGuard process_guard();

}  // namespace ladderline::node
