#include "node/app/paper_dialogue.hpp"

#include <boost/json.hpp>
#include <cstdio>
#include <iostream>
#include <optional>

#include "node/app/terminal.hpp"
#include "protocol/crypto/paper_key.hpp"

namespace ladderline::node {
namespace {

namespace json = boost::json;

constexpr int tries_max = 3;
constexpr const char* clear_screen = "\x1b[2J\x1b[3J\x1b[H";

std::string answer_to(const std::string& prompt) {
    std::printf("%s", prompt.c_str());
    std::fflush(stdout);
    std::string line;
    std::getline(std::cin, line);
    return line;
}

// Two different places, the smaller first.
std::pair<std::size_t, std::size_t> two_places(Random& random, std::size_t count) {
    struct DrawTag;
    const auto draw = random.draw<FixedBytes<DrawTag, 2>>();
    const std::size_t one = draw.data[0] % count;
    const std::size_t other = (one + 1 + draw.data[1] % (count - 1)) % count;
    return std::minmax(one, other);
}

// As it was typed; empty if the person leaves it for later, none after too many slips.
std::optional<std::string> group_from_paper(std::size_t number, const std::string& right) {
    const std::string prompt = "Group " + std::to_string(number) + " on your paper: ";
    for (int tries = 1; tries <= tries_max; ++tries) {
        std::string group = answer_to(prompt);
        if (group.empty() || protocol::tidy_paper_group(group) == right) return group;
        if (tries < tries_max) {
            std::printf("That is not group %zu. Look at your paper and type it once more, or Enter for later.\n",
                        number);
        }
    }
    std::printf("That is not group %zu; nothing is noted. 'ladderline paper' shows the sheet again.\n", number);
    return std::nullopt;
}

}  // namespace

int show_paper_on_terminal(const std::vector<std::string>& words,
                           const std::function<ControlAnswer(ControlRequest)>& ask, Random& random) {
    std::vector<std::string> show = words;
    show.insert(show.begin(), "--json");
    const ControlAnswer shown = ask({show});
    if (shown.exit_code != 0) {
        std::fprintf(stderr, "%s", shown.err.c_str());
        return shown.exit_code;
    }
    const json::value parsed = json::parse(shown.out);
    const json::object& sheet = parsed.as_object();
    for (const json::value& line : sheet.at("lines").as_array()) {
        write_words(stdout, std::string(line.as_string()) + "\n");
    }
    if (!sheet.at("written_down").is_null()) {
        std::printf("You said on %s that it is written down.\n", sheet.at("written_down").as_string().c_str());
        return 0;
    }
    answer_to("\nWrite the six groups down, then press Enter; they leave the screen.");
    std::printf("%s", clear_screen);
    const json::array& groups = sheet.at("groups").as_array();
    const auto [one, other] = two_places(random, groups.size());
    std::string typed;
    for (const std::size_t place : {one, other}) {
        const auto group = group_from_paper(place + 1, std::string(groups[place].as_string()));
        if (!group) return 2;
        if (group->empty()) {
            std::printf("Nothing is noted; 'ladderline paper' shows the sheet again.\n");
            return 0;
        }
        typed += (typed.empty() ? "" : " ") + *group;
    }
    std::vector<std::string> confirm = words;
    confirm.insert(confirm.end(), {"--confirm", typed});
    const ControlAnswer said = ask({confirm});
    write_words(stdout, said.out + said.err);
    return said.exit_code;
}

}  // namespace ladderline::node
