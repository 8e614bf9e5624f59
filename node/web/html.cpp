#include "node/web/html.hpp"

#include <array>
#include <charconv>
#include <cmath>

#include "protocol/base/bytes.hpp"

namespace ladderline::node::web {

namespace {

constexpr std::string_view replacement = "\xEF\xBF\xBD";

void escape_into(std::string& out, std::string_view text) {
    const bool sound = is_utf8(text);
    for (const char c : text) {
        const auto byte = static_cast<std::uint8_t>(c);
        switch (c) {
            case '&':
                out += "&amp;";
                break;
            case '<':
                out += "&lt;";
                break;
            case '>':
                out += "&gt;";
                break;
            case '"':
                out += "&quot;";
                break;
            case '\'':
                out += "&#39;";
                break;
            default:
                if ((byte < 0x20 && c != '\n' && c != '\t') || byte == 0x7F || (byte >= 0x80 && !sound)) {
                    out += replacement;
                } else {
                    out.push_back(c);
                }
        }
    }
}

}  // namespace

std::string escape_html(std::string_view text) {
    std::string out;
    out.reserve(text.size() + 16);
    escape_into(out, text);
    return out;
}

namespace detail {

void HtmlWriter::literal_up_to_place() {
    const std::size_t at = rest.find("{}");
    ENSURE(at != std::string_view::npos);
    out += rest.substr(0, at);
    rest.remove_prefix(at + 2);
}

void HtmlWriter::words(std::string_view text) {
    if (*spot == Spot::address_part) {
        out += percent_encode(text);
    } else {
        escape_into(out, text);
    }
}

void HtmlWriter::decimal(const Decimal& number) {
    ENSURE(number.decimals >= 0 && number.decimals <= 9);
    std::array<char, 400> room{};
    if (!std::isfinite(number.value)) {
        out += "\xE2\x80\x93";
        return;
    }
    const auto end =
        std::to_chars(room.data(), room.data() + room.size(), number.value, std::chars_format::fixed, number.decimals);
    ENSURE(end.ec == std::errc());
    out.append(room.data(), end.ptr);
}

void HtmlWriter::flag(const Flag& given) {
    if (given.on) out += given.name();
}

}  // namespace detail
}  // namespace ladderline::node::web
