#pragma once
// Short scripts of what a store is made to do, each run again and again with something failing in its middle.

#include <functional>

#include "tests/crash/life/life.hpp"

namespace ladderline::test {

struct Script {
    const char* name;
    // Begins on an empty disk, or with no store open.
    bool from_nothing = false;
    bool opens_itself = false;
    std::function<Result<void>(Life&, store::Store*, Ledger&)> act;
};

const std::vector<Script>& scripts();

// The disk at the beginning of the script, and what was acknowledged by then.
Snapshot start_of(const Script& script);
Ledger ledger_at_start(const Script& script);

}  // namespace ladderline::test
