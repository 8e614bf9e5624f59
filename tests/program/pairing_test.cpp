// The whole life of a pairing through the real program: wishes, a proposal to choose from, a "rather not", a yes from
// both, the review that is not due yet, a hand-over with thanks, and a mentor who cannot be reached.

#include <filesystem>

#include "tests/program/refusals.hpp"

using namespace ladderline::test;
using nlohmann::json;

namespace {

// Olive's club, which everybody has joined over the network; after that nobody's node runs and news go in files.
struct PairingClub {
    PairingClub() {
        olive.must({"begin", "--name", "Olive Penn", "--as", "officer", "--club", "Example Club"});
        otto.must({"begin", "--name", "Otto Reed", "--as", "mentor"});
        max.must({"begin", "--name", "Max Dale", "--as", "mentor"});
        mo.must({"begin", "--name", "Mo Brook", "--as", "mentor"});
        ada.must({"begin", "--name", "Ada Finch"});
        RunningProgram node(olive);
        otto.must({"join", code("officer")});
        max.must({"join", code("mentor")});
        mo.must({"join", code("mentor")});
        ada.must({"join", code("newcomer")});
        node.stop();
        everybody_hears();  // a card is shown in circles whose people are known
        for (const Person* person : {&max, &mo, &ada}) {
            person->must({"card", "--zone", "America/New_York", "--times", "Tue 18:00-21:00", "--room",
                          person == &ada ? "0" : "1"});
        }
        everybody_hears();
    }

    std::string code(const std::string& seat) const {
        return code_in(olive.must({"--json", "invite", "club", "--as", seat}));
    }
    void carry(const Person& from, const std::vector<const Person*>& to) {
        const std::string file = folder.path() / ("news-" + std::to_string(++bundles) + ".carry");
        from.must({"bundle", "write", "--for", "club", "--all", "--to", file});
        for (const Person* person : to) {
            if (person != &from) person->must({"bundle", "read", file});
        }
    }
    void everybody_hears() {
        const std::vector<const Person*> all{&olive, &otto, &max, &mo, &ada};
        for (const Person* person : all) carry(*person, all);
    }
    // What one of them says, and everybody has heard of it.
    std::string said(const Person& by, const std::vector<std::string>& words) {
        std::string out = by.must(words);
        carry(by, {&olive, &otto, &max, &mo, &ada});
        return out;
    }
    json asked(const Person& by, std::vector<std::string> words) const {
        words.insert(words.begin(), "--json");
        return json::parse(by.must(words));
    }

    TemporaryFolder folder;
    int bundles = 0;
    Person olive{LADDERLINE_PROGRAM, folder, "olive"};
    Person otto{LADDERLINE_PROGRAM, folder, "otto"};
    Person max{LADDERLINE_PROGRAM, folder, "max"};
    Person mo{LADDERLINE_PROGRAM, folder, "mo"};
    Person ada{LADDERLINE_PROGRAM, folder, "ada"};
};

}  // namespace

TEST_CASE("a pairing lives from a wish to a hand-over and on, through the real program") {
    PairingClub c;
    c.said(c.ada, {"wish", "--languages", "German,English", "--like", "Max"});
    c.said(c.max, {"wish", "--languages", "english"});
    c.said(c.mo, {"wish", "--languages", "english"});
    json board = c.asked(c.olive, {"pair"});
    REQUIRE(board.at("pairs").size() == 1);
    CHECK(board.at("pairs")[0].at("newcomer") == "Ada Finch");
    CHECK(board.at("paired") == 1);
    CHECK(board.at("what_if").size() == 2);
    CHECK(holds(c.olive.must({"pair"}), "Would like Max Dale"));

    c.said(c.olive, {"pair", "Ada", "Max", "Mo", "--ask"});
    CHECK(c.asked(c.ada, {"pairing"}).size() == 2);
    CHECK(holds(c.said(c.ada, {"pairing", "--rather-not", "Max"}), "No reason is asked"));
    CHECK(c.asked(c.max, {"pairing"}).empty());
    c.said(c.mo, {"pairing", "--yes", "Ada"});
    CHECK(holds(c.said(c.ada, {"pairing", "--yes", "Mo"}), "You and Mo Brook are paired from today."));

    CHECK(
        holds(refusal(c.ada.run({"pairing", "--with", "Mo", "--goes", "well"}), 3), "The first look at your pairing"));

    CHECK(holds(c.said(c.mo, {"pairing", "--hand-over", "Ada", "--to", "Otto", "--thanks", "It was a pleasure."}),
                "Handed over, with thanks"));
    CHECK(holds(c.ada.must({"pairing"}), "Thanks: It was a pleasure."));
    c.said(c.otto, {"pairing", "--yes", "Ada"});
    c.said(c.ada, {"pairing", "--yes", "Otto"});
    board = c.asked(c.olive, {"pair"});
    REQUIRE(board.at("standing").size() == 1);
    CHECK(board.at("standing")[0].at("mentor") == "Otto Reed");

    CHECK(holds(c.said(c.olive, {"pair", "--unreachable", "Otto"}), "Ada Finch comes first in the next proposal"));
    CHECK(holds(c.ada.must({"pairing"}), "you come first"));
    board = c.asked(c.olive, {"pair"});
    CHECK(board.at("pairs")[0].at("comes_first") == true);
    CHECK(board.at("pairs")[0].at("mentor") == "Mo Brook");  // of the two left, the one who was not declined
}

TEST_CASE("what somebody gets wrong about pairings is one sentence and changes nothing") {
    const PairingClub c;
    struct Case {
        const Person* by;
        std::vector<std::string> words;
        int exit_code;
        std::string named;
    };
    const Case cases[] = {
        {&c.ada, {"pair"}, 3, "officers"},
        {&c.olive, {"pair", "Ada"}, 2, "Name the mentor"},
        {&c.olive, {"pair", "Ada", "Max", "Mo"}, 2, "--ask"},
        {&c.olive, {"pair", "Ada", "Nobody", "--ask"}, 4, "Nobody called"},
        {&c.olive, {"pair", "Max", "Mo", "--ask"}, 2, "not as a newcomer"},
        {&c.olive, {"pair", "--cleared", "Max"}, 2, "--until"},
        {&c.olive, {"pair", "Ada", "Max", "--take-back"}, 4, "is proposed"},
        {&c.ada, {"pairing", "--yes", "Max"}, 4, "No pairing of you and Max Dale is proposed"},
        {&c.ada, {"pairing", "--with", "Max", "--goes", "so-so"}, 2, "well, talk or end"},
        {&c.max, {"pairing", "--hand-over", "Ada"}, 2, "--to"},
        {&c.ada, {"wish", "--km", "-3"}, 2, "kilometres"},
        {&c.ada, {"wish", "--remote", "perhaps"}, 2, "yes or no"},
        {&c.max, {"wish", "--like", "Mo"}, 2, "Only newcomers"},
    };
    for (const Case& one : cases) {
        CAPTURE(one.named);
        const std::string before = all_of_store(*one.by);
        CHECK(holds(refusal(one.by->run(one.words), one.exit_code), one.named));
        CHECK(all_of_store(*one.by) == before);
    }
}
