// The table of attacks in DEVELOPERS.md names tests that are really there.

#include <doctest/doctest.h>

#include <filesystem>
#include <fstream>
#include <sstream>
#include <string>
#include <vector>

namespace {

namespace fs = std::filesystem;

const fs::path root = fs::path(__FILE__).parent_path() / ".." / ".." / ".." / "..";

std::string text_of(const fs::path& file) {
    std::ifstream in(file);
    std::ostringstream out;
    out << in.rdbuf();
    return out.str();
}

// The rows of the table.
std::string attacks() {
    const std::string all = text_of(root / "DEVELOPERS.md");
    const std::size_t from = all.find("\n## Attacks on the pages\n");
    REQUIRE(from != std::string::npos);
    return all.substr(from, all.find("\n## ", from + 4) - from);
}

struct Named {
    std::string file;
    std::string test;
};

// "`file_test.cpp`: *one*, *two*; `other.mjs`: *three*"
std::vector<Named> named_in(const std::string& text) {
    std::vector<Named> out;
    std::string file;
    for (std::size_t at = 0; at < text.size(); ++at) {
        if (text[at] != '`' && text[at] != '*') continue;
        const std::size_t end = text.find(text[at], at + 1);
        if (end == std::string::npos) break;
        const std::string word = text.substr(at + 1, end - at - 1);
        if (text[at] == '*') out.push_back({file, word});
        if (text[at] == '`' && (word.ends_with("_test.cpp") || word.ends_with("_test.mjs"))) file = word;
        at = end;
    }
    return out;
}

bool is_there(const Named& named) {
    for (const fs::directory_entry& entry : fs::recursive_directory_iterator(root / "tests")) {
        const std::string path = entry.path().generic_string();
        if (path.ends_with("/" + named.file) && text_of(entry.path()).find(named.test) != std::string::npos)
            return true;
    }
    return false;
}

}  // namespace

TEST_CASE("Every test that the table of attacks names is there") {
    const auto all = named_in(attacks());
    CHECK(all.size() > 30);
    for (const Named& named : all) {
        CAPTURE(named.file);
        CAPTURE(named.test);
        CHECK(is_there(named));
    }
}

TEST_CASE("A test that is not there is noticed") {
    CHECK_FALSE(is_there({"guard_test.cpp", "A name that leads nowhere"}));
}
