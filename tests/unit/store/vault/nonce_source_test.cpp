#include "store/vault/nonce_source.hpp"

#include <doctest/doctest.h>
#include <sys/wait.h>
#include <unistd.h>

#include <csignal>
#include <cstdio>
#include <set>

#include "tests/support/protocol/seeded_random.hpp"

using namespace ladderline;
using namespace ladderline::store::vault;

TEST_CASE("no nonce comes twice, also from two stores opened from the same random source") {
    test::SeededRandom random(5);
    NonceSource first(random);
    NonceSource second(random);
    std::set<protocol::XNonce> seen;
    for (int i = 0; i < 1000; ++i) {
        seen.insert(first.next());
        seen.insert(second.next());
    }
    CHECK(seen.size() == 2000);
}

TEST_CASE("a forked process cannot go on with the nonces of its parent") {
    test::SeededRandom random(5);
    NonceSource nonces(random);
    static_cast<void>(nonces.next());
    const pid_t child = fork();
    REQUIRE(child >= 0);
    if (child == 0) {
        std::signal(SIGABRT, SIG_DFL);
        if (std::freopen("/dev/null", "w", stderr) == nullptr) _exit(1);
        static_cast<void>(nonces.next());
        _exit(0);
    }
    int status = 0;
    REQUIRE(waitpid(child, &status, 0) == child);
    CHECK(WIFSIGNALED(status));
    CHECK(WTERMSIG(status) == SIGABRT);
}
