#include "node/web/url.hpp"

#include "protocol/base/bytes.hpp"

namespace ladderline::node::web {

namespace {

void encode_into(std::string& out, std::string_view part, std::string_view also_kept) {
    constexpr std::string_view digits = "0123456789ABCDEF";
    for (const char c : part) {
        const bool kept = (c >= 'a' && c <= 'z') || (c >= 'A' && c <= 'Z') || (c >= '0' && c <= '9') ||
                          std::string_view("-_.~").find(c) != std::string_view::npos ||
                          also_kept.find(c) != std::string_view::npos;
        if (kept) {
            out.push_back(c);
            continue;
        }
        const auto byte = static_cast<std::uint8_t>(c);
        out.push_back('%');
        out.push_back(digits[byte >> 4]);
        out.push_back(digits[byte & 15]);
    }
}

}  // namespace

std::string percent_encode(std::string_view part) {
    std::string out;
    out.reserve(part.size());
    encode_into(out, part, "");
    return out;
}

Url same_page(const std::string& path) {
    std::string out = "/";
    const std::size_t start = path.find_first_not_of('/');
    if (start != std::string::npos) encode_into(out, std::string_view(path).substr(start), "/");
    return Url(std::move(out));
}

}  // namespace ladderline::node::web
