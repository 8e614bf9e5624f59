// From a newcomer's tick on one node to the news at the mentor's open page on another: two real processes on the
// loopback, the command socket of the first, the live stream of the second's pages.
//   bench_tick_bench [PROGRAM] [TICKS]     the program built beside it, and 50, unless given
// Prints a table and never fails on time.

#include <algorithm>
#include <boost/asio/connect.hpp>
#include <boost/asio/io_context.hpp>
#include <boost/asio/ip/tcp.hpp>
#include <boost/asio/read.hpp>
#include <boost/asio/read_until.hpp>
#include <boost/asio/write.hpp>
#include <boost/json.hpp>
#include <chrono>
#include <condition_variable>
#include <cstdio>
#include <cstdlib>
#include <filesystem>
#include <mutex>
#include <sstream>
#include <stdexcept>
#include <thread>

#include "node/app/control.hpp"
#include "tests/support/program/program.hpp"

using namespace ladderline;
using namespace ladderline::test;

namespace {

namespace asio = boost::asio;
using asio::ip::tcp;
using Time = std::chrono::steady_clock::time_point;

constexpr double goal_ms = 50;

// "http://127.0.0.1:PORT/open/TOKEN" in its parts.
struct PageAddress {
    explicit PageAddress(const std::string& address) {
        const std::size_t host = address.find("//") + 2;
        const std::size_t slash = address.find('/', host);
        authority = address.substr(host, slash - host);
        path = address.substr(slash);
        port = static_cast<std::uint16_t>(std::stoi(authority.substr(authority.find(':') + 1)));
    }
    std::string authority;
    std::string path;
    std::uint16_t port = 0;
};

// What stands between two marks; an exception if it is not there.
std::string between(const std::string& text, const std::string& before, const std::string& after) {
    const std::size_t begin = text.find(before);
    if (begin == std::string::npos) throw std::runtime_error("the page lacks " + before);
    const std::size_t end = text.find(after, begin + before.size());
    return text.substr(begin + before.size(), end - begin - before.size());
}

// A browser's few words.
class PageReader {
public:
    explicit PageReader(const std::string& start_address) : where_(start_address) {
        cookie_ = between(get(where_.path), "Set-Cookie: ", ";");
    }

    // Head and body.
    std::string get(const std::string& path) {
        tcp::socket socket = ask(path, "close");
        std::string answer;
        boost::system::error_code ended;
        asio::read(socket, asio::dynamic_buffer(answer), ended);
        return answer;
    }
    tcp::socket open_stream(const std::string& path) { return ask(path, "keep-alive"); }

private:
    tcp::socket ask(const std::string& path, const char* connection) {
        tcp::socket socket(io_);
        socket.connect(tcp::endpoint(asio::ip::address_v4::loopback(), where_.port));
        std::string words = "GET " + path + " HTTP/1.1\r\nHost: " + where_.authority + "\r\nConnection: " + connection;
        if (!cookie_.empty()) words += "\r\nCookie: " + cookie_;
        asio::write(socket, asio::buffer(words + "\r\n\r\n"));
        return socket;
    }

    asio::io_context io_;
    PageAddress where_;
    std::string cookie_;
};

// Reads a live stream on a thread of its own and notes when news came.
class NewsReader {
public:
    explicit NewsReader(tcp::socket socket) : socket_(std::move(socket)), thread_([this] { read(); }) {}
    ~NewsReader() {
        boost::system::error_code ignored;
        socket_.shutdown(tcp::socket::shutdown_both, ignored);
        thread_.join();
    }
    NewsReader(const NewsReader&) = delete;
    NewsReader& operator=(const NewsReader&) = delete;

    std::size_t count() {
        const std::lock_guard lock(mutex_);
        return times_.size();
    }
    // When news number `index` (from 0) came; waits for it. An exception if the stream ends before.
    Time time_of(std::size_t index) {
        std::unique_lock lock(mutex_);
        came_.wait(lock, [&] { return times_.size() > index || ended_; });
        if (times_.size() <= index) throw std::runtime_error("the live stream ended");
        return times_[index];
    }

private:
    void read() {
        std::string text;
        boost::system::error_code error;
        while (!error) {
            const std::size_t size = asio::read_until(socket_, asio::dynamic_buffer(text), "\n", error);
            const Time now = std::chrono::steady_clock::now();
            const std::lock_guard lock(mutex_);
            if (!error && text.starts_with("data:")) times_.push_back(now);
            text.erase(0, size);
            ended_ = static_cast<bool>(error);
            came_.notify_all();
        }
    }

    tcp::socket socket_;
    std::mutex mutex_;
    std::condition_variable came_;
    std::vector<Time> times_;
    bool ended_ = false;
    std::thread thread_;
};

node::ControlAnswer ask(const Person& person, std::vector<std::string> words) {
    const auto answer = node::ask_running_node(person.home(), {std::move(words), {}});
    if (!answer || !answer.value()) throw std::runtime_error("a node does not answer");
    return *answer.value();
}

double ms_between(Time from, Time to) {
    return std::chrono::duration<double, std::milli>(to - from).count();
}

void print_row(const char* stage, std::vector<double> times_ms) {
    std::sort(times_ms.begin(), times_ms.end());
    const auto last = static_cast<double>(times_ms.size() - 1);
    const auto at = [&](double part) { return times_ms[static_cast<std::size_t>(part * last + 0.5)]; };
    std::printf("%-44s %8.2f %8.2f %8.2f\n", stage, at(0.5), at(0.95), times_ms.back());
}

// Ids of all items of the person's way, in its order.
std::vector<std::string> items_of(const Person& person) {
    std::vector<std::string> out;
    const auto way = boost::json::parse(ask(person, {"--json", "way"}).out);
    for (const auto& stage : way.at("stages").as_array()) {
        for (const auto& item : stage.at("items").as_array()) out.emplace_back(item.at("id").as_string());
    }
    return out;
}

struct Measured {
    std::vector<double> answer_ms;
    std::vector<double> news_ms;
    std::vector<double> shown_ms;  // the page fetched anew after the news
    std::size_t more_news = 0;     // beyond one a tick
};

Measured measure(const Person& ada, PageReader& page, NewsReader& news, std::size_t ticks) {
    Measured out;
    for (const std::string& item : items_of(ada)) {
        if (out.news_ms.size() == ticks) break;
        const std::size_t seen = news.count();
        const Time sent = std::chrono::steady_clock::now();
        const node::ControlAnswer answer = ask(ada, {"tick", item});
        const Time answered = std::chrono::steady_clock::now();
        if (answer.exit_code != 0) continue;  // an item that wants evidence, or waits for another
        out.news_ms.push_back(ms_between(sent, news.time_of(seen)));
        out.answer_ms.push_back(ms_between(sent, answered));
        page.get("/people");
        out.shown_ms.push_back(ms_between(sent, std::chrono::steady_clock::now()));
        out.more_news += news.count() - seen - 1;
    }
    return out;
}

void run(const std::string& program, std::size_t ticks) {
    const TemporaryFolder folder;
    const Person ada(program, folder, "ada");
    const Person max(program, folder, "max");
    ada.must({"begin", "--name", "Ada Finch"});
    max.must({"begin", "--name", "Max Dale", "--as", "mentor"});
    const RunningProgram adas_node(ada);
    const RunningProgram maxs_node(max);
    const auto invite = boost::json::parse(ask(ada, {"--json", "invite", "path", "--as", "mentor"}).out);
    const node::ControlAnswer joined = ask(max, {"join", std::string(invite.at("code").as_string())});
    if (joined.exit_code != 0) throw std::runtime_error(joined.err);
    while (ask(max, {"way", "Ada"}).exit_code != 0) {
    }
    PageReader page(maxs_node.pages_address());
    const std::string shown = page.get("/people");
    std::string query = "/live?seen=" + between(shown, "data-seen=\"", "\"");
    std::istringstream topics(between(shown, "data-live=\"", "\""));
    for (std::string topic; topics >> topic;) query += "&topic=" + topic;
    NewsReader news(page.open_stream(query));
    const Measured measured = measure(ada, page, news, ticks);
    if (measured.news_ms.empty()) throw std::runtime_error("nothing could be ticked");
    std::printf("%zu ticks, two processes on the loopback; milliseconds\n", measured.news_ms.size());
    std::printf("%-44s %8s %8s %8s\n", "", "median", "95 %", "worst");
    print_row("command sent -> its own answer", measured.answer_ms);
    print_row("command sent -> news at the mentor's page", measured.news_ms);
    print_row("command sent -> the page fetched anew", measured.shown_ms);
    std::printf("goal for the median of the second: %.0f ms; news beyond one a tick: %zu\n", goal_ms,
                measured.more_news);
}

}  // namespace

int main(int count, char** words) {
    const std::string program = count > 1 ? std::filesystem::absolute(words[1]).string() : LADDERLINE_PROGRAM;
    const long ticks = count > 2 ? std::strtol(words[2], nullptr, 10) : 50;
    try {
        run(program, static_cast<std::size_t>(std::max(ticks, 1L)));
    } catch (const std::exception& fault) {
        std::fprintf(stderr, "tick_bench: %s\n", fault.what());
        return 1;
    }
    return 0;
}
