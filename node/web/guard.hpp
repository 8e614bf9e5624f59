#pragma once
// Who may talk to the pages: the browser that was opened with the address the program printed, and nobody else.
//
// Against whom. Another site open in the same browser (forged requests, DNS rebinding, framing, reading our answers);
// another program on this machine that tries the port. Not against a program that runs as the same person: that one
// can read the browser's own files.
//
// Cookies do not know ports: another server on 127.0.0.1 counts as "same site" and SameSite does not stop it. So the
// cookie's name carries our port, every POST must come from our own origin, and every form carries a secret.

#include <cstdint>
#include <functional>
#include <optional>
#include <string>
#include <vector>

#include "node/web/request.hpp"
#include "protocol/base/random.hpp"
#include "protocol/base/time.hpp"

namespace ladderline::node::web {

struct GuardOptions {
    std::uint16_t port = 0;
    std::int64_t idle_ms_max = 0;    // a browser in which nobody does anything for so long must open anew; 0: never
    std::size_t sessions_max = 8;    // browsers at once; the one quiet for longest goes first
    std::string host = "127.0.0.1";  // as the start address names it; IPv6 in brackets
    bool for_phone = false;          // over TLS on the local network: that host alone, a link that is short to type
};

// What came of opening a start address.
enum class Opened : std::uint8_t { let_in, used_already, wrong };

class Guard {
public:
    // `random` must outlive the guard; it is asked for 32 bytes a token, cookie or form secret.
    Guard(GuardOptions options, Random& random);

    // "http://127.0.0.1:PORT/open/<64 hexadecimal digits>", to be shown once to the person who started the program. For
    // a telephone "https://HOST:PORT/open/abcd-efgh-jkmn-pqrs": 80 random bits, because wrong ones are counted.
    std::string start_address() const;
    // A new start address; the former one stops working, open browsers stay open.
    void renew_token();
    // A GET of "/feed/<secret>" is let in without a browser's cookie, for a calendar program; empty: nobody is.
    void allow_feed(std::string secret) { feed_ = std::move(secret); }
    std::string feed_address() const;
    // Told of everybody who opens a start address, and of the address of their machine.
    void on_opened(std::function<void(Opened, const std::string& peer)> listener) { opened_ = std::move(listener); }
    // Every browser must open anew with a new start address.
    void lock();

    // Nothing: go on (request.csrf is filled). Otherwise the answer: a refusal, or the redirect after opening.
    std::optional<Response> admit(Request& request, MonoTime now);

    std::size_t sessions() const { return sessions_.size(); }

private:
    struct Session {
        std::string cookie;
        std::string csrf;
        MonoTime last_asked;
    };

    Response open(const Request& request, MonoTime now);
    std::optional<Response> admit_feed(const Request& request) const;
    Session* session_of(const Request& request, MonoTime now);
    bool host_is_ours(const std::string& host) const;
    bool origin_is_ours(const Request& request) const;
    std::string own_address() const;
    std::string cookie_name() const;
    std::string secret();
    std::string new_token();
    Response let_in(const Request& request, MonoTime now);
    std::string_view way_in() const;
    void tell(Opened what, const Request& request) const;

    GuardOptions options_;
    Random& random_;
    std::string token_;
    bool token_used_ = false;
    std::string feed_;
    std::vector<Session> sessions_;
    std::function<void(Opened, const std::string&)> opened_;
};

// Headers that every answer carries: content security policy without inline code, no sniffing, no framing, no store.
// A header that the answer set itself is kept.
void add_safety_headers(Response& response);

// Compares without telling by its time where the difference is; only the lengths show.
bool equal_in_constant_time(std::string_view a, std::string_view b);

}  // namespace ladderline::node::web
