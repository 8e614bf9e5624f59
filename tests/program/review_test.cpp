// The club's questions and figures, and pools with their pictures, through the real program.

#include "tests/program/refusals.hpp"
#include "tests/support/node/practice_pool.hpp"

using namespace ladderline::test;
using nlohmann::json;

namespace {

// Ada as an officer of her club.
struct Club {
    Club() { ada.must({"begin", "--name", "Ada Finch", "--as", "officer", "--club", "Example Lake Radio Club"}); }
    json asked(std::vector<std::string> words) const {
        words.insert(words.begin(), "--json");
        return json::parse(ada.must(words));
    }

    TemporaryFolder folder;
    Person ada{LADDERLINE_PROGRAM, folder, "ada"};
};

}  // namespace

TEST_CASE("an officer lists 36 questions and each of them is answered") {
    const Club c;
    const json all = c.asked({"review", "--questions"});
    REQUIRE(all.size() == 36);
    for (const json& one : all) {
        const int number = one.at("number").get<int>();
        CAPTURE(number);
        CHECK(c.asked({"review", std::to_string(number)}).at("number") == number);
    }
}

TEST_CASE("a question that does not exist is one sentence") {
    const Club c;
    CHECK(holds(refusal(c.ada.run({"review", "37"}), 2), "The questions have the numbers 1 to 36."));
}

TEST_CASE("of a club without newcomers the figures show nothing, and say so") {
    const Club c;
    CHECK(holds(c.ada.must({"review", "--numbers"}), "Fewer than five people began, so that nothing is shown."));
    CHECK(holds(c.ada.must({"review", "--year"}), "Left the club: fewer than five."));
}

TEST_CASE("an officer alone hands over to nobody, and what is open says so") {
    const Club c;
    CHECK(holds(c.ada.must({"handover"}), "Officers: Ada Finch."));
    CHECK(c.asked({"handover"}).at("asks").empty());
    CHECK(holds(refusal(c.ada.run({"handover", "--step-down"}), 3), "You are this club's only officer"));
    CHECK(holds(refusal(c.ada.run({"handover", "--to", "Max"}), 4), "Nobody called 'Max' is in this circle."));
    CHECK(c.ada.run({"handover", "--take", "--step-down"}).exit_code != 0);
}

TEST_CASE("of a new club there are no old records, and nobody to have asked") {
    const Club c;
    CHECK(holds(c.ada.must({"old-records"}), "There are no old records here."));
    CHECK(holds(c.ada.must({"old-records", "--drop"}), "nothing was changed"));
    CHECK(holds(refusal(c.ada.run({"asked", "Ada"}), 3), "Ada Finch is no newcomer of the club"));
    CHECK(holds(refusal(c.ada.run({"asked", "Ada", "--on", "yesterday"}), 2), "yesterday"));
}

TEST_CASE("pools are listed with their editions, and a picture for a figure that none names is refused") {
    const AdasFolder a;
    a.ada.must({"practise", "--pool", a.folder.file("pool.txt", element_2_pool())});
    const json all = json::parse(a.ada.must({"--json", "practise", "--pools"}));
    REQUIRE(all.size() == 2);
    CHECK(all[1].at("element") == 2);
    CHECK(all[1].at("edition") == 2022);
    const std::string image = a.folder.file("figure.png", "\x89PNG\r\n\x1a\n");
    CHECK(holds(refusal(a.ada.run({"practise", "--figure", "T-1", "--image", image}), 2), "none of its questions"));
}
