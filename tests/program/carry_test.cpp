// News carried in files between two stores that never meet.

#include <filesystem>
#include <fstream>
#include <sstream>

#include "tests/program/refusals.hpp"

using namespace ladderline::test;

namespace {

namespace fs = std::filesystem;

std::string text_of(const fs::path& file) {
    std::ifstream in(file, std::ios::binary);
    std::ostringstream out;
    out << in.rdbuf();
    return out.str();
}

// Ada's path, onto which she let Max over the network; after that nobody's node runs.
struct TwoStores {
    TwoStores() {
        ada.must({"begin", "--name", "Ada Finch"});
        max.must({"begin", "--name", "Max Dale", "--as", "mentor"});
        RunningProgram node(ada);
        max.must({"join", code_in(ada.must({"--json", "invite", "path", "--as", "mentor"}))});
        node.stop();
        fs::create_directory(stick);
    }
    std::string bundle(const Person& from, const std::string& who, std::vector<std::string> more = {}) const {
        std::vector<std::string> words{"bundle", "write", "--for", who, "--to", stick.string()};
        words.insert(words.end(), more.begin(), more.end());
        return from.must(words);
    }
    std::vector<fs::path> files() const {
        std::vector<fs::path> out;
        for (const auto& entry : fs::directory_iterator(stick)) out.push_back(entry.path());
        return out;
    }

    TemporaryFolder folder;
    Person ada{LADDERLINE_PROGRAM, folder, "ada"};
    Person max{LADDERLINE_PROGRAM, folder, "max"};
    fs::path stick = folder.path() / "stick";
};

}  // namespace

TEST_CASE("a tick reaches the mentor in a file, and the mentor's news in another brings both in step") {
    const TwoStores f;
    f.ada.must({"tick", "00.01"});
    const std::string written = f.bundle(f.ada, "Max");
    CHECK(holds(written, "97.113"));
    CHECK(holds(f.max.must({"bundle", "read", f.stick.string()}), "from Ada Finch"));
    CHECK(f.max.must({"--json", "way", "Ada"}) == f.ada.must({"--json", "way"}));
    f.max.must({"bundle", "write", "--for", "Ada", "--to", f.folder.path() / "back.carry"});
    const std::string read = f.ada.must({"bundle", "read", f.folder.path() / "back.carry"});
    CHECK(holds(read, "You hold just what its writer held."));
    CHECK(f.max.must({"--json", "way", "Ada"}) == f.ada.must({"--json", "way"}));
}

TEST_CASE("a bundle goes through a letter with quoting marks, other text and other line ends") {
    const TwoStores f;
    f.ada.must({"tick", "00.01"});
    const fs::path letter = f.folder.path() / "letter.txt";
    f.ada.must({"bundle", "write", "--for", "Max", "--to", letter, "--text"});
    std::istringstream lines(text_of(letter));
    std::string answered = "Max, can you read this?\r\nOn Sunday Ada wrote:\r\n> Here is the news:\r\n";
    for (std::string line; std::getline(lines, line);) answered += "> " + line + " \r\n";
    answered += "> Best, Ada\r\n";
    const std::string file = f.folder.file("answered.eml", answered);
    CHECK(holds(f.max.must({"bundle", "read", file}), "from Ada Finch"));
    CHECK(f.max.must({"--json", "way", "Ada"}) == f.ada.must({"--json", "way"}));
}

TEST_CASE("a bundle read twice, or with foreign files around it, changes nothing more") {
    const TwoStores f;
    f.ada.must({"tick", "00.01"});
    f.bundle(f.ada, "Max");
    std::ofstream(f.stick / "minutes.txt") << "Minutes of the meeting";
    std::ofstream(f.stick / "torn.carry") << "LADDERB";
    const std::string first = f.max.must({"bundle", "read", f.stick.string()});
    CHECK(holds(first, "Left out: torn.carry"));
    const std::string way = f.max.must({"--json", "way", "Ada"});
    CHECK(holds(f.max.must({"bundle", "read", f.stick.string()}), "0 events were new"));
    CHECK(f.max.must({"--json", "way", "Ada"}) == way);
}

TEST_CASE("with nothing new no bundle is written, and --all writes everything again") {
    const TwoStores f;
    f.bundle(f.ada, "path");
    const std::size_t before = f.files().size();
    CHECK(holds(f.bundle(f.ada, "path"), "nothing was written"));
    CHECK(f.files().size() == before);
    f.bundle(f.ada, "path", {"--all"});
    CHECK(f.files().size() == before + 1);
}

TEST_CASE("what somebody gets wrong about bundles is one sentence and changes nothing") {
    const TwoStores f;
    const std::string before = all_of_store(f.ada);
    const std::string there = f.folder.file("there.txt", "x");
    const std::string stick = f.stick.string();
    struct Case {
        std::vector<std::string> words;
        int exit_code;
        std::string named;
    };
    const Case cases[] = {
        {{"bundle"}, 2, "ladderline bundle --help"},
        {{"bundle", "send"}, 2, "'send'"},
        {{"bundle", "write", "--to", stick}, 2, "--for"},
        {{"bundle", "write", "--for", "Max"}, 2, "--to"},
        {{"bundle", "write", "--for", "Nobody", "--to", stick}, 4, "'Nobody'"},
        {{"bundle", "write", "--for", "Ada", "--to", stick}, 2, "That is you"},
        {{"bundle", "write", "--for", "club", "--to", stick}, 4, "no club"},
        {{"bundle", "write", "--for", "path", "--with-key", "--to", stick}, 2, "one person"},
        {{"bundle", "write", "--for", "Max", "--to", there}, 3, "is there already"},
        {{"bundle", "write", "--for", "Max", "--to", "/nowhere/deep/file"}, 8, "/nowhere/deep/file"},
        {{"bundle", "write", "--for", "Max", "--to", f.ada.home() / "x"}, 3, "store's own folder"},
        {{"bundle", "read"}, 2, "files"},
        {{"bundle", "read", "/nowhere"}, 4, "/nowhere"},
        {{"bundle", "read", stick}, 4, "no bundle"},
        {{"bundle", "read", there}, 2, "no bundle"},
        {{"drop-folder", "add", f.ada.home()}, 3, "store's own folder"},
        {{"drop-folder", "add", f.ada.home() / "deep"}, 3, "store's own folder"},
        {{"drop-folder", "add", f.folder.path()}, 3, "store's own folder"},
        {{"drop-folder", "add", "/nowhere"}, 4, "/nowhere"},
        {{"drop-folder", "remove", stick}, 4, "no drop folder"},
        {{"drop-folder", "look"}, 4, "no drop folder"},
        {{"drop-folder", "sort"}, 2, "'sort'"},
        {{"run", "--look", "0"}, 2, "--look"},
    };
    for (const Case& one : cases) {
        CAPTURE(one.words.back());
        CHECK(holds(refusal(f.ada.run(one.words), one.exit_code), one.named));
    }
    CHECK(all_of_store(f.ada) == before);
    CHECK(f.files().empty());
}

TEST_CASE("somebody who is in no such circle reads nothing out of a bundle") {
    const TwoStores f;
    const Person cy(LADDERLINE_PROGRAM, f.folder, "cy");
    cy.must({"begin", "--name", "Cy Marsh"});
    f.bundle(f.ada, "Max");
    CHECK(holds(refusal(cy.run({"bundle", "read", f.stick.string()}), 4), "key that is not here"));
}

TEST_CASE("two nodes exchange news through a drop folder, and find the folder again when they run") {
    const TwoStores f;
    CHECK(holds(f.ada.must({"drop-folder", "add", f.stick}), "97.113"));
    f.max.must({"drop-folder", "add", f.stick});
    f.ada.must({"tick", "00.01"});
    f.ada.must({"drop-folder", "look"});
    f.max.must({"drop-folder", "look"});
    CHECK(f.max.must({"--json", "way", "Ada"}) == f.ada.must({"--json", "way"}));
    CHECK(holds(f.ada.must({"drop-folder", "list"}), "had everything"));
    RunningProgram node(f.max, {"--look", "1440"});
    f.ada.must({"tick", "00.02"});
    f.ada.must({"drop-folder", "look"});
    f.max.must({"drop-folder", "look"});  // said to the node that runs
    CHECK(f.max.must({"--json", "way", "Ada"}) == f.ada.must({"--json", "way"}));
    CHECK(node.stop() == 0);
}
