#include "node/web/static_files.hpp"

#include <array>
#include <cstdint>

#include "embedded/web_files.hpp"
#include "node/web/page.hpp"
#include "protocol/base/bytes.hpp"

namespace ladderline::node::web {

namespace {

constexpr std::string_view prefix = "/static/";

// Empty: a file that is not for browsers.
std::string_view type_of(std::string_view name) {
    if (name.ends_with(".css")) return "text/css; charset=utf-8";
    if (name.ends_with(".js")) return "text/javascript; charset=utf-8";
    if (name.ends_with(".svg")) return "image/svg+xml";
    return {};
}

// FNV-1a, 64 bits (Fowler, Noll, Vo): tells two editions of our own files apart; no defence is meant.
std::string tag_of(std::string_view text) {
    std::uint64_t sum = 0xCBF29CE484222325ULL;
    for (const char c : text) sum = (sum ^ static_cast<unsigned char>(c)) * 0x100000001B3ULL;
    std::array<std::uint8_t, 8> bytes{};
    for (std::size_t i = 0; i < bytes.size(); ++i) bytes[i] = static_cast<std::uint8_t>(sum >> (8 * i));
    return "\"" + to_hex(bytes) + "\"";
}

}  // namespace

Response static_file(const Request& request) {
    for (const auto& file : embedded::web_files::all) {
        const std::string_view type = type_of(file.name);
        if (type.empty() || request.path != std::string(prefix) + std::string(file.name)) continue;
        Response out;
        const std::string tag = tag_of(file.text);
        out.content_type = std::string(type);
        out.header("ETag", tag);
        out.header("Cache-Control", "private, no-cache");  // kept, but asked for again each time
        if (request.if_none_match.find(tag) != std::string::npos) {
            out.status = 304;
        } else {
            out.body = std::string(file.text);
        }
        return out;
    }
    return sentence_page(404, "Not here", "There is no such file in this program.");
}

}  // namespace ladderline::node::web
