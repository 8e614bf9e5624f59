#include "node/app/build_facts.hpp"

#include "embedded/build_facts.hpp"
#include "protocol/crypto/library.hpp"
#include "store/sqlite/library.hpp"

namespace ladderline::node {

cli::Answer build_facts() {
    namespace built = embedded::build_facts;
    using boost::json::string_view;
    const std::pair<const char*, std::string_view> libraries[] = {
        {"libsodium", protocol::crypto_library_version()},
        {"SQLite", store::sqlite::library_version()},
        {"Boost", built::boost},
        {"cereal", built::cereal},
        {"CLI11", built::cli11},
        {"date", built::date},
        {"GeographicLib", built::geographic},
        {"libqrencode", built::qrencode},
        {"OpenSSL", built::openssl},
    };
    const auto plain = [](std::string_view text) { return string_view(text.data(), text.size()); };
    std::vector<std::string> text{
        "ladderline " + std::string(built::version),
        "  commit    " + std::string(built::commit),
        "  compiler  " + std::string(built::compiler) + ", " + std::string(built::build_type),
    };
    boost::json::object json{{"version", plain(built::version)},
                             {"commit", plain(built::commit)},
                             {"compiler", plain(built::compiler)},
                             {"build_type", plain(built::build_type)},
                             {"licence", "GPL-3.0-or-later"}};
    boost::json::object found;
    std::string named;
    for (const auto& [name, version] : libraries) {
        found[name] = plain(version);
        named += (named.empty() ? "" : ", ") + std::string(name) + " " + std::string(version);
    }
    json["libraries"] = std::move(found);
    text.push_back("  with      " + named);
    text.emplace_back("Free software, GPL-3.0-or-later; it comes without any warranty.");
    return {cli::lines(text), std::move(json)};
}

std::optional<WallTime> program_made() {
    constexpr std::int64_t seconds = embedded::build_facts::commit_time_s;
    if (seconds == 0) return std::nullopt;
    return WallTime{seconds * 1000};
}

}  // namespace ladderline::node
