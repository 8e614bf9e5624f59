// What a guardian may do on the way of somebody under 18, as the manual on safeguarding promises it.

#include "tests/program/refusals.hpp"

using namespace ladderline::test;
using nlohmann::json;

namespace {

// Cy is under 18; Gale is the guardian, Sam the second adult, Max the mentor. All nodes run.
struct Household {
    Household() {
        let_in(gale, "guardian");
        let_in(sam, "second-adult");
        until_done(gale, {"consent", "Cy", "--until", day_from_now(gale, 300)});
        // Cy's own node hears of the consent before a mentor may be let in.
        std::string code;
        for (int look = 0; look < 2000 && code.empty(); ++look) {
            const Outcome invited = cy.run({"--json", "invite", "path", "--as", "mentor"});
            if (invited.exit_code == 0) code = code_in(invited.out);
        }
        REQUIRE_FALSE(code.empty());
        max.must({"join", code});
        until_done(max, {"way", "Cy"});
    }
    void let_in(const Person& who, const std::string& seat) const {
        who.must({"join", code_in(cy.must({"--json", "invite", "path", "--as", seat}))});
        until_done(who, {"way", "Cy"});
    }
    static void until_done(const Person& who, const std::vector<std::string>& words) {
        Outcome outcome;
        for (int look = 0; look < 2000; ++look) {
            outcome = who.run(words);
            if (outcome.exit_code == 0) return;
        }
        FAIL(outcome.err);
    }
    // Whether the path, as `seen_by` sees it, has somebody of that name.
    static bool has(const Person& seen_by, const std::string& name) {
        for (const json& circle : json::parse(seen_by.must({"--json", "sees"}))) {
            if (circle.at("kind") != "Path") continue;
            for (const json& person : circle.at("people")) {
                if (person.at("name") == name) return true;
            }
        }
        return false;
    }

    TemporaryFolder folder;
    Person cy = begun("cy", {"--name", "Cy Marsh", "--under-18"});
    Person gale = begun("gale", {"--name", "Gale Marsh", "--as", "guardian"});
    Person sam = begun("sam", {"--name", "Sam Orr", "--as", "second-adult"});
    Person max = begun("max", {"--name", "Max Dale", "--as", "mentor"});
    RunningProgram cys{cy};
    RunningProgram gales{gale};
    RunningProgram sams{sam};
    RunningProgram maxs{max};

private:
    Person begun(const std::string& name, std::vector<std::string> words) const {
        const Person out(LADDERLINE_PROGRAM, folder, name);
        words.insert(words.begin(), "begin");
        out.must(words);
        return out;
    }
};

}  // namespace

TEST_CASE("a guardian takes a mentor off a child's way from their own machine, and every node heeds it") {
    const Household h;
    REQUIRE(Household::has(h.cy, "Max Dale"));
    h.gale.must({"remove", "Max", "--from", "path", "--of", "Cy", "--because", "moved away"});
    CHECK_FALSE(Household::has(h.gale, "Max Dale"));
    bool is_gone = false;
    for (int look = 0; look < 2000 && !is_gone; ++look) is_gone = !Household::has(h.cy, "Max Dale");
    CHECK(is_gone);
}

TEST_CASE("a child and a mentor cannot take the guardian off, and a second adult takes nobody off") {
    const Household h;
    CHECK(holds(refusal(h.cy.run({"remove", "Gale", "--from", "path"}), 3), "guardian"));
    refusal(h.max.run({"remove", "Gale", "--from", "path", "--of", "Cy"}), 3);
    refusal(h.sam.run({"remove", "Max", "--from", "path", "--of", "Cy"}), 3);
    CHECK(Household::has(h.cy, "Gale Marsh"));
}
