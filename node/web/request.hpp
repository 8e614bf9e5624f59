#pragma once
// What a page handler gets and gives. A handler is a plain function; nothing here knows a socket.

#include <cstdint>
#include <functional>
#include <optional>
#include <string>
#include <string_view>
#include <utility>
#include <variant>
#include <vector>

#include "node/web/url.hpp"
#include "protocol/base/result.hpp"

namespace ladderline::node::web {

// Bounds on what a browser may send; all in bytes or counts.
struct FormLimits {
    std::size_t fields_max = 512;             // a batch of sign-offs is the largest form
    std::size_t name_bytes_max = 64;          // our field names are short words
    std::size_t value_bytes_max = 64 * 1024;  // a pasted log sheet
    std::size_t target_bytes_max = 8 * 1024;  // path and query together
    std::size_t files_max = 4;
    std::size_t file_bytes_max = 8U << 20;  // a question pool has about 0.2 MB, a scanned figure a few
};

// A file that came with a form (multipart.hpp).
struct SentFile {
    std::string field;  // the form's name of it
    std::string name;   // as the person's machine calls it; for words only
    std::string bytes;
};

// Names with values in the order they came; a name may come more than once (check boxes).
class Fields {
public:
    void add(std::string name, std::string value) { entries_.emplace_back(std::move(name), std::move(value)); }
    bool has(std::string_view name) const;
    // The first value as it came; empty if there is none.
    std::string get(std::string_view name) const;
    // As a person meant it: blanks at both ends dropped, CR LF read as LF.
    std::string text(std::string_view name) const;
    // A whole number with nothing else around it but blanks; otherwise nothing.
    std::optional<std::int64_t> number(std::string_view name) const;
    std::vector<std::string> all(std::string_view name) const;
    const std::vector<std::pair<std::string, std::string>>& entries() const { return entries_; }

private:
    std::vector<std::pair<std::string, std::string>> entries_;
};

enum class Method : std::uint8_t { get, post };

// Every text in it is well-formed UTF-8 without NUL; files are bytes.
struct Request {
    Method method = Method::get;
    bool head_only = false;  // HEAD: answered like GET, the body is not sent
    std::string path;        // decoded; no empty, "." or ".." segment, no control character
    Fields query;
    Fields form;  // POST, application/x-www-form-urlencoded or multipart/form-data
    std::vector<SentFile> files;
    Fields params;  // filled by the router: "/person/{id}" -> params.get("id")
    Fields cookies;
    std::string host;
    std::string origin;
    std::string fetch_site;  // Sec-Fetch-Site
    std::string fetch_mode;  // Sec-Fetch-Mode
    // The file of that field, if one came.
    const SentFile* file(std::string_view field) const;

    std::string if_none_match;
    std::string last_event_id;
    bool live_refresh = false;    // asked by live.js: only <main> is wanted
    std::string peer = {};        // filled by the server: the other end, as "192.168.7.20"
    bool on_phone = false;        // filled by the guard: comes from the owner's telephone (phone/phone_door.hpp)
    std::string csrf;             // filled by the guard; post_form() puts it into every form
    std::uint64_t live_seen = 0;  // filled by the site: number of the last news before this page was made
};

struct Response {
    int status = 200;
    std::string content_type = "text/html; charset=utf-8";
    std::string body;
    std::vector<std::pair<std::string, std::string>> headers;
    // Not empty: the server keeps the connection open as an event stream for these topics (body unused).
    std::vector<std::string> live_topics;
    std::uint64_t live_seen = 0;

    // Control characters in the value are dropped, so a value cannot become a second header.
    Response& header(std::string name, std::string_view value);
    // The value of the first header of that name, any case; empty if there is none.
    std::string header_value(std::string_view name) const;
};

using Handler = std::function<Response(const Request&)>;

// 303: after a POST that changed something, so that "reload" does not do it twice.
Response redirect(const Url& to);
Response plain_text(int status, std::string text);
// A file to keep. Letters, digits, "-", "_" and "." of the name are kept; the rest becomes "-".
Response download(std::string_view file_name, std::string content_type, std::string body);

// application/x-www-form-urlencoded (WHATWG URL, 5.1). Bad percent escapes, NUL, broken UTF-8 or too much: bad_input.
Result<Fields> parse_urlencoded(std::string_view text, const FormLimits& limits = {});
// RFC 6265 cookie header; pairs that do not look like pairs are skipped.
Fields parse_cookies(std::string_view header);
// "%41" -> "A". A percent sign without two hexadecimal digits is bad_input.
Result<std::string> percent_decode(std::string_view text, bool plus_is_blank);

// A message as the server read it.
struct RawRequest {
    std::string method;
    std::string target;
    std::vector<std::pair<std::string, std::string>> headers;
    std::string body;
};

// The request, or the refusal to send: 400, 405, 413, 414 or 415, with a sentence.
std::variant<Request, Response> read_request(const RawRequest& raw, const FormLimits& limits = {});

}  // namespace ladderline::node::web
