#include <cstdlib>
#include <fstream>
#include <nlohmann/json.hpp>
#include <optional>

#include "tests/program/refusals.hpp"
#include "tests/support/program/terminal.hpp"

using namespace ladderline::test;

namespace {

std::string field(const std::string& json, const char* name) {
    return nlohmann::json::parse(json).at(name).get<std::string>();
}
int failures(const std::string& json) {
    return nlohmann::json::parse(json).at("failures").get<int>();
}

// Olive's club and Ada, who knows nobody; both nodes run.
struct Porch {
    Porch() {
        olive.must({"begin", "--name", "Olive Penn", "--as", "officer", "--club", "Example Club"});
        ada.must({"begin", "--name", "Ada Finch"});
        olives_node.emplace(olive);
        adas_node.emplace(ada);
    }

    std::string door() const { return "127.0.0.1:" + std::to_string(olives_node->port()); }
    void open() const { olive.must({"greet", "club", "--as", "newcomer"}); }
    // Ada's six letters, once Olive's screen shows its four.
    std::string call() const {
        const std::string letters = field(ada.must({"--json", "join", door(), "--by-voice"}), "letters");
        const std::string seen = olive.must({"--json", "greet", "--wait"});
        REQUIRE(field(seen, "state") == "comparing");
        CHECK(field(seen, "letters") == letters.substr(0, 4));
        return letters;
    }
    std::string state() const { return olive.must({"--json", "greet"}); }

    TemporaryFolder folder;
    Person olive{LADDERLINE_PROGRAM, folder, "olive"};
    Person ada{LADDERLINE_PROGRAM, folder, "ada"};
    std::optional<RunningProgram> olives_node;
    std::optional<RunningProgram> adas_node;
};

std::string other_than(const std::string& two) {
    return two == "QQ" ? "ZZ" : "QQ";
}

std::string check_shown(const std::string& sees, const std::string& name) {
    for (const auto& circle : nlohmann::json::parse(sees)) {
        for (const auto& person : circle.at("people")) {
            if (person.at("name") == name && person.contains("verified_by_voice")) return person["verified_by_voice"];
        }
    }
    return {};
}

// The six letters in a text that spells them on a line of their own, by the first letters of the words.
std::string letters_in(const std::string& shown, const std::string& after) {
    const std::size_t begin = shown.find("  ", shown.find(after)) + 2;
    std::string letters;
    bool first = true;
    for (std::size_t i = begin; i < shown.size() && shown[i] != '\n'; ++i) {
        if (first) letters += shown[i];
        first = shown[i] == ' ';
    }
    return letters;
}

}  // namespace

TEST_CASE("two people who compare the check words are in one club, and both can see that they did") {
    const Porch p;
    p.open();
    const std::string letters = p.call();
    CHECK(field(p.olive.must({"--json", "greet", "--heard", letters.substr(4)}), "letters") == letters);
    p.ada.must({"join", "--same"});
    CHECK(field(p.olive.must({"--json", "greet", "--wait"}), "name") == "Ada Finch");
    CHECK(check_shown(p.olive.must({"--json", "sees"}), "Ada Finch").size() == 10);
    std::string seen;
    for (int look = 0; look < 500 && seen.empty(); ++look) {
        seen = check_shown(p.ada.must({"--json", "sees"}), "Olive Penn");
    }
    CHECK(seen.size() == 10);
}

TEST_CASE("wrong letters are one sentence, count, and store nothing; the third lock the greeting") {
    const Porch p;
    p.open();
    const std::string olives = all_of_store(p.olive);
    const std::string adas = all_of_store(p.ada);
    for (int failure = 1; failure <= 3; ++failure) {
        CAPTURE(failure);
        const std::string letters = p.call();
        const std::string said = refusal(p.olive.run({"greet", "--heard", other_than(letters.substr(4))}), 3);
        CHECK(holds(said, failure == 3 ? "locked" : "failed"));
        CHECK(holds(refusal(p.ada.run({"join", "--same"}), 3), "nothing was joined"));
        CHECK(failures(p.state()) == failure);
    }
    CHECK(field(p.state(), "state") == "locked");
    CHECK(holds(refusal(p.ada.run({"join", p.door(), "--by-voice"}), 3), "waits for nobody"));
    CHECK(all_of_store(p.olive) == olives);
    CHECK(all_of_store(p.ada) == adas);
}

TEST_CASE("a caller who says that the words differ stores nothing and counts there") {
    const Porch p;
    p.open();
    p.call();
    const std::string before = all_of_store(p.ada);
    CHECK(holds(refusal(p.ada.run({"join", "--different"}), 3), "nothing was joined"));
    std::string after = p.state();
    for (int look = 0; look < 500 && failures(after) == 0; ++look) after = p.state();
    CHECK(failures(after) == 1);
    CHECK(field(after, "state") == "waiting");
    CHECK(all_of_store(p.ada) == before);
}

TEST_CASE("letters that cannot be read are no failure") {
    const Porch p;
    p.open();
    p.call();
    refusal(p.olive.run({"greet", "--heard", "5 and 9"}), 2);
    CHECK(failures(p.state()) == 0);
}

TEST_CASE("a greeting that was closed, or never opened, lets nobody call") {
    const Porch p;
    CHECK(holds(refusal(p.ada.run({"join", p.door(), "--by-voice"}), 3), "ladderline greet"));
    p.open();
    p.olive.must({"greet", "--close"});
    CHECK(holds(refusal(p.ada.run({"join", p.door(), "--by-voice"}), 3), "ladderline greet"));
}

TEST_CASE("what a greeting offers follows the rules of an invite") {
    const Porch p;
    CHECK(holds(refusal(p.olive.run({"greet", "path", "--as", "mentor"}), 4), "no way of your own"));
    refusal(p.ada.run({"greet", "path", "--as", "officer"}), 2);
}

TEST_CASE("words of a greeting that say too little or too much are refused in one sentence") {
    const AdasFolder f;
    for (const std::vector<std::string>& words :
         std::vector<std::vector<std::string>>{{"greet", "club"},
                                               {"greet", "--as", "mentor"},
                                               {"greet", "moon", "--as", "mentor"},
                                               {"greet", "--wait", "--close"},
                                               {"greet", "path", "--as", "mentor", "--heard", "XY"},
                                               {"join"},
                                               {"join", "--by-voice"},
                                               {"join", "--same", "--different"},
                                               {"join", "127.0.0.1:7", "--by-voice", "--same"},
                                               {"join", "nowhere", "--by-voice"}}) {
        CAPTURE(words);
        refusal(f.ada.run(words), 2);
    }
}

TEST_CASE("without a running node there is no greeting to open and no call to answer") {
    const AdasFolder f;
    CHECK(holds(refusal(f.ada.run({"greet", "path", "--as", "mentor"}), 4), "ladderline run"));
    CHECK(holds(refusal(f.ada.run({"join", "--same"}), 4), "ladderline run"));
}

TEST_CASE("on a terminal both sides are led through the words") {
    Porch p;
    REQUIRE(p.adas_node->stop() == 0);  // Ada's side works without a node, too
    Terminal host(p.olive, {"greet", "club", "--as", "newcomer"});
    host.read_to("--by-voice");
    Terminal guest(p.ada, {"join", p.door(), "--by-voice"});
    const std::string letters = letters_in(guest.read_to("Enter for no: "), "Read these six words");
    REQUIRE(letters.size() == 6);
    const std::string shown = host.read_to("if the words differ: ");
    CHECK(letters_in(shown, "must be:") == letters.substr(0, 4));
    host.type(letters.substr(4));
    CHECK(letters_in(host.read_to("say that they have the same."), "read all six") == letters);
    guest.type("yes");
    CHECK(guest.end() == 0);
    host.read_to("Ada Finch was let in.");
    CHECK(host.end() == 0);
}

TEST_CASE("on a terminal wrong letters three times end the greeting") {
    const Porch p;
    Terminal host(p.olive, {"greet", "club", "--as", "newcomer"});
    host.read_to("--by-voice");
    for (int failure = 1; failure <= 3; ++failure) {
        Terminal guest(p.ada, {"join", p.door(), "--by-voice"});
        const std::string letters = letters_in(guest.read_to("Enter for no: "), "Read these six words");
        host.read_to("if the words differ: ");
        host.type(other_than(letters.substr(4)));
        guest.type("yes");
        CHECK(guest.end() == 3);
    }
    CHECK(host.end() == 3);
    CHECK(holds(host.rest(), "locked"));
}

TEST_CASE("the QR code of an invite reads as the code that is typed") {
    if (std::system("command -v zbarimg >/dev/null") != 0) {
        MESSAGE("left out: zbarimg (Debian package zbar-tools) is not installed; the drawing is not read back here");
        return;
    }
    const Porch p;
    const std::string made = p.olive.must({"--json", "invite", "club", "--as", "mentor", "--qr", "--light-screen"});
    const std::string blocks = field(made, "qr") + "\n";
    // Two rows a line; a drawn half is dark. Six points a module.
    constexpr int scale = 6;
    std::vector<std::string> rows(2);
    std::vector<std::string> done;
    for (std::size_t i = 0; i < blocks.size();) {
        if (blocks[i] == '\n') {
            done.insert(done.end(), rows.begin(), rows.end());
            rows.assign(2, {});
            ++i;
            continue;
        }
        const std::string glyph = blocks.substr(i, blocks[i] == ' ' ? 1 : 3);
        i += glyph.size();
        rows[0].append(scale, glyph == "\u2588" || glyph == "\u2580" ? '\0' : '\xFF');
        rows[1].append(scale, glyph == "\u2588" || glyph == "\u2584" ? '\0' : '\xFF');
    }
    std::string picture =
        "P5 " + std::to_string(done.front().size()) + " " + std::to_string(done.size() * scale) + " 255\n";
    for (const std::string& row : done) {
        for (int line = 0; line < scale; ++line) picture += row;
    }
    const std::string file = p.folder.file("code.pgm", picture);
    const std::string text = file + ".txt";
    const std::string command = "zbarimg --quiet --raw '" + file + "' >'" + text + "' 2>/dev/null";
    REQUIRE(std::system(command.c_str()) == 0);
    std::ifstream read(text);
    std::string line;
    std::getline(read, line);
    CHECK(line == field(made, "code"));
    p.ada.must({"join", line});
}
