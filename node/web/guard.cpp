#include "node/web/guard.hpp"

#include <algorithm>
#include <array>

#include "node/web/page.hpp"
#include "node/web/send_again.hpp"
#include "protocol/base/bytes.hpp"

namespace ladderline::node::web {

namespace {

constexpr std::string_view open_prefix = "/open/";
constexpr std::string_view feed_prefix = "/feed/";
constexpr std::string_view way_in_here =
    "Open it with the address that the program printed when it started, the line that begins with http://127.0.0.1. "
    "It works once; 'ladderline pages' in a terminal gives a new one. Nothing was changed.";
constexpr std::string_view way_in_by_phone =
    "Pages are open here for one browser and for a time only, by a link that works once. The person at the machine "
    "itself makes a new one on the page 'My phone'. Nothing was changed.";

// The browser has it as long as this answer stays open; a reload sends the same again, and send_again_page shows it.
constexpr std::string_view what_was_typed =
    "What you typed is not lost: leave this page open, open the pages again in another tab, then come back and load "
    "this one anew. The browser asks whether to send it again; say yes, and it is shown to you before anything is "
    "done. ";

Response refusal(std::string_view title, std::string_view sentence) {
    return sentence_page(403, title, sentence);
}

// Another page may lead a person here by a link; it may not pull our answers into itself or post to us.
bool asked_from_elsewhere(const Request& request) {
    const bool elsewhere = request.fetch_site == "cross-site" || request.fetch_site == "same-site";
    const bool followed_link = request.method == Method::get && request.fetch_mode == "navigate";
    return elsewhere && !followed_link;
}

Response phone_welcome(const Request& request) {
    Request nobody = request;
    nobody.method = Method::post;  // no "look again"
    Page content;
    content.title = "This browser is let in";
    content.main = html(
        "<p>It is the only one; the link you came by does not work a second time. The pages are as open here as on the "
        "machine itself, until the time that stands there on the page \"My phone\".</p><p><a href=\"{}\">Go to "
        "my pages</a></p>",
        url("/"));
    return page(nobody, content);
}

// A person did something; a page that looks again by itself is nobody.
bool is_by_person(const Request& request) {
    return !request.live_refresh && request.path != "/live" && !request.path.starts_with("/static/");
}

}  // namespace

bool equal_in_constant_time(std::string_view a, std::string_view b) {
    if (a.size() != b.size()) return false;
    volatile unsigned difference = 0;
    for (std::size_t i = 0; i < a.size(); ++i) {
        difference = difference | (static_cast<unsigned char>(a[i]) ^ static_cast<unsigned char>(b[i]));
    }
    return difference == 0;
}

Guard::Guard(GuardOptions options, Random& random)
    : options_(std::move(options)), random_(random), token_(new_token()) {
    ENSURE(options_.sessions_max > 0);
}

std::string Guard::secret() {
    std::array<std::uint8_t, 32> bytes{};
    random_.fill(bytes);
    return to_hex(bytes);
}

// Letters and digits that are not taken for one another, on any telephone's keyboard without a shift.
std::string Guard::new_token() {
    if (!options_.for_phone) return secret();
    constexpr std::string_view letters = "abcdefghjkmnpqrstuvwxyz023456789";
    static_assert(letters.size() == 32);
    std::array<std::uint8_t, 16> bytes{};
    random_.fill(bytes);
    std::string out;
    for (std::size_t i = 0; i < bytes.size(); ++i) {
        if (i > 0 && i % 4 == 0) out.push_back('-');
        out.push_back(letters[bytes[i] % letters.size()]);
    }
    return out;
}

std::string Guard::own_address() const {
    return (options_.for_phone ? "https://" : "http://") + options_.host + ":" + std::to_string(options_.port);
}

std::string Guard::start_address() const {
    return own_address() + std::string(open_prefix) + token_;
}

std::string Guard::feed_address() const {
    return own_address() + std::string(feed_prefix) + feed_;
}

std::string_view Guard::way_in() const {
    return options_.for_phone ? way_in_by_phone : way_in_here;
}

void Guard::tell(Opened what, const Request& request) const {
    if (opened_) opened_(what, request.peer);
}

// A session does not help here, so that the address is worth the same in every program.
std::optional<Response> Guard::admit_feed(const Request& request) const {
    const std::string_view given = std::string_view(request.path).substr(feed_prefix.size());
    if (request.method == Method::get && !feed_.empty() && equal_in_constant_time(given, feed_)) return std::nullopt;
    return refusal("Not open here", "There is no calendar under this address; 'ladderline feed' names the right one.");
}

void Guard::renew_token() {
    token_ = new_token();
    token_used_ = false;
}

void Guard::lock() {
    sessions_.clear();
    renew_token();
}

std::string Guard::cookie_name() const {
    // A browser takes the prefix only over TLS, for this host and for all its paths (RFC 6265bis, 4.1.3.2).
    return (options_.for_phone ? "__Host-ladderline_" : "ladderline_") + std::to_string(options_.port);
}

bool Guard::host_is_ours(const std::string& host) const {
    const std::string port = ":" + std::to_string(options_.port);
    if (options_.for_phone) return host == options_.host + port;
    return host == "127.0.0.1" + port || host == "[::1]" + port || host == "localhost" + port;
}

bool Guard::origin_is_ours(const Request& request) const {
    const bool site_known = !request.fetch_site.empty();
    if (site_known && request.fetch_site != "same-origin" && request.fetch_site != "none") return false;
    if (request.origin.empty()) return site_known;
    return request.origin == (options_.for_phone ? "https://" : "http://") + request.host;
}

Guard::Session* Guard::session_of(const Request& request, MonoTime now) {
    if (options_.idle_ms_max > 0) {
        std::erase_if(sessions_, [&](const Session& s) { return now.ms - s.last_asked.ms > options_.idle_ms_max; });
    }
    // A browser may hold an older cookie of the same name beside ours, so every one is looked at.
    const std::vector<std::string> cookies = request.cookies.all(cookie_name());
    for (Session& session : sessions_) {
        for (const std::string& cookie : cookies) {
            if (equal_in_constant_time(session.cookie, cookie)) return &session;
        }
    }
    return nullptr;
}

Response Guard::open(const Request& request, MonoTime now) {
    if (request.method != Method::get || request.head_only) {
        return refusal("Not this way", "The start address can only be opened in a browser; it was not used up.");
    }
    if (session_of(request, now) != nullptr) return redirect(url("/"));
    const bool right = equal_in_constant_time(std::string_view(request.path).substr(open_prefix.size()), token_);
    if (!right || token_used_) {
        tell(right ? Opened::used_already : Opened::wrong, request);
        return refusal("Not open here", way_in());
    }
    token_used_ = true;
    tell(Opened::let_in, request);
    return let_in(request, now);
}

// By a redirect where an address is typed or clicked in a terminal. A telephone may follow a link out of a letter, and
// its browser then keeps the new cookie out of what follows by itself (SameSite), so the person goes on with a tap.
Response Guard::let_in(const Request& request, MonoTime now) {
    if (sessions_.size() >= options_.sessions_max) {
        sessions_.erase(std::min_element(sessions_.begin(), sessions_.end(), [](const Session& a, const Session& b) {
            return a.last_asked < b.last_asked;
        }));
    }
    sessions_.push_back({secret(), secret(), now});
    Response out = redirect(url("/"));
    if (options_.for_phone) out = phone_welcome(request);
    out.header("Set-Cookie", cookie_name() + "=" + sessions_.back().cookie + "; Path=/; HttpOnly; SameSite=Strict" +
                                 (options_.for_phone ? "; Secure" : ""));
    return out;
}

std::optional<Response> Guard::admit(Request& request, MonoTime now) {
    if (!host_is_ours(request.host)) {
        return refusal("Not this address", "Ladderline does not answer under this name. " + std::string(way_in()));
    }
    if (asked_from_elsewhere(request)) {
        return refusal("Not from there", "Another page asked for this, so it was not done; nothing was changed.");
    }
    if (request.path.starts_with(open_prefix)) return open(request, now);
    if (request.path.starts_with(feed_prefix)) return admit_feed(request);
    Session* session = session_of(request, now);
    if (session == nullptr) {
        const bool typed = request.method == Method::post && origin_is_ours(request);
        return refusal("Not open here",
                       std::string(typed ? what_was_typed : std::string_view()) + std::string(way_in()));
    }
    if (request.method == Method::post) {
        if (!origin_is_ours(request)) {
            return refusal("Not from there", "The form did not come from a page of this program; nothing was changed.");
        }
        const std::vector<std::string> given = request.form.all("csrf");
        if (given.size() != 1 || !equal_in_constant_time(given.front(), session->csrf)) {
            request.csrf = session->csrf;
            request.on_phone = options_.for_phone;
            return send_again_page(request);
        }
    }
    if (is_by_person(request)) session->last_asked = now;
    request.csrf = session->csrf;
    request.on_phone = options_.for_phone;
    return std::nullopt;
}

void add_safety_headers(Response& response) {
    // Referrer-Policy: "same-origin" rather than "no-referrer", because with the latter browsers send "Origin: null"
    // with our own forms (Fetch standard, "append a request Origin header"). Neither tells other sites anything.
    constexpr std::array<std::pair<std::string_view, std::string_view>, 8> headers{{
        {"Content-Security-Policy",
         "default-src 'none'; style-src 'self'; script-src 'self'; img-src 'self' data:; connect-src 'self'; "
         "form-action 'self'; base-uri 'none'; frame-ancestors 'none'"},
        {"X-Content-Type-Options", "nosniff"},
        {"X-Frame-Options", "DENY"},
        {"Referrer-Policy", "same-origin"},
        {"Cross-Origin-Resource-Policy", "same-origin"},
        {"Cross-Origin-Opener-Policy", "same-origin"},
        {"Permissions-Policy", "camera=(), geolocation=(), microphone=()"},
        {"Cache-Control", "no-store"},
    }};
    for (const auto& [name, value] : headers) {
        if (response.header_value(name).empty()) response.header(std::string(name), value);
    }
}

}  // namespace ladderline::node::web
