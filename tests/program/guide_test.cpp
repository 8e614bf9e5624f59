// The guide: what a person is asked who types `ladderline begin` and nothing more.

#include "store/disk.hpp"
#include "store/vault/key_file.hpp"
#include "tests/program/refusals.hpp"
#include "tests/support/program/terminal.hpp"
#include "tests/support/protocol/seeded_random.hpp"

using namespace ladderline::test;

namespace {

struct Desk {
    TemporaryFolder folder;
    Person ada{LADDERLINE_PROGRAM, folder, "ada"};
    Person olive{LADDERLINE_PROGRAM, folder, "olive"};
};

// The six groups of the sheet, in their order.
std::vector<std::string> groups_in(const std::string& shown) {
    std::vector<std::string> out;
    for (int number = 1; number <= 6; ++number) {
        const std::size_t at = shown.find("  " + std::to_string(number) + ".  ");
        REQUIRE(at != std::string::npos);
        out.push_back(shown.substr(at + 6, 5));
    }
    return out;
}

void answer(Terminal& screen, const std::string& question, const std::string& line) {
    screen.read_to(question);
    screen.type(line);
}

void say_who(Terminal& screen) {
    answer(screen, "called?", "Ada Finch");
    answer(screen, "[1]:", "1");
    answer(screen, "under 18?", "no");
    answer(screen, "Your call sign", "");
    answer(screen, "Your time zone", "America/New_York");
}

void write_groups_down(Terminal& screen) {
    const std::vector<std::string> groups = groups_in(screen.read_to("press Enter"));
    screen.type("");
    for (int asked = 0; asked < 2; ++asked) {
        screen.read_to("Group ");
        const std::string rest = screen.read_to(" on your paper: ");
        screen.type(groups.at(static_cast<std::size_t>(std::stoi(rest) - 1)));
    }
}

}  // namespace

TEST_CASE("who types begin and answers has a store, a written-down key, a club and a next step") {
    const Desk d;
    d.olive.must({"begin", "--name", "Olive Penn", "--as", "officer", "--club", "Example Club"});
    const RunningProgram node(d.olive);
    const std::string code = code_in(d.olive.must({"--json", "invite", "club", "--as", "newcomer"}));
    Terminal screen(d.ada, {"begin"});
    say_who(screen);
    answer(screen, "Is that right?", "");
    write_groups_down(screen);
    answer(screen, "Who is with you?", "1");
    answer(screen, "beginning with LADDER-", code);
    CHECK(screen.end() == 0);
    CHECK(holds(screen.rest(), "You have joined"));
    CHECK(holds(screen.rest(), "Next step:"));
    CHECK_FALSE(holds(d.ada.must({"next"}), "spare key"));
}

TEST_CASE("nothing is made before the person has said that it is right") {
    const Desk d;
    {
        Terminal screen(d.ada, {"begin"});
        say_who(screen);
        screen.read_to("Is that right?");
    }
    CHECK_FALSE(std::filesystem::exists(d.ada.home()));
}

TEST_CASE(
    "whoever says that it is not right is asked again, and Enter at the key and the circle leaves them for later") {
    const Desk d;
    Terminal screen(d.ada, {"begin"});
    say_who(screen);
    answer(screen, "Is that right?", "no");
    say_who(screen);
    answer(screen, "Is that right?", "yes");
    answer(screen, "press Enter", "");
    answer(screen, "on your paper: ", "");
    answer(screen, "Who is with you?", "3");
    CHECK(screen.end() == 0);
    CHECK(holds(d.ada.must({"next"}), "spare key"));
}

TEST_CASE("what cannot be so is said, and asked again") {
    const Desk d;
    Terminal screen(d.ada, {"begin"});
    answer(screen, "called?", "Ada Finch");
    answer(screen, "[1]:", "7");
    answer(screen, "1 to 5", "1");
    answer(screen, "under 18?", "perhaps");
    answer(screen, "yes or no", "no");
    answer(screen, "Your call sign", "no call sign");
    screen.read_to("Please answer once more.");
    answer(screen, "Your call sign", "none");
    answer(screen, "Your time zone", "Eastern");
    screen.read_to("US/Eastern? Please answer once more.");
    answer(screen, "Your time zone", "Nowhere");
    screen.read_to("Please answer once more.");
    answer(screen, "Your time zone", "new york");
    screen.read_to("call sign  none yet");
    screen.read_to("America/New_York");
    answer(screen, "Is that right?", "YES");
    answer(screen, "press Enter", "");
    answer(screen, "on your paper: ", "");
    answer(screen, "Who is with you?", "");
    answer(screen, "beginning with LADDER-", "LADDER-TYPO");
    answer(screen, "beginning with LADDER-", "");
    CHECK(screen.end() == 0);
    CHECK(holds(d.ada.must({"way"}), "Ada Finch"));
}

TEST_CASE("after a no Enter keeps what was answered, and one answer alone is given anew") {
    const Desk d;
    Terminal screen(d.ada, {"begin"});
    answer(screen, "called?", "Ada Fnich");
    answer(screen, "[1]:", "2");
    answer(screen, "Your call sign", "kd0xaa");
    answer(screen, "Your time zone", "america/new york");
    answer(screen, "Is that right?", "no");
    answer(screen, "called? [Ada Fnich]", "Ada Finch");
    answer(screen, "[2]:", "");
    answer(screen, "'none': [kd0xaa]", "");
    answer(screen, "[America/New_York]", "");
    const std::string shown = screen.read_to("Is that right?");
    for (const char* part : {"name       Ada Finch", "as         mentor", "call sign  kd0xaa", "America/New_York"}) {
        CAPTURE(part);
        CHECK(holds(shown, part));
    }
}

TEST_CASE("the word beside a number is as good as the number") {
    const Desk d;
    Terminal screen(d.ada, {"begin"});
    answer(screen, "called?", "Max Dale");
    answer(screen, "[1]:", "Mentor");
    answer(screen, "Your call sign", "no");
    answer(screen, "Your time zone", "");
    CHECK(holds(screen.read_to("Is that right?"), "as         mentor"));
}

TEST_CASE("a slip at a group of the spare key is asked for once more, and costs nothing") {
    const Desk d;
    d.ada.must({"begin", "--name", "Ada Finch"});
    Terminal screen(d.ada, {"paper"});
    const std::vector<std::string> groups = groups_in(screen.read_to("press Enter"));
    screen.type("");
    for (int asked = 0; asked < 2; ++asked) {
        for (const bool right : {false, true}) {
            screen.read_to("Group ");
            const std::string rest = screen.read_to(" on your paper: ");
            screen.type(right ? groups.at(static_cast<std::size_t>(std::stoi(rest) - 1)) : "AAAAA");
            if (!right) screen.read_to("type it once more");
        }
    }
    CHECK(screen.end() == 0);
    CHECK_FALSE(holds(d.ada.must({"next"}), "spare key"));
}

TEST_CASE("a group that is wrong three times is not noted") {
    const Desk d;
    d.ada.must({"begin", "--name", "Ada Finch"});
    Terminal screen(d.ada, {"paper"});
    answer(screen, "press Enter", "");
    for (int tries = 0; tries < 3; ++tries) answer(screen, " on your paper: ", "AAAAA");
    CHECK(screen.end() == 2);
    CHECK(holds(screen.rest(), "nothing is noted"));
    CHECK(holds(d.ada.must({"next"}), "spare key"));
}

TEST_CASE("whoever has no store is told how to begin before anything is asked") {
    const Desk d;
    Terminal screen(d.ada, {"next"});
    CHECK(screen.end() == 4);
    CHECK(holds(screen.rest(), "ladderline begin"));
    CHECK_FALSE(holds(screen.rest(), "Passphrase"));
    CHECK(holds(refusal(d.ada.run({}), 2), "'ladderline begin' the first time"));
}

TEST_CASE("without a terminal and without a name one sentence says what is missing") {
    const Desk d;
    CHECK(holds(refusal(d.ada.run({"begin"}), 2), "--name"));
    CHECK_FALSE(std::filesystem::exists(d.ada.home()));
}

TEST_CASE("answers that end before everything was said make nothing") {
    const Desk d;
    const Outcome outcome = d.ada.run({"begin", "--guide"});
    CHECK(outcome.exit_code == 10);
    CHECK(is_one_sentence(outcome.err));
    CHECK_FALSE(std::filesystem::exists(d.ada.home()));
}

TEST_CASE("the guide leaves a store that is there as it is") {
    const AdasFolder f;
    const std::string before = all_of_store(f.ada);
    CHECK(holds(refusal(f.ada.run({"begin", "--guide"}), 3), "nothing was changed"));
    CHECK(all_of_store(f.ada) == before);
}

TEST_CASE("a beginning whose keys alone came onto the disk is brought to its end by the guide") {
    const Desk d;
    ladderline::store::RealDisk disk;
    SeededRandom random(7);
    const std::string passphrase = d.ada.passphrase();
    REQUIRE(disk.make_folder(d.ada.home()));
    REQUIRE(ladderline::store::vault::KeyFile::create(disk, d.ada.home(), ladderline::as_bytes(passphrase),
                                                      {1, 8 * 1024}, random));
    CHECK(holds(refusal(d.ada.run({"next"}), 4), "ladderline begin"));
    Terminal screen(d.ada, {"begin"});
    say_who(screen);
    answer(screen, "Is that right?", "");
    write_groups_down(screen);
    answer(screen, "Who is with you?", "3");
    CHECK(screen.end() == 0);
    CHECK(holds(d.ada.must({"way"}), "Ada Finch"));
}

TEST_CASE("the program says what it is and was made of") {
    const Desk d;
    const std::string text = d.ada.must({"--version"});
    for (const char* part : {"ladderline ", "commit", "compiler", "SQLite 3.", "libsodium 1.", "GPL-3.0-or-later"}) {
        CAPTURE(part);
        CHECK(holds(text, part));
    }
    const auto json = nlohmann::json::parse(d.ada.must({"--json", "--version"}));
    CHECK(json.at("libraries").at("SQLite").get<std::string>().starts_with("3."));
    CHECK_FALSE(std::filesystem::exists(d.ada.home()));
}
