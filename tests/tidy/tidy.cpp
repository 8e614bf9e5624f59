// Reads the tree and says where it breaks the rules of the house.
//   tidy [--compile-commands FILE] [ROOT]   findings as file:line: rule: sentence; exit code 0 only for none
//   tidy --self-test [ROOT]                 every rule fires on its bad sample and nowhere else

#include <cstdio>
#include <cstring>
#include <exception>

#include "tests/tidy/rules.hpp"

namespace ladderline::tidy {
namespace {

int scan(const std::string& root, const std::string& compile_commands) {
    Tree tree = read_tree(root);
    if (tree.words.empty() || tree.sources.empty()) {
        std::fprintf(stderr, "tidy: %s is not the root of the project; nothing was checked.\n", root.c_str());
        return 2;
    }
    if (!compile_commands.empty()) {
        tree.built = read_built(compile_commands, root);
        if (!tree.built) {
            std::fprintf(stderr, "tidy: %s cannot be read; nothing was checked.\n", compile_commands.c_str());
            return 2;
        }
    }
    const Findings found = check(tree);
    for (const Finding& f : found) {
        std::printf("%s:%zu: %s: %s\n", f.path.c_str(), f.line, f.rule.c_str(), f.sentence.c_str());
    }
    std::printf("tidy: %zu findings in %zu files\n", found.size(), tree.paths.size());
    return found.empty() ? 0 : 1;
}

int run(int argc, char** argv) {
    std::string root = ".";
    std::string compile_commands;
    bool samples = false;
    for (int i = 1; i < argc; ++i) {
        if (std::strcmp(argv[i], "--self-test") == 0) {
            samples = true;
        } else if (std::strcmp(argv[i], "--compile-commands") == 0 && i + 1 < argc) {
            compile_commands = argv[++i];
        } else if (argv[i][0] == '-') {
            std::fprintf(stderr, "usage: tidy [--compile-commands FILE | --self-test] [ROOT]\n");
            return 2;
        } else {
            root = argv[i];
        }
    }
    return samples ? self_test(root) : scan(root, compile_commands);
}

}  // namespace
}  // namespace ladderline::tidy

int main(int argc, char** argv) try { return ladderline::tidy::run(argc, argv); } catch (const std::exception& error) {
    std::fprintf(stderr, "tidy: %s\n", error.what());
    return 2;
}
