// Who may include whom. The longest folder that fits a file names its row; there is no list of exceptions.

#include <algorithm>

#include "tests/tidy/rules.hpp"

namespace ladderline::tidy {
namespace {

struct Row {
    std::string_view folder;
    std::vector<std::string_view> allowed;  // "name/" is everything below, "pure", "std" and "system" are sets (below)
};

// What every calculation may use, and `folders`. No two folders of the domain include one another.
std::vector<std::string_view> calculates(std::initializer_list<std::string_view> folders) {
    std::vector<std::string_view> out{"pure",           "protocol/base/", "boost/math/",
                                      "GeographicLib/", "date/",          "embedded/rules.hpp"};
    out.insert(out.end(), folders);
    return out;
}

// pure:   the standard library without files, threads and console
// std:    the standard library
// system: headers of POSIX and Linux
const std::vector<Row>& table() {
    static const std::vector<Row> rows{
        {"protocol/", {"pure", "protocol/", "cereal/cereal.hpp", "cereal/access.hpp", "cereal/macros.hpp"}},
        {"protocol/base/", {"pure", "protocol/base/"}},
        {"protocol/base/result.hpp", {"pure", "protocol/base/", "boost/outcome/"}},
        {"protocol/codec/", {"pure", "protocol/", "cereal/"}},
        {"protocol/crypto/", {"pure", "protocol/", "sodium.h"}},
        {"store/", {"std", "system", "protocol/", "store/", "embedded/migrations.hpp"}},
        {"store/sqlite/", {"std", "system", "protocol/", "store/", "embedded/migrations.hpp", "sqlite3.h"}},
        {"store/vault/", {"std", "system", "protocol/", "store/", "sqlite3.h"}},
        {"node/domain/", calculates({})},
        {"node/domain/clock/", calculates({"node/domain/clock/"})},
        {"node/domain/rules/", calculates({"node/domain/rules/"})},
        {"node/domain/meeting/", calculates({"node/domain/meeting/"})},
        {"node/domain/licence/", calculates({"node/domain/licence/", "node/domain/rules/"})},
        {"node/domain/ladder/", calculates({"node/domain/ladder/", "node/domain/licence/", "node/domain/rules/"})},
        {"node/domain/radio/", calculates({"node/domain/radio/", "node/domain/rules/", "node/domain/meeting/"})},
        {"node/domain/study/", calculates({"node/domain/study/", "node/domain/rules/"})},
        {"node/domain/review/", calculates({"node/domain/review/", "node/domain/licence/", "node/domain/study/"})},
        {"node/domain/pairing/", calculates({"node/domain/pairing/", "node/domain/radio/"})},
        {"node/read_models/", {"std", "protocol/", "store/", "node/domain/", "node/read_models/"}},
        {"node/commands/",
         {"std", "protocol/", "store/", "node/domain/", "node/read_models/", "node/commands/", "node/app/env.hpp",
          "embedded/practice.hpp", "qrencode.h"}},
        {"node/net/",
         {"std", "system", "protocol/", "store/", "boost/asio", "boost/system/", "node/net/", "node/app/env.hpp"}},
        {"node/web/",
         {"std", "protocol/", "boost/asio", "boost/beast", "boost/system/", "node/commands/", "node/read_models/",
          "node/domain/", "node/web/", "embedded/web_files.hpp"}},
        {"node/web/phone/",
         {"std", "protocol/", "boost/asio", "boost/system/", "node/app/env.hpp", "node/web/", "openssl/"}},
        {"node/cli/",
         {"std", "system", "protocol/", "node/commands/", "node/read_models/", "node/domain/", "node/cli/", "CLI/",
          "boost/json"}},
        {"node/app/",
         {"std", "system", "protocol/", "store/", "node/", "boost/asio", "boost/json", "boost/system/", "date/",
          "embedded/"}},
        {"node/main.cpp",
         {"std", "system", "protocol/", "store/", "node/", "boost/asio", "boost/system/", "embedded/"}},
    };
    return rows;
}

// What a row can never allow, whatever wider entry it has.
const std::vector<Row>& never() {
    static const std::vector<Row> rows{
        {"protocol/", {"cereal/archives/", "cereal/types/polymorphic.hpp"}},
        {"store/", {"cereal/archives/"}},
        {"node/web/", {"protocol/crypto/"}},
        {"node/cli/", {"protocol/crypto/"}},
    };
    return rows;
}

bool is_one_of(std::string_view name, std::initializer_list<std::string_view> names) {
    return std::find(names.begin(), names.end(), name) != names.end();
}

bool is_std(std::string_view name) {
    return name.find_first_of("/.") == std::string_view::npos;
}

bool is_impure_std(std::string_view name) {
    return is_one_of(name, {"fstream", "filesystem", "iostream", "thread", "future", "syncstream"});
}

bool is_system(std::string_view name) {
    for (const std::string_view folder : {"sys/", "netinet/", "arpa/", "net/", "linux/"}) {
        if (name.starts_with(folder)) return true;
    }
    return is_one_of(
        name, {"unistd.h", "fcntl.h", "poll.h", "termios.h", "signal.h", "errno.h", "netdb.h", "pwd.h", "spawn.h",
               "ifaddrs.h", "dirent.h", "pthread.h", "time.h", "stdio.h", "stdlib.h", "string.h"});
}

bool allows(std::string_view entry, std::string_view name) {
    if (entry == "std") return is_std(name);
    if (entry == "pure") return is_std(name) && !is_impure_std(name);
    if (entry == "system") return is_system(name);
    if (entry == "boost/asio" || entry == "boost/beast" || entry == "boost/json") {
        const std::string_view rest = name.substr(std::min(entry.size(), name.size()));
        return name.starts_with(entry) && (rest.starts_with('/') || rest == ".hpp");
    }
    return entry.ends_with('/') ? name.starts_with(entry) : name == entry;
}

bool any_allows(const std::vector<std::string_view>& entries, std::string_view name) {
    return std::any_of(entries.begin(), entries.end(), [&](std::string_view entry) { return allows(entry, name); });
}

const Row* row_of(std::string_view path) {
    const Row* best = nullptr;
    for (const Row& row : table()) {
        if (path.starts_with(row.folder) && (!best || row.folder.size() > best->folder.size())) best = &row;
    }
    return best;
}

bool is_forbidden(std::string_view path, std::string_view name) {
    return std::any_of(never().begin(), never().end(),
                       [&](const Row& row) { return path.starts_with(row.folder) && any_allows(row.allowed, name); });
}

// The name in an #include line of real code, or empty.
std::string_view included(const Source& source, std::size_t line) {
    const std::size_t start = source.line_starts[line - 1];
    const std::string_view text = source.line(line);
    const std::string_view code = trimmed(std::string_view(source.code).substr(start, text.size()));
    if (!code.starts_with('#') || find_word(code, "include") == std::string_view::npos) return {};
    const std::size_t open = text.find_first_of("<\"");
    if (open == std::string_view::npos) return {};
    return text.substr(open + 1, text.find_first_of(">\"", open + 1) - open - 1);
}

// Headers that bring everything with them would pass the linker unseen, so unit tests have rows as well.
std::string_view test_back_edge(std::string_view path, std::string_view name) {
    const bool domain = path.starts_with("tests/unit/domain/") || path.starts_with("tests/outside/domain/");
    const bool protocol = path.starts_with("tests/unit/protocol/") || path.starts_with("tests/outside/protocol/");
    const bool store = path.starts_with("tests/unit/store/");
    if (domain && name.starts_with("protocol/") && !name.starts_with("protocol/base/")) return "protocol";
    if ((domain || protocol) && name.starts_with("store/")) return "store";
    if ((protocol || store) && name.starts_with("node/")) return "node";
    if (domain && name.starts_with("node/") && !name.starts_with("node/domain/")) return "node";
    return {};
}

void check_includes(const Source& source, Findings& out) {
    const bool product = source.below("protocol/") || source.below("store/") || source.below("node/");
    const Row* row = row_of(source.path);
    if (product && !row) {
        out.push_back({source.path, 1, "arrow", "no row of the include table covers this folder."});
        return;
    }
    for (std::size_t line = 1; line <= source.line_count(); ++line) {
        const std::string name(included(source, line));
        if (name.empty()) continue;
        const std::string_view back = test_back_edge(source.path, name);
        if (!back.empty()) {
            out.push_back({source.path, line, "arrow", "this test may not reach " + std::string(back) + "/."});
        }
        if (product && (!any_allows(row->allowed, name) || is_forbidden(source.path, name))) {
            out.push_back({source.path, line, "arrow", std::string(row->folder) + " may not include " + name + "."});
        }
    }
}

void check_sqlite_names(const Source& source, Findings& out) {
    const bool product = source.below("protocol/") || source.below("store/") || source.below("node/");
    if (!product || source.below("store/sqlite/") || source.below("store/vault/")) return;
    const std::string_view code = source.code;
    for (std::size_t at = code.find("sqlite3_"); at != std::string_view::npos; at = code.find("sqlite3_", at + 1)) {
        if (at > 0 && is_word_char(code[at - 1])) continue;
        out.push_back({source.path, source.line_of(at), "arrow",
                       "only store/sqlite and store/vault call SQLite; use the wrapper in store/sqlite."});
    }
}

}  // namespace

void check_arrows(const Tree& tree, Findings& out) {
    for (const Source& source : tree.sources) {
        if (!source.is_cpp()) continue;
        check_includes(source, out);
        check_sqlite_names(source, out);
    }
}

}  // namespace ladderline::tidy
