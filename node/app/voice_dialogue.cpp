#include "node/app/voice_dialogue.hpp"

#include <boost/json.hpp>
#include <cstdio>
#include <iostream>

#include "node/app/terminal.hpp"
#include "protocol/handshake/check_words.hpp"

namespace ladderline::node {
namespace {

namespace json = boost::json;

using Ask = std::function<ControlAnswer(ControlRequest)>;

constexpr int unreadable_exit = 2;
constexpr int refused_exit = 3;

std::string text_of(const ControlAnswer& answer, const char* name) {
    const json::value parsed = json::parse(answer.out);
    const json::value* value = parsed.as_object().if_contains(name);
    return value != nullptr && value->is_string() ? std::string(value->as_string()) : std::string();
}

std::string answer_to(const char* prompt) {
    std::printf("%s", prompt);
    std::fflush(stdout);
    std::string line;
    std::getline(std::cin, line);
    return line;
}

int print(const ControlAnswer& answer) {
    write_words(stdout, answer.out);
    write_words(stderr, answer.err);
    return answer.exit_code;
}

// What the one who waits heard goes to the node; a line that cannot be read is asked for again. The sentence, if it was
// refused, is on the screen afterwards.
int compare(const std::string& letters, const Ask& ask) {
    std::printf(
        "Somebody has called. Let them read six words to you. The first four must be:\n  %s\n"
        "Two more follow.\n",
        protocol::itu_spelling(letters).c_str());
    for (;;) {
        const std::string heard = answer_to("The last two, as you heard them; just Enter if the words differ: ");
        const ControlAnswer said =
            heard.empty() ? ask({{"greet", "--different"}}) : ask({{"greet", "--heard", heard, "--json"}});
        write_words(stderr, said.err);
        if (said.exit_code != unreadable_exit) return said.exit_code;
    }
}

}  // namespace

int greet_on_terminal(const std::vector<std::string>& words, const Ask& ask) {
    const ControlAnswer opened = ask({words});
    if (print(opened) != 0) return opened.exit_code;
    std::printf("Ctrl-C leaves this; 'ladderline greet --close' lets nobody in.\n");
    for (;;) {
        const ControlAnswer now = ask({{"greet", "--wait", "--json"}});
        if (now.exit_code != 0) return print(now);
        const std::string state = text_of(now, "state");
        if (state == "comparing") {
            if (compare(text_of(now, "letters"), ask) != 0) continue;
            const ControlAnswer after = ask({{"greet", "--json"}});
            const bool goes_on = text_of(after, "state") == "waiting" || text_of(after, "state") == "answered";
            if (goes_on) write_words(stdout, text_of(after, "said") + "\n");
            continue;
        }
        if (state == "waiting" || state == "answered") {
            write_words(stdout, text_of(now, "said") + "\n");
            continue;
        }
        write_words(stdout, text_of(now, "said") + "\n");
        return state == "joined" ? 0 : refused_exit;
    }
}

int call_on_terminal(const std::vector<std::string>& words, const Ask& ask) {
    std::vector<std::string> call = words;
    call.insert(call.begin(), "--json");
    const ControlAnswer called = ask({call});
    if (called.exit_code != 0) {
        write_words(stderr, called.err);
        return called.exit_code;
    }
    const bool same = ask_whether_same(text_of(called, "letters"));
    if (same) std::printf("Waiting for their word.\n");
    std::fflush(stdout);
    return print(ask({{"join", same ? "--same" : "--different"}}));
}

bool ask_whether_same(const std::string& letters) {
    write_words(stdout, "Read these six words to them, slowly:\n  " + protocol::itu_spelling(letters) +
                            "\nThen let them read all six to you. Nothing about you is told before both of you have "
                            "said that they are the same.\n");
    const std::string typed = answer_to("Are they the same? Type yes, or Enter for no: ");
    return typed == "yes" || typed == "y" || typed == "Yes" || typed == "YES" || typed == "same";
}

}  // namespace ladderline::node
