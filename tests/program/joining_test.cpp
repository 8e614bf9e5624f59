#include <optional>

#include "tests/program/refusals.hpp"

using namespace ladderline::test;

namespace {

// Olive's club, with her node running.
struct ClubFolder {
    ClubFolder() {
        olive.must({"begin", "--name", "Olive Penn", "--as", "officer", "--club", "Example Club"});
        max.must({"begin", "--name", "Max Dale", "--as", "mentor"});
        cy.must({"begin", "--name", "Cy Marsh", "--under-18"});
        node.emplace(olive);
    }

    std::string code(const std::string& seat) const {
        return code_in(olive.must({"--json", "invite", "club", "--as", seat}));
    }

    TemporaryFolder folder;
    Person olive{LADDERLINE_PROGRAM, folder, "olive"};
    Person max{LADDERLINE_PROGRAM, folder, "max"};
    Person cy{LADDERLINE_PROGRAM, folder, "cy"};
    std::optional<RunningProgram> node;
};

}  // namespace

TEST_CASE("an invite lets the one who holds it in") {
    const ClubFolder f;
    const Outcome outcome = f.max.run({"join", f.code("mentor")});
    CAPTURE(outcome.err);
    CHECK(outcome.exit_code == 0);
    CHECK(holds(f.olive.must({"sees"}), "Max Dale"));
}

TEST_CASE("a mistyped invite code is noticed before anybody is called") {
    const ClubFolder f;
    std::string code = f.code("mentor");
    code[20] = code[20] == 'A' ? 'B' : 'A';
    const std::string before = all_of_store(f.max);
    CHECK(holds(refusal(f.max.run({"join", code}), 2), "nothing was joined"));
    CHECK(all_of_store(f.max) == before);
}

TEST_CASE("an invite that was used once lets nobody else in") {
    const ClubFolder f;
    const std::string code = f.code("newcomer");
    REQUIRE(f.max.run({"join", code}).exit_code == 0);
    const std::string before = all_of_store(f.cy);
    const std::string people = f.olive.must({"sees"});
    CHECK(holds(refusal(f.cy.run({"join", code}), 3), "was used"));
    CHECK(all_of_store(f.cy) == before);
    CHECK(f.olive.must({"sees"}) == people);
}

TEST_CASE("an invite of a node that does not run says that nobody answers") {
    ClubFolder f;
    const std::string code = f.code("mentor");
    REQUIRE(f.node->stop() == 0);
    const std::string before = all_of_store(f.max);
    CHECK(holds(refusal(f.max.run({"join", code}), 9), "Nobody answers"));
    CHECK(all_of_store(f.max) == before);
}

TEST_CASE("an invite made while no node runs says that it names no address, and cannot be joined") {
    ClubFolder f;
    REQUIRE(f.node->stop() == 0);
    const std::string made = f.olive.must({"--json", "invite", "club", "--as", "mentor"});
    CHECK(holds(made, "names no address"));
    CHECK(holds(refusal(f.max.run({"join", code_in(made)}), 2), "--address"));
}

TEST_CASE("somebody under 18 gets no mentor before a guardian and a second adult") {
    const ClubFolder f;
    const std::string before = all_of_store(f.cy);
    CHECK(holds(refusal(f.cy.run({"invite", "path", "--as", "mentor"}), 3), "guardian"));
    CHECK(all_of_store(f.cy) == before);
}

TEST_CASE("an adult's seat is refused to somebody under 18 with the reason, and the invite stays good") {
    const ClubFolder f;
    const std::string code = f.code("mentor");
    CHECK(holds(refusal(f.cy.run({"join", code}), 3), "under 18"));
    CHECK(f.max.run({"join", code}).exit_code == 0);
}

TEST_CASE("a refused joining through the running node reads as it does without one") {
    const ClubFolder f;
    const std::string code = f.code("mentor");
    const Outcome alone = f.cy.run({"join", code});
    RunningProgram cys_node(f.cy);
    CHECK(f.cy.run({"join", code}).err == alone.err);
    CHECK(cys_node.stop() == 0);
}
