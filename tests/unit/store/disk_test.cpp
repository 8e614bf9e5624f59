#include "store/disk.hpp"

#include <doctest/doctest.h>
#include <fcntl.h>
#include <sys/stat.h>
#include <unistd.h>

#include <string>

using namespace ladderline;
using namespace ladderline::store;

namespace {

// A folder of the system that goes away with the test.
struct Folder {
    std::filesystem::path path =
        std::filesystem::temp_directory_path() / ("ladderline-disk-" + std::to_string(getpid()));
    RealDisk disk;

    Folder() {
        std::filesystem::remove_all(path);
        REQUIRE(disk.make_folder(path));
    }
    ~Folder() { std::filesystem::remove_all(path); }

    unsigned mode(const std::filesystem::path& of) const {
        struct stat found {};
        REQUIRE(::stat(of.c_str(), &found) == 0);
        return found.st_mode & 0777U;
    }
};

}  // namespace

TEST_CASE("a file is read back as written, and replaced whole") {
    Folder folder;
    const Bytes large(100'000, 7);
    REQUIRE(folder.disk.write_atomically(folder.path / "a", large));
    CHECK(folder.disk.read(folder.path / "a").value() == large);
    REQUIRE(folder.disk.write_atomically(folder.path / "a", as_bytes("short")));
    CHECK(as_text(folder.disk.read(folder.path / "a").value()) == "short");
    CHECK(folder.disk.list(folder.path).value() == std::vector<std::string>{"a"});
}

TEST_CASE("files and folders are their owner's only") {
    Folder folder;
    REQUIRE(folder.disk.make_folder(folder.path / "x" / "y"));
    REQUIRE(folder.disk.write_atomically(folder.path / "a", as_bytes("secret")));
    CHECK(folder.mode(folder.path / "x") == 0700);
    CHECK(folder.mode(folder.path / "x" / "y") == 0700);
    CHECK(folder.mode(folder.path / "a") == 0600);
    CHECK(folder.disk.make_folder(folder.path / "x").has_value());
}

TEST_CASE("what is not there is said so") {
    Folder folder;
    CHECK(folder.disk.read(folder.path / "none").error().fault() == Fault::not_found);
    CHECK(folder.disk.list(folder.path / "none").error().fault() == Fault::not_found);
    CHECK_FALSE(folder.disk.exists(folder.path / "none").value());
    CHECK(folder.disk.remove(folder.path / "none").has_value());
}

TEST_CASE("a removed file is gone") {
    Folder folder;
    REQUIRE(folder.disk.write_atomically(folder.path / "a", as_bytes("x")));
    CHECK(folder.disk.exists(folder.path / "a").value());
    REQUIRE(folder.disk.remove(folder.path / "a"));
    CHECK_FALSE(folder.disk.exists(folder.path / "a").value());
}

TEST_CASE("a list is sorted and leaves folders out") {
    Folder folder;
    for (const char* name : {"c", "a", "b"}) REQUIRE(folder.disk.write_atomically(folder.path / name, as_bytes("x")));
    REQUIRE(folder.disk.make_folder(folder.path / "d"));
    CHECK(folder.disk.list(folder.path).value() == std::vector<std::string>{"a", "b", "c"});
}

TEST_CASE("what is written goes into no file that somebody put in its way") {
    Folder folder;
    const std::filesystem::path in_the_way = folder.path / "a.new";
    const int held = ::open(in_the_way.c_str(), O_RDWR | O_CREAT | O_CLOEXEC, 0644);
    REQUIRE(held >= 0);
    REQUIRE(folder.disk.write_atomically(folder.path / "a", as_bytes("secret")));
    struct stat seen {};
    CHECK((::fstat(held, &seen) == 0 && seen.st_size == 0));
    ::close(held);
    CHECK(folder.mode(folder.path / "a") == 0600);
}

TEST_CASE("what is written follows no link that somebody put in its way") {
    Folder folder;
    std::filesystem::create_symlink(folder.path / "elsewhere", folder.path / "a.new");
    REQUIRE(folder.disk.write_atomically(folder.path / "a", as_bytes("secret")));
    CHECK(folder.disk.list(folder.path).value() == std::vector<std::string>{"a"});
    CHECK(folder.mode(folder.path / "a") == 0600);
}

TEST_CASE("a write that cannot be done leaves the old file and no litter, and names the path") {
    Folder folder;
    REQUIRE(folder.disk.make_folder(folder.path / "taken"));
    const Result<void> outcome = folder.disk.write_atomically(folder.path / "taken", as_bytes("x"));
    REQUIRE_FALSE(outcome);
    CHECK(outcome.error().fault() == Fault::disk);
    CHECK(outcome.error().sentence().find("taken") != std::string::npos);
    CHECK(folder.disk.list(folder.path).value().empty());
}

TEST_CASE("a part of a file is written over in place, and a gap before it is zeros") {
    Folder folder;
    for (const bool flush : {false, true}) {
        const std::filesystem::path file = folder.path / (flush ? "flushed" : "not");
        REQUIRE(folder.disk.patch(file, 4, as_bytes("abcd"), flush));
        REQUIRE(folder.disk.patch(file, 2, as_bytes("xyz"), flush));
        CHECK(folder.disk.read(file).value() == Bytes{0, 0, 'x', 'y', 'z', 'b', 'c', 'd'});
        CHECK(folder.mode(file) == 0600);
    }
    CHECK(folder.disk.patch(folder.path / "nowhere" / "file", 0, as_bytes("a"), true).error().fault() == Fault::disk);
}
