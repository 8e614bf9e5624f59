#include "tests/tidy/functions.hpp"

#include <array>

namespace ladderline::tidy {
namespace {

enum class Brace { scope, body, initialiser };

// The text with everything inside round brackets blanked, so that what is left stands at depth 0.
std::string outside_brackets(std::string_view head) {
    std::string out(head);
    int depth = 0;
    for (char& c : out) {
        if (c == ')') --depth;
        if (depth > 0) c = ' ';
        if (c == '(') ++depth;
    }
    return out;
}

std::string_view without_template_head(std::string_view head) {
    while (head.starts_with("template")) {
        std::size_t at = head.find('<');
        if (at == std::string_view::npos) return head;
        int depth = 0;
        for (; at < head.size(); ++at) {
            if (head[at] == '<') ++depth;
            if (head[at] == '>' && --depth == 0) break;
        }
        head = at < head.size() ? trimmed(head.substr(at + 1)) : std::string_view{};
    }
    return head;
}

bool opens_type(std::string_view flat) {
    for (const std::string_view word : {"class", "struct", "union", "enum"}) {
        const std::size_t at = find_word(flat, word);
        if (at != std::string_view::npos && at < flat.find('(')) return true;
    }
    return false;
}

// `Name::Name(...) : first_{`: the brace belongs to a member, the body comes later.
bool inside_member_list(std::string_view flat) {
    std::size_t at = flat.find(')');
    for (; at < flat.size(); ++at) {
        if (flat[at] != ':') continue;
        if (at + 1 < flat.size() && flat[at + 1] == ':') {
            ++at;
            continue;
        }
        const std::size_t last_space = flat.find_last_of(" \n,:)}");
        const std::string_view last = flat.substr(last_space + 1);
        return !last.empty() && last != "try" && (is_word_char(flat.back()) || flat.back() == '>');
    }
    return false;
}

Brace classify(std::string_view raw_head) {
    const std::string_view head = without_template_head(trimmed(raw_head));
    const std::string flat_text = outside_brackets(head);
    const std::string_view flat = trimmed(flat_text);
    if (flat.empty() || flat.ends_with('=') || flat.ends_with(',')) return Brace::initialiser;
    if (find_word(flat, "namespace") != std::string_view::npos) return Brace::scope;
    if (flat.starts_with("extern \"")) return Brace::scope;
    if (opens_type(flat)) return Brace::scope;
    if (flat.find('(') == std::string_view::npos) return Brace::initialiser;
    const std::size_t assigned = flat.find(" = ");
    const bool lambda = assigned != std::string_view::npos && flat.find('[', assigned) != std::string_view::npos;
    if (assigned != std::string_view::npos && !lambda) return Brace::initialiser;
    return inside_member_list(flat) ? Brace::initialiser : Brace::body;
}

std::string name_of(std::string_view raw_head) {
    const std::string_view head = without_template_head(trimmed(raw_head));
    const std::size_t end = head.find('(');
    std::size_t start = end == std::string_view::npos ? 0 : end;
    while (start > 0 && is_word_char(head[start - 1])) --start;
    return end == std::string_view::npos ? std::string{} : std::string(head.substr(start, end - start));
}

// Where the head really begins: after blanks and after `public:` and its kin.
std::size_t first_of_head(std::string_view code, std::size_t from) {
    for (;;) {
        while (from < code.size() && (code[from] == ' ' || code[from] == '\n')) ++from;
        const std::string_view rest = code.substr(from);
        std::size_t skip = 0;
        for (const std::string_view word : {"public:", "protected:", "private:"}) {
            if (rest.starts_with(word)) skip = word.size();
        }
        if (skip == 0) return from;
        from += skip;
    }
}

}  // namespace

std::size_t matching(std::string_view code, std::size_t open) {
    const char opening = code[open];
    const char closing = opening == '{' ? '}' : opening == '(' ? ')' : ']';
    int depth = 0;
    for (std::size_t i = open; i < code.size(); ++i) {
        if (code[i] == opening) ++depth;
        if (code[i] == closing && --depth == 0) return i;
    }
    return std::string_view::npos;
}

std::vector<Function> functions_of(const Source& source) {
    std::vector<Function> found;
    if (!source.is_cpp()) return found;
    const std::string code = blank_directives(source.code);
    std::size_t head = 0;
    int brackets = 0;
    for (std::size_t i = 0; i < code.size(); ++i) {
        const char c = code[i];
        if (c == '(') ++brackets;
        if (c == ')') --brackets;
        if (brackets == 0 && (c == ';' || c == '}')) head = i + 1;
        if (c != '{') continue;
        const std::string_view text = std::string_view(code).substr(head, i - head);
        const Brace brace = brackets > 0 ? Brace::initialiser : classify(text);
        if (brace == Brace::scope) {
            head = i + 1;
            continue;
        }
        const std::size_t close = matching(code, i);
        if (close == std::string_view::npos) return found;
        if (brace == Brace::body) {
            const std::size_t first = first_of_head(code, head);
            found.push_back({name_of(std::string_view(code).substr(first, i - first)), first, i, close});
            head = close + 1;
        }
        i = close;
    }
    return found;
}

}  // namespace ladderline::tidy
