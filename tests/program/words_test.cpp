#include "tests/program/refusals.hpp"

using namespace ladderline::test;

TEST_CASE("words that are no command or no option are named in the refusal") {
    const AdasFolder f;
    struct Case {
        std::vector<std::string> words;
        std::string named;
    };
    const Case cases[] = {{{"frobnicate"}, "'frobnicate'"},
                          {{}, "ladderline --help"},
                          {{"way", "--frob"}, "'--frob'"},
                          {{"--frob"}, "'--frob'"},
                          {{"waiting", "Ada", "Bo"}, "'Bo'"},
                          {{"tick"}, "item"},
                          {{"run", "--pages", "abc"}, "abc"},
                          {{"invite", "nowhere", "--as", "mentor"}, "'nowhere'"},
                          {{"invite", "path", "--as", "boss"}, "'boss'"},
                          {{"invite", "path", "--as", "mentor", "--level", "9"}, "--level"},
                          {{"share"}, "--until"},
                          {{"--home", "/nowhere", "way"}, "more than once"},
                          {{"run", "--listen", "nonsense"}, "'nonsense'"}};
    for (const Case& one : cases) {
        CAPTURE(one.named);
        CHECK(holds(refusal(f.ada.run(one.words), 2), one.named));
    }
}

TEST_CASE("with --json what went well is JSON") {
    const AdasFolder f;
    for (const char* word :
         {"next", "way", "waiting", "contact", "meet", "sees", "reach", "ready", "practise", "mock"}) {
        CAPTURE(word);
        const Outcome outcome = f.ada.run({"--json", word});
        CAPTURE(outcome.err);
        CHECK(outcome.exit_code == 0);
        CHECK(nlohmann::json::accept(outcome.out));
    }
}

TEST_CASE("with --json a refusal is JSON with the sentence and the exit code") {
    const AdasFolder f;
    const std::vector<std::string> refused[] = {{"tick", "99.99"},
                                                {"frobnicate"},
                                                {"way", "Nobody"},
                                                {"review"},
                                                {"pages"},
                                                {"join", "LADDER-TYPO"},
                                                {"begin", "--name", "Bo"},
                                                {"run", "--listen", "nonsense"},
                                                {"contact", "--from-adi", "/nowhere"}};
    for (std::vector<std::string> words : refused) {
        CAPTURE(words.front());
        words.insert(words.begin(), "--json");
        const Outcome outcome = f.ada.run(words);
        REQUIRE(nlohmann::json::accept(outcome.out));
        const auto said = nlohmann::json::parse(outcome.out);
        CHECK(outcome.exit_code != 0);
        CHECK(said.at("exit_code") == outcome.exit_code);
        CHECK("ladderline: " + said.at("error").get<std::string>() + "\n" == outcome.err);
    }
}

TEST_CASE("the running node answers as the program does alone") {
    const AdasFolder f;
    const std::vector<std::string> lines[] = {
        {"way"}, {"--json", "way"}, {"tick", "99.99"}, {"--json", "tick", "99.99"}};
    std::vector<Outcome> alone;
    for (const auto& words : lines) alone.push_back(f.ada.run(words));
    RunningProgram node(f.ada);
    for (std::size_t i = 0; i < std::size(lines); ++i) {
        const Outcome asked = f.ada.run(lines[i]);
        CAPTURE(asked.err);
        CHECK(asked.exit_code == alone[i].exit_code);
        CHECK(asked.out == alone[i].out);
        CHECK(asked.err == alone[i].err);
    }
    CHECK(node.stop() == 0);
}
