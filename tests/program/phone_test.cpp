// The pages on one's own telephone, through the real program: what is printed is what a telephone meets.

#include <arpa/inet.h>
#include <openssl/ssl.h>
#include <sys/socket.h>
#include <unistd.h>

#include <memory>

#include "tests/program/refusals.hpp"

using namespace ladderline::test;
using nlohmann::json;

namespace {

constexpr const char* here = "127.0.0.1";

// Connected on the loopback, or -1.
int connected(int port) {
    const int out = socket(AF_INET, SOCK_STREAM | SOCK_CLOEXEC, 0);
    sockaddr_in to{};
    to.sin_family = AF_INET;
    to.sin_port = htons(static_cast<std::uint16_t>(port));
    to.sin_addr.s_addr = htonl(INADDR_LOOPBACK);
    if (connect(out, reinterpret_cast<const sockaddr*>(&to), sizeof to) == 0) return out;
    close(out);
    return -1;
}

std::string fingerprint_of(SSL* tls) {
    unsigned char digest[32];
    unsigned length = 0;
    X509* paper = SSL_get0_peer_certificate(tls);
    if (paper == nullptr || X509_digest(paper, EVP_sha256(), digest, &length) != 1) return {};
    std::string out;
    for (unsigned i = 0; i < length; ++i) {
        char pair[4];
        std::snprintf(pair, sizeof pair, "%s%02X", i == 0 ? "" : ":", digest[i]);
        out += pair;
    }
    return out;
}

// A telephone that sends its request only to whoever shows the certificate with that fingerprint. The answer to its
// end; empty where nothing was sent, or nothing came.
std::string asked(const std::string& pinned, int port, const std::string& path, const std::string& more = "") {
    const int wire = connected(port);
    if (wire < 0) return {};
    const std::unique_ptr<SSL_CTX, decltype(&SSL_CTX_free)> context(SSL_CTX_new(TLS_client_method()), &SSL_CTX_free);
    const std::unique_ptr<SSL, decltype(&SSL_free)> tls(SSL_new(context.get()), &SSL_free);
    SSL_set_fd(tls.get(), wire);
    std::string out;
    if (SSL_connect(tls.get()) == 1 && fingerprint_of(tls.get()) == pinned) {
        const std::string request = "GET " + path + " HTTP/1.1\r\nHost: " + here + ":" + std::to_string(port) + "\r\n" +
                                    more + "Connection: close\r\n\r\n";
        SSL_write(tls.get(), request.data(), static_cast<int>(request.size()));
        char room[4096];
        for (int got = 0; (got = SSL_read(tls.get(), room, sizeof room)) > 0;) out.append(room, got);
    }
    close(wire);
    return out;
}

// A plain request to the machine's own pages.
std::string asked_plainly(int port, const std::string& path) {
    const int wire = connected(port);
    if (wire < 0) return {};
    const std::string request =
        "GET " + path + " HTTP/1.1\r\nHost: " + here + ":" + std::to_string(port) + "\r\nConnection: close\r\n\r\n";
    std::string out;
    if (write(wire, request.data(), request.size()) == static_cast<ssize_t>(request.size())) {
        char room[4096];
        for (ssize_t got = 0; (got = read(wire, room, sizeof room)) > 0;) {
            out.append(room, static_cast<std::size_t>(got));
        }
    }
    close(wire);
    return out;
}

std::string cookie_in(const std::string& answer) {
    const std::string before = "Set-Cookie: ";
    const std::size_t at = answer.find(before);
    if (at == std::string::npos) return {};
    return answer.substr(at + before.size(), answer.find(';', at) - at - before.size());
}

int port_in(const std::string& address) {
    const std::size_t colon = address.find(':', address.find("//") + 2);
    return std::stoi(address.substr(colon + 1));
}

struct Opened {
    Opened() : node(f.ada) { said = json::parse(f.ada.must({"--json", "phone", here})); }

    int port() const { return said.at("port").get<int>(); }
    std::string fingerprint() const { return said.at("fingerprint").get<std::string>(); }
    std::string link_path() const {
        const auto link = said.at("link").get<std::string>();
        return link.substr(link.find("/open/"));
    }
    json now() const { return json::parse(f.ada.must({"--json", "phone"})); }

    AdasFolder f;
    RunningProgram node;
    json said;
};

}  // namespace

TEST_CASE("a telephone that compares the printed fingerprint gets the pages by the link, and another one does not") {
    const Opened opened;
    const std::string first = asked(opened.fingerprint(), opened.port(), opened.link_path());
    CHECK(holds(first, "HTTP/1.1 200"));
    const std::string cookie = cookie_in(first);
    REQUIRE_FALSE(cookie.empty());
    CHECK(holds(asked(opened.fingerprint(), opened.port(), "/", "Cookie: " + cookie + "\r\n"), "Your next step"));
    CHECK(holds(asked(opened.fingerprint(), opened.port(), opened.link_path()), "HTTP/1.1 403"));
    const json now = opened.now();
    CHECK(now.at("browser") == here);
    CHECK(now.at("second_use_refused") == true);
    CHECK(now.at("link") == "");
}

TEST_CASE("a telephone that was told another fingerprint sends nothing, and the link stays good") {
    const Opened opened;
    std::string other = opened.fingerprint();
    other.back() = other.back() == '0' ? '1' : '0';
    CHECK(asked(other, opened.port(), opened.link_path()).empty());
    CHECK(opened.now().at("browser") == "");
    CHECK(opened.now().at("link") == opened.said.at("link"));
}

TEST_CASE("the machine's own pages do not know a telephone's link") {
    const Opened opened;
    CHECK(holds(asked_plainly(port_in(opened.node.pages_address()), opened.link_path()), "HTTP/1.1 403"));
    CHECK(asked_plainly(opened.port(), opened.link_path()).empty());
    CHECK(opened.now().at("browser") == "");
}

TEST_CASE("a share ends by a command, and its port with it") {
    const Opened opened;
    CHECK(holds(opened.f.ada.must({"phone", "--stop"}), "open to no telephone"));
    CHECK(asked(opened.fingerprint(), opened.port(), opened.link_path()).empty());
    CHECK(opened.now().at("open") == false);
}

TEST_CASE("the terminal shows the link as text and picture, the fingerprint, and what the warning means") {
    const AdasFolder f;
    const RunningProgram node(f.ada);
    const std::string said = f.ada.must({"phone", here});
    CHECK(holds(said, "https://127.0.0.1:"));
    CHECK(holds(said, "SHA-256"));
    CHECK(holds(said, "█"));
    CHECK(holds(said, "If the fingerprint differs, do not go on"));
    CHECK(holds(said, "Nobody else should be on that network"));
}

TEST_CASE("a telephone is shown nothing without a running node, at a strange address, or for too long") {
    const AdasFolder f;
    CHECK(holds(refusal(f.ada.run({"phone", here}), 4), "No node runs"));
    const RunningProgram node(f.ada);
    CHECK(holds(refusal(f.ada.run({"phone", "0.0.0.0"}), 2), "no address of this machine"));
    CHECK(holds(refusal(f.ada.run({"phone", here, "--minutes", "481"}), 2), "8 hours"));
    CHECK(json::parse(f.ada.must({"--json", "phone"})).at("open") == false);
}

TEST_CASE("a courier shares no pages with a telephone") {
    const TemporaryFolder folder;
    const Person courier(LADDERLINE_PROGRAM, folder, "courier");
    courier.must({"courier", "begin"});
    CHECK(holds(refusal(courier.run({"phone", here}), 3), "courier"));
}
