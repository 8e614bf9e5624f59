// Traps of g++ 12 coroutines. A full expression that holds a co_await and also a `?:` or a braced temporary destroys
// that temporary twice: g++ 12.2 under the address sanitizer reports double-free or use-after-free, wherever in the
// expression the two stand. The cure is always the same: give the value a name on a line before.
// Not seen here, because it looks like a call: an aggregate made with round brackets has the same fault.

#include "tests/tidy/functions.hpp"
#include "tests/tidy/rules.hpp"

namespace ladderline::tidy {
namespace {

struct Span {
    std::size_t from;
    std::size_t to;
};

char last_char_before(std::string_view code, std::size_t at) {
    const std::size_t found = code.find_last_not_of(" \n", at == 0 ? 0 : at - 1);
    return at == 0 || found == std::string_view::npos ? ';' : code[found];
}

// A brace that opens statements (block, lambda body) and not a list of values.
bool opens_statements(std::string_view code, std::size_t brace) {
    const std::string_view before = trimmed(code.substr(0, brace));
    if (before.ends_with('{')) return opens_statements(code, before.rfind('{'));
    if (before.empty() || std::string_view(";})]:").find(before.back()) != std::string_view::npos) return true;
    for (const std::string_view word : {"else", "do", "try", "mutable", "noexcept", "const", "override", "final"}) {
        if (before.ends_with(word) && find_word(before, word, before.size() - word.size()) != before.npos) return true;
    }
    // A trailing return type: `) -> T {`.
    const std::size_t arrow = before.rfind("->");
    if (arrow == std::string_view::npos) return false;
    const std::string_view head = trimmed(before.substr(0, arrow));
    if (!head.ends_with(')') && !head.ends_with("mutable") && !head.ends_with("noexcept")) return false;
    return before.find_first_of(";{}()=", arrow + 2) == std::string_view::npos;
}

// `if (...)` and its kin: the bracket that closes at `close` holds an expression of its own.
bool closes_condition(std::string_view code, std::size_t close) {
    int depth = 0;
    std::size_t open = close + 1;
    while (open > 0) {
        --open;
        if (code[open] == ')') ++depth;
        if (code[open] == '(' && --depth == 0) break;
    }
    const std::string_view before = trimmed(code.substr(0, open));
    for (const std::string_view word : {"if", "constexpr", "while", "for", "switch"}) {
        if (before.ends_with(word) && find_word(before, word, before.size() - word.size()) != before.npos) return true;
    }
    return false;
}

// Start of the full expression around `at`: after the nearest `;`, condition, block brace or end of a block.
std::size_t expression_start(std::string_view code, std::size_t at) {
    int depth = 0;
    for (; at > 0; --at) {
        const char c = code[at - 1];
        if (depth == 0 && c == ';') return at;
        if (depth == 0 && c == '{' && opens_statements(code, at - 1)) return at;
        if (depth == 0 && c == '}' && (code[at] == '\n' || last_char_before(code, at - 1) == ';')) return at;
        if (depth == 0 && c == ')' && closes_condition(code, at - 1)) return at;
        if (c == ')' || c == '}' || c == ']') ++depth;
        if ((c == '(' || c == '{' || c == '[') && depth > 0) --depth;
    }
    return 0;
}

// End of the full expression around `at`: its `;`, or the end of the condition it stands in.
std::size_t expression_end(std::string_view code, std::size_t at) {
    for (; at < code.size(); ++at) {
        const char c = code[at];
        if (c == ';' || (c == ')' && closes_condition(code, at))) return at;
        if (c != '(' && c != '{' && c != '[') continue;
        at = matching(code, at);
        if (at == std::string_view::npos) return code.size();
    }
    return code.size();
}

// Blanks every lambda body in the span: statements of their own.
std::string without_bodies(std::string_view code, Span span) {
    std::string out(code.substr(0, span.to));
    for (std::size_t i = span.from; i < out.size(); ++i) {
        if (out[i] != '{' || !opens_statements(code, i)) continue;
        const std::size_t close = matching(code, i);
        for (std::size_t k = i; k <= close && k < out.size(); ++k) out[k] = out[k] == '\n' ? '\n' : ' ';
    }
    return out.substr(span.from);
}

void check_one(const Source& source, std::size_t at, Findings& out) {
    const std::string_view code = source.code;
    const Span span{expression_start(code, at), expression_end(code, at)};
    const std::string text = without_bodies(code, span);
    const std::size_t line = source.line_of(at);
    if (text.find('?') != std::string::npos) {
        out.push_back({source.path, line, "co_await_choice",
                       "co_await and ?: in one expression free a temporary twice on g++ 12; use if, or two lines."});
    }
    if (text.find('{') != std::string::npos) {
        out.push_back({source.path, line, "co_await_braces",
                       "co_await and a braced value in one expression free it twice on g++ 12; name it first."});
    }
}

// A default argument is a temporary in the expression of every caller that leaves it out, and cannot be seen there.
void check_defaults(const Source& source, Findings& out) {
    const std::string_view code = source.code;
    for (std::size_t at = find_word(code, "awaitable"); at != std::string_view::npos;
         at = find_word(code, "awaitable", at + 1)) {
        const std::size_t end = code.find_first_of(";{", at);
        const std::size_t open = code.find('(', at);
        if (open == std::string_view::npos || end == std::string_view::npos || open > end) continue;
        const std::size_t close = matching(code, open);
        if (close == std::string_view::npos) continue;
        const std::string_view parameters = code.substr(open, close - open);
        if (parameters.find(" = ") == std::string_view::npos) continue;
        out.push_back({source.path, source.line_of(open), "co_await_default",
                       "a coroutine's default argument is freed twice on g++ 12 where it is left out; drop it."});
    }
}

void check_detached(const Source& source, Findings& out) {
    const std::string_view code = source.code;
    const bool asio = source.text.find("boost/asio") != std::string::npos;
    const std::string_view word = asio ? "detached" : "asio::detached";
    for (std::size_t at = find_word(code, word); at != std::string_view::npos; at = find_word(code, word, at + 1)) {
        out.push_back({source.path, source.line_of(at), "detached",
                       "a detached coroutine loses its errors; hand them to somebody who looks."});
    }
}

}  // namespace

void check_coroutines(const Tree& tree, Findings& out) {
    for (const Source& source : tree.sources) {
        if (!source.is_cpp()) continue;
        const std::string_view code = source.code;
        for (std::size_t at = find_word(code, "co_await"); at != std::string_view::npos;
             at = find_word(code, "co_await", at + 1)) {
            check_one(source, at, out);
        }
        check_defaults(source, out);
        check_detached(source, out);
    }
}

}  // namespace ladderline::tidy
