#include "store/carry/carried_files.hpp"

#include <doctest/doctest.h>
#include <sys/stat.h>
#include <unistd.h>

#include <fstream>

using namespace ladderline;
using namespace ladderline::store;

namespace {

struct Folder {
    std::filesystem::path path =
        std::filesystem::temp_directory_path() / ("ladderline-carried-" + std::to_string(getpid()));
    RealCarriedFiles files;

    Folder() {
        std::filesystem::remove_all(path);
        std::filesystem::create_directories(path);
    }
    ~Folder() { std::filesystem::remove_all(path); }
};

}  // namespace

TEST_CASE("a carried file is written whole, readable by others, and read back") {
    Folder f;
    REQUIRE(f.files.write(f.path / "a.carry", as_bytes("sealed")).has_value());
    CHECK(as_text(f.files.read(f.path / "a.carry", 100).value()) == "sealed");
    struct stat found {};
    REQUIRE(::stat((f.path / "a.carry").c_str(), &found) == 0);
    CHECK((found.st_mode & 0400U) != 0);
    CHECK((found.st_mode & 0040U) != 0);
    CHECK(f.files.list(f.path, ".carry", 10).value() == std::vector<std::string>{"a.carry"});
    CHECK(f.files.remove(f.path / "a.carry").has_value());
    CHECK(f.files.remove(f.path / "a.carry").has_value());
}

TEST_CASE("a file that is too large, a folder and a pipe are not read, and a pipe is not waited for") {
    Folder f;
    REQUIRE(f.files.write(f.path / "large", Bytes(100)).has_value());
    REQUIRE(::mkfifo((f.path / "pipe.carry").c_str(), 0600) == 0);
    CHECK(f.files.read(f.path / "large", 99).error().fault() == Fault::bad_input);
    CHECK(f.files.read(f.path / "pipe.carry", 99).error().fault() == Fault::bad_input);
    CHECK(f.files.read(f.path, 99).has_error());
    CHECK(f.files.read(f.path / "none", 99).error().fault() == Fault::not_found);
    CHECK(f.files.list(f.path, ".carry", 10).value().empty());
}

TEST_CASE("a listing is bounded, and a folder that is not there is said so") {
    Folder f;
    for (const char* name : {"a.carry", "b.carry", "c.carry", "d.txt"}) std::ofstream(f.path / name) << "x";
    CHECK(f.files.list(f.path, ".carry", 2).value().size() == 2);
    CHECK(f.files.list(f.path, ".carry", 9).value().size() == 3);
    CHECK(f.files.list(f.path / "none", ".carry", 9).error().fault() == Fault::not_found);
}

TEST_CASE("a file that cannot be written leaves nothing behind") {
    Folder f;
    std::filesystem::create_directory(f.path / "taken.carry");
    CHECK(f.files.write(f.path / "taken.carry", as_bytes("x")).error().fault() == Fault::disk);
    CHECK_FALSE(std::filesystem::exists(f.path / "taken.carry.new"));
}

TEST_CASE("a folder is inside itself and its parents, however it is written") {
    Folder f;
    std::filesystem::create_directories(f.path / "store");
    std::filesystem::create_directory_symlink(f.path / "store", f.path / "link");
    const auto real = [&](const std::filesystem::path& path) { return f.files.real_path(path).value(); };
    CHECK(is_inside(real(f.path / "store" / "deep"), real(f.path / "link/")));
    CHECK(is_inside(real(f.path / "store" / "." / ".." / "store"), real(f.path / "store")));
    CHECK_FALSE(is_inside(real(f.path / "store-2"), real(f.path / "store")));
    CHECK_FALSE(is_inside(real(f.path), real(f.path / "store")));
}
