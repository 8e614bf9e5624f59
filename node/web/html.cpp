#include "node/web/html.hpp"

#include <array>
#include <charconv>
#include <cmath>

#include "node/commands/plain_text.hpp"
#include "protocol/base/ensure.hpp"

namespace ladderline::node::web {

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
        add_html_text(out, text);
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
