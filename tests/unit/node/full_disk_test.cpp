// A disk that fills up while somebody ticks: what was acknowledged stays, whatever step met the full disk.

#include <doctest/doctest.h>

#include <algorithm>

#include "node/app/execute.hpp"
#include "node/app/home.hpp"
#include "node/commands/circles.hpp"
#include "node/commands/items.hpp"
#include "tests/support/node/member_fixture.hpp"
#include "tests/support/store/memory_disk.hpp"
#include "tests/support/store/memory_vfs.hpp"

using namespace ladderline;
using namespace ladderline::test;

namespace {

const std::string passphrase = "seven made-up words that only tests use";
const std::string kept_item = "00.01";
const std::string new_item = "00.02";

// A store in a memory that can be full, and its owner at work. Never moved: the context points into it.
class SmallDisk {
public:
    // As `files` and `keys` say; a new store without any.
    explicit SmallDisk(Files files = {}, std::map<std::filesystem::path, Bytes> keys = {}) : memory(std::move(files)) {
        disk.files = std::move(keys);
        disk.files.empty() ? create() : open();
    }

    void open() {
        store_ = must(store::Store::open(disk, place(), as_bytes(passphrase), random_, node::node_models()));
        me_ = must(store::load_identity(store_->db()));
        go_to_work();
    }
    void close() {
        context_.reset();
        me_.reset();
        store_.reset();
    }

    Result<node::Done> tick(const std::string& item) {
        node::TickRequest request;
        request.item = item;
        return node::tick(*context_, request);
    }
    bool is_ticked(const std::string& item) {
        const node::WayView view = must(node::way(*context_, ""));
        const auto id = must(domain::parse_item_id(item));
        return !domain::state_of(view.states, id).needs_doing();
    }

    MemoryVfs memory;
    MemoryDisk disk;

private:
    store::StoreFolder place() const { return {"/mem", memory.name()}; }

    void create() {
        protocol::PassphraseCost cost;
        cost.memory_kib = 8 * 1024;
        store_ = must(store::Store::create(disk, place(), as_bytes(passphrase), cost, random_, node::node_models()));
        me_ = must(store::create_identity(store_->db(), "test node", random_));
        go_to_work();
        node::BeginRequest request;
        request.name = "Ada Finch";
        must(node::begin(*context_, request));
    }
    void go_to_work() {
        store_->log().act_as(me_->own_device());
        context_.reset(new node::Context{store_->db(), store_->log(), *me_, env_, domain::shipped_edition()});
    }

    SetClock clock_;
    SeededRandom random_{1};
    node::Env env_{clock_, random_};
    std::unique_ptr<store::Store> store_;
    std::optional<store::Identity> me_;
    std::unique_ptr<node::Context> context_;
};

// The files of a store in which one item was ticked and acknowledged.
struct Before {
    Before() {
        SmallDisk first;
        must(first.tick(kept_item));
        first.close();
        files = first.memory.files();
        keys = first.disk.files;
    }

    Files files;
    std::map<std::filesystem::path, Bytes> keys;
};

// Calls to the disk that one tick makes.
std::int64_t calls_of_a_tick(const Before& before) {
    SmallDisk ada(before.files, before.keys);
    ada.memory.arm(DiskFault::none, 0, false);
    must(ada.tick(new_item));
    return ada.memory.calls();
}

// Runs `then` on a store whose disk was full from each call of a tick on, with what the tick said.
template <class Then>
void at_every_call(Then then) {
    const Before before;
    const std::int64_t calls = calls_of_a_tick(before);
    REQUIRE(calls > 0);
    bool was_refused = false;
    for (std::int64_t call = 1; call <= calls; ++call) {
        CAPTURE(call);
        SmallDisk ada(before.files, before.keys);
        ada.memory.arm(DiskFault::full, call, true);
        const Result<node::Done> said = ada.tick(new_item);
        was_refused = was_refused || !said;
        then(ada, said);
    }
    REQUIRE(was_refused);
}

}  // namespace

TEST_CASE("a tick on a full disk says so in one sentence, with the exit code of the disk") {
    at_every_call([](SmallDisk&, const Result<node::Done>& said) {
        if (said) return;
        CHECK(said.error().fault() == Fault::disk);
        const node::ControlAnswer answer = node::to_answer(said.error(), false);
        CHECK(answer.exit_code == 8);
        CHECK(std::count(answer.err.begin(), answer.err.end(), '\n') == 1);
        CHECK(answer.err.ends_with(".\n"));
    });
}

TEST_CASE("what was acknowledged before the disk was full is there when space is free again") {
    at_every_call([](SmallDisk& ada, const Result<node::Done>&) {
        ada.close();
        ada.memory.disarm();
        ada.open();
        CHECK(ada.is_ticked(kept_item));
    });
}

TEST_CASE("a tick that was acknowledged on a disk that was about to be full is not lost") {
    at_every_call([](SmallDisk& ada, const Result<node::Done>& said) {
        ada.close();
        ada.memory.disarm();
        ada.open();
        if (said) CHECK(ada.is_ticked(new_item));
    });
}

TEST_CASE("a store goes on when space is free again, if need be after it was opened anew") {
    at_every_call([](SmallDisk& ada, const Result<node::Done>& said) {
        ada.memory.disarm();
        if (!said && !ada.tick(new_item)) {
            // A disk that did not confirm a sync is not believed until the next opening.
            ada.close();
            ada.open();
            must(ada.tick(new_item));
        }
        CHECK(ada.is_ticked(kept_item));
        CHECK(ada.is_ticked(new_item));
    });
}
