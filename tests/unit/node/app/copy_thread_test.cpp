// A copy of the store beside a running node's other work.

#include "node/app/copy_thread.hpp"

#include <doctest/doctest.h>

#include <boost/asio/io_context.hpp>
#include <cstdlib>

#include "node/app/system_env.hpp"
#include "node/commands/store_state.hpp"
#include "tests/support/node/member_fixture.hpp"
#include "tests/support/scratch.hpp"

using namespace ladderline;
using namespace ladderline::test;
namespace fs = std::filesystem;

namespace {

struct Copying {
    Copying() {
        setenv("LADDERLINE_PASSPHRASE_MEMORY_MIB", "8", 1);
        home = must(node::create_home(scratch / "home", as_bytes("made-up words of a test"), env));
        node::BeginRequest begun;
        begun.name = "Ada Finch";
        must(node::begin(*home->context, begun));
    }
    fs::path copies() const { return scratch / "home" / "copies"; }
    void change_something() {
        node::CardRequest request;
        request.call_sign = "KD0XAA";
        must(node::change_card(*home->context, request));
    }
    // Until the copy has ended: nothing else keeps the executor at work.
    void to_its_end(node::CopyThread& work) {
        io.restart();
        io.run();
        REQUIRE_FALSE(work.state().is_running);
    }

    ScratchFolder scratch{"copying"};
    SetClock clock;
    node::SystemRandom random;
    node::Env env{clock, random};
    std::unique_ptr<node::OpenHome> home;
    boost::asio::io_context io;
    int news = 0;
};

}  // namespace

TEST_CASE("A copy is made beside other work, told of, and opens with the same passphrase") {
    Copying c;
    node::CopyThread work(c.io.get_executor(), *c.home, c.env, [&] { ++c.news; });
    must(work.begin());
    CHECK(work.state().is_running);
    c.change_something();
    c.to_its_end(work);
    CHECK(work.state().went_well);
    CHECK(work.state().said.starts_with("A sealed copy with "));
    CHECK(c.news > 0);
    const node::StoreState state = must(node::store_state(*c.home->context));
    CHECK(state.copied == c.clock.now);
    store::RealDisk disk;
    must(store::restore(disk, state.copied_to, c.scratch / "again", store::vault::SlotType::passphrase,
                        as_bytes("made-up words of a test"), c.random, {}));
}

TEST_CASE("A copy that is stopped leaves nothing, and says so") {
    Copying c;
    node::CopyThread work(c.io.get_executor(), *c.home, c.env, [&] { ++c.news; });
    work.stop();
    must(work.begin());
    work.stop();
    c.to_its_end(work);
    if (!work.state().went_well) {  // it may have been quicker
        CHECK(work.state().said.starts_with("Stopped"));
        CHECK(node::finished_copies(c.copies()).empty());
    }
    CHECK(fs::is_empty(c.copies()) != work.state().went_well);
}

TEST_CASE("One copy at a time") {
    Copying c;
    node::CopyThread work(c.io.get_executor(), *c.home, c.env, [] {});
    must(work.begin());
    CHECK(must_fail(work.begin()).fault() == Fault::busy);
    c.to_its_end(work);
}

TEST_CASE("A program that ends while it copies leaves no copy and no half of one") {
    Copying c;
    {
        node::CopyThread work(c.io.get_executor(), *c.home, c.env, [] {});
        must(work.begin());
    }
    CHECK(fs::is_empty(c.copies()));
    c.change_something();
}

TEST_CASE("The newest three copies are kept, and nothing that somebody else put there goes") {
    Copying c;
    node::CopyThread work(c.io.get_executor(), *c.home, c.env, [] {});
    fs::create_directories(c.copies() / "photographs");
    const std::vector<std::string> names{"0-first", "2026-11-26", "2026-11-26T093015Z-keep",
                                         "keep",    "keep-2",     "keep-3"};
    for (int i = 0; i < 5; ++i) {
        must(work.begin());
        c.to_its_end(work);
        c.clock.pass_minutes(1);
        if (i > 0) continue;
        for (const std::string& name : names) fs::copy(work.state().folder, c.copies() / name);
    }
    CHECK(node::finished_copies(c.copies()).size() == node::copies_kept);
    CHECK(fs::exists(c.copies() / "photographs"));
    for (const std::string& name : names) {
        CAPTURE(name);
        CHECK(fs::exists(c.copies() / name / "store.db"));
    }
}

TEST_CASE("A copy made while the clock is behind is kept, and it counts as one of the three") {
    Copying c;
    node::CopyThread work(c.io.get_executor(), *c.home, c.env, [] {});
    for (int i = 0; i < 3; ++i) {
        must(work.begin());
        c.to_its_end(work);
        c.clock.pass_minutes(1);
    }
    c.clock.pass_minutes(-24 * 60);
    must(work.begin());
    c.to_its_end(work);
    REQUIRE(work.state().went_well);
    CHECK(fs::exists(work.state().folder / "store.db"));
    CHECK(node::finished_copies(c.copies()).size() == node::copies_kept);
}
