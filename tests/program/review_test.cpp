// The club's questions and figures, and pools with their pictures, through the real program.

#include "tests/program/refusals.hpp"
#include "tests/support/node/practice_pool.hpp"

using namespace ladderline::test;
using nlohmann::json;

namespace {

// Ada as an officer of her club.
struct Club {
    Club() { ada.must({"begin", "--name", "Ada Finch", "--as", "officer", "--club", "Lakeside Radio Club"}); }
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
