#include "node/cli/command_tree.hpp"

#include <doctest/doctest.h>

#include <algorithm>
#include <filesystem>
#include <fstream>
#include <functional>
#include <sstream>

using namespace ladderline::node::cli;

namespace {

namespace fs = std::filesystem;

const OptionText* find_option(const CommandText& command, const std::string& name) {
    const auto at = std::find_if(command.options.begin(), command.options.end(),
                                 [&](const OptionText& option) { return option.name == name; });
    return at == command.options.end() ? nullptr : &*at;
}

const CommandText* find_command(const CommandText& command, const std::string& word) {
    for (const CommandText& sub : command.commands) {
        if (sub.name == word || sub.name.ends_with(" " + word)) return &sub;
    }
    return nullptr;
}

// Words as a shell would part them; a remark ends the line.
std::vector<std::string> words_of(const std::string& text) {
    std::vector<std::string> words;
    std::string word;
    bool quoted = false;
    for (const char c : text + " ") {
        if (c == '"') {
            quoted = !quoted;
        } else if (c != ' ' || quoted) {
            word += c;
        } else if (!word.empty()) {
            if (word.front() == '#') break;
            words.push_back(word);
            word.clear();
        }
    }
    return words;
}

// Why the words are no command line of the program, or nothing. Words in capitals stand for something.
std::string trouble_with(const CommandText& program, const std::vector<std::string>& words) {
    const CommandText* at = &program;
    for (std::size_t i = 0; i < words.size(); ++i) {
        const std::string& word = words[i];
        if (word.starts_with("--")) {
            if (word == "--help" || word == "--version") continue;
            const OptionText* option = find_option(*at, word);
            if (option == nullptr) option = find_option(program, word);
            if (option == nullptr) return word + " is no option of '" + at->name + "'";
            if (!option->value.empty()) ++i;
        } else if (const CommandText* sub = find_command(*at, word)) {
            at = sub;
        } else if (at == &program) {
            return word + " is no command";
        } else if (!at->commands.empty()) {
            return word + " is none of '" + at->name + "'";
        }
    }
    return {};
}

struct Typed {
    std::string place;
    std::string words;
};

// What a paper shows of the program: lines of its blocks, and code within its text.
std::vector<Typed> typed_in(const fs::path& paper) {
    constexpr std::string_view name = "ladderline ";
    std::vector<Typed> out;
    std::ifstream in(paper);
    bool fenced = false;
    std::size_t number = 0;
    for (std::string line; std::getline(in, line);) {
        const std::string place = paper.filename().string() + ":" + std::to_string(++number);
        if (line.starts_with("```")) {
            fenced = !fenced;
            continue;
        }
        if (fenced) {
            const std::size_t at = line.find(name);
            const bool typed = at == 0 || (at != std::string::npos && (line[at - 1] == ' ') &&
                                           (line.starts_with("sudo ") || line[at - 2] == '$'));
            if (typed) out.push_back({place, line.substr(at + name.size())});
            continue;
        }
        for (std::size_t open = line.find('`'); open != std::string::npos;) {
            const std::size_t close = line.find('`', open + 1);
            if (close == std::string::npos) break;
            const std::string code = line.substr(open + 1, close - open - 1);
            if (code.starts_with(name)) out.push_back({place, code.substr(name.size())});
            open = line.find('`', close + 1);
        }
    }
    return out;
}

const fs::path root = fs::path(__FILE__).parent_path() / ".." / ".." / ".." / "..";

void each_command(const CommandText& command, const std::function<void(const CommandText&)>& visit) {
    for (const CommandText& sub : command.commands) {
        visit(sub);
        each_command(sub, visit);
    }
}

std::string roff(std::string text) {
    for (std::size_t at = text.find('-'); at != std::string::npos; at = text.find('-', at + 2)) text.insert(at, "\\");
    return text;
}

}  // namespace

TEST_CASE("what the papers tell people to type is a command of the program, with options that it has") {
    const CommandText program = command_tree();
    std::vector<fs::path> papers{root / "README.md"};
    for (const auto& entry : fs::directory_iterator(root / "node/manual")) papers.push_back(entry.path());
    std::size_t count = 0;
    for (const fs::path& paper : papers) {
        for (const Typed& typed : typed_in(paper)) {
            CAPTURE(typed.place);
            CAPTURE(typed.words);
            CHECK(trouble_with(program, words_of(typed.words)) == "");
            ++count;
        }
    }
    CHECK(count > 100);
}

TEST_CASE("a command or an option that the program has not is noticed") {
    const CommandText program = command_tree();
    CHECK(trouble_with(program, {"frobnicate"}) != "");
    CHECK(trouble_with(program, {"next", "--frob"}) != "");
    CHECK(trouble_with(program, {"courier", "frob"}) != "");
    CHECK(trouble_with(program, {"--home", "x", "courier", "place", "--days", "3"}) == "");
}

TEST_CASE("the manual page names every command and every option") {
    const CommandText program = command_tree();
    const std::string page = manual_page(program, "1.2.3");
    CHECK(page.find("ladderline 1.2.3") != std::string::npos);
    std::size_t count = 0;
    each_command(program, [&](const CommandText& command) {
        CAPTURE(command.name);
        const std::size_t head = page.find(".SS \"" + roff(command.name) + "\"\n");
        REQUIRE(head != std::string::npos);
        const std::string part = page.substr(head, page.find("\n.S", head + 1) - head);
        for (const OptionText& option : command.options) {
            CAPTURE(option.name);
            CHECK(part.find(roff(option.name) + "\\fR") != std::string::npos);
        }
        ++count;
    });
    CHECK(count > 70);
}

TEST_CASE("no word of the manual page is taken for a macro") {
    std::istringstream page(manual_page(command_tree(), "1.2.3"));
    for (std::string line; std::getline(page, line);) {
        CAPTURE(line);
        CHECK_FALSE(line.starts_with('\''));
        if (!line.starts_with('.')) continue;
        const std::string macro = line.substr(0, line.find(' '));
        CHECK((macro == ".TH" || macro == ".SH" || macro == ".SS" || macro == ".PP" || macro == ".TP"));
    }
}

TEST_CASE("the same program gives the same papers") {
    CHECK(manual_page(command_tree(), "1") == manual_page(command_tree(), "1"));
    CHECK(bash_completion(command_tree()) == bash_completion(command_tree()));
}

TEST_CASE("the completion has every command, and none that is hidden") {
    const CommandText program = command_tree();
    const std::string script = bash_completion(program);
    each_command(program, [&](const CommandText& command) {
        CAPTURE(command.name);
        CHECK(script.find("'" + command.name + "') commands=") != std::string::npos);
    });
    CHECK(script.find("'digest')") == std::string::npos);
    CHECK(script.find("'manual-page')") == std::string::npos);
}
