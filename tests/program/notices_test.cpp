// Notices on the desktop, shown by a stand-in for notify-send that writes down what it was given.

#include <cstdlib>
#include <fstream>
#include <sstream>

#include "tests/program/refusals.hpp"

using namespace ladderline::test;
using nlohmann::json;

namespace {

std::string whole_file(const std::filesystem::path& path) {
    std::ostringstream text;
    text << std::ifstream(path, std::ios::binary).rdbuf();
    return text.str();
}

// A folder in front of the path for programs, as long as it lives.
class OnPath {
public:
    explicit OnPath(const std::filesystem::path& folder) : before_(std::getenv("PATH")) {
        ::setenv("PATH", (folder.string() + ":" + before_).c_str(), 1);
    }
    ~OnPath() { ::setenv("PATH", before_.c_str(), 1); }
    OnPath(const OnPath&) = delete;
    OnPath& operator=(const OnPath&) = delete;

private:
    std::string before_;
};

// Ada asks Max for a hand while his node runs with `option`; what his desktop was given.
std::string notice_with(const std::string& option) {
    const TemporaryFolder folder;
    const std::filesystem::path said = folder.path() / "said.plain";
    const std::string stand_in =
        folder.file("notify-send", "#!/bin/sh\nprintf '%s|' \"$@\" >'" + said.string() + "'\n");
    std::filesystem::permissions(stand_in, std::filesystem::perms::owner_all);
    const OnPath path(folder.path());
    const Person ada(LADDERLINE_PROGRAM, folder, "ada");
    const Person max(LADDERLINE_PROGRAM, folder, "max");
    ada.must({"begin", "--name", "Ada Finch"});
    max.must({"begin", "--name", "Max Dale", "--as", "mentor"});
    const RunningProgram adas(ada);
    std::vector<std::string> options;
    if (!option.empty()) options.push_back(option);
    const RunningProgram maxs(max, options);
    max.must({"join", code_in(ada.must({"--json", "invite", "path", "--as", "mentor"}))});
    ada.must({"ask", "which antenna for a flat"});
    for (int look = 0; look < 2000; ++look) {
        const bool is_here = holds(max.must({"today"}), "which antenna");
        const std::string notice = whole_file(said);
        if (is_here && notice.ends_with("|")) return notice;
        if (is_here && option.empty() && look > 100) break;
    }
    return {};
}

}  // namespace

TEST_CASE("a notice says that something waits, and nothing else") {
    CHECK(notice_with("--notify") == "--app-name=Ladderline|--|Ladderline|Something waits for you.|");
}

TEST_CASE("what waits, and whose, is in a notice only where that was asked for") {
    CHECK(holds(notice_with("--notify-full"), "Ada Finch, "));
}

TEST_CASE("without the option there is no notice") {
    CHECK(notice_with("").empty());
}
