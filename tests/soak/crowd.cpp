#include "tests/soak/crowd.hpp"

#include <unistd.h>

#include <fstream>
#include <map>
#include <nlohmann/json.hpp>
#include <set>
#include <stdexcept>

namespace ladderline::soak {
namespace {

using nlohmann::json;

struct Role {
    const char* name;
    const char* seat;
};

constexpr std::array<Role, members> roles{{{"Olive Penn", "officer"},
                                           {"Max Dale", "mentor"},
                                           {"Ada Finch", "newcomer"},
                                           {"Bo Lindt", "newcomer"},
                                           {"Di Rowan", "newcomer"}}};
constexpr std::size_t officer = 0;
constexpr std::size_t mentor = 1;
constexpr std::size_t newcomer = 2;

std::string code_in(const std::string& text) {
    return json::parse(text).at("code");
}

std::int64_t resident_kib(int pid) {
    std::ifstream file("/proc/" + std::to_string(pid) + "/statm");
    std::int64_t all = 0;
    std::int64_t resident = 0;
    file >> all >> resident;
    return resident * sysconf(_SC_PAGESIZE) / 1024;
}

}  // namespace

Crowd::Crowd(const std::string& program, std::uint64_t seed)
    : dice_(seed), keeper_(program, folder_, "keeper"), proxy_(seed + 1) {
    for (std::size_t i = 0; i < members; ++i) {
        members_.push_back({roles.at(i).name, test::Person(program, folder_, "member" + std::to_string(i)), {}});
        for (std::size_t j = 0; j < members; ++j) proxy_.add_line();
    }
    courier_line_ = proxy_.add_line();
}

std::string Crowd::way_to(std::size_t line) const {
    return "127.0.0.1:" + std::to_string(proxy_.port(line));
}

void Crowd::lead_lines_to(std::size_t who) {
    for (std::size_t from = 0; from < members; ++from) {
        const bool leads = members_[who].node && !is_cut_.at(line(from, who));
        const int port = leads ? members_[who].node->port() : 0;
        proxy_.lead_to(line(from, who), static_cast<std::uint16_t>(port));
    }
}

void Crowd::start(std::size_t who) {
    members_[who].node = std::make_unique<test::RunningProgram>(members_[who].person);
    lead_lines_to(who);
}

void Crowd::meet() {
    const test::Person& first = members_[officer].person;
    first.must({"begin", "--name", members_[officer].name, "--as", "officer", "--club", "Example Valley Radio Club"});
    start(officer);
    for (std::size_t i = 1; i < members; ++i) {
        const test::Person& next = members_[i].person;
        next.must({"begin", "--name", members_[i].name, "--as", roles.at(i).seat});
        start(i);
        const std::string code =
            first.must({"--json", "invite", "club", "--as", roles.at(i).seat, "--address", way_to(line(i, officer))});
        next.must({"join", code_in(code)});
    }
    const std::string path = members_[newcomer].person.must(
        {"--json", "invite", "path", "--as", "mentor", "--address", way_to(line(mentor, newcomer))});
    members_[mentor].person.must({"join", code_in(path)});
    keeper_.must({"courier", "begin"});
    courier_.emplace(keeper_);
    proxy_.lead_to(courier_line_, static_cast<std::uint16_t>(courier_->port()));
    const std::string place = keeper_.must({"--json", "courier", "place", "--mebibytes", "64"});
    first.must({"courier", "use", way_to(courier_line_), code_in(place), "--circle", "club"});
}

void Crowd::begin_faults() {
    for (std::size_t i = 0; i < members; ++i) {
        for (std::size_t j = 0; j < members; ++j) {
            if (i != j) members_[i].person.must({"reach", members_[j].name, way_to(line(i, j))});
            is_cut_.at(line(i, j)) = i == apart || j == apart;
        }
    }
    // Connections of the meeting may have gone straight.
    for (std::size_t i = 0; i < members; ++i) members_[i].node->stop();
    for (std::size_t i = 0; i < members; ++i) start(i);
    proxy_.set_harmful(true);
}

void Crowd::say_something() {
    const std::size_t who = dice(members);
    std::vector<std::string> words{"card", "--topics", "topic " + std::to_string(dice(1000))};
    if (who == newcomer && dice(2) == 0) words = {"ask", "question " + std::to_string(dice(1000))};
    if (who == mentor && dice(3) == 0) words = {"card", "--room", std::to_string(1 + dice(8))};
    counts_.acts += 1;
    if (members_[who].person.run(words).exit_code != 0) counts_.refused += 1;
}

void Crowd::begin_again(std::size_t who) {
    if (dice(2) == 0) {
        counts_.stopped += 1;
        members_[who].node->stop();
    } else {
        counts_.killed += 1;
        members_[who].node->kill_now();
    }
    members_[who].node.reset();
    say_something();
    start(who);
}

void Crowd::cut_or_mend() {
    const std::size_t a = dice(members - 1);
    const std::size_t b = (a + 1 + dice(members - 2)) % (members - 1);
    const bool cut = !is_cut_.at(line(a, b));
    is_cut_.at(line(a, b)) = cut;
    is_cut_.at(line(b, a)) = cut;
    counts_.partitions += cut ? 1 : 0;
    lead_lines_to(a);
    lead_lines_to(b);
}

void Crowd::step() {
    switch (dice(12)) {
        case 0:
            return begin_again(first_restarted + dice(members - first_restarted));
        case 1:
        case 2:
            return cut_or_mend();
        default:
            return say_something();
    }
}

void Crowd::end_faults() {
    is_cut_.fill(false);
    proxy_.set_harmful(false);
    for (std::size_t i = 0; i < members; ++i) lead_lines_to(i);
}

namespace {

// By circle: who is in it, and which digests they have.
struct Held {
    std::size_t members = 0;
    std::set<std::string> digests;
};

}  // namespace

std::string Crowd::digests() const {
    std::map<std::string, Held> all;
    for (const Member& member : members_) {
        const json digests = json::parse(member.person.must({"--json", "digest"}));
        for (const auto& [circle, digest] : digests.items()) {
            all[circle].members += 1;
            all[circle].digests.insert(digest.get<std::string>());
        }
    }
    std::string out;
    for (const auto& [circle, held] : all) {
        if (held.members < 2) continue;
        if (!out.empty()) out += ", ";
        out += std::to_string(held.members) + " members with " + std::to_string(held.digests.size());
    }
    return out;
}

bool Crowd::is_settled() const {
    const std::string now = digests();
    const std::string club = std::to_string(members) + " members with 1";
    return now == club + ", 2 members with 1" || now == "2 members with 1, " + club;
}

std::vector<std::int64_t> Crowd::memory_kib() const {
    std::vector<std::int64_t> out;
    for (std::size_t i = 0; i < first_restarted; ++i) out.push_back(resident_kib(members_[i].node->pid()));
    out.push_back(resident_kib(courier_->pid()));
    return out;
}

bool Crowd::courier_is_in_step() const {
    const test::Outcome visit = members_[officer].person.run({"courier", "visit"});
    if (visit.exit_code != 0) return false;
    const json shown = json::parse(members_[officer].person.must({"--json", "couriers"})).at("couriers");
    return shown.size() == 1 && shown.at(0).at("not_covered") == 0;
}

}  // namespace ladderline::soak
