#include "node/web/request.hpp"

#include <algorithm>
#include <charconv>

#include "node/web/multipart.hpp"
#include "node/web/page.hpp"
#include "protocol/base/bytes.hpp"

namespace ladderline::node::web {

namespace {

bool same_word(std::string_view a, std::string_view b) {
    const auto low = [](char c) { return c >= 'A' && c <= 'Z' ? static_cast<char>(c + ('a' - 'A')) : c; };
    return std::equal(a.begin(), a.end(), b.begin(), b.end(), [&](char x, char y) { return low(x) == low(y); });
}

std::string_view without_blanks(std::string_view text) {
    constexpr std::string_view blanks = " \t\r\n";
    const std::size_t start = text.find_first_not_of(blanks);
    if (start == std::string_view::npos) return {};
    return text.substr(start, text.find_last_not_of(blanks) - start + 1);
}

int hex_value(char c) {
    if (c >= '0' && c <= '9') return c - '0';
    if (c >= 'a' && c <= 'f') return c - 'a' + 10;
    if (c >= 'A' && c <= 'F') return c - 'A' + 10;
    return -1;
}

Error bad(std::string sentence) {
    return {Fault::bad_input, std::move(sentence)};
}

bool has_control_character(std::string_view text) {
    return std::any_of(text.begin(), text.end(),
                       [](char c) { return static_cast<unsigned char>(c) < 0x20 || c == 0x7F; });
}

Result<std::string> read_path(std::string_view encoded) {
    const std::string odd =
        "The address of this page is not well formed; nothing was changed. Open the page by its link.";
    if (!encoded.starts_with('/')) return bad(odd);
    std::string out;
    std::string_view rest = encoded.substr(1);
    for (bool more = true; more;) {
        const std::size_t end = rest.find('/');
        more = end != std::string_view::npos;
        const std::string_view part = rest.substr(0, end);
        rest.remove_prefix(more ? end + 1 : rest.size());
        TRY(const std::string segment, percent_decode(part, false));
        const bool last_is_empty = segment.empty() && !more;  // "/" alone, or "/way/"
        if (segment == "." || segment == ".." || segment.find_first_of("/\\") != std::string::npos ||
            has_control_character(segment) || !is_utf8(segment) || (segment.empty() && !last_is_empty)) {
            return bad(odd);
        }
        if (!last_is_empty || out.empty()) out += "/" + segment;
    }
    return out;
}

std::string header_of(const RawRequest& raw, std::string_view name) {
    for (const auto& [key, value] : raw.headers) {
        if (same_word(key, name)) return value;
    }
    return {};
}

std::size_t count_of(const RawRequest& raw, std::string_view name) {
    return static_cast<std::size_t>(std::count_if(raw.headers.begin(), raw.headers.end(),
                                                  [&](const auto& header) { return same_word(header.first, name); }));
}

Response refusal(int status, std::string_view sentence) {
    return sentence_page(status, "Not understood", sentence);
}

}  // namespace

bool Fields::has(std::string_view name) const {
    return std::any_of(entries_.begin(), entries_.end(), [&](const auto& entry) { return entry.first == name; });
}

std::string Fields::get(std::string_view name) const {
    for (const auto& [key, value] : entries_) {
        if (key == name) return value;
    }
    return {};
}

std::string Fields::text(std::string_view name) const {
    const std::string value = get(name);
    std::string out;
    const std::string_view bare = without_blanks(value);
    for (std::size_t i = 0; i < bare.size(); ++i) {
        const bool dropped = bare[i] == '\r' && i + 1 < bare.size() && bare[i + 1] == '\n';
        if (!dropped) out.push_back(bare[i]);
    }
    return out;
}

std::optional<std::int64_t> Fields::number(std::string_view name) const {
    const std::string value = get(name);
    const std::string_view bare = without_blanks(value);
    std::int64_t out = 0;
    const auto end = std::from_chars(bare.data(), bare.data() + bare.size(), out);
    if (bare.empty() || end.ec != std::errc() || end.ptr != bare.data() + bare.size()) return std::nullopt;
    return out;
}

std::vector<std::string> Fields::all(std::string_view name) const {
    std::vector<std::string> out;
    for (const auto& [key, value] : entries_) {
        if (key == name) out.push_back(value);
    }
    return out;
}

const SentFile* Request::file(std::string_view field) const {
    const auto found = std::find_if(files.begin(), files.end(), [&](const SentFile& f) { return f.field == field; });
    return found == files.end() ? nullptr : &*found;
}

Response& Response::header(std::string name, std::string_view value) {
    std::string clean;
    std::copy_if(value.begin(), value.end(), std::back_inserter(clean),
                 [](char c) { return static_cast<unsigned char>(c) >= 0x20 && c != 0x7F; });
    headers.emplace_back(std::move(name), std::move(clean));
    return *this;
}

std::string Response::header_value(std::string_view name) const {
    for (const auto& [key, value] : headers) {
        if (same_word(key, name)) return value;
    }
    return {};
}

Response redirect(const Url& to) {
    Response out;
    out.status = 303;
    out.header("Location", to.text());
    return out;
}

Response plain_text(int status, std::string text) {
    Response out;
    out.status = status;
    out.content_type = "text/plain; charset=utf-8";
    out.body = std::move(text);
    return out;
}

Response download(std::string_view file_name, std::string content_type, std::string body) {
    std::string name;
    for (const char c : file_name) {
        const bool kept = (c >= 'a' && c <= 'z') || (c >= 'A' && c <= 'Z') || (c >= '0' && c <= '9') || c == '-' ||
                          c == '_' || (c == '.' && !name.empty());
        name.push_back(kept ? c : '-');
    }
    Response out;
    out.content_type = std::move(content_type);
    out.body = std::move(body);
    out.header("Content-Disposition", "attachment; filename=\"" + name + "\"");
    return out;
}

Result<std::string> percent_decode(std::string_view text, bool plus_is_blank) {
    std::string out;
    out.reserve(text.size());
    for (std::size_t i = 0; i < text.size(); ++i) {
        if (text[i] == '+' && plus_is_blank) {
            out.push_back(' ');
        } else if (text[i] != '%') {
            out.push_back(text[i]);
        } else {
            const int high = i + 2 < text.size() ? hex_value(text[i + 1]) : -1;
            const int low = i + 2 < text.size() ? hex_value(text[i + 2]) : -1;
            if (high < 0 || low < 0) {
                return bad("What the browser sent is damaged; nothing was changed. Go back and send the form again.");
            }
            out.push_back(static_cast<char>(high * 16 + low));
            i += 2;
        }
    }
    return out;
}

Result<Fields> parse_urlencoded(std::string_view text, const FormLimits& limits) {
    Fields out;
    while (!text.empty()) {
        const std::string_view pair = text.substr(0, text.find('&'));
        text.remove_prefix(std::min(pair.size() + 1, text.size()));
        if (pair.empty()) continue;
        if (out.entries().size() >= limits.fields_max) {
            return bad("The form has more fields than fit; nothing was changed. Send it in smaller parts.");
        }
        const std::size_t equals = std::min(pair.find('='), pair.size());
        TRY(std::string name, percent_decode(pair.substr(0, equals), true));
        TRY(std::string value, percent_decode(pair.substr(std::min(equals + 1, pair.size())), true));
        if (name.size() > limits.name_bytes_max || value.size() > limits.value_bytes_max) {
            return bad("A text in the form is longer than fits; nothing was changed. Shorten it and send it again.");
        }
        if (!is_utf8(name) || !is_utf8(value) || name.find('\0') != std::string::npos ||
            value.find('\0') != std::string::npos) {
            return bad("A text in the form holds bytes that are no letters; nothing was changed. Type it again.");
        }
        out.add(std::move(name), std::move(value));
    }
    return out;
}

Fields parse_cookies(std::string_view header) {
    Fields out;
    while (!header.empty()) {
        const std::string_view pair = header.substr(0, header.find(';'));
        header.remove_prefix(std::min(pair.size() + 1, header.size()));
        const std::size_t equals = pair.find('=');
        if (equals == std::string_view::npos) continue;
        const std::string_view name = without_blanks(pair.substr(0, equals));
        if (!name.empty()) out.add(std::string(name), std::string(without_blanks(pair.substr(equals + 1))));
    }
    return out;
}

std::variant<Request, Response> read_request(const RawRequest& raw, const FormLimits& limits) {
    Request out;
    if (raw.method != "GET" && raw.method != "HEAD" && raw.method != "POST") {
        Response refused = refusal(405, "This program answers to looking (GET) and to forms (POST) only.");
        refused.header("Allow", "GET, HEAD, POST");
        return refused;
    }
    out.method = raw.method == "POST" ? Method::post : Method::get;
    out.head_only = raw.method == "HEAD";
    if (raw.target.size() > limits.target_bytes_max) return refusal(414, "The address is longer than any page has.");
    if (count_of(raw, "Host") != 1) return refusal(400, "The browser did not say which address it wants.");

    const std::size_t question = std::min(raw.target.find('?'), raw.target.size());
    Result<std::string> path = read_path(std::string_view(raw.target).substr(0, question));
    if (!path) return refusal(400, path.error().sentence());
    out.path = std::move(path).value();
    if (question < raw.target.size()) {
        Result<Fields> query = parse_urlencoded(std::string_view(raw.target).substr(question + 1), limits);
        if (!query) return refusal(400, query.error().sentence());
        out.query = std::move(query).value();
    }
    for (const auto& [name, value] : raw.headers) {
        if (!same_word(name, "Cookie")) continue;
        const Fields cookies = parse_cookies(value);
        for (const auto& [key, content] : cookies.entries()) out.cookies.add(key, content);
    }
    out.host = header_of(raw, "Host");
    out.origin = header_of(raw, "Origin");
    out.fetch_site = header_of(raw, "Sec-Fetch-Site");
    out.fetch_mode = header_of(raw, "Sec-Fetch-Mode");
    out.if_none_match = header_of(raw, "If-None-Match");
    out.last_event_id = header_of(raw, "Last-Event-ID");
    out.live_refresh = header_of(raw, "X-Ladderline-Live") == "1";
    if (out.method == Method::get) return out;

    const std::string type = header_of(raw, "Content-Type");
    if (brings_files(type)) {
        Result<Multipart> parts = parse_multipart(type, raw.body, limits);
        if (!parts) return refusal(400, parts.error().sentence());
        out.form = std::move(parts.value().fields);
        out.files = std::move(parts.value().files);
        return out;
    }
    if (!same_word(without_blanks(std::string_view(type).substr(0, type.find(';'))),
                   "application/x-www-form-urlencoded")) {
        return refusal(415, "This is not a form of ours; nothing was changed. Send it from its page.");
    }
    Result<Fields> form = parse_urlencoded(raw.body, limits);
    if (!form) return refusal(400, form.error().sentence());
    out.form = std::move(form).value();
    return out;
}

}  // namespace ladderline::node::web
