// What is promised to other programs of the answers with --json: answers.tsv types every command.

#include <fstream>
#include <map>
#include <memory>
#include <regex>
#include <set>
#include <sstream>

#include "tests/program/refusals.hpp"
#include "tests/support/program/json_shape.hpp"

using namespace ladderline::test;
using nlohmann::json;

namespace {

json schema() {
    std::ifstream in(std::filesystem::path(LADDERLINE_MANUALS) / "answers.schema.json");
    return json::parse(in);
}

// Parts of other shapes.
const std::set<std::string> parts{"day", "minute", "item", "day_or_null", "outcome", "matter"};
// Typed by people alone, or by whoever makes a package; `recover` needs an empty machine (paper_test.cpp).
const std::set<std::string> without_answer{"run", "recover"};

struct Row {
    std::size_t number = 0;
    std::string who;
    std::string shape;
    std::string words;
};

std::vector<Row> table() {
    std::ifstream in(LADDERLINE_ANSWERS);
    std::vector<Row> out;
    std::string line;
    for (std::size_t number = 1; std::getline(in, line); ++number) {
        if (line.empty() || line.front() == '#') continue;
        std::istringstream cells(line);
        Row row{number, {}, {}, {}};
        std::getline(cells, row.who, '\t');
        std::getline(cells, row.shape, '\t');
        std::getline(cells, row.words, '\t');
        out.push_back(row);
    }
    return out;
}

// Words between blanks; those in double quotes stay together.
std::vector<std::string> words_of(const std::string& text) {
    std::vector<std::string> out;
    bool quoted = false;
    bool inside = false;
    for (const char c : text) {
        if (c == '"') {
            quoted = !quoted;
            if (!inside) out.emplace_back();
            inside = true;
        } else if (c == ' ' && !quoted) {
            inside = false;
        } else {
            if (!inside) out.emplace_back();
            inside = true;
            out.back() += c;
        }
    }
    return out;
}

class Play {
public:
    Play() {
        folder_.file("ticks.txt", "0.1 2025-03-01 talking\n0.2\n9.99 not there\n");
        folder_.file("signatures.txt", "0.8 2025-03-01 again\n1.17 - alone without a sheet\n");
        folder_.file("net.txt", "1905 KF1XME 59 57 hello\nwrong\n");
        folder_.file("the.passphrase", "seven made-up words that only tests use\n");
        for (const char* name : {"stick", "drop"}) std::filesystem::create_directory(folder_.path() / name);
    }

    // What was printed; none where a node was started.
    std::optional<Outcome> go(const Row& row) {
        const Person& person = person_called(row.who);
        if (row.shape == "runs") {
            nodes_[row.who] = std::make_unique<RunningProgram>(person);
            return std::nullopt;
        }
        std::vector<std::string> words = words_of(filled(row.words));
        words.insert(words.begin(), "--json");
        const bool after_syncing = row.shape.front() == '~';
        Outcome outcome = person.run(words);
        for (int look = 0; after_syncing && outcome.exit_code != 0 && look < 2000; ++look) outcome = person.run(words);
        if (json::accept(outcome.out)) learn(json::parse(outcome.out));
        return outcome;
    }

private:
    const Person& person_called(const std::string& name) {
        const auto known = people_.find(name);
        if (known != people_.end()) return known->second;
        return people_.emplace(name, Person(LADDERLINE_PROGRAM, folder_, name)).first->second;
    }
    std::string value_of(const std::string& name, const std::string& more) const {
        if (name == "folder") return folder_.path().string();
        if (name == "samples") return LADDERLINE_SAMPLES;
        if (name == "passphrase") return (folder_.path() / "the.passphrase").string();
        if (name == "address") return "127.0.0.1:" + std::to_string(nodes_.at(more)->port());
        if (name == "day") return day_from_now(people_.begin()->second, std::stoi(more));
        return last_.at(name);
    }
    std::string filled(std::string words) const {
        static const std::regex place(R"(\{([a-z]+):?([^}]*)\})");
        std::smatch found;
        while (std::regex_search(words, found, place)) {
            words = found.prefix().str() + value_of(found[1], found[2]) + found.suffix().str();
        }
        return words;
    }
    void learn(const json& said) {
        if (!said.is_structured()) return;
        for (const auto& [name, value] : said.items()) {
            const bool kept = name == "code" || name == "number" || name == "question" || name == "order";
            if (kept && said.is_object() && value.is_string()) last_[name] = value.get<std::string>();
            learn(value);
        }
    }

    TemporaryFolder folder_;
    std::map<std::string, Person> people_;
    std::map<std::string, std::unique_ptr<RunningProgram>> nodes_;
    std::map<std::string, std::string> last_;
};

// The commands that the help lists, "courier place" for those of a command of commands.
std::set<std::string> commands_in_help(const Person& person, const std::vector<std::string>& before = {}) {
    std::vector<std::string> words = before;
    words.emplace_back("--help");
    std::istringstream help(person.must(words));
    std::set<std::string> out;
    bool listed = false;
    for (std::string line; std::getline(help, line);) {
        if (listed && line.starts_with("  ") && line[2] != ' ') {
            out.insert(line.substr(2, line.find(' ', 2) - 2));
        }
        listed = listed || line == "Subcommands:";
    }
    return out;
}

}  // namespace

TEST_CASE("the answers of commands are as their schema says, and no shape of it is without a command") {
    const JsonShape shape(schema());
    Play play;
    std::set<std::string> seen = parts;
    for (const Row& row : table()) {
        CAPTURE(row.number);
        CAPTURE(row.words);
        const auto outcome = play.go(row);
        if (!outcome) continue;
        const std::string name = row.shape.substr(row.shape.front() == '~' ? 1 : 0);
        CAPTURE(outcome->out);
        CAPTURE(outcome->err);
        REQUIRE((outcome->exit_code != 0) == (name == "refusal"));
        REQUIRE(json::accept(outcome->out));
        CHECK(shape.trouble(json::parse(outcome->out), name) == "");
        seen.insert(name);
    }
    const json definitions = schema().at("$defs");
    for (const auto& [name, unused] : definitions.items()) {
        CAPTURE(name);
        CHECK(seen.contains(name));
    }
}

TEST_CASE("no command is without a shape of its answer") {
    const TemporaryFolder folder;
    const Person somebody(LADDERLINE_PROGRAM, folder, "somebody");
    std::set<std::string> typed = without_answer;
    for (const Row& row : table()) {
        if (row.shape == "runs") continue;
        const std::vector<std::string> words = words_of(row.words);
        typed.insert(words.front());
        if (words.size() > 1) typed.insert(words[0] + " " + words[1]);
    }
    const auto commands = commands_in_help(somebody);
    CHECK(commands.size() > 50);
    for (const std::string& command : commands) {
        CAPTURE(command);
        CHECK(typed.contains(command));
        for (const std::string& more : commands_in_help(somebody, {command})) {
            CAPTURE(more);
            CHECK(typed.contains(command + " " + more));
        }
    }
}

TEST_CASE("an answer that is not as the schema says is noticed") {
    const JsonShape shape(schema());
    CHECK(shape.trouble(json::parse(R"({"said": 3})"), "step") != "");
    CHECK(shape.trouble(json::parse(R"({})"), "step") != "");
    CHECK(shape.trouble(json::parse(R"([{"what": "x", "day": "tomorrow"}])"), "waiting") != "");
    CHECK(shape.trouble(json::parse(R"({"error": "No.", "exit_code": 99})"), "refusal") != "");
    CHECK(shape.trouble(json::parse(R"({"next": {"item": "00.01"}})"), "next") != "");
    CHECK(shape.trouble(json::parse(R"({"distance_km": "far"})"), "far") != "");
    CHECK_THROWS(shape.trouble(json(), "no such shape"));
}
