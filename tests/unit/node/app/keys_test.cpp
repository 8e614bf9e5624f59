#include <doctest/doctest.h>
#include <stdio_ext.h>
#include <sys/stat.h>

#include <csignal>
#include <cstdlib>
#include <filesystem>
#include <fstream>

#include "node/app/key_files.hpp"
#include "node/app/machine.hpp"
#include "node/app/progress_line.hpp"
#include "node/app/store_place.hpp"
#include "tests/support/node/member_fixture.hpp"

using namespace ladderline;
using namespace ladderline::node;
using namespace ladderline::test;

namespace fs = std::filesystem;

namespace {

struct Folders {
    Folders() {
        std::string name = (fs::temp_directory_path() / "ladderline-keys.XXXXXX").string();
        REQUIRE(mkdtemp(name.data()) != nullptr);
        top = name;
        fs::create_directory(top / "store");
    }
    ~Folders() {
        std::error_code ignored;
        fs::remove_all(top, ignored);
    }
    Folders(const Folders&) = delete;
    Folders& operator=(const Folders&) = delete;

    fs::path top;
    SeededRandom random{5};

    Result<protocol::SecretBytes> make(const fs::path& path) { return make_key_file(path, top / "store", random); }
};

mode_t mode_of(const fs::path& path) {
    struct stat found {};
    REQUIRE(::stat(path.c_str(), &found) == 0);
    return found.st_mode & 0777;
}

}  // namespace

TEST_CASE("no line that is typed stays in a buffer of the standard input") {
    unbuffer_typing();
    CHECK(__fbufsize(stdin) == 1);  // a byte of the stream itself; 0 before a buffer was chosen
}

TEST_CASE("a passphrase costs 256 MiB, or 64 MiB on a machine below 2 GiB or of unknown memory") {
    constexpr std::uint64_t gib = std::uint64_t{1} << 30;
    const protocol::PassphraseCost full{3, 256 * 1024};
    const protocol::PassphraseCost floor{3, 64 * 1024};
    CHECK(passphrase_cost_for(2 * gib) == full);
    CHECK(passphrase_cost_for(64 * gib) == full);
    CHECK(passphrase_cost_for(2 * gib - 1) == floor);
    CHECK(passphrase_cost_for(0) == floor);
}

TEST_CASE("this machine says how much memory it has") {
    CHECK(memory_of_machine() > 64 * 1024 * 1024);
}

TEST_CASE("a key file is readable by its owner alone and reads back the same") {
    Folders f;
    const auto made = must(f.make(f.top / "boot.key"));
    CHECK(mode_of(f.top / "boot.key") == 0600);
    CHECK(protocol::equal_secret(must(read_key_file(f.top / "boot.key")).view(), made.view()));
}

TEST_CASE("a key file that others may read is refused") {
    Folders f;
    must(f.make(f.top / "boot.key"));
    for (const mode_t mode : {0640, 0604, 0620, 0610, 0666}) {
        CAPTURE(mode);
        REQUIRE(::chmod((f.top / "boot.key").c_str(), mode) == 0);
        CHECK(must_fail(read_key_file(f.top / "boot.key")).fault() == Fault::refused);
    }
    REQUIRE(::chmod((f.top / "boot.key").c_str(), 0400) == 0);
    CHECK(read_key_file(f.top / "boot.key").has_value());
}

TEST_CASE("what is no key file is said so") {
    Folders f;
    CHECK(must_fail(read_key_file(f.top / "nothing")).fault() == Fault::bad_input);
    std::ofstream(f.top / "short") << "too short";
    REQUIRE(::chmod((f.top / "short").c_str(), 0600) == 0);
    CHECK(must_fail(read_key_file(f.top / "short")).fault() == Fault::bad_input);
    REQUIRE(::chmod((f.top / "store").c_str(), 0700) == 0);
    CHECK(must_fail(read_key_file(f.top / "store")).fault() == Fault::bad_input);
}

TEST_CASE("a key file is not made inside the store, however the path is written") {
    Folders f;
    fs::create_directory(f.top / "store" / "deep");
    fs::create_directory_symlink(f.top / "store", f.top / "link");
    for (const char* place : {"store/k", "store/deep/k", "store/../store/k", "link/k"}) {
        CAPTURE(place);
        CHECK(must_fail(f.make(f.top / place)).fault() == Fault::refused);
        CHECK_FALSE(fs::exists(f.top / place));
    }
    CHECK(f.make(f.top / "store-not-really").has_value());
}

TEST_CASE("a key file is not made where others can write, nor over a file") {
    Folders f;
    fs::create_directory(f.top / "open");
    REQUIRE(::chmod((f.top / "open").c_str(), 0777) == 0);
    CHECK(must_fail(f.make(f.top / "open" / "k")).fault() == Fault::refused);
    std::ofstream(f.top / "mine") << "a letter";
    CHECK(must_fail(f.make(f.top / "mine")).fault() == Fault::refused);
    CHECK(fs::file_size(f.top / "mine") == 8);
    CHECK(must_fail(f.make(f.top / "nowhere" / "k")).fault() == Fault::bad_input);
}

TEST_CASE("long work goes on until somebody interrupts it, and gives the signal back afterwards") {
    SetClock clock;
    struct sigaction before {};
    REQUIRE(sigaction(SIGINT, nullptr, &before) == 0);
    {
        ProgressLine line(clock, "Counting");
        CHECK(line.progress()(1, 10));
        REQUIRE(std::raise(SIGINT) == 0);
        CHECK_FALSE(line.progress()(2, 10));
    }
    struct sigaction now {};
    REQUIRE(sigaction(SIGINT, nullptr, &now) == 0);
    CHECK((now.sa_handler == before.sa_handler));
    ProgressLine again(clock, "Counting");
    CHECK(again.progress()(1, 10));
}

#if !defined(__SANITIZE_ADDRESS__) && !defined(__SANITIZE_THREAD__)  // sanitizers lock no memory
TEST_CASE("a secret lies in memory that is never written to swap, until it is gone") {
    const std::uint64_t before = process_guard().locked_kib;
    {
        const protocol::SecretBytes secret(4096);
        CHECK(process_guard().locked_kib >= before + 4);
    }
    CHECK(process_guard().locked_kib == before);
}
#endif

TEST_CASE("a store may live on a disk of this machine, not on a share") {
    for (const std::uint64_t type : {0x6969ULL, 0x517BULL, 0xFF534D42ULL, 0xFFFFFFFFFF534D42ULL, 0x65735546ULL}) {
        CAPTURE(type);
        CHECK(is_shared_file_system(type));
    }
    for (const std::uint64_t type : {0xEF53ULL, 0x01021994ULL, 0x9123683EULL, 0x58465342ULL, 0x794C7630ULL}) {
        CAPTURE(type);
        CHECK_FALSE(is_shared_file_system(type));
    }
}

TEST_CASE("a store is not begun below a folder that is kept the same on several machines") {
    const Folders f;
    CHECK(check_store_place(f.top / "new" / "store").has_value());
    fs::create_directory(f.top / ".sync-state");
    CHECK(must_fail(check_store_place(f.top / "new" / "store")).fault() == Fault::refused);
    CHECK(must_fail(check_store_place(f.top)).fault() == Fault::refused);
    CHECK(check_store_place(f.top.string() + "-beside").has_value());
}
