#include "node/app/dialogue.hpp"

#include <algorithm>
#include <boost/json.hpp>
#include <cstdio>
#include <iostream>

#include "node/app/terminal.hpp"

namespace ladderline::node {
namespace {

namespace json = boost::json;

std::string text_of(const json::object& object, const char* name) {
    const json::value* value = object.if_contains(name);
    return value != nullptr && value->is_string() ? std::string(value->as_string()) : std::string();
}

void print_question(const json::object& q) {
    write_words(stdout, "\n" + text_of(q, "question") + "  " + text_of(q, "group") + "\n" + text_of(q, "stem") + "\n");
    if (!text_of(q, "figure").empty()) std::printf("(see figure %s)\n", text_of(q, "figure").c_str());
    char letter = 'A';
    for (const json::value& choice : q.at("choices").as_array()) {
        write_words(stdout, std::string("  ") + letter++ + ". " + std::string(choice.as_string()) + "\n");
    }
    std::printf("A, B, C, D, ? for: I do not know, q to stop: ");
    std::fflush(stdout);
}

}  // namespace

int practise_on_terminal(const std::vector<std::string>& words,
                         const std::function<ControlAnswer(ControlRequest)>& ask) {
    for (;;) {
        std::vector<std::string> show = words;
        show.insert(show.begin(), "--json");
        const ControlAnswer shown = ask({show});
        if (shown.exit_code != 0) {
            std::fprintf(stderr, "%s", shown.err.c_str());
            return shown.exit_code;
        }
        const json::value parsed = json::parse(shown.out);
        const json::object& question = parsed.as_object();
        print_question(question);
        std::string line;
        if (!std::getline(std::cin, line) || line == "q" || line == "Q") {
            const bool kept = std::find(words.begin(), words.end(), "--problems") == words.end();
            std::printf("%s", kept ? "\nYour answers are kept.\n" : "\n");
            return 0;
        }
        std::vector<std::string> reply = words;
        for (const std::string& word :
             {std::string("--question"), text_of(question, "question"), std::string("--order"),
              text_of(question, "order"), std::string("--answer"), line.empty() ? std::string("?") : line}) {
            reply.push_back(word);
        }
        const ControlAnswer said = ask({reply});
        write_words(stdout, said.out + said.err);
    }
}

}  // namespace ladderline::node
