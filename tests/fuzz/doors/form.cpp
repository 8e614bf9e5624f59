// Form fields, cookies and percent escapes, without the request around them. The first byte picks one.

#include "node/web/request.hpp"
#include "tests/fuzz/engine/door.hpp"

namespace ladderline::fuzz {
namespace {

using namespace node::web;

std::string encoded(const Fields& fields) {
    std::string out;
    for (const auto& [name, value] : fields.entries()) out += percent_encode(name) + "=" + percent_encode(value) + "&";
    return out;
}

void form(std::string_view text) {
    const FormLimits limits;
    const auto fields = parse_urlencoded(text);
    if (!fields) return demand_sentence(fields.error().sentence());
    demand(fields.value().entries().size() <= limits.fields_max, "no more fields than fit");
    for (const auto& [name, value] : fields.value().entries()) {
        demand(name.size() <= limits.name_bytes_max && value.size() <= limits.value_bytes_max,
               "a field keeps its bound");
        demand(is_utf8(name) && is_utf8(value), "a field is text");
    }
    const auto again = parse_urlencoded(encoded(fields.value()));
    demand(again && again.value().entries() == fields.value().entries(), "fields hold what was sent");
}

void cookies(std::string_view text) {
    for (const auto& [name, value] : parse_cookies(text).entries()) demand(!name.empty(), "a cookie has a name");
}

void escapes(std::string_view text) {
    const auto decoded = percent_decode(text, false);
    if (!decoded) return demand_sentence(decoded.error().sentence());
    demand(percent_decode(percent_encode(decoded.value()), false).value() == decoded.value(), "escapes hold any bytes");
}

void knock(ByteView input) {
    if (input.empty()) return;
    const std::string_view rest = as_text(input.subspan(1));
    if (input[0] % 3 == 0) form(rest);
    if (input[0] % 3 == 1) cookies(rest);
    if (input[0] % 3 == 2) escapes(rest);
}

Seed seed(std::uint8_t kind, const std::string& name, std::string_view text) {
    Bytes input{kind};
    input.insert(input.end(), text.begin(), text.end());
    return {name, input};
}

}  // namespace

Door door() {
    Door out;
    out.knock = knock;
    out.seeds = {seed(0, "form", "item=09.06&words=heard+%C3%A9&empty=&=x&n=-3"), seed(0, "many", "a=1&a=2&a=3&&b"),
                 seed(1, "cookies", "ladderline_7373=0123abcd; other=\"x y\"; =none; bare"),
                 seed(2, "escapes", "a%20b%2Fc%41%7e%ff")};
    out.words = {"%00", "%", "%C3%A9", "&", "=", ";", "+", " ", "%4", "%zz"};
    out.bytes_max = 128 * 1024;
    out.runs = 20'000;
    return out;
}

}  // namespace ladderline::fuzz
