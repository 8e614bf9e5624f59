// What has to do with the air and the exam, through the real program: a good run of each with a figure that stands in
// the outside tests with its source, and a slip with its one sentence.

#include "tests/program/refusals.hpp"
#include "tests/support/node/practice_pool.hpp"

using namespace ladderline::test;
using nlohmann::json;

namespace {

struct Air : AdasFolder {
    json asked(std::vector<std::string> words) const {
        words.insert(words.begin(), "--json");
        return json::parse(ada.must(words));
    }
    std::string refused(const std::vector<std::string>& words, int exit_code = 2) const {
        return refusal(ada.run(words), exit_code);
    }
    void take_pool() { ada.must({"practise", "--pool", folder.file("pool.txt", element_2_pool())}); }
};

// Ada as an officer of her club.
struct Club {
    Club() { ada.must({"begin", "--name", "Ada Finch", "--as", "officer", "--club", "Example Lake Radio Club"}); }

    TemporaryFolder folder;
    Person ada{LADDERLINE_PROGRAM, folder, "ada"};
};

// 60 W of sideband speech, half of the time, 2.2 dBi, 29 MHz, six feet away: outside/domain/radio/exposure_test.cpp.
const std::vector<std::string> known_station{"exposure", "--mhz", "29", "--watt", "60",  "--mode",   "ssb",   "--on",
                                             "1",        "--off", "1",  "--gain", "2.2", "--metres", "1.8288"};

std::vector<std::string> with(std::vector<std::string> words, const std::vector<std::string>& more) {
    words.insert(words.end(), more.begin(), more.end());
    return words;
}

constexpr double foot_m = 0.3048;

}  // namespace

TEST_CASE("exposure gives the density and both distances of the published example") {
    const Air a;
    const json out = a.asked(known_station);
    CHECK(out.at("controlled").at("density_mw_cm2").get<double>() == doctest::Approx(0.06065).epsilon(0.001));
    CHECK(out.at("controlled").at("least_distance_m").get<double>() / foot_m == doctest::Approx(1.428).epsilon(0.001));
    CHECK(out.at("uncontrolled").at("least_distance_m").get<double>() / foot_m ==
          doctest::Approx(3.194).epsilon(0.001));
}

TEST_CASE("exposure without a frequency or with an unknown mode is one sentence") {
    const Air a;
    CHECK(holds(a.refused({"exposure", "--watt", "5"}), "Say frequency and power"));
    CHECK(holds(a.refused({"exposure", "--mhz", "29", "--watt", "5", "--mode", "smoke"}), "The mode is one of"));
}

TEST_CASE("a station that is kept stands in the list, and a change asks to look again and says why") {
    const Air a;
    a.ada.must(with(known_station, {"--save", "home", "--antenna", "dipole"}));
    json list = a.asked({"exposure", "--list"});
    REQUIRE(list.size() == 1);
    CHECK(list[0].at("look_again").empty());
    CHECK(list[0].at("uncontrolled_m").get<double>() / foot_m == doctest::Approx(3.194).epsilon(0.001));
    CHECK(
        holds(a.ada.must({"exposure", "--changed", "home", "--watt", "100"}), "The power was 60 W and is 100 W now."));
    list = a.asked({"exposure", "--list"});
    CHECK(list[0].at("look_again")[0] == "The power was 60 W and is 100 W now.");
    CHECK(holds(a.refused({"exposure", "--changed", "car", "--watt", "100"}, 4), "There is no station 'car'"));
    a.ada.must({"exposure", "--save", "home"});
    CHECK(a.asked({"exposure", "--list"})[0].at("look_again").empty());
}

TEST_CASE("a station that is over the limit is marked in the list") {
    // 47 CFR 1.1310(e), Table 1: 0.2 mW/cm2 at 50.1 MHz; 100 W of FM into a dipole reach that 4.088 m away.
    const Air a;
    a.ada.must({"exposure", "--mhz", "50.1", "--watt", "100", "--mode", "fm", "--metres", "2", "--save", "home"});
    CHECK(holds(a.ada.must({"exposure", "--list"}), "[OVER THE LIMIT]"));
    CHECK(a.asked({"exposure", "--list"})[0].at("over_limit") == true);
    a.ada.must({"exposure", "--save", "home", "--metres", "5"});
    CHECK_FALSE(holds(a.ada.must({"exposure", "--list"}), "[OVER THE LIMIT]"));
}

TEST_CASE("far gives distance and both bearings as the geodesic has them") {
    const Air a;
    const json out = a.asked({"far", "FN31", "IO91"});  // 5407.475 km, 52.26 and 288.03 degrees
    CHECK(out.at("distance_km") == 5410);
    CHECK(out.at("bearing_deg") == 52);
    CHECK(out.at("back_bearing_deg") == 288);
}

TEST_CASE("far with a word that is no locator names it in one sentence") {
    const Air a;
    CHECK(holds(a.refused({"far", "FN31", "nowhere"}), "ocator"));
}

TEST_CASE("daylight gives the grey line of both ends as worked out apart") {
    const Air a;
    const json out = a.asked({"daylight", "FN31pr", "PM95vq", "--day", "2026-11-25"});  // 20:59.2 to 21:54.0 UT
    REQUIRE(out.at("grey_line").size() == 1);
    CHECK(out.at("grey_line")[0].at("from") == "2026-11-25T20:59Z");
    CHECK(out.at("grey_line")[0].at("to").get<std::string>().starts_with("2026-11-25T21:5"));
}

TEST_CASE("daylight of a day that does not exist is one sentence") {
    const Air a;
    CHECK(holds(a.refused({"daylight", "FN31pr", "--day", "2026-02-30"}), "2026-02-30"));
}

TEST_CASE("a mock paper has 35 questions, 26 pass, and its letters are marked as its sheet says") {
    Air a;
    a.take_pool();
    const json paper = a.asked({"mock", "--element", "2"});
    CHECK(paper.at("questions").size() == 35);
    CHECK(paper.at("mark") == 26);
    const std::string number = paper.at("number");
    std::string letters;
    const json key = a.asked({"mock", "--paper", number, "--sheet"});
    for (const json& question : key.at("questions"))
        letters += static_cast<char>('A' + question.at("right_place").get<int>());
    letters[0] = letters[0] == 'A' ? 'B' : 'A';
    const json marked = a.asked({"mock", "--mark", number, "--answers", letters});
    CHECK(marked.at("points") == 34);
    CHECK(marked.at("passed") == true);
}

TEST_CASE("a mock paper's number with a slip of the pen is one sentence") {
    Air a;
    a.take_pool();
    CHECK(holds(a.refused({"mock", "--mark", "ABCD-EFGH", "--answers", "A"}), "number"));
}

TEST_CASE("a passed paper counts until the 364th day after it") {
    const Air a;
    CHECK(
        holds(a.ada.must({"exam", "passed", "2", "--day", "2020-03-02"}), "The certificate counts until 2021-03-01."));
}

TEST_CASE("an element that does not exist is one sentence") {
    const Air a;
    CHECK(holds(a.refused({"exam", "passed", "7"}), "Say which element it was; there are 2, 3, 4."));
}

TEST_CASE("the class tells nothing of fewer than five, whoever shows their study") {
    const Club c;
    c.ada.must({"practise", "--pool", c.folder.file("pool.txt", element_2_pool())});
    const std::string said = c.ada.must({"practise", "--publish", "Example Lake", "--element", "2"});
    CHECK(holds(said, "0 practised groups"));
    const json seen = json::parse(c.ada.must({"--json", "class"}));
    CHECK(seen.at("people") == "fewer than five");
    CHECK(seen.at("weak").empty());
    CHECK(holds(c.ada.must({"practise", "--unpublish"}), "shown to nobody any more"));
}

TEST_CASE("showing study to a club that one is not in is one sentence, and so is a class without a club") {
    const Air a;
    refusal(a.ada.run({"practise", "--publish", "Nowhere"}), 4);
    refusal(a.ada.run({"class"}), 4);
}

TEST_CASE("proposals for a contact and a card need somebody to talk with, and say so in one sentence") {
    const Air a;
    CHECK(holds(a.refused({"meet", "--propose"}, 4), "let a mentor in first"));
    CHECK(holds(a.refused({"meet", "--card", "last"}, 4), "no such arranged contact"));
    CHECK(holds(a.refused({"evening", "Nobody"}, 4), "Nobody called 'Nobody'"));
}

TEST_CASE("a map shows each station with its distance and bearing, and asks for the own place") {
    const Air a;
    a.ada.must({"contact", "KD0XBB", "--at", "2025-03-02T18:00Z", "--mhz", "14.28", "--mode", "SSB", "--guest-of",
                "KD0XCC", "--locator", "IO91"});
    const json out = a.asked({"map", "--from", "FN31"});
    REQUIRE(out.at("stations").size() == 1);
    CHECK(out.at("stations")[0].at("distance_km") == 5410);
    CHECK(out.at("stations")[0].at("bearing_deg") == 52);
    CHECK(holds(a.refused({"map"}, 4), "your own locator"));
}
