// Tests that cannot fail, cannot run or depend on the clock.

#include <algorithm>

#include "tests/tidy/functions.hpp"
#include "tests/tidy/rules.hpp"

namespace ladderline::tidy {
namespace {

void check_built(const Tree& tree, Findings& out) {
    if (!tree.built) return;
    for (const Source& source : tree.sources) {
        if (!source.below("tests/") || !source.ends_with(".cpp") || tree.built->contains(source.path)) continue;
        out.push_back({source.path, 1, "unbuilt_test", "no target builds this file, so it tests nothing."});
    }
}

bool holds_file(const Tree& tree, const std::string& folder) {
    const std::string inside = folder + "/";
    return std::any_of(tree.paths.begin(), tree.paths.end(), [&](const std::string& path) {
        const std::size_t slash = path.rfind('/');
        return path.starts_with(inside) && path[slash + 1] != '.';
    });
}

// The door a fuzzer knocks at: tests/fuzz/fuzz_frame.cpp and tests/fuzz/frame.cpp are both "frame".
std::string door_of(std::string_view path) {
    std::string name(path.substr(path.rfind('/') + 1));
    name.erase(name.rfind('.'));
    return name.starts_with("fuzz_") ? name.substr(5) : name;
}

// Doors of their own kind, or with the entry of libFuzzer; the engine has that entry for all of them.
bool is_fuzzer(const Source& source) {
    if (!source.ends_with(".cpp") || !source.below("tests/fuzz/") || source.below("tests/fuzz/engine/")) return false;
    return source.below("tests/fuzz/doors/") || find_word(source.code, "LLVMFuzzerTestOneInput") != std::string::npos;
}

void check_corpora(const Tree& tree, Findings& out) {
    for (const std::string& folder : tree.folders) {
        if (holds_file(tree, folder)) continue;
        out.push_back({folder, 1, "empty_corpus", "the folder has no input; keep at least one that is accepted."});
    }
    for (const Source& source : tree.sources) {
        if (!is_fuzzer(source)) continue;
        const std::string ending = "/" + door_of(source.path);
        const bool found = std::any_of(tree.folders.begin(), tree.folders.end(), [&](const std::string& folder) {
            return folder.ends_with(ending) || folder.ends_with("/fuzz_" + ending.substr(1));
        });
        if (found) continue;
        out.push_back({source.path, 1, "empty_corpus", "no folder" + ending + " with inputs below tests/fuzz."});
    }
}

bool asserts(std::string_view body) {
    for (const std::string_view word : {"CHECK", "REQUIRE", "FAIL"}) {
        for (std::size_t at = body.find(word); at != std::string_view::npos; at = body.find(word, at + 1)) {
            if (at == 0 || !is_word_char(body[at - 1])) return true;
        }
    }
    return false;
}

bool calls_any(std::string_view body, const std::set<std::string>& names) {
    return std::any_of(names.begin(), names.end(), [&](const std::string& name) {
        const std::size_t at = find_word(body, name);
        return at != std::string_view::npos && body.find_first_of("(<", at) == at + name.size();
    });
}

bool is_test_case(const Function& function) {
    return function.name.starts_with("TEST_CASE") || function.name == "SCENARIO";
}

struct Body {
    const Source& source;
    Function function;
    std::string_view text;
};

// Helpers that assert for their callers, directly or through another helper: of this file or of tests/support.
std::set<std::string> asserting_helpers(const std::vector<Body>& bodies, const Source& file) {
    std::set<std::string> names;
    for (std::size_t before = names.size() + 1; before != names.size();) {
        before = names.size();
        for (const Body& body : bodies) {
            const bool near = &body.source == &file || body.source.below("tests/support/");
            if (!near || body.function.name.empty() || is_test_case(body.function)) continue;
            if (asserts(body.text) || calls_any(body.text, names)) names.insert(body.function.name);
        }
    }
    return names;
}

void check_cases(const Tree& tree, Findings& out) {
    std::vector<Body> bodies;
    for (const Source& source : tree.sources) {
        if (!source.below("tests/") || source.below("tests/tidy/")) continue;
        for (const Function& function : functions_of(source)) {
            const std::size_t length = function.close - function.open;
            bodies.push_back({source, function, std::string_view(source.code).substr(function.open, length)});
        }
    }
    const Source* last = nullptr;
    std::set<std::string> helpers;
    for (const Body& body : bodies) {
        if (!is_test_case(body.function) || asserts(body.text)) continue;
        if (&body.source != last) helpers = asserting_helpers(bodies, body.source);
        last = &body.source;
        if (calls_any(body.text, helpers)) continue;
        out.push_back({body.source.path, body.source.line_of(body.function.head), "checkless_test",
                       "the test has no CHECK or REQUIRE, so it cannot fail."});
    }
}

void check_sleeps(const Tree& tree, Findings& out) {
    for (const Source& source : tree.sources) {
        const bool measures = source.below("tests/bench/") || source.below("tests/soak/");
        if (!source.below("tests/") || measures || !source.is_cpp()) continue;
        const std::string_view code = source.code;
        for (const std::string_view word : {"sleep_for", "sleep_until", "sleep(", "usleep(", "nanosleep("}) {
            for (std::size_t at = find_word(code, word); at != code.npos; at = find_word(code, word, at + 1)) {
                out.push_back({source.path, source.line_of(at), "sleep",
                               "a test that sleeps is slow and fails by chance; step a clock of its own."});
            }
        }
    }
}

}  // namespace

void check_tests(const Tree& tree, Findings& out) {
    check_built(tree, out);
    check_corpora(tree, out);
    check_cases(tree, out);
    check_sleeps(tree, out);
}

}  // namespace ladderline::tidy
