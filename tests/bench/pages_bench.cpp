// What each page of an officer's node costs the server, over the store of a big club: CPU time of the first look after
// the store was opened and of the third, every page that the links lead to (one of a kind), slowest first.
//   bench_pages_bench [MEMBERS [EVENTS [FOLDER [ADDRESS ...]]]]
// 1,000, 100,000, and a new temporary folder, unless given. With addresses those alone are looked at.
// A folder made by bench_review_bench of the same size is used as it is. Prints a table and never fails on time.

#include <algorithm>
#include <cstdio>
#include <cstdlib>
#include <deque>
#include <regex>
#include <set>

#include "node/commands/circles.hpp"
#include "node/web/pages/pages.hpp"
#include "store/sqlite/transaction.hpp"
#include "tests/bench/cpu_time.hpp"
#include "tests/bench/sync/officer.hpp"
#include "tests/support/scratch.hpp"

using namespace ladderline;
using namespace ladderline::bench;

namespace {

constexpr int rounds = 3;

// The officer's node with its pages.
class Site {
public:
    Site(const std::filesystem::path& folder, const World& world) : officer_(folder, world) {
        officer_.context.log.act_as(officer_.context.me.own_device());
        if (!node::own_circle(officer_.context, protocol::CircleKind::desk)) open_desk(world.founder().name);
        node::web::add_pages(router_, officer_.context);
    }
    node::web::Response get(const std::string& address) const {
        node::web::Request request;
        const std::size_t mark = std::min(address.find('?'), address.size());
        request.path = must(node::web::percent_decode(address.substr(0, mark), false));
        if (mark < address.size()) request.query = must(node::web::parse_urlencoded(address.substr(mark + 1)));
        request.csrf = std::string(64, '5');
        return router_.answer(request);
    }

private:
    // As `ladderline begin` leaves a store: an owner with a card and a desk, beside the club.
    void open_desk(const std::string& name) {
        node::BeginRequest owner;
        owner.name = name;
        owner.role = protocol::MemberRole::officer;
        protocol::CardBody card;
        card.name = name;
        auto tx = must(store::sqlite::Transaction::begin(officer_.context.db));
        must(node::open_desk(officer_.context, owner, card));
        must(tx.commit());
    }

    Officer officer_;
    node::web::Router router_;
};

void build(const std::filesystem::path& folder, const World& world) {
    Node node(folder);
    must(node.log().add_key(world.circle(), world.key()));
    for (std::size_t i = 0; i < world.log_count(); ++i)
        must(node.log().append_runs(world.circle(), world.write(i).runs));
}

// Pages that differ in a number or a key are of one kind.
std::string kind_of(const std::string& address) {
    static const std::regex numbers("[0-9a-f]{8,}|[0-9]+");
    return std::regex_replace(address, numbers, "N");
}

std::vector<std::string> links_on(const std::string& body) {
    static const std::regex link("href=\"(/[^\"#]*)");
    std::vector<std::string> out;
    for (std::sregex_iterator at(body.begin(), body.end(), link), end; at != end; ++at) {
        std::string address = (*at)[1];
        if (!address.starts_with("/static/")) out.push_back(std::regex_replace(address, std::regex("&amp;"), "&"));
    }
    return out;
}

struct Line {
    std::string address;
    std::size_t bytes = 0;
    double first_ms = 0;
    double again_ms = 0;
};

Line measured(const Site& officer, const std::string& address, std::string& body) {
    Line out{address, 0, 0, 0};
    for (int round = 0; round < rounds; ++round) {
        const double begun = cpu_s();
        node::web::Response answer = officer.get(address);
        out.again_ms = 1000 * (cpu_s() - begun);
        if (round == 0) out.first_ms = out.again_ms;
        if (answer.status != 200 && round == 0) std::printf("%s answers %d\n", address.c_str(), answer.status);
        out.bytes = answer.body.size();
        body = std::move(answer.body);
    }
    return out;
}

void run(const WorldSize& size, const std::filesystem::path& folder, const std::deque<std::string>& addresses) {
    const World world(size);
    if (!std::filesystem::exists(folder / "store.db")) build(folder, world);
    const Site officer(folder, world);
    std::set<std::string> seen;
    std::deque<std::string> waiting = addresses;
    if (waiting.empty()) waiting = {"/", "/club", "/people", "/circles", "/goings", "/pairing", "/class", "/find?q=ab"};
    std::vector<Line> lines;
    while (!waiting.empty()) {
        const std::string next = waiting.front();
        waiting.pop_front();
        if (!seen.insert(kind_of(next)).second) continue;
        std::string body;
        lines.push_back(measured(officer, next, body));
        if (!addresses.empty()) continue;
        for (const std::string& link : links_on(body)) waiting.push_back(link);
    }
    std::sort(lines.begin(), lines.end(), [](const Line& a, const Line& b) { return a.first_ms > b.first_ms; });
    std::printf("%zu members, %zu events; CPU ms\n%-44s %9s %9s %9s\n", size.logs, size.events, "", "first", "third",
                "KiB");
    for (const Line& line : lines) {
        std::printf("%-44s %9.1f %9.1f %9zu\n", line.address.substr(0, 44).c_str(), line.first_ms, line.again_ms,
                    line.bytes / 1024);
    }
}

}  // namespace

int main(int argc, char** argv) {
    WorldSize size{1000, 100'000, Sayings::club};
    if (argc > 1) size.logs = std::strtoull(argv[1], nullptr, 10);
    if (argc > 2) size.events = std::strtoull(argv[2], nullptr, 10);
    try {
        const test::ScratchFolder scratch("bench");
        run(size, argc > 3 ? std::filesystem::path(argv[3]) : scratch.path() / "club",
            {argv + std::min(argc, 4), argv + argc});
    } catch (const std::exception& fault) {
        std::fprintf(stderr, "pages_bench: %s\n", fault.what());
        return 1;
    }
    return 0;
}
