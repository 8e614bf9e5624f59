// The day at a glance, for a newcomer and for their mentor.

#include <array>
#include <cstdio>
#include <cstdlib>
#include <optional>

#include "tests/program/refusals.hpp"

using namespace ladderline::test;
using nlohmann::json;

namespace {

// Ada lets Max onto her path; both stores are closed again.
struct Pair {
    Pair() {
        ada.must({"begin", "--name", "Ada Finch"});
        max.must({"begin", "--name", "Max Dale", "--as", "mentor"});
    }

    TemporaryFolder folder;
    Person ada{LADDERLINE_PROGRAM, folder, "ada"};
    Person max{LADDERLINE_PROGRAM, folder, "max"};
};

// What samples/letter.py writes; none where there is no Python.
std::optional<std::string> letter_of(const Person& person) {
    if (std::system("command -v python3 >/dev/null") != 0) return std::nullopt;
    std::string command = "exec python3 '" LADDERLINE_SAMPLES "/letter.py'";
    for (const std::string& word : person.command_line({})) command += " '" + word + "'";
    FILE* pipe = popen(command.c_str(), "r");
    REQUIRE(pipe != nullptr);
    std::string out;
    std::array<char, 4096> piece{};
    for (std::size_t n = 0; (n = std::fread(piece.data(), 1, piece.size(), pipe)) > 0;) out.append(piece.data(), n);
    CHECK(pclose(pipe) == 0);
    return out;
}

json today(const Person& person) {
    return json::parse(person.must({"--json", "today"}));
}

bool has_line(const json& part, const std::string& kind, const std::string& words) {
    for (const json& line : part.at("lines")) {
        if (line.at("kind") == kind && holds(line.at("what").get<std::string>(), words)) return true;
    }
    return false;
}

}  // namespace

TEST_CASE("a newcomer's day begins with the next step") {
    const Pair p;
    const json all = today(p.ada);
    REQUIRE(all.at("ways").size() == 1);
    CHECK(all["ways"][0].at("own") == true);
    CHECK(has_line(all["ways"][0], "next step", "00.01"));
}

TEST_CASE("who shares nobody's way is told how to begin") {
    const Pair p;
    CHECK(today(p.max).at("ways").empty());
    CHECK(holds(p.max.must({"today"}), "ladderline join"));
}

TEST_CASE("what a newcomer asks for stands in their mentor's day") {
    const Pair p;
    p.ada.must({"ask", "which antenna for a flat"});
    const RunningProgram adas(p.ada);
    const RunningProgram maxs(p.max);
    const std::string address = "127.0.0.1:" + std::to_string(adas.port());
    p.max.must({"join", code_in(p.ada.must({"--json", "invite", "path", "--as", "mentor", "--address", address}))});
    json all;
    for (int look = 0; look < 2000; ++look) {
        all = today(p.max);
        if (all.at("ways").size() == 1 && has_line(all["ways"][0], "help", "antenna")) break;
    }
    REQUIRE(all.at("ways").size() == 1);
    CHECK(all["ways"][0].at("name") == "Ada Finch");
    CHECK(all["ways"][0].at("own") == false);
    CHECK(has_line(all["ways"][0], "help", "which antenna for a flat"));
    const auto letter = letter_of(p.max);
    if (!letter) {
        MESSAGE("left out: python3 is not here, so the sample that writes a letter was not run");
        return;
    }
    CHECK(holds(*letter, "Ada Finch\n"));
    CHECK(holds(*letter, "  - Asks for a hand: which antenna for a flat"));
}
