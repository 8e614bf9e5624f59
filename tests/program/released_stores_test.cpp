#include <filesystem>

#include "tests/program/refusals.hpp"

using namespace ladderline::test;

// tests/support/released holds one folder for each release: its store, and notes.txt, which says what is in it.

namespace {

namespace fs = std::filesystem;

// A copy of the store, as if its owner had installed today's program.
struct Upgraded {
    explicit Upgraded(const std::string& version) {
        fs::create_directory(owner.home());
        for (const char* file : {"keys", "keys.copy", "store.db"}) {
            fs::copy_file(fs::path(LADDERLINE_RELEASED_STORES) / version / file, owner.home() / file);
        }
    }
    TemporaryFolder folder;
    Person owner{LADDERLINE_PROGRAM, folder, "owner"};
};

}  // namespace

TEST_CASE("a store of release 0.1.0 opens, shows what was in it, and takes more") {
    const Upgraded f("0.1.0");
    const Outcome first = f.owner.run({"--json", "way"});
    CHECK(first.exit_code == 0);
    CHECK(first.err.empty());
    CHECK(holds(first.out, "00.01"));
    CHECK(holds(f.owner.must({"sees"}), "Ada Finch"));
    f.owner.must({"tick", "00.03"});
    CHECK(holds(f.owner.must({"check"}), "This store is whole"));
}

TEST_CASE("a store of release 0.1.0 goes on in the logs it has") {
    const Upgraded f("0.1.0");
    f.owner.must({"tick", "00.03"});
    // Two circles, one log each.
    CHECK(holds(f.owner.must({"check"}), "2 logs"));
}
