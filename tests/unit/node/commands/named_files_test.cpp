#include "node/commands/named_files.hpp"

#include <doctest/doctest.h>
#include <sys/stat.h>

#include <fstream>
#include <sstream>

#include "node/commands/plain_text.hpp"
#include "tests/support/node/member_fixture.hpp"
#include "tests/support/scratch.hpp"

using namespace ladderline;
using namespace ladderline::test;
namespace fs = std::filesystem;

namespace {

struct Folder {
    ScratchFolder scratch;
    fs::path file(const char* name, std::string_view text) const {
        std::ofstream(scratch.path() / name) << text;
        return scratch.path() / name;
    }
    static std::string text_of(const fs::path& path) {
        std::ostringstream out;
        out << std::ifstream(path).rdbuf();
        return out.str();
    }
};

}  // namespace

TEST_CASE("A named file is read whole") {
    const Folder folder;
    CHECK(must(node::read_named_file(folder.file("net.txt", "1905 KD0XBB\n"))) == "1905 KD0XBB\n");
}

TEST_CASE("A named file that is not there is not found") {
    const Folder folder;
    CHECK(node::read_named_file(folder.scratch.path() / "none").error().fault() == Fault::not_found);
}

TEST_CASE("A device that never ends is no file to be read") {
    CHECK(node::read_named_file("/dev/zero").error().fault() == Fault::bad_input);
}

TEST_CASE("A pipe that nobody writes into is not waited for") {
    const Folder folder;
    const fs::path pipe = folder.scratch.path() / "pipe";
    REQUIRE(::mkfifo(pipe.c_str(), 0600) == 0);
    CHECK(node::read_named_file(pipe).error().fault() == Fault::bad_input);
}

TEST_CASE("A named file of more than a form takes is refused") {
    const Folder folder;
    const fs::path file = folder.file("big", "");
    fs::resize_file(file, node::named_file_bytes_max + 1);
    CHECK(node::read_named_file(file).error().fault() == Fault::bad_input);
}

TEST_CASE("A file of something else is not replaced") {
    const Folder folder;
    const fs::path file = folder.file("pass", "correct horse\n");
    CHECK(node::write_named_file(file, "Log written by Ladderline\r\n").error().fault() == Fault::refused);
    CHECK(Folder::text_of(file) == "correct horse\n");
}

TEST_CASE("A page of somebody else is not replaced by one of ours") {
    const Folder folder;
    const fs::path file = folder.file("mine.html", "<!doctype html><html lang=\"en\"><head><meta charset=\"utf-8\">\n");
    CHECK(node::write_page(file, node::printed_page("Sheet", "", "new")).error().fault() == Fault::refused);
}

TEST_CASE("An earlier page is replaced by the next one") {
    const Folder folder;
    const fs::path file = folder.scratch.path() / "sheet.html";
    must(node::write_page(file, node::printed_page("Sheet of May", "", "old")));
    const std::string next = node::printed_page("Sheet of June", "", "new");
    must(node::write_page(file, next));
    CHECK(Folder::text_of(file) == next);
}

TEST_CASE("An empty file is taken for a place that was made ready") {
    const Folder folder;
    const fs::path file = folder.file("log.csv", "");
    must(node::write_named_file(file, "date_utc\r\n"));
    CHECK(Folder::text_of(file) == "date_utc\r\n");
}

TEST_CASE("A device is not replaced by a file") {
    const Folder folder;
    const fs::path device = folder.scratch.path() / "null";
    fs::create_symlink("/dev/null", device);
    CHECK(node::write_named_file(device, "text").error().fault() == Fault::refused);
    CHECK(fs::is_symlink(device));
}
