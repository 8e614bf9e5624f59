#include "node/web/pages/page_words.hpp"

namespace ladderline::node::web {
namespace {

constexpr std::string_view program = "ladderline ";

struct PageOf {
    Url address;
    std::string words;
};

// The first word, which is taken off.
std::string_view take_word(std::string_view& text) {
    const std::size_t end = std::min(text.find(' '), text.size());
    const std::string_view word = text.substr(0, end);
    text.remove_prefix(std::min(end + 1, text.size()));
    return word;
}

// Those that only somebody with a way of their own has.
std::optional<PageOf> page_of_own_way(std::string_view command, std::string_view rest) {
    if (command == "meet") return PageOf{url("/meet"), "Meet on the air"};
    if (command == "contact") return PageOf{url("/contact"), "Contacts"};
    if (command != "tick") return std::nullopt;
    const auto item = domain::parse_item_id(take_word(rest));
    if (!item) return std::nullopt;
    const std::string id = domain::to_text(item.value());
    return PageOf{url("/way/{}", id), "of " + id};
}

// What stands after "ladderline ": "exam licence CLASS --granted DAY".
std::optional<PageOf> page_of(const Viewer& viewer, std::string_view typed) {
    const std::string_view command = take_word(typed);
    for (const char* name : {"invite", "share", "sees"}) {
        if (command == name) return PageOf{url("/circles"), "Circles"};
    }
    for (const char* name : {"consent", "leave"}) {
        if (command == name) return PageOf{url("/goings"), "Leaving, and what is lost"};
    }
    if (command == "card") return PageOf{url("/card"), "Your card"};
    if (command == "exam") return PageOf{url("/exam"), "Exam and licence"};
    if (command == "handover") return PageOf{url("/club/handover"), "Hand-over"};
    if (command == "join") return PageOf{url("/join"), "Join a circle"};
    if (command == "next") return PageOf{url("/"), "Next step"};
    if (command == "ready") return PageOf{url("/ready"), "How ready am I?"};
    if (viewer.path) return page_of_own_way(command, typed);
    if (command == "meet") return PageOf{url("/people"), "Your people"};
    return std::nullopt;
}

// Where the command ends that begins at `from`, just after "ladderline ".
std::size_t end_of(std::string_view sentence, std::size_t from, bool is_quoted) {
    if (is_quoted) return std::min(sentence.find('\'', from), sentence.size());
    for (std::size_t i = from; i < sentence.size(); ++i) {
        const bool is_last = i + 1 == sentence.size() || sentence[i + 1] == ' ';
        const char c = sentence[i];
        if (c == ')' || c == ';' || c == ',' || (c == '.' && is_last)) return i;
    }
    return sentence.size();
}

bool begins_sentence(std::string_view before) {
    const std::size_t last = before.find_last_not_of(' ');
    return last == std::string_view::npos || before[last] == '.';
}

// `text` is told what stands between, `link` each page with "the" or "The page" before it.
template <class Text, class Link>
void read(const Viewer& viewer, std::string_view sentence, Text text, Link link) {
    std::size_t told = 0;
    std::size_t at = sentence.find(program);
    for (; at != std::string_view::npos; at = sentence.find(program, at + 1)) {
        const bool is_quoted = at > 0 && sentence[at - 1] == '\'';
        const std::size_t from = at + program.size();
        const std::size_t end = end_of(sentence, from, is_quoted);
        const auto found = page_of(viewer, sentence.substr(from, end - from));
        if (!found) continue;
        const std::string_view before = sentence.substr(0, is_quoted ? at - 1 : at);
        text(before.substr(told));
        text(begins_sentence(before) ? "The page " : "the page ");
        link(*found);
        told = std::min(is_quoted ? end + 1 : end, sentence.size());
    }
    text(sentence.substr(told));
}

}  // namespace

Html page_words(const Viewer& viewer, std::string_view sentence) {
    Html out;
    read(
        viewer, sentence, [&](std::string_view words) { out.add("{}", words); },
        [&](const PageOf& page) { out.add("<a href=\"{}\">{}</a>", page.address, page.words); });
    return out;
}

std::string page_words_plain(const Viewer& viewer, std::string_view sentence) {
    std::string out;
    read(
        viewer, sentence, [&](std::string_view words) { out += words; },
        [&](const PageOf& page) { out += page.words; });
    return out;
}

}  // namespace ladderline::node::web
