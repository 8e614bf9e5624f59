// What a browser, or whoever reaches the port, sends: the bytes of one request, read under the server's own limits,
// then our reading of it and the guard.

#pragma GCC diagnostic push
#pragma GCC diagnostic ignored "-Wmaybe-uninitialized"
#include <boost/beast/http.hpp>
#pragma GCC diagnostic pop

#include "node/web/guard.hpp"
#include "node/web/server.hpp"
#include "tests/fuzz/engine/door.hpp"

namespace ladderline::fuzz {
namespace {

using namespace node::web;
namespace http = boost::beast::http;

constexpr std::uint16_t port = 7373;

std::optional<RawRequest> parsed(ByteView input) {
    const ServerLimits limits;
    http::request_parser<http::string_body> parser;
    parser.eager(true);
    parser.header_limit(limits.header_bytes_max);
    parser.body_limit(limits.body_bytes_max);
    boost::system::error_code error;
    while (!input.empty() && !parser.is_done() && !error) {
        const std::size_t used = parser.put(boost::asio::const_buffer(input.data(), input.size()), error);
        if (used == 0) break;
        input = input.subspan(used);
    }
    if (error || !parser.is_done()) return std::nullopt;
    RawRequest out;
    out.method = std::string(parser.get().method_string());
    out.target = std::string(parser.get().target());
    for (const auto& line : parser.get().base()) {
        out.headers.emplace_back(std::string(line.name_string()), std::string(line.value()));
    }
    out.body = parser.get().body();
    return out;
}

bool is_text(std::string_view text) {
    return is_utf8(text) && text.find('\0') == std::string_view::npos;
}

void demand_texts(const Fields& fields) {
    for (const auto& [name, value] : fields.entries()) {
        demand(is_text(name) && is_text(value), "a field is text without NUL");
        static_cast<void>(fields.text(name));
        static_cast<void>(fields.number(name));
    }
}

void demand_request(const Request& request) {
    demand(is_text(request.path) && request.path.starts_with('/'), "a path is text from the root");
    demand(("/" + request.path.substr(1) + "/").find("/../") == std::string::npos, "a path goes nowhere up");
    demand(request.path.find("//") == std::string::npos, "a path has no empty piece");
    for (const Fields* fields : {&request.query, &request.form}) demand_texts(*fields);
}

void knock(ByteView input) {
    const std::optional<RawRequest> raw = parsed(input);
    if (!raw) return;
    std::variant<Request, Response> read = read_request(*raw);
    if (const Response* refused = std::get_if<Response>(&read)) {
        demand(refused->status >= 400 && refused->status < 500 && !refused->body.empty(), "a refusal says why");
        return;
    }
    Request& request = std::get<Request>(read);
    demand_request(request);
    test::SeededRandom random(131);
    Guard guard({port}, random);
    const std::optional<Response> answer = guard.admit(request, MonoTime{1000});
    demand(answer.has_value(), "nobody gets in without the printed address");
    demand(answer->status >= 300 && answer->status < 500, "and is refused, or led in by it");
}

}  // namespace

Door door() {
    Door out;
    out.knock = knock;
    const auto seed = [&](const std::string& name, const std::string& text) {
        out.seeds.push_back({name, to_bytes(as_bytes(text))});
    };
    const std::string host = "Host: 127.0.0.1:7373\r\n";
    const std::string form = "item=09.06&words=heard+%C3%A9&n=-3&x=%F0%9F%93%BB";
    seed("get", "GET /person/a%20b?from=3&to=%2F HTTP/1.1\r\n" + host + "Cookie: ladderline_7373=00; x=\"y\"\r\n\r\n");
    seed("form", "POST /tick HTTP/1.1\r\n" + host + "Origin: http://127.0.0.1:7373\r\nSec-Fetch-Site: same-origin\r\n" +
                     "Content-Type: application/x-www-form-urlencoded; charset=utf-8\r\nContent-Length: " +
                     std::to_string(form.size()) + "\r\n\r\n" + form);
    seed("chunked", "POST /a HTTP/1.1\r\n" + host + "Content-Type: application/x-www-form-urlencoded\r\n" +
                        "Transfer-Encoding: chunked\r\n\r\n5\r\na=b&c\r\n3\r\n=%41\r\n0\r\n\r\n");
    seed("head", "HEAD / HTTP/1.0\r\n" + host + "If-None-Match: \"a\"\r\nLast-Event-ID: 7\r\n\r\n");
    out.words = {
        "%2e%2e", "/../",  "%00", "%",         "%C3", "&", "=", ";", "\r\n", "Host: x\r\n", "Content-Length: 9\r\n",
        "+",      "POST ", "//",  "http://x/", "\\"};
    out.runs = 6000;
    out.bounds.memory_bytes = 4 * 1024 * 1024;
    return out;
}

}  // namespace ladderline::fuzz
