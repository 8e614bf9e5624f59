// A courier as its keeper and its members use it.

#include <optional>

#include "tests/program/refusals.hpp"

using namespace ladderline::test;
using nlohmann::json;

namespace {

std::string code_of(const std::string& out) {
    return json::parse(out).at("code");
}

// Ada with her path; a courier that runs.
struct CourierFolder {
    CourierFolder() {
        ada.must({"begin", "--name", "Ada Finch"});
        keeper.must({"courier", "begin"});
        courier.emplace(keeper);
    }
    std::string address() const { return "127.0.0.1:" + std::to_string(courier->port()); }
    std::string place() const { return code_of(keeper.must({"--json", "courier", "place", "--mebibytes", "8"})); }
    void use() const { ada.must({"courier", "use", address(), place(), "--circle", "path"}); }

    TemporaryFolder folder;
    Person ada{LADDERLINE_PROGRAM, folder, "ada"};
    Person keeper{LADDERLINE_PROGRAM, folder, "keeper"};
    std::optional<RunningProgram> courier;
};

}  // namespace

TEST_CASE("a place is taken, visited, shown to both sides, and given up") {
    const CourierFolder f;
    CHECK(holds(f.keeper.must({"courier", "list"}), "No circle has a place here"));
    const std::string taken = f.ada.must({"courier", "use", f.address(), f.place(), "--circle", "path"});
    CHECK(holds(taken, "up to 8 MiB"));
    CHECK(holds(taken, "never the only copy"));
    CHECK(holds(f.ada.must({"couriers"}), "has given no receipt yet"));
    CHECK(holds(f.ada.must({"courier", "visit"}), "both hold the same now"));
    const json shown = json::parse(f.ada.must({"--json", "couriers"})).at("couriers").at(0);
    CHECK(shown.at("not_covered") == 0);
    CHECK(shown.at("stored").is_string());
    CHECK(shown.at("quota") == 8 * 1024 * 1024);
    const json list = json::parse(f.keeper.must({"--json", "courier", "list"}));
    REQUIRE(list.size() == 1);
    CHECK(list.at(0).at("events") > 1);
    CHECK(holds(f.ada.must({"courier", "stop", "--circle", "path"}), "has removed everything"));
    CHECK(holds(f.keeper.must({"courier", "list"}), "No circle has a place here"));
    CHECK(holds(f.ada.must({"couriers"}), "No circle of yours has a courier"));
}

TEST_CASE("the keeper ends a place, and its members are told at their next visit") {
    const CourierFolder f;
    f.use();
    f.ada.must({"courier", "visit"});
    const std::string place = json::parse(f.keeper.must({"--json", "courier", "list"})).at(0).at("place");
    CHECK(holds(refusal(f.keeper.run({"courier", "end", "zzzz"}), 4), "Nothing was removed"));
    CHECK(holds(f.keeper.must({"courier", "end", place}), "removed"));
    CHECK(holds(refusal(f.ada.run({"courier", "visit"}), 9), "does not keep this circle"));
    CHECK(holds(f.ada.must({"couriers"}), "does not keep this circle"));
}

TEST_CASE("a running node leaves its news at the courier by itself") {
    const CourierFolder f;
    RunningProgram node(f.ada, {"--not-nearby"});
    f.use();
    json shown;
    for (int look = 0; look < 2000; ++look) {
        shown = json::parse(f.ada.must({"--json", "couriers"})).at("couriers").at(0);
        if (shown.at("stored").is_string() && shown.at("not_covered") == 0) break;
    }
    CHECK(shown.at("stored").is_string());
    CHECK(shown.at("not_covered") == 0);
    CHECK(node.stop() == 0);
}

TEST_CASE("a courier is not a person's store, and a person's store is no courier") {
    const CourierFolder f;
    CHECK(holds(refusal(f.keeper.run({"tick", "0.1"}), 3), "This store is a courier's"));
    CHECK(holds(refusal(f.keeper.run({"join", "LADDER-X"}), 3), "This store is a courier's"));
    CHECK(holds(refusal(f.ada.run({"courier", "place"}), 3), "a person's, not a courier's"));
    CHECK(holds(refusal(f.ada.run({"courier", "begin"}), 3), "nothing was changed"));
    CHECK(f.keeper.run({"doors"}).exit_code == 0);
    CHECK(f.keeper.run({"check"}).exit_code == 0);
}

TEST_CASE("what cannot be done at a courier is one clear sentence and changes nothing") {
    CourierFolder f;
    const std::string before = all_of_store(f.ada);
    const std::string code = f.place();
    std::string mistyped = code;
    mistyped[20] = mistyped[20] == 'A' ? 'B' : 'A';
    CHECK(
        holds(refusal(f.ada.run({"courier", "use", f.address(), mistyped, "--circle", "path"}), 2), "typing mistake"));
    CHECK(holds(refusal(f.ada.run({"courier", "use", "nowhere", code, "--circle", "path"}), 2), "is no address"));
    CHECK(holds(refusal(f.ada.run({"courier", "use", f.address(), code, "--circle", "club"}), 4), "in no club"));
    CHECK(holds(refusal(f.ada.run({"courier", "stop", "--circle", "path"}), 4), "nothing was changed"));
    CHECK(holds(refusal(f.keeper.run({"courier", "place", "--days", "0"}), 2), "no code was made"));
    f.use();
    f.ada.must({"courier", "stop", "--circle", "path"});
    CHECK(holds(refusal(f.ada.run({"courier", "use", f.address(), "LADDER-", "--circle", "path"}), 2), "nothing"));
    REQUIRE(f.courier->stop() == 0);
    CHECK(holds(refusal(f.ada.run({"courier", "use", f.address(), code, "--circle", "path"}), 9), "Nobody answers"));
    CHECK(all_of_store(f.ada) == before);
}

TEST_CASE("a courier that cannot be reached is told of its end later") {
    CourierFolder f;
    f.use();
    f.ada.must({"courier", "visit"});
    REQUIRE(f.courier->stop() == 0);
    CHECK(holds(f.ada.must({"courier", "stop", "--circle", "path"}), "told when it can be reached"));
    CHECK(holds(f.ada.must({"couriers"}), "No circle of yours has a courier"));
}
