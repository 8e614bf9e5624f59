#include <filesystem>

#include "tests/program/refusals.hpp"

using namespace ladderline::test;

// tests/support/released holds one folder for each release: its store, and notes.txt, which says what is in it and how
// it is made; a later release's is made by the same commands.

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

std::vector<std::string> releases() {
    std::vector<std::string> out;
    for (const auto& entry : fs::directory_iterator(LADDERLINE_RELEASED_STORES)) {
        if (entry.is_directory()) out.push_back(entry.path().filename());
    }
    return out;
}

}  // namespace

TEST_CASE("a store of every release opens, shows what was in it, and takes more") {
    const auto versions = releases();
    REQUIRE_FALSE(versions.empty());
    int opened = 0;
    for (const std::string& version : versions) {
        CAPTURE(version);
        const Upgraded f(version);
        const Outcome first = f.owner.run({"--json", "way"});
        REQUIRE(first.exit_code == 0);
        CHECK(first.err.empty());
        CHECK(holds(first.out, "00.01"));
        CHECK(holds(f.owner.must({"sees"}), "Ada Finch"));
        f.owner.must({"tick", "00.03"});
        CHECK(holds(f.owner.must({"check"}), "This store is whole"));
        ++opened;
    }
    MESSAGE("stores of released versions: opened ", opened);
}

TEST_CASE("a store of every release goes on in the logs it has") {
    for (const std::string& version : releases()) {
        CAPTURE(version);
        const Upgraded f(version);
        f.owner.must({"tick", "00.03"});
        // Two circles, one log each.
        CHECK(holds(f.owner.must({"check"}), "2 logs"));
    }
}
